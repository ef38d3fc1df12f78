package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"strings"

	"tideline/explain/words"
	"tideline/rules/fault"
)

// The exit codes, as `tideline --help` tells them.
const (
	exitDone      = 0
	exitAttention = 1 // a verdict or a score calls for attention, as asked with --fail-on or --least
	exitUse       = 2 // wrong use
	exitInput     = 3 // bad input
	exitFault     = 4 // a fault of the program or the machine
)

// run runs one command and gives its exit code. It is the only place that prints errors.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) (code int) {
	a := &app{stdin: stdin, stdout: stdout, stderr: stderr}
	defer func() {
		if r := recover(); r != nil {
			printInternal(stderr, words.Safe(fmt.Sprint(r)))
			if os.Getenv("TIDELINE_TRACE") != "" {
				stderr.Write(debug.Stack())
			}
			code = exitFault
		}
	}()
	root := newRoot(a)
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	return report(stderr, root.Execute())
}

// wrongUse is a command given wrongly.
type wrongUse struct{ error }

// badInput is input that cannot be used, beyond what a file's faults say.
type badInput struct{ error }

// unwritten is faults for which a file was left as it was.
type unwritten struct{ error }

func (u unwritten) Unwrap() error { return u.error }

// attention is a result that the caller asked to be told of by the exit code. It was printed already.
type attention struct{ error }

// internal is a fault of the program or the machine.
type internal struct{ error }

// ofMachine is a fault of the machine that the person can do something about, such as a full disk.
type ofMachine struct{ error }

// report prints an error and gives the exit code for it.
func report(w io.Writer, err error) int {
	var faults fault.Errors
	var input badInput
	var machine ofMachine
	var ours internal
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &attention{}):
		return exitAttention
	case errors.As(err, &faults):
		printFaults(w, faults, errors.As(err, &unwritten{}))
		return exitInput
	case errors.As(err, &input):
		fmt.Fprintln(w, words.Safe(input.Error()))
		return exitInput
	case errors.As(err, &machine):
		fmt.Fprintln(w, words.Safe(machine.Error()))
		return exitFault
	case errors.As(err, &ours):
		printInternal(w, words.Safe(ours.Error()))
		return exitFault
	}
	// What is left is wrong use: cobra's errors, and wrongUse.
	fmt.Fprintln(w, words.Safe(strings.TrimSpace(strings.ReplaceAll(err.Error(), "\t", "  "))))
	fmt.Fprintln(w, "`tideline --help` lists the commands; `tideline COMMAND --help` shows one with an example.")
	return exitUse
}

func printInternal(w io.Writer, what string) {
	fmt.Fprintf(w, "fault in Tideline (not in your file): %s\n", what)
	fmt.Fprintln(w, "Please keep the file and the command, and tell whoever looks after the program.")
	fmt.Fprintln(w, "With TIDELINE_TRACE=1 in the environment, the same command shows where it happened.")
}

// maxFaults is how many faults are written out: all of them in anything a person wrote.
const maxFaults = 1000

// printFaults prints every fault of the files read, then their number.
func printFaults(w io.Writer, faults fault.Errors, kept bool) {
	shown := faults[:min(len(faults), maxFaults)]
	for i, f := range shown {
		if i > 0 {
			fmt.Fprintln(w)
		}
		fmt.Fprint(w, words.Safe(f.Render()))
	}
	if more := len(faults) - len(shown); more > 0 {
		fmt.Fprintf(w, "\nand %d more; mend these first.\n", more)
	}
	nothing := "judged"
	if kept {
		nothing = "written"
	}
	fmt.Fprintf(w, "\n%s. Nothing was %s.\n", words.Count(len(faults), "fault", "faults"), nothing)
}
