// Package worlds makes small random packs and books for property tests: worlds so small that every completion of a book
// can be gone through, with conditions of every form. Tests and measurements import it, nothing that reasons.
package worlds

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"time"

	"tideline/engine/record"
	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Host is who makes worlds: a test, or a measurement. A world that does not load is fatal to it.
type Host interface {
	Helper()
	Fatal(args ...any)
	Fatalf(format string, args ...any)
}

// World is a random small pack: three questions of an ink, three of a part, two of a finding, one of the owner, a few
// facts, treatments and rules, and sometimes a never statement.
type World struct {
	Rnd  *rand.Rand
	Pack *pack.Pack
	YAML string
	// dosed worlds have conditions that call functions, and none that cel-go alone evaluates more weakly than our formulas.
	dosed bool
}

// functions are what dosed worlds call: one of one answer, steady in it, and one of two that do not always go together.
// Both refuse some answers.
var functions = []*cond.Function{
	{
		Name: "bite", Unit: "mm", Params: []cond.Param{{Name: "ph", Unit: "pH", From: 2, To: 12, Steady: true}},
		Allow: func(_ int, v vocab.Answer) error { return within(v.Num, 2, 12) },
		Do:    func(v []vocab.Answer) (float64, error) { return 10 * v[0].Num, nil },
	},
	{
		Name: "spread", Unit: "mm", Params: []cond.Param{{Name: "size", Unit: "mm", From: 0, To: 100}, {Name: "ph", Unit: "pH"}},
		Allow: func(place int, v vocab.Answer) error {
			if place == 1 {
				return nil
			}
			return within(v.Num, 0, 100)
		},
		Do: func(v []vocab.Answer) (float64, error) {
			return v[0].Num * v[1].Num, within(v[1].Num, 0, 4+v[0].Num)
		},
	},
}

func within(v, from, to float64) error {
	if v < from || v > to {
		return fmt.Errorf("%v is not within %v and %v", v, from, to)
	}
	return nil
}

// dosedAtoms take the place of those of a part that count.
var dosedAtoms = []string{
	"bite(part.ph) > mm(65)", "bite(part.ph) <= mm(40)", "spread(part.size, part.ph) > mm(300)", "spread(mm(30), part.ph) > mm(150)",
	"part.ph < 6", "part.soft", "part.poor", "part.inks.exists(i, i.wet < 3)", "part.inks.all(i, i.wet == 5 || bite(part.ph) > mm(50))",
}

// NewDosed makes a world whose conditions call functions.
func NewDosed(t Host, rnd *rand.Rand) *World {
	t.Helper()
	return (&World{Rnd: rnd, dosed: true}).fill(t)
}

const worldTests = `
criteria: {life: {says: it lasts, weight: 0.8, from: 0.2, to: 1}, looks: {says: it looks well, weight: 0.5, from: 0, to: 1}}
aims: {clean: {says: it is clean}, whole: {says: it is whole}}
tests:
  part.kind: {asks: "kind?", answer: {words: [cover, wrap]}}
  ink.kind: {asks: "kind?", answer: {words: [print, stamp, pen]}}
  finding.kind: {asks: "kind?", answer: {words: [tear, stain]}}
  ink.wet: {asks: "wet?", answer: grade}
  ink.dry: {asks: "dry?", answer: grade}
  ink.old: {asks: "old?", answer: yes/no}
  part.ph: {asks: "pH?", answer: {number: pH, from: 0, to: 14}}
  part.soft: {asks: "soft?", answer: yes/no}
  finding.deep: {asks: "deep?", answer: yes/no}
  owner.says_no: {asks: "no?", answer: yes/no}
`

var atomsOf = map[vocab.Kind][]string{
	vocab.Ink:     {"ink.wet < 4", "ink.wet == 5", "ink.dry < 3", "ink.wet < ink.dry", "ink.old", "ink.kind == \"stamp\"", "ink.kind in [\"stamp\", \"pen\"]", "ink.frail"},
	vocab.Part:    {"part.ph < 6", "part.ph > 8", "part.soft", "part.poor", "part.inks.exists(i, i.wet < 3)", "part.inks.all(i, i.wet == 5)", "part.inks.atLeast(2, i, i.old)"},
	vocab.Finding: {"finding.deep", "finding.kind == \"tear\"", "finding.inks.exists(i, i.dry < 3)"},
	vocab.Owner:   {"owner.says_no"},
}

// condition makes a random condition of atoms of the kinds.
func (w *World) condition(depth int, kinds ...vocab.Kind) string {
	switch {
	case depth == 0 || w.Rnd.IntN(3) == 0:
		kind := kinds[w.Rnd.IntN(len(kinds))]
		atoms := atomsOf[kind]
		if w.dosed && kind == vocab.Part {
			atoms = dosedAtoms
		}
		return atoms[w.Rnd.IntN(len(atoms))]
	case w.Rnd.IntN(4) == 0:
		return "!(" + w.condition(depth-1, kinds...) + ")"
	case !w.dosed && w.Rnd.IntN(8) == 0:
		return "((" + w.condition(0, kinds...) + ") ? (" + w.condition(0, kinds...) + ") : (" + w.condition(0, kinds...) + "))"
	}
	op := [2]string{" && ", " || "}[w.Rnd.IntN(2)]
	return "(" + w.condition(depth-1, kinds...) + op + w.condition(depth-1, kinds...) + ")"
}

// NewAny makes a world: of every three, one whose conditions call functions.
func NewAny(t Host, rnd *rand.Rand, n int) *World {
	t.Helper()
	if n%3 == 2 {
		return NewDosed(t, rnd)
	}
	return New(t, rnd)
}

// New makes a world.
func New(t Host, rnd *rand.Rand) *World {
	t.Helper()
	return (&World{Rnd: rnd}).fill(t)
}

func (w *World) fill(t Host) *World {
	t.Helper()
	rnd := w.Rnd
	var b strings.Builder
	b.WriteString("pack: random\n" + worldTests)
	if w.dosed {
		b.WriteString("  part.size: {asks: \"size?\", answer: {number: mm, from: 0, to: 120}}\n")
	}
	b.WriteString("facts:\n")
	fmt.Fprintf(&b, "  ink.frail: {is: '%s', says: frail, standing: house}\n", strings.ReplaceAll(w.condition(1, vocab.Ink), "ink.frail", "ink.old"))
	fmt.Fprintf(&b, "  part.poor: {is: '%s', says: poor, standing: house}\n", strings.ReplaceAll(w.condition(1, vocab.Part), "part.poor", "part.inks.exists(i, i.frail)"))
	if rnd.IntN(2) == 0 {
		fmt.Fprintf(&b, "never:\n  not-both: {each: ink, when: '%s', because: x, standing: house}\n", []string{"ink.wet < 4 && ink.old", "ink.old && ink.dry < 3", "ink.kind == \"pen\" && !ink.old"}[rnd.IntN(3)])
	}
	b.WriteString("treatments:\n")
	for _, tr := range []string{"bath|part|clean", "mend|finding|whole", "unbind|book|clean"} {
		f := strings.Split(tr, "|")
		fmt.Fprintf(&b, "  %s: {name: %s, of: %s, family: f, says: s, serves: [%s], intervention: 2, retreatable: yes}\n", f[0], f[0], f[1], f[2])
	}
	b.WriteString("rules:\n")
	if rnd.IntN(2) == 0 {
		w.rule(&b, "needs", "bath", "needs", "", "step: unbind", vocab.Part)
	}
	for i := range 2 + rnd.IntN(5) {
		effect := []string{"rules out", "rules out", "rules out", "called for", "for", "for", "against"}[rnd.IntN(7)]
		w.rule(&b, fmt.Sprintf("r%d", i), "", effect, "", "", "")
	}
	w.rule(&b, "call", "bath", "called for", "", "", "")
	w.YAML = b.String()
	w.Pack = Load(t, w.YAML)
	return w
}

// RuleText writes a random rule of that id, as one line of a pack.
func (w *World) RuleText(id string) string {
	var b strings.Builder
	effects := []string{"rules out", "rules out", "called for", "for", "against"}
	w.rule(&b, id, "", effects[w.Rnd.IntN(len(effects))], "", "", "")
	return b.String()
}

// rule writes a random rule.
func (w *World) rule(b *strings.Builder, id, treatment, effect, each, extra string, kind vocab.Kind) {
	if treatment == "" {
		treatment = []string{"bath", "bath", "mend"}[w.Rnd.IntN(3)]
	}
	target := map[string]vocab.Kind{"bath": vocab.Part, "mend": vocab.Finding}[treatment]
	kinds := []vocab.Kind{target, vocab.Part}
	if w.Rnd.IntN(2) == 0 {
		each = "ink"
		kinds = append(kinds, vocab.Ink, vocab.Ink)
	}
	if w.Rnd.IntN(4) == 0 {
		kinds = append(kinds, vocab.Owner)
	}
	fmt.Fprintf(b, "  %s: {treatment: %s, %s when: '%s', because: x, standing: house", id, treatment, effect, w.condition(2, kinds...))
	if each != "" {
		fmt.Fprintf(b, ", each: %s", each)
	}
	if effect == "for" || effect == "against" {
		fmt.Fprintf(b, ", criterion: %s, weight: %d", []string{"life", "looks"}[w.Rnd.IntN(2)], 1+w.Rnd.IntN(3))
	}
	if extra != "" {
		b.WriteString(", " + extra)
	}
	b.WriteString("}\n")
}

// Load compiles the text of a pack.
func Load(t Host, text string) *pack.Pack {
	t.Helper()
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{{Files: []pack.File{{Name: "pack.yaml", Data: []byte(text)}}}}, faults, functions...)
	if err := faults.Err(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return p
}

// Book makes a random book with about the given number of answers open: one part or two, one to three inks, a finding.
func (w *World) Book(t Host, open int) *record.Book { return Parse(t, w.Pack, w.BookText(open)) }

// BookText is Book as a person would have written it.
func (w *World) BookText(open int) string {
	type slot struct{ thing, name, answer string }
	var slots []slot
	things := map[string]string{}
	grades := func() string { return fmt.Sprint(1 + w.Rnd.IntN(5)) }
	yesNo := func() string { return []string{"yes", "no"}[w.Rnd.IntN(2)] }
	inks := 1 + w.Rnd.IntN(3)
	for i := range inks {
		path := fmt.Sprintf("cover/%s/i%d", []string{"outside", "inside"}[w.Rnd.IntN(2)], i)
		things[path] = fmt.Sprintf("kind: %s", []string{"print", "stamp", "pen"}[w.Rnd.IntN(3)])
		slots = append(slots, slot{path, "ink.wet", grades()}, slot{path, "ink.dry", grades()}, slot{path, "ink.old", yesNo()})
	}
	slots = append(slots, slot{"cover", "part.ph", fmt.Sprint(3 + w.Rnd.IntN(8))}, slot{"cover", "part.soft", yesNo()},
		slot{"cover/outside/f0", "finding.deep", yesNo()}, slot{"owner", "owner.says_no", yesNo()})
	if w.dosed {
		slots = append(slots, slot{"cover", "part.size", fmt.Sprint(w.Rnd.IntN(120))})
	}
	w.Rnd.Shuffle(len(slots), func(i, j int) { slots[i], slots[j] = slots[j], slots[i] })
	var b strings.Builder
	listed := "yes"
	if w.Rnd.IntN(4) == 0 {
		listed = []string{"no", "~"}[w.Rnd.IntN(2)]
		open -= 2
	}
	fmt.Fprintf(&b, "record: 1\ntitle: T\nexamined: 2026-01-01\nlisted: {inks: yes, findings: yes, fasteners: yes}\nparts:\n  cover:\n    kind: cover\n")
	for _, side := range []string{"outside", "inside"} {
		fmt.Fprintf(&b, "    %s:\n", side)
		if side == "inside" && listed == "no" {
			b.WriteString("      listed: {inks: no}\n")
		}
		var here []string
		for i := range inks {
			if kind, ok := things[fmt.Sprintf("cover/%s/i%d", side, i)]; ok {
				here = append(here, fmt.Sprintf("i%d: {%s}", i, kind))
			}
		}
		fmt.Fprintf(&b, "      inks: {%s}\n", strings.Join(here, ", "))
		if side == "outside" {
			fmt.Fprintf(&b, "      findings: {f0: {kind: %s}}\n", []string{"tear", "stain"}[w.Rnd.IntN(2)])
		}
	}
	b.WriteString("tests:\n")
	for i, s := range slots {
		if i >= max(0, open) {
			q := w.Pack.Vocabulary.Question(s.name)
			key := map[vocab.Type]string{vocab.YesNo: "yes", vocab.Grade: "grade", vocab.Number: "number"}[q.Type]
			fmt.Fprintf(&b, "  - {test: %s, on: %s, %s: %s}\n", s.name, s.thing, key, s.answer)
		}
	}
	text := b.String()
	if listed == "~" {
		text = strings.Replace(text, "listed: {inks: yes, findings", "listed: {findings", 1)
		text = strings.Replace(text, "    inside:\n", "    inside:\n      listed: {inks: yes}\n", 1)
	}
	return text
}

// Parse reads the text of a book.
func Parse(t Host, p *pack.Pack, text string) *record.Book {
	t.Helper()
	faults := &fault.List{}
	b := record.Parse("book.yaml", []byte(text), record.WordsOf(p), time.Time{}, faults)
	if err := faults.Err(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return b
}
