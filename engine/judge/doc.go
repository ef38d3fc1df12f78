// Package judge decides, for every treatment and every thing it could be done to, one of five verdicts.
//
// In:  a case (evidence, with gaps). Out: verdicts with the rule instances they rest on, ranked; a proof on demand.
// The same case gives the same bytes.
//
// A verdict is exact over all completions: all ways in which the open answers could turn out. First that fits:
//
//	ruled out    a ruling-out rule holds in every completion (by a reason: one instance does already; either way: each
//	             completion has one)
//	no need      nothing calls for the treatment in any completion
//	test first   a ruling-out rule holds in some completions and in others not
//	recommended  clear, called for and serving an aim in every completion, and the support is above zero in the worst
//	possible     clear otherwise
//
// Kleene's logic comes first (kleene.go); where it leaves a value open, the open part is written out as a formula over
// the cells of its questions (ground.go) and searched (space.go).
//
// Another state of the same book, with some answers others, is judged by [Judgement.Again]: a changed answer is followed to
// the conditions that read it (readers.go), and only the verdicts that these may move are decided anew (again.go).
package judge
