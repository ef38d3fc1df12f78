package pack

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tideline/rules/fault"
)

// soon fails a test in which something took long. A pack from a stranger must not hang the program.
func soon(t *testing.T, start time.Time) {
	t.Helper()
	if took := time.Since(start); took > time.Minute {
		t.Errorf("took %v", took)
	}
}

// FuzzLoad: whatever stands in a pack, loading it does not panic or hang, and every fault points into it.
func FuzzLoad(f *testing.F) {
	for _, tt := range cases {
		text, _ := unmark(tt.text)
		f.Add([]byte(text))
	}
	f.Add([]byte(base))
	seeds := 0
	for _, pattern := range []string{"../packs/*.yaml", "../../testdata/packs/*.yaml"} {
		paths, err := filepath.Glob(pattern)
		if err != nil {
			f.Fatal(err)
		}
		for _, path := range paths {
			data, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			seeds++
			for _, piece := range pieces(data) {
				f.Add(piece)
			}
		}
	}
	if seeds == 0 {
		f.Fatal("no packs to start from")
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		start := time.Now()
		texts := []File{{"f.yaml", data}} // alone, or beside others
		if len(data)%2 == 0 {
			texts = append(texts, File{"base.yaml", []byte(base)})
		}
		read := &fault.List{}
		Load([]Layer{{Files: texts}}, read)
		pointed(t, read, texts)
		faults := &fault.List{}
		files := []File{{"base.yaml", []byte(base)}}
		p := Load([]Layer{{Files: files}, Trim(Layer{Files: []File{{"f.yaml", data}}})}, faults)
		if faults.Len() == 0 {
			for _, r := range p.Rules {
				if len(r.When) == 0 && len(r.Treatments) > 0 || r.Effect == "" || r.Because == "" || r.Standing == "" {
					t.Errorf("%s was read without a fault, but is not whole", r.ID)
				}
			}
			for _, fact := range p.Facts {
				if fact.Is == nil {
					t.Errorf("%s was read without a fault, but has no condition", fact.ID)
				}
			}
			for _, tr := range p.Treatments {
				if tr.Of == "" || len(tr.Families) == 0 {
					t.Errorf("%s was read without a fault, but is not whole", tr.ID)
				}
			}
		}
		soon(t, start)
	})
}

// pieces cuts a pack into sections of a few hundred lines at most, each with its name.
func pieces(data []byte) [][]byte {
	const most = 150 // lines
	var list [][]byte
	var piece []byte
	head, lines := []byte(nil), 0
	for _, line := range bytes.SplitAfter(data, []byte("\n")) {
		starts := len(line) > 0 && line[0] >= 'a' && line[0] <= 'z'
		entry := bytes.HasPrefix(line, []byte("  ")) && !bytes.HasPrefix(line, []byte("   "))
		if starts || entry && lines > most {
			list = append(list, piece)
			if starts {
				head = line
			}
			piece, lines = []byte("pack: p\n"), 0
			if !starts {
				piece = append(piece, head...)
			}
		}
		piece = append(piece, line...)
		lines++
	}
	return append(list, piece)
}

// pointed checks that every fault has a word and a place in one of the files.
func pointed(t *testing.T, faults *fault.List, files []File) {
	t.Helper()
	for _, fl := range faults.All() {
		if fl.Summary == "" || fl.Where.File == "" {
			t.Errorf("a fault without a word or a place: %+v", fl)
		}
		for _, file := range files {
			if file.Name == fl.Where.File && fl.Where.Line > len(bytes.FieldsFunc(append(file.Data, 'x'), lineEnd))+bytes.Count(file.Data, []byte("\n"))+1 {
				t.Errorf("%s lies outside the file", fl.Where)
			}
		}
		if fl.Where.Line > 0 && fl.Where.Col < 0 {
			t.Errorf("%s has no column", fl.Where)
		}
		fl.Render()
	}
}

func lineEnd(r rune) bool { return strings.ContainsRune("\n\r\u0085\u2028\u2029", r) }

// TestHostile: what would take for ever to read or to judge by is refused, at once and at its place.
func TestHostile(t *testing.T) {
	when := func(condition string) string {
		return "pack: p\nrules:\n  r: {treatment: unbind, caution when: '" + condition + "', say: x, " + rule + "\n"
	}
	for _, tt := range []struct{ name, text, want string }{
		{"100,000 terms", when(strings.Repeat("book.parts.exists(p, p.torn) || ", 100000) + "true"), "condition too long"},
		{"2,000 characters of terms", when(strings.Repeat("true||", 330) + "true"), "condition too large"},
		{"exists in exists, 5 deep", when("book.parts.exists(a, a.inks.exists(b, b.part.inks.exists(c, c.part.inks.exists(d, d.part.inks.exists(e, e.wet < 3)))))"), "nested too deep"},
		{"all in exists in all", when("book.parts.all(a, a.inks.exists(b, b.part.inks.all(c, c.wet < 3)))"), "nested too deep"},
		{"10,000 brackets", when(strings.Repeat("(", 10000) + "true" + strings.Repeat(")", 10000)), "condition too long"},
		{"500 brackets", when(strings.Repeat("(", 500) + "true" + strings.Repeat(")", 500)), "condition nested too deep"},
		{"a regular expression", when(`book.parts.exists(p, p.kind.matches("(a*)*b"))`), "matches is not offered"},
		{"a huge text", when(`book.parts.exists(p, p.kind == "` + strings.Repeat("x", 1<<20) + `")`), "condition too long"},
		{"a list without end", when("book.parts.exists(p, p.ph in [" + strings.Repeat("1,", 900) + "1])"), "condition too large"},
		{"a product that grows", when("book.parts.exists(p, p.ph" + strings.Repeat(" * 1e300", 200) + " > 1)"), "condition nested too deep"},
		{"a whole number without end", when("book.parts.exists(p, p.ph > " + strings.Repeat("9", 1000) + ")"), ""},
		{"strings built", when(`book.parts.exists(p, p.kind + p.kind == "x")`), ""},
		{"a map built", when(`{"a": book} == {"a": book}`), ""},
		{"an index", when("book.parts[0].torn"), "is not offered"},
		{"an alias bomb", "pack: p\nrules: {a: &a [x, x], b: &b [*a, *a], c: [*b, *b]}\n", "anchors and aliases"},
		{"70 levels", "pack: p\nrules: " + strings.Repeat("{a: ", 70) + "1" + strings.Repeat("}", 70) + "\n", "nested too deep"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			start := time.Now()
			_, faults := load(base, tt.text)
			all := faults.All()
			if len(all) == 0 || !strings.Contains(all[0].Summary, tt.want) || all[0].Where.File != "case.yaml" || all[0].Where.Line != 3 && all[0].Where.Line != 2 {
				t.Errorf("got %.300v, want %s", faults.Err(), tt.want)
			}
			for _, f := range all {
				if text := f.Render(); len(text) > 10000 {
					t.Errorf("told in %d characters", len(text))
				}
			}
			soon(t, start)
		})
	}
}

// TestManyFaults: a pack in which everything is wrong is told in good time.
func TestManyFaults(t *testing.T) {
	for name, entry := range map[string]string{
		"conditions":  "  r%[1]d: {treatment: bath, caution when: part.ton%[1]d && pat.torn, say: x, " + rule + "\n",
		"treatments":  "  r%[1]d: {treatment: bth%[1]d, caution when: always, say: x, " + rule + "\n",
		"empty rules": "  r%[1]d: {}\n",
		"the same":    "  r: {}\n",
	} {
		t.Run(name, func(t *testing.T) {
			var b strings.Builder
			b.WriteString("pack: p\ntests:\n")
			for i := range 1000 {
				fmt.Fprintf(&b, "  part.torn%d: {asks: x, answer: yes/no}\n", i)
			}
			b.WriteString("rules:\n")
			for i := range 1000 {
				b.WriteString(strings.TrimSuffix(fmt.Sprintf(entry, i), fmt.Sprintf("%%!(EXTRA int=%d)", i)))
			}
			start := time.Now()
			_, faults := load(base, b.String())
			if faults.Len() < 900 {
				t.Errorf("%d faults", faults.Len())
			}
			for _, f := range faults.All() {
				f.Render()
			}
			soon(t, start)
			t.Log(time.Since(start))
		})
	}
}
