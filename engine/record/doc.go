// Package record reads a book record: what a book is made of, what was asked of it, and what was done to it.
//
// In:  a YAML or JSON file, a pipe, or the sample book of a pack ([Load], [Parse], [ParseNode]), and the [Words] of a pack.
// Out: a [Book], and every fault of the file with its place. A caller that finds a fault does not use the book.
//
// The keys of a record stand in one table (keys.go). From it come what the reader accepts, what it offers when a word
// is misspelt, and the schema that editors read ([Schema]). It names no question, kind or treatment of the trade: those
// are in packs. It decides nothing: which answer holds when there are two is for the evidence.
package record
