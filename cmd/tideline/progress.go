package main

import (
	"fmt"
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

// progress gives what tells how far an audit is: on standard error, on a terminal only, and only of what takes a while. The
// line is wiped when all is done.
func (a *app) progress() func(done, all int) {
	f, ok := a.stderr.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return nil
	}
	next, told := time.Now().Add(progressAfter), false
	return func(done, all int) {
		switch now := time.Now(); {
		case done == all && told:
			fmt.Fprint(f, "\r\x1b[K")
		case done < all && now.After(next):
			next, told = now.Add(progressEvery), true
			fmt.Fprintf(f, "\r%s\x1b[K", words.AuditProgress(done, all))
		}
	}
}
