// Package drift says why a book would be decided otherwise now.
//
// In:  an old and a new side, each a pack, a record with the owner's aims and weights, and a day; and, where there is a
// seal, the verdicts it holds. Out: for every verdict that is another, the smallest sets of single edits that made the
// difference; for those that are the same, edits that moved them and others that moved them back.
//
// The edits are of three factors: answers and things, rules, weights and aims. v(S) is the verdict with the edits in S
// made and the others not. A set is enough when v of it is the new verdict and of no smaller part of it is; it is needed
// when taking it back from the new side gives the old verdict, and taking back no smaller part of it does. The factors are
// tried whole first, then each such set is searched for its smallest sets of single edits. Swapping the sides swaps enough
// and needed.
//
// Sides are mixed by name: a thing by its path, a question, rule, fact, statement and treatment by its id. An answer is
// the one that stands on its side, with the steps done and the day of that side, by the rules in use: so that a test can
// go stale by an edit of either. An answer that a question does not take counts as not given. A verdict that one side does
// not have is a verdict of its own: no such candidate.
//
// The program comes first and apart: both sides are judged by today's. Where it does not judge the sealed side as the
// seal says, the program differs, and the check of the proofs says which of the two erred.
package drift
