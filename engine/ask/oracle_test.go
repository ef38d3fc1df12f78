package ask

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/worlds"
	"tideline/rules/cond"
	"tideline/rules/vocab"
)

// oracle finds the best policy by the definition: every state is a record judged anew, and every answer of every open
// question is tried in every order. It shares with the search the judge, the cells, the chances and the prices.
type oracle struct {
	t      *testing.T
	w      *worlds.World
	s      *search
	book   *record.Book
	tests  []int
	states map[string]*state
}

type state struct {
	g     *judge.Judgement
	value float64
	net   float64
	done  bool
}

// at judges the book with answers supposed: by test, the cell, or -1 where it is open. nil: it cannot be.
func (o *oracle) at(cells []int) *state {
	key := fmt.Sprint(cells)
	if s, ok := o.states[key]; ok {
		return s
	}
	more := *o.book
	more.Results = slices.Clone(o.book.Results)
	for i, cell := range cells {
		if cell >= 0 {
			ask := o.s.g.Case.Asks[o.tests[i]]
			more.Results = append(more.Results, record.Result{Question: ask.Question, Thing: ask.Thing.Record, Answer: o.s.root.Cells(o.tests[i])[cell].Some()})
		}
	}
	g, err := judge.Judge(evidence.Gather(o.w.Pack, &more, time.Time{}))
	if err != nil {
		o.t.Fatal(err)
	}
	var st *state
	if len(g.Contradictions) == 0 {
		st = &state{g: g, value: served(g)}
	}
	o.states[key] = st
	return st
}

// served is the value by its definition, from the verdicts of a judgement.
func served(g *judge.Judgement) float64 {
	best := map[string]float64{}
	for _, v := range g.Verdicts {
		if v.Word != judge.Recommended || !ready(g, v) {
			continue
		}
		for _, aim := range v.Treatment.Serves {
			if slices.Contains(g.Aims, aim) {
				key := v.Target.Path + " " + aim
				best[key] = max(best[key], v.Least)
			}
		}
	}
	sum := 0.0
	for _, b := range best {
		sum += b
	}
	return sum
}

func ready(g *judge.Judgement, v *judge.Verdict) bool {
	for _, i := range v.Instances {
		if i.Rule.Step == nil || i.Value == cond.False {
			continue
		}
		for _, t := range g.Case.Reach(v.Target, i.Rule.Step.Of) {
			step := g.Of(i.Rule.Step.ID, t.Path)
			if step != nil && (step.Word == judge.RuledOut || step.Word == judge.TestFirst || !ready(g, step)) {
				return false
			}
		}
	}
	return true
}

// best is the expected value of the best way on, less the price of its tests.
func (o *oracle) best(cells []int) float64 {
	st := o.at(cells)
	if st.done {
		return st.net
	}
	net := st.value
	for i, n := range o.tests {
		if cells[i] >= 0 {
			continue
		}
		value, sum := 0.0, 0.0
		for cell := range o.s.root.Cells(n) {
			next := slices.Clone(cells)
			next[i] = cell
			if o.at(next) == nil {
				continue
			}
			p := o.s.chance(n, cell)
			value, sum = value+p*o.best(next), sum+p
		}
		if sum > 0 {
			net = max(net, value/sum-o.s.price(n).Sum())
		}
	}
	st.net, st.done = net, true
	return net
}

func howMany() int {
	if n, err := strconv.Atoi(os.Getenv("TIDELINE_WORLDS")); err == nil {
		return n
	}
	return 60
}

// eachBook tries a property on books of random packs with few questions open, and all their inks listed.
func eachBook(t *testing.T, try func(w *worlds.World, book *record.Book, g *judge.Judgement)) {
	for seed := range howMany() {
		w := worlds.New(t, rand.New(rand.NewPCG(uint64(seed), 17)))
		w.Pack.Asking.Minute = 0.01
		for n := range 8 {
			book := w.Book(t, 1+n%4)
			g, err := judge.Judge(evidence.Gather(w.Pack, book, time.Time{}))
			if err != nil {
				t.Fatal(err)
			}
			listed := !slices.ContainsFunc(g.Case.Things, func(t *evidence.Thing) bool { return t.Unlisted })
			if len(g.Contradictions) == 0 && listed {
				try(w, book, g)
			}
			if t.Failed() {
				t.Fatalf("seed %d, book %d:\n%s", seed, n, w.YAML)
			}
		}
	}
}

// TestBestPolicyByDefinition: N5 and N1. The exact policy is worth what full enumeration gives, the value after any
// answer is never lower, and no proposal is worth more than the best policy.
func TestBestPolicyByDefinition(t *testing.T) {
	policies, states, together := 0, 0, 0
	eachBook(t, func(w *worlds.World, book *record.Book, g *judge.Judgement) {
		s := newSearch(g)
		s.limit = 1 << 20
		tests := s.open()
		if len(tests) > 3 {
			return
		}
		o := &oracle{t: t, w: w, s: s, book: book, tests: tests, states: map[string]*state{}}
		start := slices.Repeat([]int{-1}, len(tests))
		want := o.best(start)
		p, ok := s.best(s.root, tests)
		if !ok || math.Abs(p.net-want) > 1e-6 {
			t.Errorf("the best policy is worth %v, by definition %v", p.net, want)
		}
		now := o.at(start).value
		for key, st := range o.states {
			if st != nil && st.value < now-dust {
				t.Errorf("the value falls from %v to %v with answers %s", now, st.value, key)
			}
		}
		policies, states = policies+1, states+len(o.states)
		for _, p := range Next(g, Options{}).Proposals {
			if p.Worth > want-now+1e-6 {
				t.Errorf("a proposal is worth %v, the best policy %v", p.Worth, want-now)
			}
			if len(p.Tests) > 1 {
				together++
			}
		}
	})
	t.Logf("%d policies over %d states judged anew; %d sequences", policies, states, together)
	if policies == 0 || together == 0 {
		t.Error("the generator is too narrow")
	}
}

// TestOutlookByJudgement: an outlook says of every verdict what judging anew would.
func TestOutlookByJudgement(t *testing.T) {
	compared := 0
	eachBook(t, func(w *worlds.World, book *record.Book, g *judge.Judgement) {
		s := newSearch(g)
		tests := s.open()
		o := &oracle{t: t, w: w, s: s, book: book, tests: tests, states: map[string]*state{}}
		at, cells := s.root, slices.Repeat([]int{-1}, len(tests))
		for i, n := range tests {
			cells[i] = w.Rnd.IntN(len(s.root.Cells(n)))
			if at = at.Suppose(n, cells[i]); at == nil {
				return
			}
			st := o.at(cells)
			if st == nil {
				t.Error("an outlook of what cannot be")
				return
			}
			for k, v := range g.Verdicts {
				is, view := st.g.Of(v.Treatment.ID, v.Target.Path), at.View(k)
				compared++
				if is.Word != view.Word || view.Word == judge.Recommended && is.Least != view.Least {
					t.Errorf("%s: %s %v, judged anew %s %v", v.Treatment.ID, view.Word, view.Least, is.Word, is.Least)
				}
			}
			if math.Abs(s.value(at)-st.value) > 1e-6 {
				t.Errorf("value %v, judged anew %v", s.value(at), st.value)
			}
		}
	})
	t.Logf("%d verdicts compared", compared)
}

// TestProposals: N2 to N4 and N6 on random worlds.
func TestProposals(t *testing.T) {
	proposals := 0
	harms := []string{"none", "trace", "spot", "sample"}
	eachBook(t, func(w *worlds.World, book *record.Book, g *judge.Judgement) {
		for i, test := range w.Pack.Tests {
			test.Harm, test.Minutes = harms[i%4], i%3
		}
		s := newSearch(g)
		r := Next(g, Options{})
		for i, p := range r.Proposals {
			proposals++
			if p.Worth <= 0 || len(p.Moves) == 0 {
				t.Errorf("a proposal is worth %v and moves %d verdicts", p.Worth, len(p.Moves))
			}
			for _, x := range p.Tests {
				if !changes(s, x.Number) {
					t.Errorf("%s can change no verdict", x.Ask.Question.ID)
				}
			}
			for _, later := range r.Proposals[i+1:] {
				if settlesTheSame(later, p) {
					t.Error("a test that takes something stands before a gentler one that settles the same")
				}
			}
		}
		for _, p := range r.Proposals {
			if len(p.Tests) == 1 && p.Tests[0].Test != nil && p.Tests[0].Test.Harm != "sample" {
				harder(t, g, p)
				break
			}
		}
	})
	t.Logf("%d proposals", proposals)
}

// changes tells whether two states that differ in one answer only have different verdicts, over all states of the others.
func changes(s *search, number int) bool {
	var look func(o *judge.Outlook, others []int) bool
	look = func(o *judge.Outlook, others []int) bool {
		ways := o.Ways(number)
		for _, w := range ways {
			for i := range s.g.Verdicts {
				if w.Then.View(i).Word != ways[0].Then.View(i).Word {
					return true
				}
			}
		}
		for i, n := range others {
			for _, w := range o.Ways(n) {
				if look(w.Then, others[i+1:]) {
					return true
				}
			}
		}
		return false
	}
	return look(s.root, slices.DeleteFunc(s.open(), func(n int) bool { return n == number }))
}

// harder: N3. A test that does more harm does not come earlier.
func harder(t *testing.T, g *judge.Judgement, p Proposal) {
	place := func() int {
		return slices.IndexFunc(Next(g, Options{}).Proposals, func(o Proposal) bool { return len(o.Tests) == 1 && o.Tests[0].Number == p.Tests[0].Number })
	}
	test, before := p.Tests[0].Test, place()
	old := test.Harm
	test.Harm = "sample"
	after := place()
	test.Harm = old
	if after >= 0 && after < before {
		t.Errorf("with more harm it comes at %d, with less at %d", after, before)
	}
}

// TestChances: chances of the pack are put in the cells they belong to; a number between two limits in its stretch.
func TestChances(t *testing.T) {
	q := &vocab.Question{ID: "part.ph", Type: vocab.Number, Unit: "pH", From: 0, To: 14}
	n := func(v ...float64) (c cond.Cell) {
		for _, x := range v {
			c.Answers = append(c.Answers, vocab.Num(x))
		}
		return c
	}
	cells := []cond.Cell{n(0, 3), n(6, 7, 8), n(11, 14)}
	for v, want := range map[float64]int{0: 0, 5.9: 0, 6: 1, 7.5: 1, 8: 1, 8.1: 2, 14: 2} {
		if got := cellOf(q, cells, vocab.Num(v)); got != want {
			t.Errorf("pH %v is in cell %d, want %d", v, got, want)
		}
	}
}
