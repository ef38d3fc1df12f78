package text

import (
	"strings"
	"testing"

	"tideline/engine/drift"
	"tideline/engine/judge"
	"tideline/engine/worlds"
)

const driftPack = `pack: studio
aims: {flat: {says: it lies flat}}
criteria: {shape: {says: it lies flat, weight: 0.5, from: 0, to: 1}}
tests:
  part.kind: {asks: "What is it?", answer: {words: [cover, wrap]}}
  ink.kind: {asks: "What is it?", answer: {words: [print, stamp]}}
  ink.off_dry: {asks: "Did colour come off on a dry swab?", answer: yes/no}
treatments:
  heat-press: {name: heat press, of: part, family: press, says: s, serves: [flat], intervention: 3, retreatable: partly}
  cold-press: {name: cold press, of: part, family: press, says: s, serves: [flat], intervention: 2, retreatable: partly}
rules:
  press-call: {treatment: {family: press}, called for when: always, because: The cover is warped., standing: house}
  press-flattens: {treatment: {family: press}, for when: always, criterion: shape, weight: 2, because: Pressure flattens., standing: house}
`

const driftRule = "  press-loose-colour: {treatment: {family: press}, each: ink, rules out when: ink.off_dry, because: Pressure prints loose colour off., standing: house}\n"

const driftBook = `record: 1
title: The Lantern Row Almanac
examined: 2026-01-01
listed: {inks: yes, findings: yes, fasteners: yes}
parts: {cover: {kind: cover, outside: {inks: {red: {kind: print}}}, inside: {inks: {}}}}
tests: [{test: ink.off_dry, on: cover/outside/red, yes: no}]
`

// TestDrift: what is printed of each way in which a verdict can have become another.
func TestDrift(t *testing.T) {
	came := strings.Replace(driftBook, "yes: no}", "yes: yes}", 1)
	press := drift.Key{Treatment: "heat-press", Path: "cover"}
	for _, tt := range []struct {
		name    string
		packs   [2]string
		books   [2]string
		options drift.Options
		want    string
	}{
		{"nothing", [2]string{driftPack, driftPack}, [2]string{driftBook, driftBook}, drift.Options{}, `0 verdicts would be decided otherwise now, 2 the same.
Every verdict would be the same now.
`},
		{"only together", [2]string{driftPack, driftPack + driftRule}, [2]string{driftBook, came}, drift.Options{}, `2 verdicts would be decided otherwise now, 0 the same.

Recommended then, ruled out now (2)
  cold press on cover; heat press on cover
  Only both together made the difference:
    - corrected: cover/outside/red: Did colour come off on a dry swab? It was
      no, it is yes
    - the rule press-loose-colour is new (pack.yaml:14:3): family press: rules
      out when ink.off_dry (each ink)
  Then: calls for it. The cover is warped.
  Now: rules it out. Pressure prints loose colour off.
`},
		{"one answer", [2]string{driftPack + driftRule, driftPack + driftRule}, [2]string{driftBook, came}, drift.Options{}, `2 verdicts would be decided otherwise now, 0 the same.

Recommended then, ruled out now (2)
  cold press on cover; heat press on cover
  The answer made the difference:
    - corrected: cover/outside/red: Did colour come off on a dry swab? It was
      no, it is yes
  Then: calls for it. The cover is warped.
  Now: rules it out. Pressure prints loose colour off.
`},
		{"moved and moved back", [2]string{driftPack + driftRule, driftPack}, [2]string{driftBook, came}, drift.Options{}, `0 verdicts would be decided otherwise now, 2 the same.

cold press on cover: recommended, then and now
heat press on cover: recommended, then and now
  Moved, and moved back.
  This alone would have made it ruled out:
    - corrected: cover/outside/red: Did colour come off on a dry swab? It was
      no, it is yes
  This took it back:
    - the rule press-loose-colour is gone (pack.yaml:14:3): family press:
      rules out when ink.off_dry (each ink)
  Then: calls for it. The cover is warped.
  Now: calls for it. The cover is warped.
`},
		{"the program", [2]string{driftPack, driftPack}, [2]string{driftBook, driftBook}, drift.Options{Sealed: map[drift.Key]judge.Word{press: judge.Possible, {Treatment: "cold-press", Path: "cover"}: judge.Recommended}}, `1 verdict would be decided otherwise now, 1 the same.

Possible then, recommended now (1)
  heat press on cover
  The program made the difference. From the same record and packs, the program
  that sealed gave possible, and today's gives recommended.
    The sealed proof was not at hand.
    Checked apart, today's proof holds.
    So the program that sealed erred.
  Now: calls for it. The cover is warped.
`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var sides [2]drift.Side
			for i := range sides {
				p := worlds.Load(t, tt.packs[i])
				sides[i] = drift.Side{Pack: p, Book: worlds.Parse(t, p, tt.books[i])}
			}
			r, err := drift.Between(sides[0], sides[1], tt.options)
			if err != nil {
				t.Fatal(err)
			}
			if got := Drift(r, Style{Width: 78}); got != tt.want {
				t.Errorf("got\n%s\nwant\n%s", got, tt.want)
			}
		})
	}
}
