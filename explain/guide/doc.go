// Package guide makes a readable handbook of packs.
//
// In:  a compiled *pack.Pack. Out: a [Guide], which is an ordered model of the handbook, and from it Markdown or one
// self-contained HTML page. Every sentence stands in the packs; between them are headings and labels only.
// Each treatment, rule, test, fact, principle, criterion, aim and source has one place, which [Anchor] names.
package guide
