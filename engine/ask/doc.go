// Package ask says which test to do next.
//
// In:  a judgement with open questions. Out: a [Report]: tests, and sequences of tests, by what their answers can be
// expected to gain, less the minutes and the harm; how likely each outcome is held to be; and which verdicts would move.
//
// The value of what is known is the support of what could be done on it: for every thing and every aim of the owner, the
// best treatment that is clear, surely called for, serves the aim, and whose needed steps are clear, counted at the low
// end of its support. What waits for a test counts nothing. More answers never lower it, whatever they are (N1).
//
// A test is worth the expected value after it, less the value before, less its price in the same unit: see
// [tideline/rules/pack.Asking]. Chances come from the pack, else all answers are held equally likely.
package ask
