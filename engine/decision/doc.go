// Package decision reads what the person decided on a judgement: a small YAML or JSON file beside the book's record.
//
// In:  the file, and the advice it is about: a judgement, and the plan made from it. Out: a [Decision], and every fault of the file with its place. A caller that
// finds a fault does not use the decision.
//
//	decision: 1
//	by: M. K.
//	date: 2026-10-14
//	accepted:
//	  - {step: dry-brush, on: cover/outside, cautions: yes}
//	departures:
//	  - {step: immersion-bath, on: cover, did: two minutes on a float, because: why}
//	  - {test: ink.wet, on: cover/outside/red, left: not done, because: why}
//	consent: {by: the owner, date: 2026-10-14, form: signed sheet}
//
// `accepted: plan` stands for every step of the plan that is not departed from. Where what was accepted is not the plan, see
// [Against].
//
// Whoever goes against the advice says why: a step that is not recommended or possible cannot be accepted, only departed
// to, with a reason.
package decision
