package main

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/spf13/cobra"

	"tideline/engine/lesson"
	"tideline/explain/data"
	"tideline/rules/fault"
)

// TestLessonJSON holds what lesson --json prints against its schema, and two printings against one another.
func TestLessonJSON(t *testing.T) {
	schema := strictly(t, say(t, exitDone, "schema", "lesson"))
	for _, book := range books(t)[:4] {
		g := judged(t, book)
		var printed string
		for range 2 {
			notes := &lesson.Notes{}
			m, err := lesson.NewMaker(g, 11, notes)
			if err != nil {
				t.Fatal(err)
			}
			var list []*lesson.Exercise
			for range 14 {
				e, err := m.Next()
				if err != nil || e == nil {
					t.Fatal(e, err)
				}
				e.Note(notes, nil, lesson.Right)
				list = append(list, e)
			}
			w, err := data.Lesson(g, 11, list)
			if err != nil {
				t.Fatal(err)
			}
			output := encode(t, w)
			validate(t, schema, output)
			if printed != "" && printed != output {
				t.Errorf("%s: the same seed prints two sets", book)
			}
			printed = output
		}
	}
}

// TestLessonCompletion completes book files and the schema's name.
func TestLessonCompletion(t *testing.T) {
	for _, tt := range []struct {
		args []string
		want string
	}{
		{[]string{"lesson", ""}, "yaml"},
		{[]string{"lesson", "book.yaml", "--qu"}, "--questions"},
		{[]string{"schema", "le"}, "lesson"},
	} {
		if got := say(t, exitDone, append([]string{cobra.ShellCompRequestCmd}, tt.args...)...); !strings.Contains(got, tt.want) {
			t.Errorf("completing %q: no %q in\n%s", tt.args, tt.want, got)
		}
	}
}

// TestLessonNotesSurviveKilling kills the program at random moments while it answers and keeps notes. Whenever it dies, the
// file of notes is whole, and holds every exercise that the program had gone on from.
func TestLessonNotesSurviveKilling(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	bin := filepath.Join(t.TempDir(), "tideline") // the test binary is the program when it is called so: see TestMain
	if err := os.Symlink(self, bin); err != nil {
		t.Fatal(err)
	}
	book := filepath.Join(t.TempDir(), "book.yaml")
	if err := os.WriteFile(book, []byte(killBook), 0o666); err != nil {
		t.Fatal(err)
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	cut := 0
	notes := filepath.Join(t.TempDir(), "notes.json")
	total := 0
	for round := range 25 {
		cmd := exec.Command(bin, "lesson", book, "--pack", "../../testdata/packs/tiny.yaml", "--on", "record", "--seed", fmt.Sprint(round), "--questions", "40", "--notes", notes)
		cmd.Stdin = strings.NewReader(strings.Repeat("pass\n", 60))
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		until := rnd.IntN(8)
		begun := 0
		lines := bufio.NewScanner(out)
		for begun <= until && lines.Scan() {
			if strings.HasPrefix(lines.Text(), "Exercise ") {
				begun++
			}
		}
		time.Sleep(time.Duration(rnd.IntN(4000)) * time.Microsecond)
		cmd.Process.Kill()
		go io.Copy(io.Discard, out)
		if cmd.Wait() != nil {
			cut++
		}
		total += max(0, begun-1)
		b, err := os.ReadFile(notes)
		if errors.Is(err, os.ErrNotExist) && total == 0 {
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		faults := &fault.List{}
		n := lesson.ParseNotes(notes, b, faults)
		if err := faults.Err(); err != nil {
			t.Fatalf("round %d: %v\n%s", round, err, b)
		}
		// Every exercise done is in some note; one kept before the next was printed may be in it beyond what was seen.
		kept := 0
		for _, note := range n.All() {
			kept += note.Wrong
		}
		if kept < total {
			t.Fatalf("round %d: %d exercises were gone on from, and %d are noted\n%s", round, total, kept, b)
		}
		total = kept
	}
	t.Logf("killed %d times of 25", cut)
	if cut < 15 || total < 25 {
		t.Errorf("it was killed %d times, and %d exercises were noted: too few to show anything", cut, total)
	}
}

// TestNotesChangedMeanwhile: notes that something else wrote are not written over.
func TestNotesChangedMeanwhile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "notes.json")
	f, n, err := openNotes(path)
	if err != nil {
		t.Fatal(err)
	}
	n.Took(lesson.Topic{About: lesson.AboutRule, ID: "r"}, true)
	if err := f.save(n); err != nil {
		t.Fatal(err)
	}
	other, m, err := openNotes(path)
	if err != nil {
		t.Fatal(err)
	}
	m.Took(lesson.Topic{About: lesson.AboutRule, ID: "s"}, true)
	if err := other.save(m); err != nil {
		t.Fatal(err)
	}
	n.Took(lesson.Topic{About: lesson.AboutRule, ID: "r"}, false)
	if err := f.save(n); report(&strings.Builder{}, err) != exitInput || !strings.Contains(err.Error(), "meanwhile") {
		t.Errorf("got %v", err)
	}
	if got, err := os.ReadFile(path); err != nil || !bytes.Equal(got, m.Bytes()) {
		t.Errorf("the other's notes became %s, %v", got, err)
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	if err := other.save(n); err == nil {
		t.Error("a file taken away is written anew without a word")
	}
}

// TestOwnNotes: with no file named, notes go where the machine keeps settings, and the folder is made.
func TestOwnNotes(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", filepath.Join(t.TempDir(), "settings"))
	f, n, err := openNotes("")
	if err != nil {
		t.Fatal(err)
	}
	n.Took(lesson.Topic{About: lesson.AboutTest, ID: "ink.wet"}, true)
	if err := f.save(n); err != nil {
		t.Fatal(err)
	}
	if _, again, err := openNotes(""); err != nil || !bytes.Equal(again.Bytes(), n.Bytes()) {
		t.Errorf("%v", err)
	}
}

// TestScoreCells: no cell of a score sheet can be taken for a formula, and what was typed comes back whole.
func TestScoreCells(t *testing.T) {
	typed := []string{"=1+1", "+1", "-1", "@x", "a,b", `say "no"`, "1 3", "\x1b[2J"}
	got, err := csv.NewReader(bytes.NewReader(data.CSV([][]string{typed}))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, cell := range got[0] {
		if strings.ContainsAny(cell[:1], "=+-@") || strings.Contains(cell, "\x1b") {
			t.Errorf("%q came out as %q", typed[i], cell)
		}
		if plain := strings.TrimPrefix(cell, "'"); plain != typed[i] && !strings.Contains(typed[i], "\x1b") {
			t.Errorf("%q came out as %q", typed[i], cell)
		}
	}
}

const killBook = `record: 1
title: Tin Harbour Monthly, no. 5
examined: 2026-10-12
listed: {inks: yes, findings: yes, fasteners: yes}
parts:
  cover:
    kind: cover
    seen: {stained: yes, fold_torn: no}
    outside: {seen: {dusty: yes}, inks: {red: {kind: printing ink, seen: {wet: 3}}, blue: {kind: printing ink, seen: {wet: 2}}}}
    inside: {inks: {}, seen: {dusty: no}}
  wrap-1:
    kind: wrap
    seen: {stained: yes, fold_torn: yes}
    outside: {inks: {black: {kind: printing ink}}, seen: {dusty: no}}
    inside: {inks: {}, seen: {dusty: no}}
`
