package record

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tideline/rules/fault"
)

// expected tells of each file in testdata/records the place and the kind of every fault in it, in order. The wording
// as a whole is in faults.golden.
var expected = map[string][]string{
	"bomb.yaml": {
		`2:8 anchors and aliases are not used here`,
		`3:4 anchors and aliases are not used here`,
		`4:4 anchors and aliases are not used here`,
		`5:4 anchors and aliases are not used here`,
		`6:4 anchors and aliases are not used here`,
		`7:4 anchors and aliases are not used here`,
		`8:4 anchors and aliases are not used here`,
		`9:4 anchors and aliases are not used here`,
	},
	"comments.yaml": {
		` `, // nothing but comments
	},
	"dates.yaml": {
		`10:5 part.surface_ph of cover has two answers on one day`,
		`12:5 part.surface_ph of cover has two answers at one time`,
		`14:46 2026-11-26 is in the future`,
		`15:46 1899-12-31 is before 1900`,
		`16:46 expected a date, found "12.10.2026"`,
		`19:40 2026-11-26 is in the future`,
	},
	"empty.yaml": {
		`4:25 no ink is called "cover/outside/red"`,
		`6:27 no part is called "cover"`,
	},
	"geometry.yaml": {
		`10:51 [350.5, 20] lies off the side`,
		`11:38 [-3, 265] lies off the side`,
		`12:35 [3, -0.25] lies off the side`,
		`13:35 a line needs 2 points or more`,
		`14:35 the points of the line are all the same`,
		`15:41 the area encloses nothing`,
		`16:40 an area needs 3 points or more`,
		`17:47 the area encloses nothing`,
		`18:44 the outline of the area crosses or touches itself`,
		`19:44 the outline of the area crosses or touches itself`,
		`20:42 the outline of the area crosses or touches itself`,
		"21:40 both has both `at` and `line`",
		"21:64 both has both `at` and `area`",
		`22:34 expected a number, found "left"`,
		`22:40 expected a number, found "top"`,
		`23:33 expected a point`,
		`24:40 a line needs 2 points or more`,
		`25:47 expected a number, found ".inf"`,
		`25:53 expected a number, found ".nan"`,
		`30:34 a place needs the size of wrap-1`,
		`32:30 the size is out of range`,
		`33:30 expected width and height`,
		`34:30 the size is out of range`,
		`36:29 [170, 300] lies off the side`,
		`38:58 [341, 5] lies off the side`,
		`39:51 a place cannot be given for book`,
	},
	"good.yaml": {},
	"half.json": {
		` is not well-formed`,
	},
	"half.yaml": {
		`3 is not well-formed`,
	},
	"head.yaml": {
		`1:1 "title" is missing`,
		`1:9 edition 2 is not known`,
		`2:1 unknown word "titel"`,
		`3:11 expected a date, found "2026-13-01"`,
		`4:16 expected yes or no, found "maybe"`,
		`4:23 unknown word "paper"`,
		`5:14 1968 AD is in "AD"`,
		`5:33 "on" does not answer book.fastened`,
		`5:37 unknown word "colour"`,
		`5:50 book.fasteners_listed is not answered here`,
		`5:73 unknown word "book.year"`,
		`6:9 bench.fume_extraction has no answer`,
		`6:34 20 mm is in "mm"`,
		`7:8 expected parts by name, found a list`,
		`8:8 expected a list of tests`,
	},
	"kinds.yaml": {
		`5:11 "covr" does not answer part.kind`,
		`6:12 part.kind is not answered here`,
		`6:34 part.furnish takes one of`,
		`6:53 15 is outside the range of part.surface_ph`,
		`6:69 20 mm is in "mm"`,
		`8:7 unknown word "kind"`,
		`9:23 "wax" does not answer side.coating`,
		`9:28 side.name is not answered here`,
		`9:43 side.inks_listed is not answered here`,
		`10:26 "printing" does not answer ink.kind`,
		`10:48 "5.2" does not answer ink.wet`,
		`10:58 "6" does not answer ink.dry`,
		`10:61 unknown word "ethanol"`,
		`10:73 unknown word "wett"`,
		`11:18 "kind" is missing`,
		`11:44 "yes" does not answer finding.severity`,
		`11:57 "slight" does not answer finding.active`,
		`11:65 finding.length is not answered here`,
		`11:83 2 s is in "s"`,
		`11:88 finding.area is not answered here`,
		`13:38 "little" does not answer fastener.rust`,
	},
	"latin1.yaml": {
		` is not text`,
	},
	"limits.yaml": {
		`4:12 unknown word "keeps_fastners"`,
		`4:51 "maybe" does not answer owner.refuses_wet_work`,
		`4:66 "few" does not answer owner.wishes`,
		`5:3 unknown word "wishes"`,
	},
	"list.yaml": {
		`1:1 expected a book record, found a list`,
	},
	"names.yaml": {
		`9:9 name "dark red" has a space`,
		`10:9 name "red/dark" has a slash`,
		`12:9 "cover/outside/red" names two things`,
		`13:9 a name is missing`,
		`14:3 "inside" cannot be the name of a part`,
		`15:10 expected a part, found nothing`,
		`16:3 "kind" is missing`,
		`16:12 unknown word "knid"`,
		`18:3 "cover" names two things`,
		`19:3 "owner" cannot be the name of a fastener`,
	},
	"owner.yaml": {
		`4:10 unknown aim "stabel"`,
		`4:25 "clean" stands here twice`,
		`4:32 expected text, found a group of keys`,
		`5:25 weight 0.9 is out of bounds`,
		`5:41 expected a number, found "heavy"`,
		`5:48 unknown criterion "speed"`,
		"6:11 \"non\" is not an answer to `limits`",
	},
	"references.yaml": {
		`10:37 no ink is called "redd"`,
		`10:48 "red" stands here twice`,
		`10:53 wrap-1/outside/blue is not on cover`,
		`10:74 cover/outside/tear-1 is a finding, not an ink`,
		`10:93 no fastener is called "uper"`,
		`11:43 expected text, found a list`,
		`11:61 cover is a part, not a fastener`,
		`16:40 no part is called "wrap-2"`,
		`18:25 no ink is called "cover/outside/green"`,
		`19:25 no ink is called "blue"`,
		`20:25 cover/outside is a side, not an ink`,
		`21:32 no finding is called "cover/outside/mould-1"`,
		`22:39 cover is a part, not the owner`,
		`24:27 no part is called "cover/outsid"`,
		`25:27 dry-brush is done to a part, but cover/outside is a side`,
		`26:12 no treatment is called "dry-brsh"`,
		`27:29 leave-alone is done to the book, but cover is a part`,
	},
	"tab.yaml": {
		`4 is not well-formed`,
	},
	"tabs.json": {},
	"tests.yaml": {
		`10:5 "test" is missing`,
		`11:12 no question is called "ink.wte"`,
		`12:5 "on" is missing`,
		`13:5 the test has no answer`,
		`14:54 the test has two answers`,
		`15:44 ink.wet takes a grade, not a number`,
		`16:51 "heavy" does not answer ink.wet`,
		`17:51 ink.wet takes a grade`,
		`18:43 "ragg" does not answer part.furnish`,
		`19:48 15 is outside the range of part.surface_ph`,
		`20:48 20 °C is in "°C"`,
		`21:60 "perhaps" does not answer finding.active`,
		`22:12 finding.length is not a test`,
		`23:54 unknown word "notes"`,
		`24:5 expected a test, found "ink.wet"`,
		`26:5 "date" is missing`,
		`27:5 "step" is missing`,
	},
	"twice.yaml": {
		`6:3 "cover" stands here twice`,
	},
	"two-documents.yaml": {
		`3:1 a second document`,
	},
	"undated.yaml": {
		`4:9 part.furnish of cover has two answers without a date`,
	},
	"untitled.json": {
		`2:12 expected a number, found "1"`,
		`3:11 the title is empty`,
		`4:14 2027-01-01 is in the future`,
		`5:8 expected text, found a list`,
		`6:20 155 °F is outside the range of bench.room`,
	},
}

// TestFaults reads every record of testdata/records and compares what is told with the table, and with the golden file.
func TestFaults(t *testing.T) {
	paths, err := filepath.Glob(records + "*.[yj]*")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no records in %s (%v)", records, err)
	}
	var all strings.Builder
	for _, path := range paths {
		name := filepath.Base(path)
		if strings.HasSuffix(name, ".schema.json") {
			continue
		}
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		faults := &fault.List{}
		book := Parse(name, data, smallWords(), today, faults)
		want, listed := expected[name]
		if !listed {
			t.Errorf("%s is not in the table", name)
		}
		if book == nil && len(want) == 0 {
			t.Errorf("%s: no book", name)
		}
		compareFaults(t, name, faults.All(), want)
		fmt.Fprintf(&all, "== %s\n", name)
		for _, f := range faults.All() {
			all.WriteString(f.Render())
		}
	}
	for name := range expected {
		if _, err := os.Stat(records + name); err != nil {
			t.Errorf("the table expects faults of a file that is not there: %v", err)
		}
	}
	golden(t, records+"faults.golden", all.String())
}

func compareFaults(t *testing.T, name string, got []fault.Fault, want []string) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%s: %d faults, want %d", name, len(got), len(want))
	}
	for i := 0; i < max(len(got), len(want)); i++ {
		switch {
		case i >= len(got):
			t.Errorf("%s: not told: %s", name, want[i])
		case i >= len(want):
			t.Errorf("%s: told unasked: %s", name, got[i])
		default:
			place, kind, _ := strings.Cut(want[i], " ")
			if at := strings.TrimPrefix(got[i].Where.String(), name); at != place && at != ":"+place || !strings.Contains(got[i].Summary, kind) {
				t.Errorf("%s: got %s, want %s", name, got[i], want[i])
			}
		}
	}
}

// TestLoad tries what is no readable file at all.
func TestLoad(t *testing.T) {
	dir := t.TempDir()
	huge := filepath.Join(dir, "huge.yaml") // sparse: it takes no room
	f, err := os.Create(huge)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(f.Truncate(200<<20), f.Close()); err != nil {
		t.Fatal(err)
	}
	endless := &blanks{left: 200 << 20}
	for _, tt := range []struct {
		name, path string
		stdin      io.Reader
		kind       string
	}{
		{"no such file", filepath.Join(dir, "none.yaml"), nil, "cannot be opened"},
		{"a folder", dir, nil, "is a folder"},
		{"200 MB", huge, nil, "is too large"},
		{"200 MB through a pipe", "-", endless, "is too large"},
		{"the reader fails", "-", broken{}, "cannot be read"},
		{"nothing", "-", strings.NewReader(""), "is empty"},
		{"a pipe that breaks half-way", "-", io.MultiReader(strings.NewReader("record: 1\n"), broken{}), "cannot be read"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			faults := &fault.List{}
			book := Load(tt.path, tt.stdin, smallWords(), today, faults)
			if book != nil {
				t.Error("a book came of it")
			}
			if all := faults.All(); len(all) != 1 || all[0].Where.File != tt.path || !strings.Contains(all[0].Summary, tt.kind) {
				t.Errorf("got %v, want one fault of %s: %s", all, tt.path, tt.kind)
			}
		})
	}
	if read := 200<<20 - endless.left; read > 8<<20 {
		t.Errorf("%d bytes were read of an endless pipe", read)
	}
	faults := &fault.List{}
	if book := Load(records+"good.yaml", nil, smallWords(), today, faults); book == nil || faults.Len() > 0 {
		t.Errorf("good.yaml: %v, %v", book, faults.Err())
	}
}

// blanks is a reader of so many blanks.
type blanks struct{ left int }

func (b *blanks) Read(p []byte) (int, error) {
	n := min(len(p), b.left)
	for i := range p[:n] {
		p[i] = ' '
	}
	if b.left -= n; n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

// broken is a reader that may not be read, as a file without permission.
type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, errors.New("permission denied") }

// TestLimits tries the largest records that are read, and those one larger.
func TestLimits(t *testing.T) {
	entries := func(n int, name, value string) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, "%s-%d: %s, ", name, i, value)
		}
		return "{" + b.String() + "}"
	}
	side := func(key, entries string) string {
		return "parts: {cover: {kind: cover, size: [900, 900], outside: {" + key + ": " + entries + "}}}"
	}
	tests := func(n int) string {
		return "parts: {cover: {kind: cover}}\ntests:\n" + strings.Repeat("- {test: part.furnish, on: cover, word: rag}\n", n)
	}
	done := func(n int) string {
		return "parts: {cover: {kind: cover}}\ndone:\n" + strings.Repeat("- {step: dry-brush, on: cover, date: 2026-01-01}\n", n)
	}
	stair := func(n int) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, "[%d, %d], ", i/2+i%2, i/2)
		}
		return side("findings", "{tear-1: {kind: tear, line: ["+b.String()+"]}}")
	}
	for _, tt := range []struct {
		name string
		most int
		text func(n int) string
		kind string
	}{
		{"parts", 50, func(n int) string { return "parts: " + entries(n, "wrap", "{kind: wrap}") }, "more than 50 parts"},
		{"inks", 100, func(n int) string { return side("inks", entries(n, "ink", "{kind: stamp}")) }, "more than 100 inks"},
		{"findings", 200, func(n int) string { return side("findings", entries(n, "tear", "{kind: tear}")) }, "more than 200 findings"},
		{"fasteners", 200, func(n int) string { return "fasteners: " + entries(n, "staple", "{kind: staple}") }, "more than 200 fasteners"},
		{"answers", 5000 - 3, tests, "more than 5000 answers"}, // with the cover's kind and the names of its sides
		{"steps done", 500, done, "more than 500 steps done"},
		{"points", 500, stair, "more than 500 points"},
	} {
		for _, extra := range []int{0, 1} {
			faults := &fault.List{}
			Parse("b.yaml", []byte("record: 1\ntitle: Many\n"+tt.text(tt.most+extra)), smallWords(), today, faults)
			all := faults.All()
			switch {
			case extra == 0 && len(all) > 0:
				t.Errorf("%d %s: %v", tt.most, tt.name, all[0])
			case extra == 1 && (len(all) != 1 || all[0].Summary != tt.kind || all[0].Where.Line < 3):
				t.Errorf("%d %s: got %v, want %s", tt.most+1, tt.name, all, tt.kind)
			}
		}
	}
}

// TestFarTooLong draws a line to and fro over a large sheet until it is longer than any tear.
func TestFarTooLong(t *testing.T) {
	text := "record: 1\ntitle: T\nparts: {c: {kind: cover, size: [5000, 5000], outside: {findings: {f: {kind: tear, line: [" +
		strings.Repeat("[0, 0], [5000, 5000], ", 20) + "]}}}}}"
	faults := &fault.List{}
	Parse("b.yaml", []byte(text), smallWords(), today, faults)
	compareFaults(t, "b.yaml", faults.All(), []string{"3:89 finding.length of c/outside/f would be 275772 mm"})
}

// TestManyThere names a thing that is not among many.
func TestManyThere(t *testing.T) {
	var text strings.Builder
	text.WriteString("record: 1\ntitle: T\nfasteners:\n")
	for i := range 20 {
		fmt.Fprintf(&text, "  pin-%d: {kind: thread}\n", i)
	}
	text.WriteString("tests: [{test: fastener.rust, on: staple, word: film}]\n")
	faults := &fault.List{}
	Parse("b.yaml", []byte(text.String()), smallWords(), today, faults)
	compareFaults(t, "b.yaml", faults.All(), []string{"24:35 no fastener is called"})
	if help := faults.All()[0].Help; !strings.HasPrefix(help, "Fasteners in the record (20): pin-0, pin-1,") || strings.Contains(help, "pin-12") {
		t.Errorf("help: %s", help)
	}
}
