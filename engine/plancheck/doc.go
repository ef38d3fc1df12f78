// Package plancheck checks a plan without trusting the planner that made it.
//
// In: a [plan.Plan]. Out: a [Report] of what does not hold together in it, step by step; empty when it holds together.
//
// It shares the types of engine/plan and none of its code. From the judgement of the book as it is, it foresees the book by
// itself (state.go): what each step leaves when it goes as planned. Every step is judged again on the book that it meets,
// once the tests that the plan lists are done again; then it is asked
//
//   - whether the step may be done there: recommended, or possible where a later step needs it or it meets what another
//     brings; whether each test listed is one that has to be done again, and none is missing (retest.go);
//   - whether what it needs is done by then, and no order of the pack is broken (order.go);
//   - whether what it is said to deal with, to bring and to meet is so (claims.go, brought.go);
//   - whether anything would be lost without it (idle.go);
//   - whether everything that calls for care is dealt with or listed with a verdict that says why (subject.go, left.go), and
//     the costs add up (cost.go).
//
// It does not say whether a better plan exists.
package plancheck
