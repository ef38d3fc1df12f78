package yamlfile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"tideline/rules/fault"
)

// FuzzParse: whatever is read, nothing panics or hangs, and every fault points into the file, also those noted by a
// reader that walks the tree and asks every node for everything.
func FuzzParse(f *testing.F) {
	seeds := 0
	for _, pattern := range []string{"records/*.[yj]*", "books/*.yaml", "packs/*.yaml"} {
		paths, err := filepath.Glob("../../testdata/" + pattern)
		if err != nil {
			f.Fatal(err)
		}
		for _, p := range paths {
			if data, err := os.ReadFile(p); err == nil && len(data) < 20000 {
				seeds++
				f.Add(data)
			}
		}
	}
	if seeds == 0 {
		f.Fatal("no seeds in testdata")
	}
	for _, text := range []string{
		"a: |\r\n  x\r\n    y\r", "a: >\n  x\n  y\n", "a: 'x\n  y'\nb: \"\\u00e4\\\n  z\"", "{\"a\":\t\"\\/\\ud83d\\ude00\", \"a\": 1}",
		"a: &x [*x]\n<<: *x", "? [a]\n: b", "a: 1\n---\nb: 2", "\ufeffa: 1\u0085b: 2\u2028c: 3", "a: |2\n    x\n  y\n", "{a: 0777, b: .inf, c: 1_0, d: 2026-10-12, e: ~}",
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		start := time.Now()
		faults := &fault.List{}
		n := Parse("f", data, faults)
		if n == nil && faults.Len() == 0 {
			t.Error("no tree, and not said why")
		}
		if n != nil {
			walk(n, 0)
		}
		lines := splitLines(strings.TrimPrefix(string(data), "\ufeff"))
		for _, fl := range faults.All() {
			w := fl.Where
			switch {
			case w.File != "f" || fl.Summary == "":
				t.Errorf("no place or word: %+v", fl)
			case w.Line < 0 || w.Line > len(lines) || w.Col < 0 || w.Line == 0 && w.Col > 0:
				t.Errorf("%s lies outside the file of %d lines", w, len(lines))
			case w.Line > 0 && w.Col > utf8.RuneCountInString(lines[w.Line-1])+1:
				t.Errorf("%s (%s) lies outside its line %q", w, fl.Summary, lines[w.Line-1])
			case w.Line > 0 && fl.Source != lines[w.Line-1]:
				t.Errorf("%s shows %q, the line is %q", w, fl.Source, lines[w.Line-1])
			}
			if !utf8.ValidString(fl.Render()) {
				t.Errorf("%q cannot be shown", fl.Summary)
			}
		}
		if took := time.Since(start); took > time.Minute {
			t.Errorf("%d bytes took %v", len(data), took)
		}
	})
}

// walk asks every node for everything, and points at the start, middle and end of every text.
func walk(n *Node, most int) {
	if most > 200 {
		return
	}
	n.Text()
	n.Number()
	n.Int(0, 5)
	n.YesNo()
	n.Date()
	n.Word("a", "b")
	n.Texts()
	m := n.Map("a thing", "a", "b", "c")
	m.Need("d", "")
	if n.IsScalar() {
		lines := strings.Split(n.Raw(), "\n")
		for i, line := range lines {
			if i > 20 {
				break
			}
			length := utf8.RuneCountInString(line)
			for _, col := range []int{1, length / 2, length, length + 1} {
				if col > 0 {
					n.FaultAt(i+1, col, 1, "here", "", "")
				}
			}
		}
	}
	for _, p := range n.Map("a thing").Pairs() {
		walk(p.Key, most+1)
		walk(p.Value, most+1)
	}
	if n.IsList() {
		for _, item := range n.List() {
			walk(item, most+1)
		}
	}
}

// TestLargeFiles: the largest file that is read is read in good time, whatever it is made of.
func TestLargeFiles(t *testing.T) {
	for name, unit := range map[string]string{
		"brackets": "[", "braces": "{a: ", "comments": "# x\n", "keys": "a: 1\n", "quotes": "'a' ", "explicit keys": "? ", "dashes": "- ",
		"anchors": "&a ", "one line of pairs": "a, ", "blank lines": "\n", "escapes": `\\ `, "line ends": "\r", "document marks": "---\n",
		"lines of text": "\n  x", "quoted quotes": "''", "words": "x, ", "empty brackets": "[], ", "items": "\n  - x", "pairs": "\n  a: {b: c}",
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			start := time.Now()
			for _, head := range []string{"", "{", "a:\n  ", "a: [", "a: x"} {
				size := MaxBytes / 8 // the time must not grow faster than the size
				Parse("f", []byte(head+strings.Repeat(unit, size/len(unit))+"\n"), &fault.List{})
			}
			if took := time.Since(start); took > time.Minute {
				t.Errorf("took %v", took)
			} else if testing.Verbose() {
				t.Log(took)
			}
		})
	}
}
