package decision

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/seal/edition1"
	"tideline/rules/fault"
	"tideline/rules/pack"
)

var update = flag.Bool("update", false, "write the outputs that tests compare with anew")

const decisions = "../../testdata/decisions/"

var today = time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)

// judged judges the tiny book by the tiny pack: bath and damp cloth are ruled out, brush is recommended, box possible.
func judged(t testing.TB) *judge.Judgement {
	t.Helper()
	return judgedWith(t, "", "")
}

// judgedWith judges it with a text of the record in place of another.
func judgedWith(t testing.TB, old, new string) *judge.Judgement {
	t.Helper()
	text, err := os.ReadFile("../../testdata/packs/tiny-book.yaml")
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.ReadPath("../../testdata/packs/tiny.yaml", faults)}, faults)
	b := record.Parse("tiny-book.yaml", []byte(strings.Replace(string(text), old, new, 1)), record.WordsOf(p), time.Time{}, faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// TestGood reads a decision that holds everything a decision can.
func TestGood(t *testing.T) {
	faults := &fault.List{}
	d := Load(decisions+"good.yaml", nil, Advice{Judgement: judged(t)}, today, faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	want := &edition1.Decision{
		By: "M. K.", Date: "2026-10-14",
		Accepted: []edition1.Accepted{{Step: "brush", On: "cover/outside", Cautions: true}, {Step: "box", On: "book"}},
		Departures: []edition1.Departure{
			{Step: "bath", On: "cover", Did: "two minutes on a float", Because: "the owner asked for it in writing", Cautions: true},
			{Step: "brush", On: "cover/inside", Left: "undone", Because: "the inside is to stay as found"},
			{Test: "part.drop", On: "cover", Left: "not done", Because: "no margin to spare"},
		},
		Consent: &edition1.Consent{By: "the owner", Date: "2026-10-14", Form: "signed sheet"},
	}
	if diff := cmp.Diff(want, d.Sealed()); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if o := d.Overrides(); len(o) != 1 || o[0].Verdict.Treatment.ID != "bath" || len(d.ToDo()) != 3 {
		t.Errorf("overrides %v, to do %d", o, len(d.ToDo()))
	}
}

// expected tells of each file in testdata/decisions the place and the kind of every fault in it, in order. The wording as
// a whole is in faults.golden.
var expected = map[string][]string{
	"good.yaml":    {},
	"nothing.yaml": {},
	"accepted.yaml": {
		`3:5 bath on cover is ruled out`,
		`4:21 box is not considered for "cover"`,
		`5:12 no treatment is called "brsh"`,
		`7:5 this was decided already`,
		`8:5 "on" is missing`,
		`9:5 expected a step accepted, found "bath"`,
		`10:47 expected yes or no, found "perhaps"`,
		`11:5 expected a step accepted, found a list`,
		`12:12 expected text, found a list`,
		`13:23 brush is not considered for "cover/nside"`,
		`13:36 unknown word "note"`,
	},
	"consent.yaml": {
		`2:7 expected a date, found "14.10.2026"`,
		`3:10 "date" is missing`,
		`3:10 "form" is missing`,
		`3:26 unknown word "when"`,
	},
	"departures.yaml": {
		`3:5 "because" is missing`,
		`4:58 "because" is empty`,
		`5:5 neither done nor left`,
		`6:5 this was decided already`,
		`6:38 both done and left`,
		`7:34 a test that was done belongs in the book's record`,
		`8:12 no test is called "part.dorp"`,
		`9:27 part.drop is not asked of "cover/outside"`,
		`10:25 ink.wet is not asked of "cover/outside/rde"`,
		`11:6 both a step and a test`,
		`12:5 "on" is missing`,
		`13:43 "left" is empty`,
		`14:5 "step" is missing`,
		`15:33 expected text, found a list`,
		`15:48 expected text, found a group of keys`,
	},
	"head.yaml": {
		`1:11 edition 2 is not known`,
		`2:7 2026-11-26 is in the future`,
		`3:11 expected a list of steps accepted`,
		`4:1 unknown word "departure"`,
	},
	"list.yaml": {
		`1:1 expected a decision, found a list`,
	},
}

// TestFaults finds every fault of every file, at its place.
func TestFaults(t *testing.T) {
	files, err := filepath.Glob(decisions + "*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal("no decisions to read", err)
	}
	g := judged(t)
	var wording strings.Builder
	for _, file := range files {
		name := filepath.Base(file)
		want, known := expected[name]
		if !known {
			t.Errorf("%s: the test does not say what is wrong with it", name)
		}
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		faults := &fault.List{}
		Parse(name, data, Advice{Judgement: g}, today, faults)
		var got []string
		for _, f := range faults.All() {
			wording.WriteString(f.Render())
			place := strings.TrimPrefix(strings.TrimPrefix(f.Where.String(), name), ":")
			got = append(got, place+" "+f.Summary)
		}
		if len(got) != len(want) {
			t.Errorf("%s: %d faults, want %d:\n%s", name, len(got), len(want), strings.Join(got, "\n"))
			continue
		}
		for i := range want {
			if !strings.HasPrefix(got[i], want[i]) {
				t.Errorf("%s: %q, want %q", name, got[i], want[i])
			}
		}
	}
	golden := decisions + "faults.golden"
	if *update && os.Getenv("CI") == "" {
		if err := os.WriteFile(golden, []byte(wording.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	saved, err := os.ReadFile(golden)
	if err != nil {
		t.Fatalf("%v; -update writes it", err)
	}
	if diff := cmp.Diff(string(saved), wording.String()); diff != "" {
		t.Errorf("the wording (-want +got):\n%s", diff)
	}
}

// TestTooMany: a list that no person wrote is told once.
func TestTooMany(t *testing.T) {
	faults := &fault.List{}
	text := "decision: 1\naccepted:\n" + strings.Repeat("  - {step: brush, on: cover/outside}\n", maxEntries+5)
	Parse("d.yaml", []byte(text), Advice{Judgement: judged(t)}, today, faults)
	last := faults.All()[faults.Len()-1]
	if !strings.HasPrefix(last.Summary, "more than 1000") {
		t.Errorf("%s", last.Summary)
	}
}

// FuzzParse tries any bytes: no panic, no fault without a place, and what is read can be sealed and says why it departs.
func FuzzParse(f *testing.F) {
	files, err := filepath.Glob(decisions + "*.yaml")
	if err != nil || len(files) == 0 {
		f.Fatal("no seeds", err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	g := judged(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		faults := &fault.List{}
		d := Parse("d.yaml", data, Advice{Judgement: g}, today, faults)
		for _, fl := range faults.All() {
			if fl.Where.File == "" || fl.Summary == "" {
				t.Errorf("a fault without a place or a word: %+v", fl)
			}
			fl.Render()
		}
		if d == nil {
			if faults.Len() == 0 {
				t.Error("no decision, and not said why")
			}
			return
		}
		if faults.Len() > 0 {
			return
		}
		s := d.Sealed()
		for _, a := range s.Accepted {
			if w := g.Of(a.Step, a.On).Word; w != judge.Recommended && w != judge.Possible {
				t.Errorf("%s on %s was accepted, and is %s", a.Step, a.On, w)
			}
		}
		for _, p := range s.Departures {
			if strings.TrimSpace(p.Because) == "" || (p.Did == "") == (p.Left == "") || (p.Step == "") == (p.Test == "") {
				t.Errorf("%+v", p)
			}
		}
	})
}
