// Package words is the table of phrases: one for each logical state that an explanation can speak of.
//
// In:  a state: a verdict, a step of a proof with its value, an answer and whether it stands. Out: the phrase for it.
// No phrase serves two states, and no other package makes a sentence of its own. The trade's words come from packs
// and records, which are put into the phrases as they are.
package words
