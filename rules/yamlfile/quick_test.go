package yamlfile

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// shape writes a tree with all that a reader can see of it: kinds, styles, resolved tags, values and places.
func shape(n *yaml.Node) string {
	var b strings.Builder
	var walk func(*yaml.Node, int)
	walk = func(n *yaml.Node, depth int) {
		fmt.Fprintf(&b, "%*s%d:%d kind %d style %d %s %q\n", depth, "", n.Line, n.Column, n.Kind, n.Style, n.ShortTag(), n.Value)
		for _, c := range n.Content {
			walk(c, depth+1)
		}
	}
	walk(n, 0)
	return b.String()
}

// agrees tells whether a text was read quickly, and fails the test when the YAML library reads it otherwise.
func agrees(t *testing.T, name, text string) bool {
	t.Helper()
	got := quick(text)
	if got == nil {
		return false
	}
	var doc yaml.Node
	dec := yaml.NewDecoder(strings.NewReader(text))
	if err := dec.Decode(&doc); err != nil {
		t.Fatalf("%s: read quickly, but the library says %v\n%s", name, err, text)
	}
	if err := dec.Decode(&yaml.Node{}); err == nil {
		t.Fatalf("%s: read quickly, but holds a second document\n%s", name, text)
	}
	if g, w := shape(got), shape(doc.Content[0]); g != w {
		t.Fatalf("%s: read quickly as\n%sthe library reads\n%s", name, g, w)
	}
	return true
}

// TestQuick: what is read quickly is what the YAML library reads; every shipped pack and example book is read quickly.
func TestQuick(t *testing.T) {
	for _, pattern := range []string{"../packs/*.yaml", "../../testdata/books/*.yaml", "../../testdata/packs/*.yaml"} {
		paths, err := filepath.Glob(pattern)
		if err != nil || len(paths) == 0 {
			t.Fatalf("%s: %d files, %v", pattern, len(paths), err)
		}
		for _, p := range paths {
			data, err := os.ReadFile(p)
			if err != nil {
				t.Fatal(err)
			}
			if !agrees(t, p, string(data)) {
				t.Errorf("%s is not read quickly", p)
			}
		}
	}
}

// TestQuickGivesUp: what people rarely write, and every fault, is left to the library.
func TestQuickGivesUp(t *testing.T) {
	for _, text := range []string{
		"", "\n", "# only\n", "a: 1", "a:\tb\n", "a: b\r\n", "a: &x 1\n", "a: *x\n", "a: !t 1\n", "<<: {a: 1}\n", "? a\n: b\n", "a: >\n  b\n",
		"a: |-\n  b\n", "a: |\n  b\n \n", "a: \"\\u00e4\"\n", "a: 'x\n  y'\n", "{a: 1}\n", "- a\n", "a: 1\n---\nb: 2\n", "--- a: 1\n", "%YAML 1.2\n", "a: 1\n...\n",
		"a: b: c\n", "a: [1, 2\n", "a: [1,\n2]\n", "a: {b}\n", "a: [b: c]\n", "a: [1, ]\n", "a: [,]\n", "a: [1 # c\n  ]\n", "a: {b: c\n  d: e}\n", "a: 'b' c\n", "a: 'b\n",
		"a: 1\n  b: 2\n", "a:\n  b: 1\n c: 2\n", "a:\nb: 1\n", "a: b\n  # c\n  d\n", "a: b # c\n  d\n", "a: b\n\n  c\n", "a: - b\n", "a: @b\n", "a: `b`\n", "a: \u0085\n",
		"a:\n  - b\n - c\n", "a: |\n    b\n  c\n", "a: [b?]\n", " a: 1\nb: 2\n", "a: ]\n", "a: {\"b\": 1}\n", "\ufeffa: 1\n", "a: b\x00\n",
	} {
		if quick(text) != nil {
			agrees(t, "small", text)
			t.Errorf("%q is read quickly", text)
		}
	}
}

// quickSeeds have every form that is read quickly.
var quickSeeds = []string{
	"a: 1\nb: [x, y z, {c: d}]\n", "a:\n- b: 1\n  c: 2\n-  d\n", "a: |\n  x\n\n   y\nb: 'it''s' # c\n", "a: one\n  two\nb:\n  c: {d: 1,\n    e: f\n      g}\n",
	"# c\n\na: -1 # c\nb: ~\n", "ä: ö\n", "a:\n  - - b\n", "a: {}\nb: []\n", "a:\n    b: \"c\"\n    # d\n    e: f#g:h\n",
}

// TestQuickMutated: the same of well-formed texts with a few characters changed, most of which YAML gives a meaning.
func TestQuickMutated(t *testing.T) {
	const tokens = "  \n\n:::--,,[]{}#'\"|>&*!?%@~x1\\"
	rnd := rand.New(rand.NewPCG(3, 4))
	read := 0
	for range 15_000 {
		text := []byte(quickSeeds[rnd.IntN(len(quickSeeds))])
		for range rnd.IntN(4) {
			at, token := rnd.IntN(len(text)), tokens[rnd.IntN(len(tokens))]
			switch rnd.IntN(3) {
			case 0:
				text[at] = token
			case 1:
				text = slices.Insert(text, at, token)
			default:
				text = slices.Insert(text, at, text[at:rnd.IntN(len(text)-at)+at]...)
			}
		}
		if utf8.Valid(text) && agrees(t, "mutated", string(text)) {
			read++
		}
	}
	t.Logf("%d read quickly", read)
	if read < 3_000 {
		t.Errorf("only %d were read quickly", read)
	}
}

// FuzzQuick: whatever is read quickly is what the YAML library reads, and it says of nothing of it that it is a fault.
func FuzzQuick(f *testing.F) {
	for _, text := range quickSeeds {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if utf8.ValidString(text) { // else it was refused before
			agrees(t, "fuzzed", text)
		}
	})
}
