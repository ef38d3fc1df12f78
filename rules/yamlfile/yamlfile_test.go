package yamlfile

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tideline/rules/fault"
)

// told lists faults as place and summary.
func told(faults *fault.List) string {
	var list []string
	for _, f := range faults.All() {
		list = append(list, strings.TrimPrefix(strings.TrimPrefix(f.Where.String(), "f"), ":")+" "+f.Summary)
	}
	return strings.Join(list, "; ")
}

// TestParse: what is refused before anyone looks at the meaning, each with its place.
func TestParse(t *testing.T) {
	deep := strings.Repeat("[", 70) + strings.Repeat("]", 70)
	for _, tt := range []struct{ name, text, want string }{
		{"sound", "a: 1\nb: [x, y]\n", ""},
		{"a mark at the start of the file", "\ufeffa: 1\na: 2\n", `2:1 "a" stands here twice`},
		{"nothing", "", " is empty"},
		{"blanks", " \n\t\n", " is empty"},
		{"only a mark", "\ufeff", " is empty"},
		{"comments", "# a\n\n  # b\n", " holds nothing but comments"},
		{"Latin 1", "a: gr\xfcn\n", " is not text"},
		{"UTF-16", "a\x00:\x00 \x001\x00\xff\xfe", " is not text"},
		{"a key twice", "a: 1\nb: 2\na: 3\n", `3:1 "a" stands here twice`},
		{"a key twice, further in", "x:\n  y: {b: 1, c: 2, b: 3}\n", `2:19 "b" stands here twice`},
		{"a key twice, quoted and plain", "a: 1\n'a': 2\n", `2:1 "a" stands here twice`},
		{"a key three times", "a: 1\na: 2\na: 3\n", `2:1 "a" stands here twice; 3:1 "a" stands here twice`},
		{"an anchor", "a: &x 1\n", "1:4 anchors and aliases are not used here"},
		{"an anchor and its alias", "a: &x [1]\nb: *x\n", "1:4 anchors and aliases are not used here; 2:4 anchors and aliases are not used here"},
		{"an anchor on a group", "a: &x\n  b: 1\n", "1:4 anchors and aliases are not used here"},
		{"an anchor on a key", "&x a: 1\n", "1:1 anchors and aliases are not used here"},
		{"a merge key", "a: 1\n<<: {b: 2}\n", "2:1 merge keys are not used here"},
		{"a key that only looks so", "'<<': 1\n", ""},
		{"a tag", "a: !!str 5\n", "1:4 tag !!str is not used here"},
		{"a tag of one's own", "a: !secret x\n", "1:4 tag !secret is not used here"},
		{"a tag that runs code elsewhere", "a: !!python/object:os.system [ls]\n", "1:4 tag !!python/object:os.system is not used here"},
		{"a list as key", "? [a, b]\n: 1\n", "1:3 a key must be a single word or phrase"},
		{"a second document", "a: 1\n---\nb: 2\n", "2:1 a second document"},
		{"a document that starts with ---", "---\na: 1\n", ""},
		{"70 levels", "a: " + deep, "1:68 nested too deep"},
		{"60 levels", "a: " + strings.Repeat("[", 60) + strings.Repeat("]", 60), ""},
		{"a control character", "a: 1\nb: x\x01y\n", "2:5 holds a control character"},
		{"JSON, a key twice", "{\"a\": 1, \"a\": 2}", `1:10 "a" stands here twice`},
		{"JSON with tabs, a key twice", "{\n\t\"a\": 1,\n\t\"a\": 2\n}", `3:2 "a" stands here twice`},
		{"JSON, right of an escaped slash", `{"u": "http:\/\/x", "a": 1, "a": 2}`, `1:29 "a" stands here twice`},
		{"JSON, right of a surrogate pair", `{"u": "\ud83d\ude00", "a": 1, "a": 2}`, `1:31 "a" stands here twice`},
		{"JSON, an escaped backslash before u", `{"u": "\\ud83d\\ude00", "a": 1, "a": 2}`, `1:33 "a" stands here twice`},
		{"JSON with a mark at the start", "\ufeff{\t\"a\": 1, \"a\": 2}", `1:11 "a" stands here twice`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			faults := &fault.List{}
			n := Parse("f", []byte(tt.text), faults)
			readOn := tt.name == "a second document" || strings.Contains(tt.want, "stands here twice") // and the rest is looked at too
			if n == nil && (faults.Len() == 0 || readOn) || n != nil && faults.Len() > 0 && !readOn {
				t.Errorf("a tree came %v, with %d faults", n != nil, faults.Len())
			}
			if got := told(faults); got != tt.want {
				t.Errorf("got  %s\nwant %s", got, tt.want)
			}
		})
	}
}

// TestSyntax: what is no YAML is one fault, at the line of the fault or, where a bracket, quote or group began earlier,
// between there and the fault; on the first line, of the file as a whole.
func TestSyntax(t *testing.T) {
	for _, tt := range []struct {
		name, text  string
		first, last int
	}{
		{"tab for indentation", "a:\n\tb: 1\n", 2, 2},
		{"two colons", "a: 1\nb: c: d\n", 2, 2},
		{"two colons, far down", strings.Repeat("# note\n", 50) + "b: c: d\n", 51, 51},
		{"an unknown escape", "x: 1\na: \"\\q\"\n", 2, 2},
		{"a bare at sign", "x: 1\na: @b\n", 2, 2},
		{"unclosed bracket", "a: 1\nb: [1, 2\nc: 3\n", 1, 3},
		{"unclosed quote", "a: 1\nb: \"x\nc: 3\n", 2, 3},
		{"no colon", "a: 1\nb 2\nc: 3\n", 1, 3},
		{"uneven indentation", "a:\n  b: 1\n c: 2\n", 1, 3},
		{"a second document that is broken", "a: 1\n---\nb: [\n", 3, 3},
		{"half a JSON file", "{\"a\": 1,\n\"b\":", 0, 2},
		{"JSON, half a surrogate pair", "{\n\"u\": \"\\ud83d\"}", 2, 2},
		{"on the first line", "a: b: c", 0, 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			faults := &fault.List{}
			if n := Parse("f", []byte(tt.text), faults); n != nil {
				t.Error("a tree came of it")
			}
			all := faults.All()
			if len(all) != 1 || !strings.HasPrefix(all[0].Summary, "is not well-formed: ") || all[0].Where.Line < tt.first || all[0].Where.Line > tt.last {
				t.Errorf("got %s, want lines %d to %d", told(faults), tt.first, tt.last)
			}
			if lines := splitLines(tt.text); all[0].Where.Line > 0 && all[0].Source != lines[all[0].Where.Line-1] {
				t.Errorf("the source shown is %q", all[0].Source)
			}
		})
	}
}

// TestLineBreaks: lines are counted in the same way whatever ends them, and the right one is shown.
func TestLineBreaks(t *testing.T) {
	for name, end := range map[string]string{"LF": "\n", "CR LF": "\r\n", "CR": "\r", "NEL": "\u0085", "LS": "\u2028", "PS": "\u2029"} {
		faults := &fault.List{}
		Parse("f", []byte(strings.Join([]string{"a: 1", "# note", "b:", "  c: 1", "  c: 2", ""}, end)), faults)
		all := faults.All()
		if len(all) != 1 || all[0].Where.Line != 5 || all[0].Where.Col != 3 || all[0].Source != "  c: 2" {
			t.Errorf("%s: %+v", name, all)
		}
	}
}

func root(t *testing.T, text string) (*Map, *fault.List) {
	t.Helper()
	faults := &fault.List{}
	n := Parse("f", []byte(text), faults)
	if n == nil {
		t.Fatal(faults.Err())
	}
	return n.Map("a test"), faults
}

// TestValues reads one value in each way there is. A want of "!" is a fault at the value.
func TestValues(t *testing.T) {
	number := func(n *Node) string {
		if v, ok := n.Number(); ok {
			return fmt.Sprint(v)
		}
		return ""
	}
	whole := func(n *Node) string { return fmt.Sprint(n.Int(0, 10)) }
	yesNo := func(n *Node) string {
		if yes, ok := n.YesNo(); ok {
			return fmt.Sprint(yes)
		}
		return ""
	}
	date := func(n *Node) string {
		if d, ok := n.Date(); ok {
			return d.Format(time.RFC3339)
		}
		return ""
	}
	text := func(n *Node) string { return n.Text() }
	word := func(n *Node) string { return n.Word("rag", "groundwood") }
	texts := func(n *Node) string { return strings.Join(n.Texts(), "+") }
	for _, tt := range []struct {
		what  string
		read  func(*Node) string
		value string
		want  string
	}{
		{"number", number, "4", "4"},
		{"number", number, "-4.5", "-4.5"},
		{"number", number, "1e3", "1000"},
		{"number", number, "0", "0"},
		{"number", number, "0.5", "0.5"},
		{"number", number, ".5", "0.5"},
		{"number", number, "+4", "4"},
		{"number", number, "-0.5", "-0.5"},
		{"number", number, "0777", "!"},
		{"number", number, "-0777", "!"},
		{"number", number, "00", "!"},
		{"number", number, "0o7", "!"},
		{"number", number, "0x1F", "!"},
		{"number", number, "1_000", "!"},
		{"number", number, `"4"`, "!"},
		{"number", number, "'4'", "!"},
		{"number", number, ".inf", "!"},
		{"number", number, "-.inf", "!"},
		{"number", number, ".nan", "!"},
		{"number", number, "nan", "!"},
		{"number", number, "inf", "!"},
		{"number", number, "1e999", "!"},
		{"number", number, "1,5", "!"},
		{"number", number, "4 mm", "!"},
		{"number", number, "yes", "!"},
		{"number", number, "[4]", "!"},
		{"number", number, "{a: 4}", "!"},
		{"number", number, "''", "!"},
		{"number", number, "2026-10-12", "!"},
		{"whole number", whole, "7", "7"},
		{"whole number", whole, "7.0", "7"},
		{"whole number", whole, "10", "10"},
		{"whole number", whole, "7.5", "!"},
		{"whole number", whole, "11", "!"},
		{"whole number", whole, "-1", "!"},
		{"whole number", whole, "1e300", "!"},
		{"yes/no", yesNo, "yes", "true"},
		{"yes/no", yesNo, "true", "true"},
		{"yes/no", yesNo, "no", "false"},
		{"yes/no", yesNo, "false", "false"},
		{"yes/no", yesNo, "'yes'", "true"},
		{"yes/no", yesNo, "on", "!"},
		{"yes/no", yesNo, "Yes", "!"},
		{"yes/no", yesNo, "y", "!"},
		{"yes/no", yesNo, "1", "!"},
		{"yes/no", yesNo, "[yes]", "!"},
		{"date", date, "2026-10-12", "2026-10-12T00:00:00Z"},
		{"date", date, "'2026-10-12'", "2026-10-12T00:00:00Z"},
		{"date", date, "2026-10-12T15:30", "2026-10-12T15:30:00Z"},
		{"date", date, "2026-10-12T15:30:05", "2026-10-12T15:30:05Z"},
		{"date", date, "2026-10-12 15:30", "2026-10-12T15:30:00Z"},
		{"date", date, "2024-02-29", "2024-02-29T00:00:00Z"},
		{"date", date, "2026-02-29", "!"},
		{"date", date, "2026-13-01", "!"},
		{"date", date, "12.10.2026", "!"},
		{"date", date, "12/10/2026", "!"},
		{"date", date, "2026-10-12T25:00", "!"},
		{"date", date, "2026", "!"},
		{"date", date, "today", "!"},
		{"date", date, "[2026-10-12]", "!"},
		{"date", date, "26-10-12", "!"},
		{"text", text, "plain words", "plain words"},
		{"text", text, "3", "3"},
		{"text", text, "yes", "yes"},
		{"text", text, `"a\nb"`, "a\nb"},
		{"text", text, "'it''s'", "it's"},
		{"text", text, "[a]", "!"},
		{"text", text, "{a: 1}", "!"},
		{"text", text, "", ""},
		{"text", text, "~", ""},
		{"text", text, "null", ""},
		{"word", word, "rag", "rag"},
		{"word", word, "'rag'", "rag"},
		{"word", word, "rags", "!"},
		{"word", word, "''", "!"},
		{"word", word, "[rag]", "!"},
		{"word", word, "", ""},
		{"texts", texts, "[a, b]", "a+b"},
		{"texts", texts, "a", "a"},
		{"texts", texts, "[]", ""},
		{"texts", texts, "[a, [b]]", "!"},
	} {
		m, faults := root(t, "x: 1\nv: "+tt.value)
		got := tt.read(m.Get("v"))
		if faults.Len() > 0 {
			got = "!"
			if f := faults.All()[0]; faults.Len() > 1 || f.Where.Line != 2 || f.Where.Col < 4 {
				t.Errorf("%s of %q: %v", tt.what, tt.value, faults.All())
			}
		}
		if got != tt.want {
			t.Errorf("%s of %q: got %q, want %q (%v)", tt.what, tt.value, got, tt.want, faults.Err())
		}
	}
}

// TestAbsent: a node that is not there reads as nothing, and a group that is none goes on as an empty one.
func TestAbsent(t *testing.T) {
	var n *Node
	if v, ok := n.Number(); v != 0 || ok || n.Text() != "" || n.Raw() != "" || n.List() != nil || n.Texts() != nil || n.IsScalar() || n.IsMap() ||
		n.IsList() || n.IsFolded() || n.Word("a") != "" || len(n.Map("x").Pairs()) > 0 || n.Map("x").Get("y") != nil || n.Map("x").Need("y", "") != nil {
		t.Error("an absent node says something")
	}
	m, faults := root(t, "a: [1]\nb: {x: 1, yy: 2}\nc: ' '\n")
	inner := m.Get("a").Map("a thing", "x")
	if inner.Need("x", "") != nil || inner.Get("x") != nil || inner.Key("x") != nil || m.Get("b").Map("a thing", "x", "y").Get("yy") != nil {
		t.Error("what is not there was found")
	}
	m.Get("b").Map("a thing").Need("z", "It is needed.")
	m.Need("c", "It is needed.")
	if got, want := told(faults), `1:4 expected a thing, found a list; 2:4 "z" is missing; 2:11 unknown word "yy"; 3:4 "c" is empty`; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if near := faults.All()[2].Nearest; near != "y" {
		t.Errorf("near %q", near)
	}
}

// TestPlacesInScalars: a fault in a condition points at the very character, whatever the style of the scalar.
func TestPlacesInScalars(t *testing.T) {
	for _, tt := range []struct {
		name, text string
		find       string // the word at fault, once in the text and once in the value
		folded     bool
	}{
		{"plain", "k: 1\nv: ink.wet < BAD\n", "BAD", false},
		{"plain with umlauts before", "{größe: ä, v: ü < BAD}\n", "BAD", false},
		{"plain on its own line", "v:\n  ink.wet < BAD\n", "BAD", false},
		{"plain over two lines", "v: ink.wet <\n  BAD\n", "BAD", true},
		{"single-quoted", "v: '!x || BAD'\n", "BAD", false},
		{"single-quoted with quotes", "v: 'a == ''x'' && ''y'' == BAD'\n", "BAD", false},
		{"single-quoted over two lines", "v: 'x ||\n  BAD'\n", "BAD", true},
		{"double-quoted", "v: \"x || BAD\"\n", "BAD", false},
		{"double-quoted with escapes", `v: "a == \"x\" \u00e4\x41\U0001F600\t BAD"` + "\n", "BAD", false},
		{"double-quoted with a line end", `v: "a &&\n  b == \"x\" BAD"` + "\n", "BAD", false},
		{"double-quoted over two lines", "v: \"x ||\n  BAD\"\n", "BAD", true},
		{"double-quoted, joined by backslash", "v: \"x || \\\n  BAD\"\n", "BAD", true},
		{"literal", "v: |\n  x ||\n  BAD\n", "BAD", false},
		{"literal, further in", "v: |\n  x ||\n      y || BAD\n", "BAD", false},
		{"literal, first line", "k: 1\nv: |\n    x || BAD\n    y\n", "BAD", false},
		{"literal with a number", "v: |2\n    x ||\n  BAD\n", "BAD", false},
		{"literal, stripped", "v: |-\n  x ||\n  BAD\n\nw: 1\n", "BAD", false},
		{"literal after a blank line", "v: |\n\n  x || BAD\n", "BAD", false},
		{"literal with a comment", "v: | # note\n  x || BAD\n", "BAD", false},
		{"literal with umlauts", "v: |\n  ä || BAD\n", "BAD", false},
		{"literal, CR LF", "v: |\r\n  x ||\r\n  BAD\r\n", "BAD", false},
		{"folded", "v: >\n  x ||\n  BAD\n", "BAD", true},
		{"folded on one line", "v: >\n  x || BAD\n", "BAD", true},
		{"JSON", `{"k": 1, "v": "x || BAD"}`, "BAD", false},
		{"JSON with escapes", `{"k": 1, "v": "a == \"x\" || BAD"}`, "BAD", false},
		{"JSON with all escapes", `{"u": "\/\ud83d\ude00", "v": "\/ \\\ud83d\ude00\u00e4 \\ud83d || BAD"}`, "BAD", false},
		{"JSON with tabs", "{\n\t\"v\":\t\"x || BAD\"\n}", "BAD", false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m, faults := root(t, tt.text)
			n := m.Get("v")
			if n.IsFolded() != tt.folded {
				t.Errorf("folded: %v", n.IsFolded())
			}
			line, col := place(n.Raw(), tt.find)
			n.FaultAt(line, col, 3, "here", "", "")
			f := faults.All()[0]
			wantLine, wantCol := place(strings.ReplaceAll(tt.text, "\r\n", "\n"), tt.find)
			if tt.folded {
				wantLine, wantCol = n.Place().Line, n.Place().Col
			}
			if f.Where.Line != wantLine || f.Where.Col != wantCol {
				t.Errorf("at %s, want %d:%d", f.Where, wantLine, wantCol)
			}
			if !tt.folded && !strings.HasPrefix(after(f.Source, f.Where.Col-1), tt.find) {
				t.Errorf("the source shown is %q", f.Source)
			}
		})
	}
}

// place gives the line and column, in characters, at which word stands in text.
func place(text, word string) (line, col int) {
	before := text[:strings.Index(text, word)]
	start := strings.LastIndex(before, "\n") + 1
	return strings.Count(before, "\n") + 1, len([]rune(before[start:])) + 1
}

// TestJSONText: a text of JSON is the same text, whatever its escapes.
func TestJSONText(t *testing.T) {
	for written, want := range map[string]string{
		`a\/b`: "a/b", `\ud83d\ude00`: "😀", `\\ud83d\\ude00`: `\ud83d\ude00`, `\\\/`: `\/`, `\\/`: `\/`, `\"\/\"`: `"/"`, `\u00e4`: "ä", `\t\n`: "\t\n", `😀`: "😀",
	} {
		m, _ := root(t, `{"v": "`+written+`"}`)
		if got := m.Get("v").Raw(); got != want {
			t.Errorf("%s reads as %q, want %q", written, got, want)
		}
	}
}

func TestLinesAndWith(t *testing.T) {
	faults := &fault.List{}
	n := Parse("f", []byte("a: 1\nb: 2\nc: 3"), faults)
	if got := strings.Join(n.Lines(2, 9), "|"); got != "b: 2|c: 3" {
		t.Error(got)
	}
	if got := n.Lines(-5, 0); len(got) != 0 {
		t.Error(got)
	}
	other := &fault.List{}
	n.With(other).Map("x").Get("a").Fault("odd", "")
	if faults.Len() != 0 || other.Len() != 1 {
		t.Errorf("%d faults here, %d there", faults.Len(), other.Len())
	}
}

// failing is a reader that fails with err.
type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }

// endless never stops.
type endless struct{ read int }

func (e *endless) Read(p []byte) (int, error) {
	e.read += len(p)
	return len(p), nil
}

// TestRead: what cannot be read is one fault that says what to do.
func TestRead(t *testing.T) {
	dir := t.TempDir()
	good, large := filepath.Join(dir, "good.yaml"), filepath.Join(dir, "large.yaml")
	if err := os.WriteFile(good, []byte("a: 1\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(os.WriteFile(large, nil, 0o600), os.Truncate(large, 200<<20)); err != nil {
		t.Fatal(err)
	}
	pipe := &endless{}
	for _, tt := range []struct {
		name, path    string
		stdin         io.Reader
		summary, help string
	}{
		{"missing", filepath.Join(dir, "none.yaml"), nil, "cannot be opened", "no such file"},
		{"in a folder that is a file", filepath.Join(good, "x.yaml"), nil, "cannot be opened", "not a directory"},
		{"a folder", dir, nil, "is a folder, not a file", "book.yaml"},
		{"200 MB", large, nil, "is too large", "4 MiB"},
		{"without end", "-", pipe, "is too large", "4 MiB"},
		{"not permitted", "-", failing{&fs.PathError{Op: "read", Path: "x", Err: fs.ErrPermission}}, "cannot be read", "not allowed"},
		{"broken", "-", io.MultiReader(strings.NewReader("a: 1"), failing{errors.New("the stick was pulled")}), "cannot be read", "the stick was pulled"},
	} {
		faults := &fault.List{}
		if data := Read(tt.path, tt.stdin, faults); data != nil {
			t.Errorf("%s: %d bytes came", tt.name, len(data))
		}
		if all := faults.All(); len(all) != 1 || all[0].Summary != tt.summary || !strings.Contains(all[0].Help, tt.help) || all[0].Where.File != tt.path {
			t.Errorf("%s: %v", tt.name, all)
		}
	}
	if pipe.read > 2*MaxBytes {
		t.Errorf("%d bytes were read of a pipe without end", pipe.read)
	}
	faults := &fault.List{}
	if data := Read(good, nil, faults); string(data) != "a: 1\n" || faults.Len() > 0 {
		t.Errorf("%q, %v", data, faults.Err())
	}
	if data := Read("-", strings.NewReader(""), faults); data == nil || len(data) > 0 || faults.Len() > 0 {
		t.Errorf("an empty file reads as %v, %v", data, faults.Err())
	}
}
