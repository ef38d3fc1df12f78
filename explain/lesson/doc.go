// Package lesson leads an apprentice through exercises, line by line.
//
// In:  a maker of exercises (tideline/engine/lesson), and lines typed. Out: what is printed, and the sheet of how it went.
// It needs no screen: a pipe and a screen reader get the same lines. What is right it does not know: the engine marks, and
// explain/text words the proofs.
package lesson
