package main

import (
	"bytes"
	"errors"
	"strings"
	"testing"
)

// TestExitCodes holds each kind of end against the code that `tideline --help` promises for it.
func TestExitCodes(t *testing.T) {
	tiny := []string{"--pack", "../../testdata/packs/tiny.yaml"}
	const book = "../../testdata/packs/tiny-book.yaml"
	for _, tt := range []struct {
		name string
		args []string
		want int
	}{
		{"a result", []string{"decide", book}, exitDone},
		{"a verdict asked for", []string{"decide", book, "--fail-on", "ruled out"}, exitAttention},
		{"a verdict asked for that did not come", []string{"decide", book, "--fail-on", "no need"}, exitDone},
		{"no argument", []string{"decide"}, exitUse},
		{"an unknown flag", []string{"decide", book, "--colour"}, exitUse},
		{"an unknown command", []string{"decid"}, exitUse},
		{"an unknown treatment", []string{"why", book, "bsth"}, exitUse},
		{"an unknown schema", []string{"schema", "boook"}, exitUse},
		{"a day that is none", []string{"decide", book, "--on", "tomorrow"}, exitUse},
		{"a day too early", []string{"decide", book, "--on", "2020-01-01"}, exitUse},
		{"no such file", []string{"decide", "nowhere.yaml"}, exitInput},
		{"a folder", []string{"check", "."}, exitInput},
		{"a pack in place of a book", []string{"decide", "../../testdata/packs/tiny.yaml"}, exitInput},
		{"a book in place of a pack", []string{"decide", book, "--pack", book}, exitInput},
		{"trials that are none", []string{"pack", "trial"}, exitInput},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var out, errs bytes.Buffer
			got := run(append(tt.args, tiny...), strings.NewReader(""), &out, &errs)
			if got != tt.want {
				t.Errorf("exit code %d, want %d\n%s", got, tt.want, errs.String())
			}
			if (got > exitAttention) != (errs.Len() > 0) {
				t.Errorf("exit code %d with this on standard error: %q", got, errs.String())
			}
		})
	}
}

// brokenPipe is where nothing can be written.
type brokenPipe struct{}

func (brokenPipe) Write([]byte) (int, error) { return 0, errors.New("no space left") }

// panics is where writing brings the program down.
type panics struct{}

func (panics) Write([]byte) (int, error) { panic("broken\x1b[2J") }

// TestInternal checks that a fault of the program or machine is told as such, and is not blamed on the file.
func TestInternal(t *testing.T) {
	args := []string{"decide", "--pack", "../../testdata/packs/tiny.yaml", "../../testdata/packs/tiny-book.yaml"}
	for _, out := range []interface {
		Write([]byte) (int, error)
	}{brokenPipe{}, panics{}} {
		var errs bytes.Buffer
		if got := run(args, strings.NewReader(""), out, &errs); got != exitFault {
			t.Errorf("%T: exit code %d, want %d", out, got, exitFault)
		}
		if s := errs.String(); !strings.HasPrefix(s, "fault in Tideline (not in your file): ") || strings.Contains(s, "\x1b") {
			t.Errorf("%T: %q", out, s)
		}
	}
}
