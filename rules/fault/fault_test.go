package fault

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write golden files anew")

// golden compares got with a golden file, or writes it.
func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if os.Getenv("CI") != "" {
			t.Fatal("-update is refused where CI is set: golden files are made by a person who reads them")
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s is out of date; run with -update and read what changed (-want +got):\n%s", path, diff)
	}
}

func at(line, col int) Place { return Place{File: "book.yaml", Line: line, Col: col} }

var long = strings.Repeat("0123456789", 2000)

// renderings are faults of every form that a loader can note.
var renderings = []struct {
	name  string
	fault Fault
}{
	{"everything", Fault{
		Where: at(14, 7), Also: []Place{at(2, 1), {File: "pack.yaml", Line: 3}}, Summary: `unknown word "wett"`,
		Help: "An ink has dry, wet, alcohol.", Nearest: "wet", Source: "      wett: 3", Width: 4,
	}},
	{"the whole file", Fault{Where: at(0, 0), Summary: "is empty"}},
	{"a line, no column", Fault{Where: at(3, 0), Summary: "is not well-formed", Help: "Look above.", Source: "a: b: c"}},
	{"no file", Fault{Summary: "the environment could not be made"}},
	{"the first column", Fault{Where: at(1, 1), Summary: "first", Source: "x: y", Width: 1}},
	{"a width of nothing", Fault{Where: at(1, 4), Summary: "empty text", Source: "x: ''"}},
	{"after the end of the line", Fault{Where: at(1, 9), Summary: "something is missing", Source: "x: y", Width: 3}},
	{"a mark longer than the line", Fault{Where: at(1, 4), Summary: "escapes count once", Source: `x: "y"`, Width: 40}},
	{"line 123456", Fault{Where: at(123456, 4), Summary: "far down", Source: "x: y", Width: 1}},
	{"a long line, at its start", Fault{Where: at(1, 3), Summary: "long", Source: long, Width: 2}},
	{"a long line, in the middle", Fault{Where: at(1, 10001), Summary: "long", Source: long, Width: 3}},
	{"a long line, at its end", Fault{Where: at(1, 20000), Summary: "long", Source: long, Width: 1}},
	{"a line of 200, marked over its end", Fault{Where: at(1, 150), Summary: "long", Source: long[:200], Width: 1000000}},
	{"a long line of wide characters", Fault{Where: at(1, 301), Summary: "long and wide", Source: strings.Repeat("紙", 300) + "x" + strings.Repeat("紙", 9000), Width: 1}},
	{"far into a long line of wide characters", Fault{Where: at(1, 9001), Summary: "long and wide", Source: strings.Repeat("紙", 9000) + "x" + strings.Repeat("紙", 300), Width: 1}},
	{"a column that is not there", Fault{Where: at(1, 90001), Summary: "far off", Source: strings.Repeat("ab", 500), Width: 1}},
	{"wide characters before the mark", Fault{Where: at(1, 5), Summary: "wide", Source: "紙の本: x", Width: 1}},
	{"wide characters under the mark", Fault{Where: at(1, 1), Summary: "wide", Source: "紙の本: x", Width: 3}},
	{"an accent of its own", Fault{Where: at(1, 7), Summary: "combining", Source: "cafe\u0301: x", Width: 1}},
	{"umlauts", Fault{Where: at(1, 6), Summary: "narrow", Source: "größe: x", Width: 1}},
	{"a tab", Fault{Where: at(1, 3), Summary: "tab", Source: "\tx: y", Width: 1}},
	{"an escape sequence", Fault{
		Where: Place{File: "\x1b[31mbook.yaml", Line: 1, Col: 5}, Also: []Place{{File: "\x1b[2Jpack.yaml", Line: 1}},
		Summary: "\x1b[31mred\x07", Help: "\x1b]0;title\x07", Nearest: "\x1b[0m", Source: "a: \x1b[31mred", Width: 3,
	}},
	{"the 8-bit form of the same", Fault{Where: at(1, 5), Summary: "\u009b31mred", Source: "a: \u009b31mred", Width: 3}},
	{"writing turned round", Fault{Where: at(1, 5), Summary: "\u202egnitirw", Source: "a: \u202egnitirw", Width: 3}},
	{"line ends in what is quoted", Fault{Where: at(1, 4), Summary: "odd", Source: "a: b\u2028c\rd", Width: 1}},
	{"a very long word", Fault{Where: at(1, 1), Summary: fmt.Sprintf("unknown word %q", long), Help: "A book has parts.", Source: long, Width: len(long)}},
}

func TestRender(t *testing.T) {
	var b strings.Builder
	for _, r := range renderings {
		fmt.Fprintf(&b, "== %s\n%s", r.name, r.fault.Render())
	}
	golden(t, filepath.Join("testdata", "render.golden"), b.String())
}

// TestRenderIsSafe: nothing that a terminal would obey comes out, and no line is endless.
func TestRenderIsSafe(t *testing.T) {
	for _, r := range renderings {
		t.Run(r.name, func(t *testing.T) {
			out := r.fault.Render()
			if !utf8.ValidString(out) {
				t.Error("not valid UTF-8")
			}
			for _, c := range out {
				if c != '\n' && (unicode.IsControl(c) || unicode.Is(unicode.Bidi_Control, c)) {
					t.Errorf("%U came out", c)
				}
			}
			for _, line := range strings.Split(out, "\n") {
				if n := utf8.RuneCountInString(line); n > 1000 {
					t.Errorf("a line of %d characters", n)
				}
			}
		})
	}
}

func TestPlace(t *testing.T) {
	for _, tt := range []struct {
		place Place
		want  string
	}{
		{Place{}, ""},
		{Place{File: "a.yaml"}, "a.yaml"},
		{Place{File: "a.yaml", Line: 3}, "a.yaml:3"},
		{Place{File: "a.yaml", Line: 3, Col: 9}, "a.yaml:3:9"},
		{Place{File: "a.yaml", Col: 9}, "a.yaml"},
	} {
		if got := tt.place.String(); got != tt.want {
			t.Errorf("%+v: got %q, want %q", tt.place, got, tt.want)
		}
	}
}

func TestList(t *testing.T) {
	var l List
	if l.Err() != nil || l.Len() != 0 || len(l.All()) != 0 {
		t.Error("an empty list holds something")
	}
	for _, f := range []Fault{
		{Where: Place{File: "b.yaml", Line: 1, Col: 1}, Summary: "sixth"},
		{Where: Place{File: "a.yaml", Line: 2, Col: 1}, Summary: "third"},
		{Where: Place{File: "a.yaml", Line: 1, Col: 9}, Summary: "second"},
		{Where: Place{File: "a.yaml", Line: 2, Col: 3}, Summary: "fourth"},
		{Where: Place{File: "a.yaml", Line: 2, Col: 3}, Summary: "fifth"},
		{Where: Place{File: "a.yaml"}, Summary: "first"},
	} {
		l.Add(f)
	}
	l.Amend(func(f *Fault) { f.Help = "of the whole file" })
	var got []string
	for _, f := range l.All() {
		got = append(got, f.Summary)
	}
	if diff := cmp.Diff([]string{"first", "second", "third", "fourth", "fifth", "sixth"}, got); diff != "" {
		t.Errorf("order (-want +got):\n%s", diff)
	}
	if got, want := l.Err().Error(), "a.yaml: first: of the whole file (and 5 more)"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	one := Errors{{Where: at(1, 2), Summary: "s", Help: "h", Nearest: "n"}}
	if got, want := one.Error(), `book.yaml:1:2: s: h (did you mean "n"?)`; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}
