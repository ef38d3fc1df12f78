// Package seal makes sealed decisions: one file that holds all that a decision was made from and all it said.
//
// In:  a judgement, the files of its record and packs, and what the person decided ([New]); a folder ([Folder]).
// Out: a numbered file in that folder that nothing can change unnoticed; and, from such files, what they hold ([Open]),
// and where a chain of them is broken ([Folder.Chain]).
//
// A file is {"body":...,"sha256":"...","signature":"..."} without a blank. The body is canonical JSON (see
// [tideline/engine/seal/canon]), the hash is that of its bytes (FIPS 180-4), the signature that of the hash (ed25519,
// RFC 8032), or "". The body names the hash of the one before it, so that the decisions of a case form a chain. The chain
// cannot show that its end was cut off, or that all of it was written anew: the number on the owner's sheet can ([Number]).
//
// Nothing here reads a clock, an environment or anything at random: dates come in, and the same input gives the same bytes.
package seal
