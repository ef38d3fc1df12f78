// Package cond compiles the conditions of packs and evaluates their atoms. It is the only package that knows cel-go.
//
// In:  the text of a condition, and the vocabulary it may use. Out: a formula ([Node]) over shared atoms ([Atom]),
// or problems with line and column inside the text.
//
// A condition is CEL. It is parsed and type-checked by cel-go, then split at its connectives (&&, ||, !, ?:, exists,
// all, atLeast); whatever lies between them is an atom, evaluated by cel-go once for each thing it speaks of. The
// connectives follow Kleene's strong logic: see [And], [Or], [Not]. An answer that is not known is an unknown of
// cel-go's, with the number of its question, so that an atom that reads it is open.
//
// What cel-go would take and we refuse, because it would turn "not tested" into "no" or lose track of what is missing:
// comparing whole things or lists, membership in anything but a written list, has(), filter, map, exists_one, size,
// optionals, regular expressions, text functions, division by an answer. Units are checked here too.
//
// Conditions may call the functions that the environment is given ([Function]): computations with numbers in and one number
// out. An argument not known makes the comparison open, and so does one that the function refuses to compute with: no
// answer can then settle it.
//
// The module is pinned to github.com/google/cel-go v0.31.0, the last under that path; later ones are cel.dev/cel-go,
// and moving there is a change of import paths in this package only. Run the tests of this package on every upgrade:
// TestUnknownTable shows what cel-go itself does with unknowns.
package cond
