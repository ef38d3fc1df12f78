package verify

import (
	"slices"
	"testing"
	"time"

	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/worlds"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

const tied = `pack: p
criteria: {life: {says: it lasts, weight: 0.5, from: 0, to: 1}}
aims: {clean: {says: it is clean}}
tests:
  part.kind: {asks: "kind?", answer: {words: [cover, wrap]}}
  part.soft: {asks: "soft?", answer: yes/no}
  part.torn: {asks: "torn?", answer: yes/no}
  part.thin: {asks: "thin?", answer: yes/no}
  ink.kind: {asks: "kind?", answer: {words: [print, stamp]}}
never:
  soft-and-torn: {each: part, when: part.soft && part.torn, because: x, standing: house}
  torn-and-thin: {each: part, when: part.torn && part.thin, because: x, standing: house}
  stamps: {each: ink, when: 'ink.kind == "stamp" && ink.kind == "print"', because: x, standing: house}
treatments:
  bath: {name: bath, of: part, family: wet, says: s, serves: [clean], intervention: 3, retreatable: no, sets: {part.soft: yes}}
rules:
  call: {treatment: bath, called for when: always, because: b, standing: house}
  ban: {treatment: bath, rules out when: part.soft, because: b, standing: house}
`

const tiedBook = `record: 1
title: T
examined: 2026-10-01
parts: {cover: {kind: cover, listed: {inks: yes, findings: yes}, outside: {inks: {red: {kind: print}}}}}
`

// TestPremises: ties and lists left out, added or altered are noticed.
func TestPremises(t *testing.T) {
	p := worlds.Load(t, tied)
	g := judged(t, p, worlds.Parse(t, p, tiedBook))
	v := g.Of("bath", "cover")
	if _, err := New(g).Premises(g.Prove(v), g.Premises(v)); err != nil {
		t.Fatal(err)
	}
	if n := len(g.Premises(v).Never); n != 2 {
		t.Fatalf("%d ties, want the one that reads the answer and the one tied to it in turn", n)
	}
	for name, spoil := range map[string]func(m *judge.Premises){
		"the last tie left out":  func(m *judge.Premises) { m.Never = m.Never[:1] },
		"the first tie left out": func(m *judge.Premises) { m.Never = m.Never[1:] },
		"a tie told twice":       func(m *judge.Premises) { m.Never = append(m.Never, m.Never[0]) },
		"a tie that ties nothing": func(m *judge.Premises) {
			n := p.Never[slices.IndexFunc(p.Never, func(n *pack.Never) bool { return n.ID == "stamps" })]
			m.Never = append(m.Never, judge.Tie{Never: n, Thing: g.Case.At("cover/outside/red"), Proof: m.Never[0].Proof})
		},
		"a tie with another value": func(m *judge.Premises) {
			proof := *m.Never[0].Proof
			proof.Value = cond.True
			m.Never[0].Proof = &proof
		},
		"a list left out": func(m *judge.Premises) { m.Listed = m.Listed[1:] },
		"a list not said to be whole": func(m *judge.Premises) {
			leaf := *m.Listed[0]
			leaf.Value = cond.Open
			m.Listed[0] = &leaf
		},
	} {
		m := g.Premises(v)
		spoil(m)
		if _, err := New(g).Premises(g.Prove(v), m); err == nil {
			t.Error("not noticed:", name)
		}
	}
}

// TestStepsAnswers: a proof that rests on what a step gives holds, and one that names another result does not.
func TestStepsAnswers(t *testing.T) {
	p := worlds.Load(t, tied)
	b := worlds.Parse(t, p, tiedBook)
	b.Done = append(b.Done, record.Done{Treatment: "bath", Target: b.Thing("cover"), Date: time.Date(2026, 10, 2, 0, 0, 0, 0, time.UTC), Outcome: record.AsPlanned})
	g := judged(t, p, b)
	v := g.Of("bath", "cover")
	if v.Word != judge.RuledOut {
		t.Fatalf("%s: the step did not make it soft", v.Word)
	}
	if _, err := New(g).Check(g.Prove(v)); err != nil {
		t.Error(err)
	}
	n := g.Case.Number(g.Case.At("cover"), p.Vocabulary.Question("part.soft"))
	other := *g.Case.Asks[n].Result
	other.Date = other.Date.AddDate(0, 0, 1)
	g.Case.Asks[n].Result = &other
	if _, err := New(g).Check(g.Prove(v)); err == nil {
		t.Error("a result of another day was not noticed")
	}
}
