// Package auditing says what to tell of an audit, and in which order; and writes it as a page to print.
//
// In:  reports of audits. Out: an [Outline], which text and page share, so that both tell the same; and one HTML page that
// needs nothing else.
package auditing
