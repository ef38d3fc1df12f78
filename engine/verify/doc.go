// Package verify checks a proof without trusting the judge that made it.
//
// In:  a book, packs, and a verdict with its proof. Out: how much was replayed, or the first step that does not hold.
//
// It shares no code with engine/judge or with the reading in engine/evidence. It reads the record again (which answers
// stand, what lies in whose reach), instantiates the rules again, has connectives of its own, and goes through completions
// in its own way. Only single atoms are evaluated by package cond, each with no answers known but its own leaves.
package verify
