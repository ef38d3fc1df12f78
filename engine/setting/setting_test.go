package setting

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"tideline/engine/dose"
	"tideline/engine/evidence"
	"tideline/engine/record"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
)

const invented = `
pack: p
aims: {clean: {says: it is clean}}
tests:
  part.kind: {asks: "kind?", answer: {words: [cover, wrap]}}
  finding.kind: {asks: "kind?", answer: {words: [tear, stain]}}
  part.grammage: {asks: "gsm?", answer: {number: gsm, from: 10, to: 600}}
  bench.warm: {asks: "warm?", answer: {number: degC, from: 0, to: 80}}
  bench.room: {asks: "damp?", answer: {number: percent, from: 0, to: 100}}
treatments:
  bath:
    {name: bath, of: part, family: wet, says: s, serves: [clean], intervention: 1, retreatable: no, settings: [
      {what: none, value: as written},
      {what: bath, dose: "bath_volume(part.width, part.height, 1, part.grammage, mL_g(50))", taken as: {part.grammage: 80 g/m2}},
      {what: lid, dose: "dew_point(bench.warm, bench.room)"},
      {what: limewater, dose: "limewater_ph(mmol_L(0.625))"},
      {what: twice, dose: "growth_measured(part.width, percent(2))"}]}
  mend:
    {name: mend, of: finding, family: dry, says: s, serves: [clean], intervention: 1, retreatable: no, settings: [
      {what: tissue, dose: "tissue_area(finding.length, mm(3))"},
      {what: growth, dose: 'growth_along("wetted through", finding.part.height)'},
      {what: growth by name, dose: 'growth_along("wetted through", part.height)'}]}
rules:
  c: {treatment: [bath, mend], called for when: always, because: x, standing: house}
`

func gather(t *testing.T, text string) *evidence.Case {
	t.Helper()
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{{Files: []pack.File{{Name: "p.yaml", Data: []byte(invented)}}}}, faults, dose.Functions()...)
	b := record.Parse("b.yaml", []byte("record: 1\ntitle: T\nexamined: 2026-01-01\n"+text), record.WordsOf(p), time.Time{}, faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return evidence.Gather(p, b, time.Time{})
}

func of(c *evidence.Case, treatment, path string) map[string]Computed {
	all := map[string]Computed{}
	for _, s := range Of(c, c.Pack.Treatment(treatment), c.At(path)) {
		all[s.Setting.What] = s
	}
	return all
}

func asks(list []evidence.Ask) (ids []string) {
	for _, a := range list {
		ids = append(ids, a.Thing.Path+" "+a.Question.ID)
	}
	return ids
}

// Computed, taken, missing and refused: each is told apart. The bath is 340 mm · 260 mm · 80 g/m² · 50 mL/g = 353.6 mL and
// the growth 2 % of 340 mm, by arithmetic.
func TestOf(t *testing.T) {
	sized := "parts: {cover: {kind: cover, size: [340, 260]%s, outside: {findings: {t: {kind: tear, line: [[0, 20], [40, 20]]}, u: {kind: tear}}}}}\n"
	bare := gather(t, "parts: {cover: {kind: cover}}\n")
	full := gather(t, "bench: {warm: 20, room: 50}\n"+replaced(sized, ", seen: {grammage: 160}"))
	taken := gather(t, "bench: {warm: 60}\n"+replaced(sized, ""))
	near := func(what string, got Computed, want float64) {
		t.Helper()
		if !got.Done || math.Abs(got.Value.Quantity.Value-want) > 1e-9*want || len(got.Result.Working) == 0 || len(got.Result.Sources) == 0 || got.Result.Range == "" {
			t.Errorf("%s: %+v, wanted %v", what, got, want)
		}
	}
	near("bath, weighed", of(full, "bath", "cover")["bath"], 707.2)
	if s := of(full, "bath", "cover")["bath"]; len(s.Taken) != 0 || !slices.Equal(asks(s.Given), []string{"cover part.width", "cover part.height", "cover part.grammage"}) || !s.Danger {
		t.Errorf("weighed: %v, given %v", s.Taken, asks(s.Given))
	}
	s := of(taken, "bath", "cover")["bath"]
	near("bath, taken", s, 353.6)
	if len(s.Taken) != 1 || s.Taken[0].Answer.Num != 80 || s.Taken[0].Ask.Question.ID != "part.grammage" || len(s.Missing) != 0 {
		t.Errorf("taken: %+v", s.Taken)
	}
	near("growth", of(taken, "bath", "cover")["twice"], 6.8)
	near("constant", of(bare, "bath", "cover")["limewater"], of(full, "bath", "cover")["limewater"].Value.Quantity.Value)
	s = of(bare, "bath", "cover")["bath"]
	if s.Done || s.Refusal != nil || !slices.Equal(asks(s.Missing), []string{"cover part.width", "cover part.height"}) {
		t.Errorf("no size: done %v, missing %v, %v", s.Done, asks(s.Missing), s.Refusal)
	}
	s = of(taken, "bath", "cover")["lid"]
	if s.Done || s.Refusal == nil || s.Refusal.What != dose.OutOfRange || s.Refusal.Input != "temperature" || !slices.Equal(asks(s.Missing), []string{"bench bench.room"}) {
		t.Errorf("too hot: %+v", s)
	}
	if len(of(bare, "bath", "cover")) != 4 {
		t.Error("a setting that is only written is not computed")
	}
	near("tissue", of(full, "mend", "cover/outside/t")["tissue"], of(taken, "mend", "cover/outside/t")["tissue"].Value.Quantity.Value)
	if s := of(full, "mend", "cover/outside/u")["tissue"]; s.Done || !slices.Equal(asks(s.Missing), []string{"cover/outside/u finding.length"}) {
		t.Errorf("a tear not drawn: %+v", s)
	}
	a, b := of(full, "mend", "cover/outside/t")["growth"], of(full, "mend", "cover/outside/t")["growth by name"]
	near("by way of the finding", a, 0.78) // 0.3 % of 260 mm, the high end of the published band along the grain
	near("by name", b, 0.78)
}

func replaced(format, seen string) string { return strings.Replace(format, "%s", seen, 1) }

// Every dose of the shipped pack is computed for some example: of a part of 340 by 260 mm, or of a tear drawn on it.
func TestShippedDoses(t *testing.T) {
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.Trim(layer)}, faults, dose.Functions()...)
	b := record.Parse("b.yaml", []byte(`
record: 1
title: T
examined: 2026-01-01
bench: {room_temperature: 20, press_weight: 5 kg, lime_strength: 0.6}
parts:
  cover: {kind: cover, size: [340, 260], seen: {water_held: 1.5}, outside: {findings: {t: {kind: tear, line: [[0, 20], [40, 20]]}}}}
`), record.WordsOf(p), time.Time{}, faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	c, computed := evidence.Gather(p, b, time.Time{}), 0
	for _, tr := range p.Treatments {
		for _, target := range c.Of(tr.Of) {
			if target.Unlisted {
				continue
			}
			for _, s := range Of(c, tr, target) {
				if computed++; !s.Done {
					t.Errorf("%s of %s: missing %v, refused %v", s.Setting.What, tr.ID, asks(s.Missing), s.Refusal)
				}
			}
		}
	}
	if computed < 8 {
		t.Errorf("only %d settings were computed", computed)
	}
}
