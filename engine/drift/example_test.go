package drift

import (
	"strings"
	"testing"
	"time"

	"tideline/engine/judge"
	"tideline/engine/worlds"
	"tideline/rules/fault"
	"tideline/rules/pack"
)

// The invented studio of the tests below: a heat press for warped covers, in a pack and a house pack laid over it.
const studio = `pack: studio
aims: {flat: {says: it lies flat}}
criteria: {shape: {says: it lies flat, weight: 0.5, from: 0, to: 1}, looks: {says: it looks well, weight: 0.5, from: 0, to: 1}}
tests:
  part.kind: {asks: "What is it?", answer: {words: [cover, wrap]}}
  ink.kind: {asks: "What is it?", answer: {words: [print, stamp]}}
  finding.kind: {asks: "What is it?", answer: {words: [tear, stain]}}
  ink.off_dry: {asks: "Did colour come off on a dry swab?", answer: yes/no, good for: 365}
  part.warped: {asks: "Is it warped?", answer: yes/no}
  part.glossy: {asks: "Is it glossy?", answer: yes/no}
treatments:
  heat-press: {name: heat press, of: part, family: press, says: s, serves: [flat], intervention: 3, retreatable: partly, makes stale: [ink.off_dry]}
rules:
  press-warp: {treatment: heat-press, called for when: part.warped, because: x, standing: house}
  press-flattens: {treatment: heat-press, for when: part.warped, criterion: shape, weight: 2, because: x, standing: house}
  press-dulls: {treatment: heat-press, against when: part.glossy, criterion: looks, weight: 1, because: x, standing: house}
`

const dryRule = "  press-loose-colour: {treatment: {family: press}, each: ink, rules out when: ink.off_dry, because: x, standing: house}\n"

const ironing = "  ironing: {name: ironing, of: part, family: press, says: s, serves: [flat], intervention: 2, retreatable: yes}\n"

const house = `pack: house
withdraw: {press-loose-colour: {because: we press between release sheets, by: studio, date: 2026-02-01}}
`

const lantern = `record: 1
title: The Lantern Row Almanac
examined: 2026-01-01
listed: {inks: yes, findings: yes, fasteners: yes}
owner: {aims: [flat]}
parts: {cover: {kind: cover, seen: {warped: yes, glossy: yes}, outside: {inks: {red: {kind: print}}}, inside: {inks: {}}}}
tests: [{test: ink.off_dry, on: cover/outside/red, date: 2026-01-05, yes: no}]
`

const (
	noHeat    = "  owner.no_heat: {asks: \"No heat?\", answer: yes/no, limit: yes}\n"
	heatRule  = "  press-owner: {treatment: heat-press, rules out when: owner.no_heat, because: x, standing: house}\n"
	frailRule = "  press-frail: {treatment: heat-press, rules out when: part.one || part.two, because: x, standing: house}\n"
	ringOne   = "facts:\n  part.one: {is: part.two, says: x, standing: house}\n  part.two: {is: '!part.glossy', says: x, standing: house}\n"
	ringTwo   = "facts:\n  part.one: {is: part.glossy, says: x, standing: house}\n  part.two: {is: part.one, says: x, standing: house}\n"
	tearing   = "  mend: {name: mend, of: finding, family: mend, says: s, serves: [flat], intervention: 3, retreatable: yes}\n"
	tearRule  = "  mend-call: {treatment: mend, called for when: always, because: x, standing: house}\n" +
		"  mend-good: {treatment: mend, for when: always, criterion: shape, weight: 2, because: x, standing: house}\n" +
		"  mend-loose-colour: {treatment: mend, each: ink, rules out when: ink.off_dry, because: x, standing: house}\n"
)

// TestExamples are readable cases, each a change to the record, to the pack, or to both. The first is the one that shows
// why causes come jointly.
func TestExamples(t *testing.T) {
	came := swap("yes: no}", "yes: yes}")
	add := func(rules string) func(string) string { return swap("rules:\n", "rules:\n"+rules) }
	whole := func(changes ...func(string) string) func(string) string {
		return func(s string) string {
			for _, change := range changes {
				s = change(s)
			}
			return s
		}
	}
	same := func(s string) string { return s }
	bathed := swap("tests: [", "done: [{step: heat-press, on: cover, date: 2026-01-06}]\ntests: [")
	for _, tt := range []struct {
		name       string
		before     func(string) string // to the pack of both sides
		pack, book func(string) string // to the new side
		both       func(string) string // to the record of both sides
		of         Key                 // the zero Key: the heat press on the cover
		house      [2]string           // laid over the old and the new
		on         string              // the new day
		was, is    judge.Word
		told       string
	}{
		{
			name: "the red came off dry, and a rule now minds", before: same, pack: add(dryRule), book: came,
			was: judge.Recommended, is: judge.RuledOut, told: "together[[cover/outside/red ink.off_dry rule press-loose-colour]] [[cover/outside/red ink.off_dry] [rule press-loose-colour]]",
		},
		{
			name: "the red came off dry", before: add(dryRule), pack: same, book: came,
			was: judge.Recommended, is: judge.RuledOut, told: "one[[cover/outside/red ink.off_dry]] [[cover/outside/red ink.off_dry]]",
		},
		{
			name: "the cover is not warped after all, and the red came off dry", before: add(dryRule), pack: same, book: whole(came, swap("warped: yes", "warped: no")),
			was: judge.Recommended, is: judge.RuledOut, told: "one[[cover/outside/red ink.off_dry]] [[cover part.warped cover/outside/red ink.off_dry]]",
		},
		{
			name: "a rule of a family, and a treatment that left it", before: whole(add(dryRule), swap("treatments:\n", "treatments:\n"+ironing)),
			pack: swap("family: press, says: s, serves: [flat], intervention: 3", "family: flat, says: s, serves: [flat], intervention: 3"), book: came,
			was: judge.Recommended, is: judge.Recommended, told: "returned[[cover/outside/red ink.off_dry]] [[treatment heat-press]]",
		},
		{
			name: "the house withdrew the rule", before: add(dryRule), pack: same, book: same, house: [2]string{"", house},
			was: judge.Recommended, is: judge.Recommended, told: "nothing",
		},
		{
			name: "the red came off dry, and the house withdrew the rule", before: add(dryRule), pack: same, book: came, house: [2]string{"", house},
			was: judge.Recommended, is: judge.Recommended, told: "returned[[cover/outside/red ink.off_dry]] [[withdrawal press-loose-colour]]",
		},
		{
			name: "a press was done, so the swab must be made again", before: add(dryRule), pack: same, book: bathed,
			was: judge.Recommended, is: judge.TestFirst, told: "one[[cover/outside/red ink.off_dry]] [[cover/outside/red ink.off_dry]]",
		},
		{
			name: "the swab is out of date", before: add(dryRule), pack: same, book: same, on: "2027-06-01",
			was: judge.Recommended, is: judge.TestFirst, told: "one[[cover/outside/red ink.off_dry]] [[cover/outside/red ink.off_dry]]",
		},
		{
			name: "the swab is good for less long", before: add(dryRule), pack: swap("good for: 365", "good for: 30"), book: same, on: "2026-06-01",
			was: judge.Recommended, is: judge.TestFirst, told: "together[[cover/outside/red ink.off_dry good for ink.off_dry]] [[cover/outside/red ink.off_dry] [good for ink.off_dry]]",
		},
		{
			name: "a stamp came to light", before: add(dryRule), pack: same, book: swap("red: {kind: print}", "red: {kind: print}, seal: {kind: stamp}"),
			was: judge.Recommended, is: judge.TestFirst, told: "one[[thing cover/outside/seal]] [[thing cover/outside/seal]]",
		},
		{
			name: "the list of inks is open again", before: add(dryRule), pack: same, book: swap("inks: yes", "inks: no"),
			was: judge.Recommended, is: judge.TestFirst, told: "either[[cover/inside side.inks_listed] [cover/outside side.inks_listed]] [[cover/inside side.inks_listed cover/outside side.inks_listed]]",
		},
		{
			name: "looks count for more", before: add(dryRule), pack: same, book: swap("aims: [flat]", "aims: [flat], weights: {looks: 0.9, shape: 0.45}"),
			was: judge.Recommended, is: judge.Possible, told: "together[[weight looks weight shape]] [[weight looks] [weight shape]]",
		},
		{
			name: "the owner has no aims", before: add(dryRule), pack: same, book: swap("aims: [flat]", "aims: []"),
			was: judge.Recommended, is: judge.Possible, told: "one[[aims]] [[aims]]",
		},
		{
			name: "the treatment was dropped", before: same, pack: whole(swap("  heat-press: {", "  cold-press: {"), strings.NewReplacer("treatment: heat-press", "treatment: cold-press").Replace), book: same,
			was: judge.Recommended, is: "", told: "one[[treatment heat-press]] [[rule press-flattens rule press-warp treatment heat-press]]",
		},
		{
			name: "a question has another answer", before: whole(add(dryRule), swap("answer: yes/no, good", "answer: {words: [some, lots]}, good"), swap("when: ink.off_dry,", "when: 'ink.off_dry == \"lots\"',")),
			pack: swap("[some, lots]", "[none, some, lots]"), book: same,
			was: judge.Recommended, is: judge.Recommended, told: "nothing",
		},
		{
			name: "a new rule asks what an owner without limits has answered", before: same, pack: whole(add(heatRule), swap("treatments:\n", noHeat+"treatments:\n")), book: same, both: swap("aims: [flat]", "aims: [flat], limits: none"),
			was: judge.Recommended, is: judge.Recommended, told: "nothing",
		},
		{
			name: "a new rule asks what the owner has not said", before: same, pack: whole(add(heatRule), swap("treatments:\n", noHeat+"treatments:\n")), book: same,
			was: judge.Recommended, is: judge.TestFirst, told: "one[[rule press-owner]] [[rule press-owner]]",
		},
		{
			name: "facts that would run in a ring if only one were new", before: whole(add(frailRule), swap("treatments:\n", ringOne+"treatments:\n")), pack: swap(ringOne, ringTwo), book: came,
			was: judge.Recommended, is: judge.RuledOut, told: "one[[fact part.one]] [[fact part.one fact part.two]]",
		},
		{
			name: "another ink is near the tear", before: whole(add(tearRule), swap("treatments:\n", "treatments:\n"+tearing)), pack: same, both: whole(came, swap("inside: {inks: {}}", "inside: {inks: {blue: {kind: print, seen: {off_dry: no}}}, findings: {}}"), swap("red: {kind: print}}", "red: {kind: print}}, findings: {split: {kind: tear, near: [cover/inside/blue]}}")),
			book: swap("near: [cover/inside/blue]", "near: [red]"), of: Key{"mend", "cover/outside/split"},
			was: judge.Recommended, is: judge.RuledOut, told: "one[[thing cover/outside/split]] [[thing cover/outside/split]]",
		},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if tt.of.Treatment == "" {
				tt.of = Key{"heat-press", "cover"}
			}
			oldPack := tt.before(studio)
			record := lantern
			if strings.Contains(oldPack, "[some, lots]") {
				record = strings.Replace(record, "yes: no}]", "word: some}]", 1)
			}
			if tt.both != nil {
				record = tt.both(record)
			}
			day, _ := time.Parse(time.DateOnly, tt.on)
			old, now := sideFrom(t, record, time.Time{}, oldPack, tt.house[0]), sideFrom(t, tt.book(record), day, tt.pack(oldPack), tt.house[1])
			r, err := Between(old, now, Options{})
			if err != nil {
				t.Fatal(err)
			}
			for i, g := range []*judge.Judgement{r.Old, r.New} {
				var got judge.Word
				if v := g.Of(tt.of.Treatment, tt.of.Path); v != nil {
					got = v.Word
				}
				if want := []judge.Word{tt.was, tt.is}[i]; got != want {
					t.Errorf("side %d: %q, want %q", i, got, want)
				}
			}
			if got := Told(r, tt.of.Treatment, tt.of.Path); got != tt.told {
				t.Errorf("told\n%s\nwant\n%s\nof %v", got, tt.told, r.Items)
			}
		})
	}
}

// sideFrom reads a side; each text but the first is a pack laid over those before.
func sideFrom(t *testing.T, book string, on time.Time, packs ...string) Side {
	t.Helper()
	var layers []pack.Layer
	for _, text := range packs {
		if text != "" {
			layers = append(layers, pack.Layer{Files: []pack.File{{Name: "pack.yaml", Data: []byte(text)}}})
		}
	}
	faults := &fault.List{}
	p := pack.Load(layers, faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return Side{Pack: p, Book: worlds.Parse(t, p, book), On: on}
}
