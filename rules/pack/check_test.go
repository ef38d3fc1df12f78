package pack

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tideline/rules/fault"
)

// clean is a pack in which nothing is idle.
const clean = `pack: shipped
about: A made-up pack for tests.
sources:
  bench-notes: {title: Notes from an invented bench}
principles:
  water-carries: {says: Water carries off what it dissolves., standing: "common practice, no source"}
criteria:
  looks: {says: how it looks, weight: 0.5, from: 0.2, to: 0.8}
aims:
  clean: {says: dirt is gone}
tests:
  part.kind: {asks: Which part, answer: {words: [cover, wrap]}}
  part.stained: {asks: Stained, answer: yes/no}
  part.ph: {asks: How acid, answer: {number: pH, from: 0, to: 14}}
  ink.wet: {asks: Does it move, answer: grade}
  ink.kind: {asks: Which colour, answer: {words: [print, stamp]}}
  finding.kind: {asks: What is it, answer: {words: [tear, stain]}}
facts:
  part.acid: {is: part.ph < 6, says: it is acid, standing: "common practice, no source"}
never:
  no-acid-wrap: {each: part, when: 'part.kind == "wrap" && part.ph < 2', because: none was ever seen, standing: "common practice, no source"}
treatments:
  bath: {name: bath, of: part, family: wet, says: It lies in water., serves: [clean], intervention: 3, retreatable: no, clears: [stain]}
  mend: {name: mend, of: finding, where: 'finding.kind == "tear"', family: dry, says: It is mended., serves: [clean], intervention: 2, retreatable: yes, clears: [tear]}
rules:
  bath-moves-ink: {treatment: bath, each: ink, rules out when: 'ink.wet < 5 && ink.kind == "stamp"', because: It runs., principle: water-carries, source: bench-notes, standing: published}
  bath-called: {treatment: bath, called for when: part.stained || part.acid, because: Stains., standing: house}
  bath-good: {treatment: bath, for when: part.stained, criterion: looks, weight: 2, because: It looks better., standing: house}
  mend-not-twice: {treatment: mend, rules out when: part.acid && !part.stained, because: Brittle., standing: house}
  mend-called: {treatment: mend, called for when: always, because: A tear grows., standing: house}
  mend-good: {treatment: mend, for when: always, criterion: looks, weight: 1, because: It holds., standing: house}
`

// loadText loads a pack from one text per layer.
func loadText(t *testing.T, texts ...string) (*Pack, []fault.Fault) {
	t.Helper()
	var layers []Layer
	for i, text := range texts {
		layers = append(layers, Layer{Files: []File{{Name: []string{"pack.yaml", "house.yaml", "third.yaml"}[i], Data: []byte(text)}}})
	}
	faults := &fault.List{}
	return Load(layers, faults), faults.All()
}

func loadClean(t *testing.T, texts ...string) *Pack {
	t.Helper()
	p, faults := loadText(t, texts...)
	for _, f := range faults {
		t.Fatal(f.Render())
	}
	return p
}

// planted puts a line behind the heading of a section of the clean pack.
func planted(section, line string) string {
	return strings.Replace(clean, "\n"+section+":\n", "\n"+section+":\n  "+line+"\n", 1)
}

const house = `standing: house}`

func TestCheckFindsWhatIsPlanted(t *testing.T) {
	rule := func(id, text string) string {
		return planted("rules", id+": {"+text+", because: Someone says so., "+house)
	}
	for _, tt := range []struct {
		name, text string
		want       []string
	}{
		{"nothing", clean, nil},
		{"question", planted("tests", "ink.dry: {asks: Dry, answer: grade}"), []string{"unread question: ink.dry"}},
		{"fact", planted("facts", `part.odd: {is: part.ph > 8, says: it is odd, standing: house}`), []string{"unused fact: part.odd"}},
		{
			"treatment", planted("treatments", "gaze: {name: gaze, of: book, family: dry, says: It is looked at., serves: [clean], intervention: 1, retreatable: yes}"),
			[]string{"no argument for: gaze", "no call: gaze", "no ruling-out: gaze"},
		},
		{"finding", strings.Replace(clean, "[tear, stain]}}", "[tear, stain, mould, rust]}}", 1) +
			`  rust-called: {treatment: mend, called for when: 'finding.kind in ["rust"] && part.stained', because: Rust., standing: house}
`, []string{"untreated finding: mould", "covered rule: rust-called by mend-called"}},
		{"source", planted("sources", "unread-notes: {title: Notes nobody read}"), []string{"uncited source: unread-notes"}},
		{"aim", planted("aims", "shiny: {says: it shines}"), []string{"unused aim: shiny"}},
		{"criterion", planted("criteria", "speed: {says: how fast, weight: 0.1, from: 0, to: 1}"), []string{"unused criterion: speed"}},
		{"principle", planted("principles", `heat-softens: {says: Heat softens., standing: "common practice, no source"}`), []string{"unused principle: heat-softens"}},
		{"never", rule("never-so", "treatment: bath, against when: part.ph < 4 && part.ph > 6, criterion: looks, weight: 1"), []string{"never true: never-so"}},
		{"never, by a fact", rule("never-so", "treatment: bath, against when: part.acid && part.ph > 6, criterion: looks, weight: 1"), []string{"never true: never-so"}},
		{"always", rule("always-so", "treatment: bath, against when: part.ph < 6 || part.ph >= 6, criterion: looks, weight: 1"), []string{"always true: always-so"}},
		{"covered", rule("covered-one", "treatment: bath, each: ink, rules out when: 'ink.wet < 3 && ink.kind == \"stamp\"'"), []string{"covered rule: covered-one by bath-moves-ink"}},
		{"covered, by a fact", rule("covered-one", "treatment: bath, called for when: part.ph < 5"), []string{"covered rule: covered-one by bath-called"}},
		{"doubled", rule("doubled-one", "treatment: bath, each: ink, rules out when: 'ink.kind == \"stamp\" && ink.wet <= 4.5'"), []string{"doubled rule: doubled-one by bath-moves-ink"}},
		{"another thing looked at", rule("other-each", "treatment: bath, rules out when: 'part.inks.exists(i, i.wet < 3 && i.kind == \"stamp\")'"), nil},
		{"another criterion", strings.Replace(planted("criteria", "speed: {says: how fast, weight: 0.1, from: 0, to: 1}"), "rules:\n",
			"rules:\n  bath-slow: {treatment: bath, for when: part.stained, criterion: speed, weight: 1, because: It is slow., standing: house}\n", 1), nil},
		{"reckoned with", rule("reckoning", "treatment: bath, against when: part.ph * 2 < 1 && part.ph > 1, criterion: looks, weight: 1"), []string{"undecided rule: reckoning"}},
	} {
		var got []string
		for _, f := range Check(loadClean(t, tt.text)) {
			got = append(got, f.String())
			if f.Place.File != "pack.yaml" || f.Place.Line == 0 {
				t.Errorf("%s: %s has no place", tt.name, f)
			}
		}
		if diff := cmp.Diff(tt.want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", tt.name, diff)
		}
	}
}

// TestCheckWitness: a covered rule comes with a book where both hold and one where only the other does.
func TestCheckWitness(t *testing.T) {
	list := Check(loadClean(t, planted("rules", `narrow: {treatment: bath, each: ink, rules out when: 'ink.wet < 3 && ink.kind == "stamp"', because: Runs., standing: house}`)))
	if len(list) != 1 {
		t.Fatalf("%v", list)
	}
	f := list[0]
	if f.OtherPlace.Line == 0 {
		t.Error("the other rule has no place")
	}
	wet := f.Witness[0]
	if wet.Question.ID != "ink.wet" || wet.Answers[0].Num >= 3 || len(f.Witness) != 2 {
		t.Errorf("witness %+v", f.Witness)
	}
	if wide := f.Wider[0]; wide.Question.ID != "ink.wet" || wide.Answers[0].Num < 3 || wide.Answers[0].Num >= 5 {
		t.Errorf("wider %+v", f.Wider)
	}
}

// TestCheckWithdrawn: a withdrawn rule neither covers nor rules out.
func TestCheckWithdrawn(t *testing.T) {
	p := loadClean(t, clean, `pack: house
about: A house.
withdraw: {mend-not-twice: {because: We line it first., by: A. Nobody, date: 2026-01-05}}
`)
	list := Check(p)
	if len(list) != 1 || list[0].String() != "no ruling-out: mend" {
		t.Errorf("%v", list)
	}
}

// TestCheckIsQuick bounds the time for 80 rules that are alike and still all different.
func TestCheckIsQuick(t *testing.T) {
	var b strings.Builder
	b.WriteString(clean)
	for i := range 80 {
		ph := "0123456789"
		b.WriteString("  alike-" + strings.Repeat("i", i+1) + ": {treatment: bath, against when: 'part.ph > 1." + ph[i%10:i%10+1] + ph[i/10%10:i/10%10+1] + ph[i/100:i/100+1] +
			" && part.stained && part.inks.exists(i, i.wet < 4) && part.findings.all(f, f.kind == \"tear\")', criterion: looks, weight: 1, because: It is so., standing: house}\n")
	}
	p := loadClean(t, b.String())
	start := time.Now()
	if list := Check(p); len(list) < 79 {
		t.Errorf("%d findings: each is covered by one with a lower limit", len(list))
	}
	if took := time.Since(start); took > time.Minute {
		t.Errorf("took %s", took)
	}
}
