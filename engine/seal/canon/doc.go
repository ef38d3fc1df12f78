// Package canon writes values as canonical JSON: RFC 8785, the JSON Canonicalization Scheme.
//
// In:  structs, maps, lists, texts, truths and numbers. Out: the one sequence of bytes that stands for them ([Encode]), or
// the value such bytes stand for ([Decode]), which takes nothing but the canonical form, so that no byte is without meaning.
package canon
