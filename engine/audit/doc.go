// Package audit looks again at decisions that were sealed.
//
// In:  a folder of sealed decisions ([tideline/engine/seal]), and what holds today: packs, perhaps the record, a key to
// trust, the number on the owner's sheet. Out: a [Report] of each case: whether the chain is whole; whether the same record
// and packs come to the same verdicts, byte for byte, and if not, whose proof the independent checker finds to hold;
// whether the decision was sound on what was known then; and what would be decided otherwise now.
//
// Soundness is judged with the sealed records only: that of the decision, and, for what was done of it, that of the next
// one in the chain.
package audit
