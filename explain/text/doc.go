// Package text writes accounts for people: the list of verdicts, and the whole chain of one.
//
// In:  a judgement, and how wide and plain the page is ([Style]). Out: text. Phrases come from
// [tideline/explain/words]; what they speak of from the pack, the record and the proof, made safe to print.
// What is printed may change with any release; programs read [tideline/explain/data].
package text
