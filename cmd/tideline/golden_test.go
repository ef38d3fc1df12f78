package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tideline/engine/judge"
	"tideline/explain/text"
	"tideline/rules/pack"
)

// noDay is the zero day: nothing is in the future.
var noDay time.Time

// say runs a command as a person would, with nothing of the machine in it, and gives what it prints.
func say(t *testing.T, want int, args ...string) string {
	t.Helper()
	for name, value := range map[string]string{"LANG": "C.UTF-8", "LC_ALL": "", "LC_CTYPE": "", "COLUMNS": "80", "NO_COLOR": ""} {
		t.Setenv(name, value)
	}
	var out, errs bytes.Buffer
	if code := run(args, strings.NewReader(""), &out, &errs); code != want {
		t.Fatalf("tideline %s: exit code %d, want %d\n%s", strings.Join(args, " "), code, want, errs.String())
	}
	return out.String()
}

// books lists the example books.
func books(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("../../testdata/books/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no example books: %v", err)
	}
	return files
}

// shipped is the shipped pack, loaded once for all tests.
var shipped = sync.OnceValues(func() (*pack.Pack, error) { return (&app{}).loadPack() })

// judged judges an example book by the shipped pack, for the last day it mentions.
func judged(t *testing.T, book string) *judge.Judgement {
	t.Helper()
	p, err := shipped()
	if err != nil {
		t.Fatal(err)
	}
	a := &app{on: "record"}
	b, err := a.load(book, p)
	if err != nil {
		t.Fatal(err)
	}
	g, err := a.judgeBook(b, p)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// page is what golden files are written for.
var page = text.Style{Width: 80}

// TestGolden compares what is said of every example book with testdata/golden: the verdicts, and the whole chain of the
// first-ranked and the first ruled-out one. A file missing there, and one that no book uses, is a failure.
func TestGolden(t *testing.T) {
	const folder = "../../testdata/golden"
	unused := map[string]bool{}
	old, err := filepath.Glob(filepath.Join(folder, "*"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range old {
		unused[filepath.Base(name)] = true
	}
	compare := func(t *testing.T, name, got string) {
		t.Helper()
		delete(unused, name)
		path := filepath.Join(folder, name)
		if mayUpdate(t) {
			if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
			return
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatalf("%v; `go test ./cmd/tideline -run TestGolden -update` writes it", err)
		}
		if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
	for _, book := range books(t) {
		base := strings.TrimSuffix(filepath.Base(book), ".yaml")
		t.Run(base, func(t *testing.T) {
			g := judged(t, book)
			compare(t, base+".decide.txt", text.Decide(g, page, false))
			compare(t, base+".plan.txt", say(t, exitDone, "plan", book, "--on", "record"))
			for _, pick := range []struct {
				name   string
				wanted func(*judge.Verdict) bool
			}{
				{"first", func(v *judge.Verdict) bool { return v.Rank == 1 }},
				{"ruled-out", func(v *judge.Verdict) bool { return v.Word == judge.RuledOut }},
			} {
				if v := first(g, pick.wanted); v != nil {
					compare(t, base+".why-"+pick.name+".txt", text.Why(g, v, page, false))
				}
			}
		})
	}
	for name := range unused {
		if mayUpdate(t) {
			os.Remove(filepath.Join(folder, name))
		} else {
			t.Errorf("%s is used by no book", name)
		}
	}
}

func first(g *judge.Judgement, wanted func(*judge.Verdict) bool) *judge.Verdict {
	for _, v := range g.Verdicts {
		if wanted(v) {
			return v
		}
	}
	return nil
}

// TestCommandsPrintThat checks on one book that the commands print what the golden files hold.
func TestCommandsPrintThat(t *testing.T) {
	book := books(t)[0]
	g := judged(t, book)
	if diff := cmp.Diff(text.Decide(g, page, true), say(t, exitDone, "decide", book, "--on", "record", "--all")); diff != "" {
		t.Errorf("decide (-want +got):\n%s", diff)
	}
	v := g.Verdicts[0]
	if diff := cmp.Diff(text.Why(g, v, page, true), say(t, exitDone, "why", book, v.Treatment.ID, v.Target.Path, "--on", "record", "--all")); diff != "" {
		t.Errorf("why (-want +got):\n%s", diff)
	}
}
