// Package export writes a decision in the open standards by which other programs read such things.
//
// In:  a judgement, and the seal it was read from, if it was. Out: the bytes of a document, and the list of what its standard could not carry ([Document]).
//
// [Prov] writes PROV-JSON (W3C Member Submission, 24 April 2013): answers, record, packs and verdicts are entities;
// examining, testing, treating and judging are activities; a judging used the answers its proof reads and had the packs
// as its plan. [LinkedArt] writes one Linked Art 1.0 record of the book (JSON-LD): findings as condition assessments,
// steps done as modifications, tests as activities the book was used for.
//
// Documents are ASCII, the same for the same judgement, and hold no clock. Identifiers are urn:uuid names that follow
// from the record's content; see bookID. Words of the trade come from the packs, sentences from package words.
package export
