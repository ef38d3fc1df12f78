// Package explain is the folder of what turns results into words. The flow, each step a package:
//
//	(verdicts with proofs) → account → text, data
//
// [tideline/explain/account] chooses what is told of a verdict and in which order. [tideline/explain/text] writes it for
// people, [tideline/explain/data] for programs; [tideline/explain/schema] holds the schemas of the latter.
// [tideline/explain/sheet] gives test results to a spreadsheet and takes new ones back, [tideline/explain/export] writes a
// decision in open standards. [tideline/explain/words] is the table of phrases that all sentences are made of.
//
// What is said of a book comes from its record, the pack and the proof. No word of the trade stands in these packages.
package explain
