package pack

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"tideline/rules/fault"
	"tideline/rules/vocab"
)

// over lays a pack of its own over base.
func over(text string) (*Pack, *fault.List) {
	faults := &fault.List{}
	return Load([]Layer{{Files: []File{{"base.yaml", []byte(base)}}}, {Files: []File{{"case.yaml", []byte(text)}}}}, faults), faults
}

// TestHousePack: the faults of a pack laid over another, each at ▸ as in TestFaults.
func TestHousePack(t *testing.T) {
	var all strings.Builder
	for _, tt := range []struct {
		name, text string
		wants      []string
	}{
		{"rules of its own", "pack: house\nrules: {r: {treatment: bath, caution when: part.safe, say: x, " + rule + "}\n", nil},
		{"a name of the pack below", "pack: house\nrules: {▸bath-bleeds: {treatment: bath, caution when: part.safe, say: x, " + rule + "}\n", []string{`the name "bath-bleeds" is taken`}},
		{"withdrawn", "pack: house\nwithdraw: {bath-bleeds: {because: x, by: y, date: 2026-01-05}}\n", nil},
		{"withdrawn without a reason", "pack: house\nwithdraw: {bath-bleeds: ▸{by: y}}\n", []string{`"because" is missing`, `"date" is missing`}},
		{"withdrawn for an empty reason", "pack: house\nwithdraw: {bath-bleeds: {because: ▸'', by: ▸' ', date: ▸soon}}\n", []string{`"because" is empty`, `"by" is empty`, "expected a date"}},
		{"withdrawn by a bare word", "pack: house\nwithdraw: {bath-bleeds: ▸yes}\n", []string{"expected a withdrawal"}},
		{
			"a rule that is none", "pack: house\nwithdraw: {▸bath-bleed: {because: x, by: y, date: 2026-01-05}, ▸bath: {because: x, by: y, date: 2026-01-05}}\n",
			[]string{`there is no rule "bath-bleed"`, `there is no rule "bath"`},
		},
		{"an argument", "pack: house\nwithdraw: {▸bath-cleans: {because: x, by: y, date: 2026-01-05}}\n", []string{`"bath-cleans" does not rule out`}},
		{"its own rule", "pack: house\nrules: {r: {treatment: bath, rules out when: always, " + rule + "}\nwithdraw: {▸r: {because: x, by: y, date: 2026-01-05}}\n", []string{`"r" is this pack's own rule`}},
		{"weights", "pack: house\nweights: {life: 0.9}\n", nil},
		{
			"odd weights", "pack: house\ncriteria: {own: {says: x, weight: 0.5, from: 0, to: 1}}\nweights: {▸live: 0.5, life: ▸2, ▸own: 0.1}\n",
			[]string{`there is no criterion "live"`, "a weight lies between 0 and 1", `"own" is this pack's own criterion`},
		},
		{"weights in words", "pack: house\nweights: {life: ▸heavy}\n", []string{"expected a number"}},
		{"facts in a ring across packs", "pack: house\nfacts: {▸part.a: {is: '!part.a || part.safe', says: x, standing: house}}\n", []string{"facts run in a ring: part.a → part.a"}},
		{"needs in a ring across packs", "pack: house\nrules:\n  a: {treatment: bath, needs when: always, step: unbind, " + rule + "\n  b: {treatment: unbind, needs when: always, step: bath, " + rule + "\n", []string{"treatments that need one another run in a ring: bath → unbind → bath"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			text, places := unmark(tt.text)
			_, faults := over(text)
			if tt.name == "needs in a ring across packs" {
				places = append(places, fault.Place{File: "base.yaml", Line: 20, Col: 3})
			}
			check(t, faults, places, tt.wants)
			fmt.Fprintf(&all, "== %s\n", tt.name)
			for _, f := range faults.All() {
				all.WriteString(f.Render())
			}
		})
	}
	golden(t, filepath.Join("testdata", "house.golden"), all.String())
}

// TestLayers: what comes of a sound house pack.
func TestLayers(t *testing.T) {
	p, faults := over("pack: house\nrules: {r: {treatment: {family: dry}, caution when: 'book.parts.exists(p, p.safe)', say: x, " + rule + "}\n" +
		"withdraw: {bath-bleeds: {because: we fix them, by: A. Nobody, date: 2026-01-05}}\nweights: {life: 0.9}\n")
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	w := p.Rule("bath-bleeds").Withdrawn
	if w == nil || w.Because != "we fix them" || w.By != "A. Nobody" || w.Date != "2026-01-05" || w.Pack != "house" || w.Place.File != "case.yaml" || w.Place.Line != 3 {
		t.Errorf("withdrawal %+v", w)
	}
	if p.Rule("bath-cleans").Withdrawn != nil || p.Rule("nobody") != nil {
		t.Error("more is withdrawn, or there, than was said")
	}
	if len(p.Layers) != 2 || p.Layers[0].Name != "p" || p.Layers[1].Name != "house" {
		t.Errorf("layers %q, %q", p.Layers[0].Name, p.Layers[1].Name)
	}
	if got := p.Criteria[0].Weight; got != 0.9 {
		t.Errorf("life weighs %v", got)
	}
	r := p.Rule("r")
	if len(r.Treatments) != 2 || r.Treatments[0].ID != "mend" || r.When[vocab.Finding] == nil || r.When[vocab.Book] == nil || r.When[vocab.Part] != nil || r.Text != "book.parts.exists(p, p.safe)" {
		t.Errorf("rule %+v", r)
	}
}

// TestNamesTaken: a name that is taken is told with both places.
func TestNamesTaken(t *testing.T) {
	_, faults := load(base, "pack: p\naims: {bath: {says: x}}\n", "pack: p\nrules: {bath: {treatment: mend, caution when: always, say: x, "+rule+"}\n")
	all := faults.All()
	if len(all) != 2 {
		t.Fatal(faults.Err())
	}
	first := []fault.Place{{File: "base.yaml", Line: 20, Col: 3}}
	for _, f := range all {
		if diff := cmp.Diff(first, f.Also); diff != "" {
			t.Errorf("%s also (-want +got):\n%s", f.Where, diff)
		}
	}
}

// TestNearest: the word probably meant is offered, of the same sort only.
func TestNearest(t *testing.T) {
	for text, want := range map[string]string{
		"principles: {a: {says: x, source: bench-note, standing: published}}":                               "bench-notes",
		"principles: {a: {says: x, source: bath, standing: published}}":                                     "",
		"principles: {a: {says: x, standing: publishd}}":                                                    "published",
		"rules: {r: {treatment: bathe, caution when: always, say: x, " + rule + "}":                         "bath",
		"rules: {r: {treatment: bath, caution when: always, say: x, principle: water-caries, " + rule + "}": "water-carries",
		"rules: {r: {treatment: bath, for when: always, weight: 1, criterion: lief, " + rule + "}":          "life",
		"rules: {r: {treatment: bath, caution when: always, say: x, becuase: y, " + rule + "}":              "because",
		"rules: {r: {treatment: bath, caution when: part.tron, say: x, " + rule + "}":                       "torn",
		"rules: {r: {treatment: bath, caution when: 'part.kind == \"covr\"', say: x, " + rule + "}":         "cover",
		"rules: {r: {treatment: bath, caution when: alway, say: x, " + rule + "}":                           "always",
		"rules: {r: {treatment: {family: wett}, caution when: always, say: x, " + rule + "}":                "wet",
		"treatments: {t: {name: x, of: prat, " + cure + "}}":                                                "part",
		"treatments: {t: {name: x, of: part, makes stale: [ink.wett], " + cure + "}}":                       "ink.wet",
		"treatments: {t: {name: x, of: part, clears: [tears], " + cure + "}}":                               "tear",
		"trials: [{name: x, like: plian, silent: [bath-bleeds]}]":                                           "plain",
		"trials: [{name: x, like: plain, proves: [part.saf]}]":                                              "part.safe",
		"trials: [{name: x, like: plain, verdicts: {bth: ruled out}}]":                                      "bath",
		"tests: {ink.a: {asks: x, answer: {number: m, from: 0, to: 1}}}":                                    "mm",
		"tests: {ink.a: {asks: x, answer: {words: [none, heavy]}, chance: {hevy: 1}}}":                      "heavy",
		"ruls: {}": "rules",
	} {
		_, faults := load(base, "pack: p\n"+text+"\n")
		if all := faults.All(); len(all) != 1 || all[0].Nearest != want {
			t.Errorf("%s: near %v, want %q", text, all, want)
		}
	}
}

// TestTrim: without samples and trials a pack judges the same and its lines keep their numbers; a file that cannot be cut
// line by line is left whole.
func TestTrim(t *testing.T) {
	for _, tt := range []struct{ name, text, want string }{
		{"in the middle", "pack: p\nsamples:\n  a: {}\ntrials:\n- x\n# note\n\n  - y\nrules:\n  r: 1\n", "pack: p\n\n\n\n\n\n\n\nrules:\n  r: 1\n"},
		{"at the end, no line end", "pack: p\ntrials:\n  - x", "pack: p\n\n\n"},
		{"in braces", "{pack: p,\ntrials: [],\nrules: {}}\n", ""},
		{"a quoted name after them", "pack: p\ntrials:\n  - x\n\"rules\":\n  r: 1\n", ""},
		{"a name in brackets after them", "pack: p\ntrials:\n  - x\n? rules\n: {r: 1}\n", ""},
		{"a second document", "pack: p\ntrials:\n---\nrules: {}\n", ""},
		{"a capital", "pack: p\ntrials:\n  - x\nRules:\n  r: 1\n", ""},
		{"other line ends", "pack: p\ntrials: [x]\u2028rules: {r: 1}\n", ""},
		{"CR", "pack: p\rtrials: [x]\rrules: {r: 1}\r", ""},
		{"a longer word", "pack: p\ntrialsome: x\nsamples2: y\n", ""},
		{"none", "pack: p\nrules:\n  samples: 1\n  trials: 2\n", ""},
	} {
		want := tt.want
		if want == "" {
			want = tt.text
		}
		got := Trim(Layer{Name: "n", Files: []File{{"f.yaml", []byte(tt.text)}}})
		if string(got.Files[0].Data) != want || got.Files[0].Name != "f.yaml" || got.Name != "n" {
			t.Errorf("%s: got %q", tt.name, got.Files[0].Data)
		}
	}
	layers := map[string]Layer{"base": {Files: []File{{"base.yaml", []byte(base)}}}}
	for _, path := range []string{"../packs"} {
		layer := ReadPath(path, &fault.List{})
		if len(layer.Files) == 0 {
			t.Fatalf("no pack at %s", path)
		}
		layers[path] = layer
	}
	for name, layer := range layers {
		whole, trimmed := &fault.List{}, &fault.List{}
		a, b := Load([]Layer{layer}, whole), Load([]Layer{Trim(layer)}, trimmed)
		if whole.Len() > 0 || trimmed.Len() > 0 {
			t.Logf("%s has faults: %v; trimmed: %v", name, whole.Err(), trimmed.Err()) // told elsewhere
		}
		if diff := cmp.Diff(summary(a), summary(b)); diff != "" {
			t.Errorf("%s trimmed (-whole +trimmed):\n%s", name, diff)
		}
		if len(a.Trials) == 0 || len(b.Trials)+len(b.Samples) > 0 {
			t.Errorf("%s: %d trials, trimmed %d trials and %d samples", name, len(a.Trials), len(b.Trials), len(b.Samples))
		}
	}
}

// summary lists all that a pack judges by, with places.
func summary(p *Pack) []string {
	var list []string
	for _, r := range p.Rules {
		list = append(list, fmt.Sprintf("rule %s %s %s %q of %d at %s", r.ID, r.Effect, r.Each, r.Text, len(r.Treatments), r.Place))
	}
	for _, t := range p.Treatments {
		list = append(list, fmt.Sprintf("treatment %s at %s", t.ID, t.Place))
	}
	for _, t := range p.Tests {
		list = append(list, fmt.Sprintf("test %s at %s", t.Question.ID, t.Place))
	}
	for _, f := range p.Facts {
		list = append(list, fmt.Sprintf("fact %s at %s", f.ID, f.Place))
	}
	for _, n := range p.Never {
		list = append(list, fmt.Sprintf("never %s at %s", n.ID, n.Place))
	}
	return list
}

// TestOrder: facts stand after those they use, everything else in the order of names, whatever the order of files.
func TestOrder(t *testing.T) {
	more := "pack: p\nfacts:\n  part.a: {is: part.z, says: x, standing: house}\n  part.z: {is: part.safe, says: x, standing: house}\n"
	p, faults := load(base, more)
	q, _ := load(more, base)
	if faults.Len() > 0 {
		t.Fatal(faults.Err())
	}
	order := func(p *Pack) string {
		s := ""
		for _, f := range p.Facts {
			s += f.ID + " "
		}
		for _, r := range p.Rules {
			s += r.ID + " "
		}
		return s
	}
	if got, want := order(p), "ink.fast part.safe part.z part.a bath-bleeds bath-cleans "; got != want || order(q) != want {
		t.Errorf("got %q and %q", got, order(q))
	}
}

// TestScope: the names a condition may use, for every kind of target and of thing looked at.
func TestScope(t *testing.T) {
	for _, tt := range []struct {
		target vocab.Kind
		want   map[vocab.Kind]string // by each, less book, owner and bench
	}{
		{vocab.Book, map[vocab.Kind]string{"book": "", "owner": "", "bench": "", "part": "part", "side": "part side", "ink": "ink part side", "finding": "finding part side", "fastener": "fastener"}},
		{vocab.Part, map[vocab.Kind]string{"book": "part", "owner": "part", "bench": "part", "part": "part", "side": "part side", "ink": "ink part side", "finding": "finding part side", "fastener": "fastener part"}},
		{vocab.Side, map[vocab.Kind]string{"book": "part side", "owner": "part side", "bench": "part side", "part": "part side", "side": "part side", "ink": "ink part side", "finding": "finding part side", "fastener": "fastener part side"}},
		{vocab.Ink, map[vocab.Kind]string{"book": "ink part side", "owner": "ink part side", "bench": "ink part side", "part": "ink part side", "side": "ink part side", "ink": "ink part side", "finding": "finding ink part", "fastener": "fastener ink part side"}},
		{vocab.Finding, map[vocab.Kind]string{"book": "finding part side", "owner": "finding part side", "bench": "finding part side", "part": "finding part side", "side": "finding part side", "ink": "finding ink part", "finding": "finding part side", "fastener": "fastener finding part side"}},
		{vocab.Fastener, map[vocab.Kind]string{"book": "fastener", "owner": "fastener", "bench": "fastener", "part": "fastener part", "side": "fastener part side", "ink": "fastener ink part side", "finding": "fastener finding part side", "fastener": "fastener"}},
		{vocab.Owner, map[vocab.Kind]string{"book": "", "owner": "", "bench": "", "part": "part", "side": "part side", "ink": "ink part side", "finding": "finding part side", "fastener": "fastener"}},
	} {
		for _, each := range vocab.Kinds {
			vars := Scope(tt.target, each)
			seen := map[string]bool{}
			for i, v := range vars {
				if v.Name != string(v.Kind) || seen[v.Name] || i == 0 && v.Kind != tt.target {
					t.Errorf("%s, each %s: %v", tt.target, each, vars)
				}
				seen[v.Name] = true
			}
			var names []string
			for _, k := range []vocab.Kind{vocab.Fastener, vocab.Finding, vocab.Ink, vocab.Part, vocab.Side} {
				if seen[string(k)] {
					names = append(names, string(k))
				}
			}
			if got := strings.Join(names, " "); got != tt.want[each] || !seen["book"] || !seen["owner"] || !seen["bench"] || !seen[string(each)] {
				t.Errorf("%s, each %s: %s, want %s", tt.target, each, got, tt.want[each])
			}
		}
	}
}

func TestReadPath(t *testing.T) {
	dir := t.TempDir()
	faults := &fault.List{}
	if layer := ReadPath(dir, faults); len(layer.Files) > 0 || faults.Len() != 1 || !strings.Contains(faults.All()[0].Summary, "no .yaml files") {
		t.Errorf("an empty folder: %v", faults.All())
	}
	for _, name := range []string{"b.yaml", "a.yaml", "notes.txt"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("pack: p\n"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	faults = &fault.List{}
	layer := ReadPath(dir, faults)
	if len(layer.Files) != 2 || filepath.Base(layer.Files[0].Name) != "a.yaml" || faults.Len() > 0 {
		t.Errorf("%+v, %v", layer, faults.Err())
	}
	if layer := ReadPath(filepath.Join(dir, "b.yaml"), faults); len(layer.Files) != 1 {
		t.Errorf("%+v", layer)
	}
	if layer := ReadPath(filepath.Join(dir, "none.yaml"), faults); len(layer.Files) != 0 || faults.Len() != 1 {
		t.Errorf("%+v, %v", layer, faults.Err())
	}
	fsys := fstest.MapFS{"x/a.yaml": {Data: []byte("pack: p\n")}, "x/b.txt": {}, "y/b.txt": {}}
	if layer, err := ReadLayer(fsys, "x"); err != nil || len(layer.Files) != 1 || layer.Files[0].Name != "x/a.yaml" {
		t.Errorf("%+v, %v", layer, err)
	}
	for _, name := range []string{"y", "z"} {
		if _, err := ReadLayer(fsys, name); err == nil {
			t.Errorf("a pack came of %s", name)
		}
	}
}
