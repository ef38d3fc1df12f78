package main

import (
	"fmt"
	"io"
	"os"
	"time"

	"golang.org/x/term"

	"tideline/explain/words"
)

// When progress is first told, and how often.
const (
	progressAfter = 500 * time.Millisecond
	progressEvery = 100 * time.Millisecond
)

// progress gives what tells how far an audit is: on standard error, and on a terminal only.
func (a *app) progress() func(done, all int) {
	f, ok := a.stderr.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return nil
	}
	return progressTo(f, time.Now)
}

// progressTo tells of what takes a while, on one line, which is wiped when all is done.
func progressTo(w io.Writer, now func() time.Time) func(done, all int) {
	next, told := now().Add(progressAfter), false
	return func(done, all int) {
		switch t := now(); {
		case done == all && told:
			fmt.Fprint(w, "\r\x1b[K")
		case done < all && !t.Before(next):
			next, told = t.Add(progressEvery), true
			fmt.Fprintf(w, "\r%s\x1b[K", words.AuditProgress(done, all))
		}
	}
}
