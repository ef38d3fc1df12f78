package record

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tideline/rules/fault"
	"tideline/rules/vocab"
)

const twoInks = `record: 1
title: A Reader
parts:
  cover:
    kind: cover
    size: [340, 260]
    outside: {inks: {red: {kind: printing ink}, "blue#2": {kind: stamp}}}
`

// further are two results for the book of twoInks, one of them as awkward as text can be.
func further(t *testing.T, book *Book) []Result {
	t.Helper()
	v := smallWords().Vocabulary
	day := time.Date(2026, 10, 13, 15, 30, 0, 0, time.UTC)
	return []Result{
		{Question: v.Question("ink.wet"), Thing: called(t, book, "cover/outside/red"), Answer: vocab.Num(4.5), Date: day.Truncate(24 * time.Hour), At: &Point{300.5, 250}, By: "M. K."},
		{Question: v.Question("part.furnish"), Thing: called(t, book, "cover"), Answer: vocab.Word("chemical pulp"), Date: day, Note: "yes: \"no\" # it's\ta\nnote, °C \u0085 [x]"},
	}
}

func called(t *testing.T, book *Book, path string) *Thing {
	t.Helper()
	for _, thing := range book.Things {
		if thing.Path == path {
			return thing
		}
	}
	t.Fatalf("no %s in the book", path)
	return nil
}

// TestAppend checks what comes of each way in which a record can hold tests. <1> and <2> stand for the entries.
func TestAppend(t *testing.T) {
	const (
		one = `{test: ink.wet, on: cover/outside/red, date: 2026-10-13, grade: 4.5, at: [300.5, 250], by: M. K.}`
		two = `{test: part.furnish, on: cover, date: 2026-10-13T15:30, word: chemical pulp, note: "yes: \"no\" # it's\ta\nnote, °C \u0085 [x]"}`
	)
	quote := func(s string) string {
		s = strings.NewReplacer("{test: ", `{"test": "`, ", on: ", `", "on": "`, ", date: ", `", "date": "`, ", grade: ", `", "grade": `, ", at: ", `, "at": `,
			", by: ", `, "by": "`, ", word: ", `", "word": "`, ", note: ", `", "note": `).Replace(s)
		return strings.Replace(s, "M. K.}", `M. K."}`, 1)
	}
	json := `{"record": 1, "title": "A Reader", "parts": {"cover": {"kind": "cover", "size": [340, 260], "outside": {"inks": {"red": {"kind": "printing ink"}}}}}`
	const first = "{test: ink.dry, on: cover/outside/red, date: 2026-10-12, grade: 5}"
	for _, tt := range []struct{ name, before, after string }{
		{"no tests yet", twoInks, twoInks + "tests:\n  - <1>\n  - <2>\n"},
		{"no end of line", strings.TrimSuffix(twoInks, "\n"), twoInks + "tests:\n  - <1>\n  - <2>\n"},
		{"a comment at the end", twoInks + "\n# the end\n", twoInks + "tests:\n  - <1>\n  - <2>\n\n# the end\n"},
		{"the key alone", twoInks + "tests: # none yet\ndone: []\n", twoInks + "tests: # none yet\n  - <1>\n  - <2>\ndone: []\n"},
		{"one there", twoInks + "tests:\n    - " + first + " # dry first\n", twoInks + "tests:\n    - " + first + " # dry first\n    - <1>\n    - <2>\n"},
		{"not indented", twoInks + "tests:\n- " + first, twoInks + "tests:\n- " + first + "\n- <1>\n- <2>\n"},
		{
			"comments between", twoInks + "tests:\n  - " + first + "\n  # wet next\n\n# what was done\ndone: []\n",
			twoInks + "tests:\n  - " + first + "\n  # wet next\n  - <1>\n  - <2>\n\n# what was done\ndone: []\n",
		},
		{
			"in lines, with a block of text", twoInks + "tests:\n  - test: ink.dry\n    on: cover/outside/red\n    grade: 5\n    note: |\n      # not a comment\n\n      it held\n\ndone: []\n",
			twoInks + "tests:\n  - test: ink.dry\n    on: cover/outside/red\n    grade: 5\n    note: |\n      # not a comment\n\n      it held\n  - <1>\n  - <2>\n\ndone: []\n",
		},
		{"carriage returns", strings.ReplaceAll(twoInks, "\n", "\r\n"), strings.ReplaceAll(twoInks+"tests:\n  - <1>\n  - <2>\n", "\n", "\r\n")},
		{"a mark at the start", "\ufeff" + twoInks, "\ufeff" + twoInks + "tests:\n  - <1>\n  - <2>\n"},
		{"in brackets, empty", twoInks + "tests: []\n", twoInks + "tests: [\n    <j1>,\n    <j2>\n]\n"},
		{
			"in brackets, with a comment", twoInks + "tests: [" + first + " # it's [dry]\n]\n",
			twoInks + "tests: [" + first + ", # it's [dry]\n    <j1>,\n    <j2>\n]\n",
		},
		{"in brackets, with a last comma", twoInks + "tests: [\n  " + first + ",\n]\n", twoInks + "tests: [\n  " + first + ",\n    <j1>,\n    <j2>\n]\n"},
		{"JSON without tests", json + "}\n", json + ",\n  \"tests\": [\n    <j1>,\n    <j2>\n  ]\n}\n"},
		{"JSON on many lines", json + ",\n  \"tests\": [\n  ]\n}\n", json + ",\n  \"tests\": [\n    <j1>,\n    <j2>\n  ]\n}\n"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			faults := &fault.List{}
			book := Parse("b.yaml", []byte(tt.before), smallWords(), today, faults)
			if faults.Len() > 0 {
				t.Fatal(faults.Err())
			}
			got, misfits := Append("b.yaml", []byte(tt.before), further(t, book), smallWords(), today, faults)
			if faults.Len() > 0 || len(misfits) > 0 {
				t.Fatal(faults.Err(), misfits)
			}
			want := strings.NewReplacer("<1>", one, "<2>", two, "<j1>", quote(one), "<j2>", quote(two)).Replace(tt.after)
			if string(got) != want {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
		})
	}
}

// TestAppendRefused checks what cannot be added, and that it is told.
func TestAppendRefused(t *testing.T) {
	book := Parse("b.yaml", []byte(twoInks), smallWords(), today, &fault.List{})
	good := further(t, book)
	off := good[0]
	off.At = &Point{999, 5}
	for _, tt := range []struct {
		name, before string
		more         []Result
		misfit       int
		told         string
	}{
		{"a record with a fault", "record: 1\n", good, -1, `"title" is missing`},
		{"a null written out", twoInks + "tests: null\n", good, -1, "cannot be added to"},
		{"a place off the part", twoInks, []Result{good[1], off}, 1, "off the side"},
		{"the same in JSON", `{"record": 1, "title": "A", "parts": {"cover": {"kind": "cover", "size": [340, 260], "outside": {"inks": {"red": {"kind": "stamp"}}}}}}`, []Result{good[1], off}, 1, "off the side"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			faults := &fault.List{}
			got, misfits := Append("b.yaml", []byte(tt.before), tt.more, smallWords(), today, faults)
			if got != nil {
				t.Errorf("something came of it:\n%s", got)
			}
			switch {
			case tt.misfit >= 0:
				if len(misfits) != 1 || misfits[0].Entry != tt.misfit || !strings.Contains(misfits[0].Fault.Error(), tt.told) {
					t.Errorf("got %+v, want entry %d: %s", misfits, tt.misfit, tt.told)
				}
			case faults.Len() != 1 || !strings.Contains(faults.Err().Error(), tt.told):
				t.Errorf("got %v, want %s", faults.Err(), tt.told)
			}
		})
	}
}

// FuzzAppend tries any record and note: what comes of it holds every byte that was there, in order, and the note.
func FuzzAppend(f *testing.F) {
	seeds, err := filepath.Glob(records + "*.yaml")
	if err != nil || len(seeds) == 0 {
		f.Fatalf("no seeds: %v", err)
	}
	for _, path := range seeds {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data, "a note")
	}
	f.Add([]byte(twoInks+"tests: [{test: ink.dry, on: cover/outside/red, grade: 5, note: it's}]"), "no")
	f.Fuzz(func(t *testing.T, data []byte, note string) {
		faults := &fault.List{}
		book := Parse("b.yaml", data, smallWords(), today, faults)
		if book == nil || faults.Len() > 0 || len(book.Things) == 0 {
			return
		}
		more := []Result{{Question: smallWords().Vocabulary.Question("book.year"), Thing: book.Things[0], Answer: vocab.Num(1968), Date: time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC), Note: note}}
		got, misfits := Append("b.yaml", data, more, smallWords(), today, faults)
		if got == nil {
			if len(misfits) == 0 && faults.Len() == 0 {
				t.Error("nothing came of it, and not said why")
			}
			return
		}
		if !within(data, got) {
			t.Errorf("a byte was lost:\n%q\n%q", data, got)
		}
		now := Parse("b.yaml", got, smallWords(), today, faults)
		if faults.Len() > 0 || len(now.Results) != len(book.Results)+1 {
			t.Errorf("it does not read back: %v", faults.Err())
		}
	})
}

// within tells whether all bytes of a stand in b, in order.
func within(a, b []byte) bool {
	for _, c := range a {
		i := bytes.IndexByte(b, c)
		if i < 0 {
			return false
		}
		b = b[i+1:]
	}
	return true
}
