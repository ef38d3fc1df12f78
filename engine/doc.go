// Package engine is the folder of what reasons. The flow, each step a package:
//
//	record → evidence → judge → (verdicts with proofs)
//
// [tideline/engine/record] reads a book as a person described it. [tideline/engine/evidence] says what is known of it now.
// [tideline/engine/judge] decides, for every treatment and target, one of the five verdicts, with its proof.
// [tideline/engine/setting] computes how a treatment is set for what it is done to, with the sums of [tideline/engine/dose].
// [tideline/engine/seal] keeps what was decided so that nothing can change it unnoticed, [tideline/engine/audit] looks at it again.
// [tideline/engine/trial] tries a pack on the small books that stand beside its rules.
//
// No treatment, ink or threshold of the trade is named in any of them: those are in packs.
package engine
