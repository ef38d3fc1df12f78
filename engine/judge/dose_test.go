package judge

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"tideline/engine/dose"
	"tideline/engine/evidence"
	"tideline/engine/record"
	"tideline/engine/worlds"
	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Verdicts of packs whose conditions call functions, against all completions with cel-go evaluating whole rules. Where a
// function refuses, the oracle counts what surely holds and what may.
func TestDosedVerdictsByDefinition(t *testing.T) {
	cases, words, sampled, refused := 0, map[Word]int{}, 0, 0
	for seed := range howMany(t) {
		w := worlds.NewDosed(t, rand.New(rand.NewPCG(uint64(seed), 11)))
		for n := range 8 {
			book := w.Book(t, n%4)
			if completionsOf(w, book) > 700 {
				continue
			}
			for _, v := range byDefinition(t, w, book) {
				cases++
				words[v.Word]++
				if v.Sampled {
					sampled++
				}
				if v.Refused {
					refused++
				}
			}
			if t.Failed() {
				t.Fatalf("seed %d, book %d, pack:\n%s", seed, n, w.YAML)
			}
		}
	}
	t.Logf("%d verdicts: %v; %d sampled, %d refused", cases, words, sampled, refused)
	if sampled == 0 || refused == 0 || words[RuledOut] == 0 || words[TestFirst] == 0 || words[Recommended]+words[Possible] == 0 {
		t.Error("the generator is too narrow")
	}
}

// completionsOf counts the completions of a book by the cells of its open questions.
func completionsOf(w *worlds.World, book *record.Book) int {
	c, n := evidence.Gather(w.Pack, book, time.Time{}), 1
	for _, ask := range c.Asks {
		if ask.Question != nil && !ask.Answer.Known && relevant[ask.Question.ID] {
			cells, _ := w.Pack.Env.Cells(ask.Question)
			n *= len(cells)
		}
	}
	return n
}

// Answers loosened say the same as the judgement where they are left as they were, and so does every answer put otherwise.
func TestLoosenedDoses(t *testing.T) {
	tried := 0
	for seed := range howMany(t) {
		w := worlds.NewDosed(t, rand.New(rand.NewPCG(uint64(seed), 17)))
		for n := range 4 {
			c := evidence.Gather(w.Pack, w.Book(t, n), time.Time{})
			g := judged(t, c)
			l, err := g.Loosen(func(evidence.Ask) bool { return true })
			if err != nil {
				t.Fatal(err)
			}
			if len(g.Contradictions) > 0 {
				continue
			}
			for _, v := range g.Verdicts {
				lv := l.Of(v)
				if word := lv.Word(l.Start()); word != v.Word {
					t.Fatalf("seed %d, book %d: %s is %s, loosened %s\n%s", seed, n, v.Treatment.ID, v.Word, word, w.YAML)
				}
				for _, number := range lv.Asks() {
					ask := c.Asks[number]
					if ask.Question.Name == "kind" || ask.Question.Name == "inks_listed" {
						continue
					}
					for _, o := range lv.Options(number) {
						s := l.Start()
						s[number] = o.Cell
						again := evidence.Gather(w.Pack, c.Book, c.On)
						again.Answer(number, o.Answers[0])
						other := judged(t, again)
						if len(other.Contradictions) > 0 {
							continue
						}
						tried++
						want := other.Of(v.Treatment.ID, v.Target.Path)
						if word := lv.Word(s); want.Word != word {
							t.Fatalf("seed %d, book %d: %s with %s %s is %s, loosened %s\n%s", seed, n, v.Treatment.ID, ask.Question.ID, ask.Question.Text(o.Answers[0]), want.Word, word, w.YAML)
						}
					}
				}
			}
		}
	}
	if tried < 1000 {
		t.Errorf("only %d answers were tried", tried)
	}
}

// Settled stays settled for doses of one answer, whose cells are exact: tried with answers between all marks.
func TestDosedSettledStaysSettled(t *testing.T) {
	steps := 0
	for seed := range howMany(t) {
		w := worlds.NewDosed(t, rand.New(rand.NewPCG(uint64(seed), 19)))
		for n := range 6 {
			full := w.Book(t, 0)
			kept := *full
			drop := map[int]bool{}
			for range 2 + n%2 {
				drop[w.Rnd.IntN(len(full.Results))] = true
			}
			kept.Results = nil
			for i, r := range full.Results {
				if drop[i] && r.Question.Type != vocab.Words && !strings.HasSuffix(r.Question.Name, "_listed") {
					continue
				}
				if r.Question.Type == vocab.Number {
					r.Answer = vocab.Num(r.Question.From + w.Rnd.Float64()*(r.Question.To-r.Question.From))
					full.Results[i] = r
				}
				kept.Results = append(kept.Results, r)
			}
			less, more := judged(t, evidence.Gather(w.Pack, &kept, time.Time{})), judged(t, evidence.Gather(w.Pack, full, time.Time{}))
			if len(more.Contradictions) > 0 {
				continue
			}
			for _, v := range less.Verdicts {
				if !v.Sampled {
					steps++
					checkSettled(t, v.Treatment.ID+" "+v.Target.Path, v.Word, more.Of(v.Treatment.ID, v.Target.Path).Word)
				}
			}
			if t.Failed() {
				t.Fatalf("seed %d, book %d\n%s", seed, n, w.YAML)
			}
		}
	}
	t.Logf("%d steps", steps)
}

// What a refusal does in each kind of rule. The functions are the real ones: dew_point refuses air of 60 °C, since its
// formula holds from 0 to 50 °C (WMO No. 8, annex 4.B).
func TestRefusedInRules(t *testing.T) {
	const refusing = "dew_point(bench.warm, bench.room) > degC(5)"
	for _, tt := range []struct {
		name, rule, seen string
		want             Word
		refused          bool
		open             []string
		least, most      float64
	}{
		{"rules out", "rules out when: '" + refusing + "'", "warm: 60, room: 50", TestFirst, true, nil, 0, 0},
		{"negated", "rules out when: '!(" + refusing + ")'", "warm: 60, room: 50", TestFirst, true, nil, 0, 0},
		{"whatever the other answer", "rules out when: '" + refusing + "'", "warm: 60", TestFirst, true, nil, 0, 0},
		{"computed, and true", "rules out when: '" + refusing + "'", "warm: 20, room: 50", RuledOut, false, nil, 0, 0},
		{"computed, and false", "rules out when: '" + refusing + "'", "warm: 5, room: 50", Recommended, false, nil, 1, 1},
		{"not known", "rules out when: '" + refusing + "'", "warm: 20", TestFirst, false, []string{"bench bench.room"}, 0, 0},
		{"beside what is true", "rules out when: '" + refusing + " || bench.ready'", "warm: 60, room: 50, ready: yes", RuledOut, false, nil, 0, 0},
		{"beside what is false", "rules out when: '" + refusing + " && bench.ready'", "warm: 60, room: 50, ready: no", Recommended, false, nil, 1, 1},
		{"beside what is open", "rules out when: '" + refusing + " && bench.ready'", "warm: 60, room: 50", TestFirst, true, []string{"bench bench.ready"}, 0, 0},
		{"by way of a fact", "rules out when: bench.sweats", "warm: 60, room: 50", TestFirst, true, nil, 0, 0},
		{"a call for it", "called for when: '" + refusing + "'", "warm: 60, room: 50", Possible, true, nil, 1, 1},
		{"an argument for", "for when: '" + refusing + "', criterion: life, weight: 1", "warm: 60, room: 50", Recommended, true, nil, 1, 2},
		{"an argument against", "against when: '" + refusing + "', criterion: life, weight: 1", "warm: 60, room: 50", Possible, true, nil, 0, 1},
	} {
		calls := "  calls: {treatment: bath, called for when: always, because: x, standing: house}\n"
		if strings.HasPrefix(tt.rule, "called") {
			calls = ""
		}
		g := dosed(t, "rules:\n"+calls+"  base: {treatment: bath, for when: always, criterion: life, weight: 1, because: x, standing: house}\n"+
			"  r: {treatment: bath, "+tt.rule+", because: x, standing: house}\n", tt.seen)
		v := g.Verdicts[0]
		if v.Word != tt.want || v.Refused != tt.refused || v.Sampled != (tt.name == "not known") || !slices.Equal(named(g, v.Open), tt.open) || v.Least != tt.least || v.Most != tt.most {
			t.Errorf("%s: %s, refused %v, sampled %v, hangs on %v, support %v to %v", tt.name, v.Word, v.Refused, v.Sampled, named(g, v.Open), v.Least, v.Most)
		}
		l, err := g.Loosen(func(evidence.Ask) bool { return true })
		if err != nil {
			t.Fatal(err)
		}
		if lv := l.Of(v); lv.Word(l.Start()) != tt.want {
			t.Errorf("%s: loosened %s", tt.name, lv.Word(l.Start()))
		}
	}
}

// The proof has a node for each call: what it was given, and what it gives or why not.
func TestDoseNodes(t *testing.T) {
	for seen, want := range map[string]string{
		"warm: 20, room: 50": "true 20 50 9.3", // 9.3 °C: dew point of air at 20 °C and 50 %, as psychrometric tables have it (from memory)
		"warm: 60":           "open 60 ? refused",
		"room: 50":           "open ? 50",
	} {
		g := dosed(t, "rules:\n  r: {treatment: bath, rules out when: 'dew_point(bench.warm, bench.room) > degC(5)', because: x, standing: house}\n", seen)
		atom := g.Prove(g.Verdicts[0]).RulesOut[0].Kids[0]
		last := atom.Kids[len(atom.Kids)-1]
		if last.Step != StepDose || atom.Leaves != 2 {
			t.Fatalf("%s: %+v", seen, last)
		}
		got := last.Value.String()
		for _, v := range last.Dose.Values {
			if v.Known {
				got += fmt.Sprintf(" %g", v.Num)
			} else {
				got += " ?"
			}
		}
		if last.Value == cond.True {
			got += fmt.Sprintf(" %.1f", last.Dose.Value)
		}
		if last.Dose.Refusal != nil {
			got += " refused"
		}
		if got != want {
			t.Errorf("%s: %s, want %s", seen, got, want)
		}
	}
}

// dosed judges a bare part by rules over a small vocabulary, with answers of the bench.
func dosed(t *testing.T, rules, seen string) *Judgement {
	t.Helper()
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{{Files: []pack.File{{Name: "p.yaml", Data: []byte(`
pack: p
criteria: {life: {says: it lasts, weight: 1, from: 0, to: 1}}
aims: {clean: {says: it is clean}}
tests:
  part.kind: {asks: "kind?", answer: {words: [cover, wrap]}}
  bench.warm: {asks: "warm?", answer: {number: degC, from: 0, to: 80}}
  bench.room: {asks: "damp?", answer: {number: percent, from: 0, to: 100}}
  bench.ready: {asks: "ready?", answer: yes/no}
facts:
  bench.sweats: {is: "dew_point(bench.warm, bench.room) > degC(5)", says: it sweats, standing: house}
treatments:
  bath: {name: bath, of: part, family: wet, says: s, serves: [clean], intervention: 1, retreatable: no}
` + rules)}}}}, faults, dose.Functions()...)
	b := record.Parse("b.yaml", []byte("record: 1\ntitle: T\nexamined: 2026-01-01\nbench: {"+seen+"}\nparts: {cover: {kind: cover}}\n"), record.WordsOf(p), time.Time{}, faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return judged(t, evidence.Gather(p, b, time.Time{}))
}

// A verdict judged again is marked as sampled also where only one that was not judged again reckons.
func TestAgainSampled(t *testing.T) {
	g := dosed(t, `  lift: {name: lift, of: part, family: dry, says: s, serves: [clean], intervention: 1, retreatable: no}
rules:
  c: {treatment: bath, called for when: bench.sweats, because: x, standing: house}
  n: {treatment: bath, needs when: always, step: lift, because: x, standing: house}
  o: {treatment: lift, rules out when: bench.ready, because: x, standing: house}
`, "warm: 20 degC, ready: yes")
	if v := g.Of("lift", "cover"); v.Word != RuledOut || v.Sampled {
		t.Fatalf("ready: %s, sampled %v", v.Word, v.Sampled)
	}
	c := g.Case.With(evidence.Change{Number: g.Case.Number(g.Case.At("bench"), g.Case.Pack.Vocabulary.Question("bench.ready")), Answer: vocab.Yes(false)})
	again, err := g.Again(c)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := told(again), told(judged(t, c)); got != want {
		t.Error(firstDifference(want, got))
	}
	if v := again.Of("lift", "cover"); v.Word != Possible || !v.Sampled {
		t.Errorf("not ready: %s, sampled %v", v.Word, v.Sampled)
	}
}
