// Command tideline decides which treatments a printed booklet could be given, and shows why.
//
// In:  a book record, and packs of rules. Out: on standard output the result, on standard error everything else.
// It reads flags and files and picks the exit code; what reasons is in engine, what words it in explain.
package main

import (
	"os"
	"runtime/debug"
)

func main() {
	debug.SetGCPercent(800) // a run is short: most of its time went into collecting what it was about to leave
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
