package record

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"tideline/rules/fault"
	"tideline/rules/vocab"
	"tideline/rules/yamlfile"
)

// say writes a result on one line.
func say(r Result) string {
	s := fmt.Sprintf("%s of %s: %s", r.Question.ID, r.Thing.Path, r.Question.Text(r.Answer))
	if !r.Date.IsZero() {
		s += ", " + strings.TrimSuffix(r.Date.Format("2006-01-02T15:04"), "T00:00")
	}
	if r.By != "" {
		s += ", by " + r.By
	}
	if r.At != nil {
		s += fmt.Sprintf(", at %g %g", r.At.X, r.At.Y)
	}
	if r.Note != "" {
		s += " (" + r.Note + ")"
	}
	return s
}

func lines(results []Result) string {
	var b strings.Builder
	for _, r := range results {
		b.WriteString(say(r) + "\n")
	}
	return b.String()
}

func mustParse(t *testing.T, name string, data []byte) *Book {
	t.Helper()
	faults := &fault.List{}
	book := Parse(name, data, smallWords(), today, faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return book
}

func readGood(t *testing.T) *Book {
	t.Helper()
	data, err := os.ReadFile(records + "good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return mustParse(t, "good.yaml", data)
}

func TestResults(t *testing.T) {
	const want = `side.inks_listed of cover/inside: yes, 2026-10-12
side.findings_listed of wrap-1/outside: no, 2026-10-12
side.findings_listed of wrap-1/inside: no, 2026-10-12
book.fasteners_listed of book: yes, 2026-10-12
book.year of book: 1968, 2026-10-12, by M. K.
book.fastened of book: yes, 2026-10-12, by M. K.
owner.keeps_fasteners of owner: yes, 2026-10-12, by M. K.
bench.fume_extraction of bench: no, 2026-10-12, by M. K.
bench.room of bench: 20 °C, 2026-10-12, by M. K.
part.kind of cover: cover, 2026-10-12, by M. K.
part.width of cover: 340 mm, 2026-10-12 (the size of the record)
part.height of cover: 260 mm, 2026-10-12 (the size of the record)
side.findings_listed of cover/inside: yes, 2026-10-12
part.furnish of cover: chemical pulp, 2026-10-12, by M. K.
part.surface_ph of cover: 5.6, 2026-10-12, by M. K.
side.name of cover/outside: outside, 2026-10-12
side.inks_listed of cover/outside: no, 2026-10-12
side.findings_listed of cover/outside: yes, 2026-10-12
side.coating of cover/outside: clay, 2026-10-12, by M. K.
ink.kind of cover/outside/red: printing ink, 2026-10-12, by M. K.
ink.wet of cover/outside/red: 4-5, 2026-10-12, by M. K.
ink.kind of cover/outside/black: printing ink, 2026-10-12, by M. K.
finding.kind of cover/outside/tear-1: tear, 2026-10-12, by M. K.
finding.length of cover/outside/tear-1: 20 mm, 2026-10-12 (measured from the map)
finding.severity of cover/outside/tear-1: slight, 2026-10-12, by M. K.
finding.kind of cover/outside/stain-1: water stain, 2026-10-12, by M. K.
finding.area of cover/outside/stain-1: 750 mm², 2026-10-12 (measured from the map)
finding.kind of cover/outside/rust-1: rust stain, 2026-10-12, by M. K.
side.name of cover/inside: inside, 2026-10-12
ink.kind of cover/inside/stamp: stamp, 2026-10-12, by M. K.
side.name of wrap-1/outside: outside, 2026-10-12
side.name of wrap-1/inside: inside, 2026-10-12
part.kind of wrap-1: wrap, 2026-10-12, by M. K.
part.absorbency of wrap-1: 120 s, 2026-10-12, by M. K.
fastener.kind of upper: staple, 2026-10-12, by M. K.
fastener.rust of upper: film, 2026-10-12, by M. K.
fastener.kind of lower: staple, 2026-10-12, by M. K.
ink.wet of cover/outside/red: 3, 2026-10-13, by A. B., at 300 250 (pink halo)
part.surface_ph of cover: 5.2, 2026-10-13T09:30
finding.active of cover/outside/stain-1: no, 2026-10-12
fastener.rust of upper: film, 2026-10-13
`
	if got := lines(readGood(t).Results); got != want {
		t.Errorf("got:\n%s\nwant:\n%s", got, want)
	}
}

func TestThings(t *testing.T) {
	book := readGood(t)
	var paths []string
	for _, thing := range book.Things {
		paths = append(paths, string(thing.Kind)+" "+thing.Path)
		if thing.Place.Line == 0 || thing.Place.File != "good.yaml" {
			t.Errorf("%s has no place", thing.Path)
		}
		if book.Thing(thing.Path) != thing {
			t.Errorf("%s is not found by its path", thing.Path)
		}
	}
	want := "book book, owner owner, bench bench, part cover, side cover/outside, ink cover/outside/red, ink cover/outside/black, " +
		"finding cover/outside/tear-1, finding cover/outside/stain-1, finding cover/outside/rust-1, side cover/inside, " +
		"ink cover/inside/stamp, part wrap-1, side wrap-1/outside, side wrap-1/inside, fastener upper, fastener lower"
	if got := strings.Join(paths, ", "); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	of := book.Thing
	tear, stain, rust, upper := of("cover/outside/tear-1"), of("cover/outside/stain-1"), of("cover/outside/rust-1"), of("upper")
	for _, tt := range []struct {
		what string
		ok   bool
	}{
		{"near by name and by path", len(tear.Near) == 2 && tear.Near[0] == of("cover/outside/red") && tear.Near[1] == of("cover/inside/stamp")},
		{"near nothing is not the same as not given", stain.Near != nil && len(stain.Near) == 0 && rust.Near == nil},
		{"a finding's fastener", rust.Fastener == upper && tear.Fastener == nil},
		{"holds", len(upper.Holds) == 2 && upper.Holds[1] == of("wrap-1") && of("lower").Holds == nil},
		{"the part and side of a finding", tear.Part == of("cover") && tear.Side == of("cover/outside")},
		{"the part of a side", tear.Side.Part == tear.Part && tear.Side.Side == nil},
		{"size", *tear.Part.Size == Size{340, 260} && of("wrap-1").Size == nil},
		{"an outline is not closed twice", len(stain.Shape.Area) == 3},
		{"a point", *rust.Shape.At == Point{170, 65} && *upper.Shape.At == Point{170, 65}},
		{"title", book.Title == "Lantern Street Weekly, no. 4" && book.By == "M. K." && book.Edition == 1},
		{"examined", book.Examined.Equal(time.Date(2026, 10, 12, 0, 0, 0, 0, time.UTC))},
		{"aims and weights", fmt.Sprint(book.Aims, book.Weights) == "[readable stable] map[appearance:0.4]"},
		{"done", len(book.Done) == 1 && book.Done[0].Target == of("cover") && book.Done[0].Treatment == "dry-brush" && book.Done[0].Note == "little came off"},
		{"nothing of that path", of("cover/outside/green") == nil},
	} {
		if !tt.ok {
			t.Errorf("%s: not so", tt.what)
		}
	}
}

// TestSame reads what may be written in more than one way.
func TestSame(t *testing.T) {
	const head = "record: 1\ntitle: T\nexamined: 2026-10-12\n"
	for _, tt := range []struct{ name, text, want string }{
		{"JSON with tabs and surrogates", "", "part.furnish of cover: rag"},
		{"yes as true", head + "seen: {fastened: true}", "book.fastened of book: yes, 2026-10-12"},
		{"no as false in a test", head + "tests: [{test: book.fastened, on: book, yes: false}]", "book.fastened of book: no, 2026-10-12"},
		{"Fahrenheit", head + "bench: {room: 50 °F}", "bench.room of bench: 10 °C, 2026-10-12"},
		{"centimetres", head + "parts: {c: {kind: cover, outside: {findings: {f: {kind: tear, seen: {width: 2 cm}}}}}}", "finding.width of c/outside/f: 20 mm, 2026-10-12"},
		{"minutes in a test", head + "parts: {c: {kind: cover}}\ntests: [{test: part.absorbency, on: c, number: 2 min, date: 2026-10-13}]", "part.absorbency of c: 120 s, 2026-10-13"},
		{"half grades", head + "parts: {c: {kind: cover, inside: {inks: {i: {kind: stamp, seen: {wet: 4.5}}}}}}", "ink.wet of c/inside/i: 4-5, 2026-10-12"},
		{"a list may be said complete later", head + "tests: [{test: book.fasteners_listed, on: book, yes: yes, date: 2026-10-13}]", "book.fasteners_listed of book: yes, 2026-10-13"},
		{"no limits", head + "owner: {limits: none}", "owner.refuses_wet_work of owner: no, 2026-10-12"},
		{"the same answer twice", head + "seen: {fastened: yes}\ntests: [{test: book.fastened, on: book, yes: yes}]", "book.fastened of book: yes, 2026-10-12\nbook.fastened of book: yes, 2026-10-12"},
		{"a later answer", head + "seen: {fastened: yes}\ntests: [{test: book.fastened, on: book, yes: no, date: 2026-10-12T08:00}]", "book.fastened of book: yes, 2026-10-12\nbook.fastened of book: no, 2026-10-12T08:00"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			data := []byte(tt.text)
			if tt.text == "" {
				var err error
				if data, err = os.ReadFile(records + "tabs.json"); err != nil {
					t.Fatal(err)
				}
			}
			book := mustParse(t, "b", data)
			if got := lines(book.Results); !strings.Contains(got, tt.want) {
				t.Errorf("got:\n%s\nwant among it:\n%s", got, tt.want)
			}
			if tt.text == "" && book.Title != "Lantern 😀 café no. 4" {
				t.Errorf("title %q", book.Title)
			}
		})
	}
}

// TestSample reads books as they stand inside packs.
func TestSample(t *testing.T) {
	for _, tt := range []struct {
		name, text string
		o          Options
		want       string
	}{
		{"lists and limits are left open unless asked", "{}", Options{}, ""},
		{
			"complete", "{}",
			Options{Complete: true},
			"book.fasteners_listed of book: yes\nowner.keeps_fasteners of owner: no\nowner.refuses_wet_work of owner: no\n",
		},
		{
			"complete, unless it says otherwise", "{listed: {fasteners: no}, owner: {limits: {keeps_fasteners: yes}}, tests: [{test: owner.refuses_wet_work, on: owner, yes: yes}]}",
			Options{Complete: true},
			"book.fasteners_listed of book: no\nowner.keeps_fasteners of owner: yes\nowner.refuses_wet_work of owner: yes\n",
		},
		{"sides", "parts: {c: {kind: cover, listed: {inks: no}}}", Options{Complete: true}, "side.findings_listed of c/inside: yes\n"},
		{"no day is in the future", "{examined: 2999-01-01, seen: {fastened: yes}}", Options{}, "book.fastened of book: yes, 2999-01-01\n"},
		{"a step needs no date", "{parts: {c: {kind: cover}}, done: [{step: dry-brush, on: c}]}", Options{}, "part.kind of c: cover\n"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			faults := &fault.List{}
			book := ParseNode(yamlfile.Parse("pack.yaml", []byte(tt.text), faults), smallWords(), tt.o, faults)
			if err := faults.Err(); err != nil {
				t.Fatal(err)
			}
			if got := lines(book.Results); !strings.Contains(got, tt.want) || tt.want == "" && got != "" {
				t.Errorf("got:\n%s\nwant:\n%s", got, tt.want)
			}
		})
	}
	if ParseNode(nil, smallWords(), Options{}, &fault.List{}) != nil {
		t.Error("a book came of nothing")
	}
}

// TestPackWithoutKinds reads a record under a pack that declares no kinds.
func TestPackWithoutKinds(t *testing.T) {
	faults := &fault.List{}
	words := &Words{Vocabulary: vocab.NewVocabulary()}
	const text = "record: 1\ntitle: T\nowner: {aims: [clean], weights: {looks: 1}}\nparts: {c: {kind: cover, seen: {sizing: none}}}\ntests: [{test: part.kind, on: c, word: cover}]\ndone: [{step: wash, on: c, date: 2026-01-01}]"
	Parse("b.yaml", []byte(text), words, today, faults)
	compareFaults(t, "b.yaml", faults.All(), []string{
		"3:16 unknown aim", "3:34 unknown criterion", "4:19 the pack declares no part.kind", "4:33 unknown word",
		"5:16 no question is called", "6:15 no treatment is called",
	})
}
