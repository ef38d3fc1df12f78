// Package whynot finds what would turn a verdict.
//
// In:  a judgement, one of its verdicts and the verdict wanted. Out: all smallest sets of answers that would have to be
// others, the fewest and mildest first; or that nothing that can change would do; or that it is so already.
//
// A set is smallest when no part of its questions, however answered, would do. The search is exact: it goes through the
// sets by their number of answers, and where it grows too large it says up to which number all were tried.
//
// It is checked against going through every answer to every question, and by duality: what holds a verdict in place is
// every smallest choice of questions that leaves none of the change sets whole (sufficient.go finds those by a search of
// its own).
package whynot
