// Package plan puts treatments together into a plan: which steps, in which order, and what is left alone.
//
// In: a judgement of the book as it is. Out: a [Plan], the next best ones, and what was left out with the verdicts that say
// why. No treatment is named here: what a step needs, clears, brings, settles and makes stale is in packs.
//
// A plan is valid when
//
//   - every step, judged on the book as it then is (answers gone stale open again, findings cleared gone, findings brought
//     there), is recommended; or possible, where another step needs it or it meets what another brings; or would be so once
//     the tests are done again that earlier steps of the plan made stale (foresee.go);
//   - the steps that a step needs, or variants of them, come before it or were done already, and all orders of the pack hold
//     between steps on the same part (order.go);
//   - what a step is expected to bring is met by a later step, or counted as accepted;
//   - no step is idle: without any one of them something is left undone, or the rest does not hold together.
//
// The best plan is the least in this order (see [Cost.Compare]): things that call for care and get none, findings brought and
// not met, things only lessened that could be cleared, steps of the gravest intervention down to the mildest, number of steps,
// support at its lowest, minutes at the bench, minutes of waiting, names. The search (search.go) is exact: it goes through all
// sets of steps in the order of what calls for them, cut off by the best set so far, each set tried on the foreseen book.
package plan
