package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tideline/engine/judge"
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
			compare(t, base+".decide.txt", say(t, exitDone, "decide", book, "--on", "record"))
			a := &app{on: "record"}
			g, err := a.judge(book)
			if err != nil {
				t.Fatal(err)
			}
			for _, pick := range []struct {
				name   string
				wanted func(*judge.Verdict) bool
			}{
				{"first", func(v *judge.Verdict) bool { return v.Rank == 1 }},
				{"ruled-out", func(v *judge.Verdict) bool { return v.Word == judge.RuledOut }},
			} {
				if v := first(g, pick.wanted); v != nil {
					compare(t, base+".why-"+pick.name+".txt", say(t, exitDone, "why", book, v.Treatment.ID, v.Target.Path, "--on", "record"))
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
