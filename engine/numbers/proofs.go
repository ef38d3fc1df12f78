package numbers

import (
	"slices"
	"time"

	"tideline/engine/ask"
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/verify"
	"tideline/rules/cond"
)

// proofs measures whether proofs replay, and whether corrupted ones are noticed.
func (m *measure) proofs() {
	replayed, failed, cut := 0, 0, 0
	for _, g := range m.all() {
		c := verify.New(g)
		for _, v := range g.Verdicts {
			n, err := c.Check(g.Prove(v))
			replayed, cut = replayed+1, cut+n.Unsearched
			if err != nil {
				failed++
			}
		}
	}
	m.row("proofs that replay (P1-P7, P9)", "all verdicts of all books and worlds", "100 %", is(failed == 0), "%d of %d; of %d not all outcomes were gone through", replayed-failed, replayed, cut)
	made, noticed := 0, 0
	count := func(g *judge.Judgement, times int) {
		for _, t := range verify.Corrupt(verify.New(g), m.rnd, times) {
			made, noticed = made+t.Made, noticed+t.Noticed
		}
	}
	for _, g := range m.judged {
		if open(g) < 100 {
			count(g, 10)
		}
	}
	for _, s := range m.small {
		count(s.g, 2)
	}
	m.row("corrupted proofs noticed", "a value flipped, an atom, thing or rule left out, an operator, answer, source or verdict changed", "100 %", is(made == noticed), "%d of %d", noticed, made)
	m.hidden()
}

// open counts what the verdicts of a judgement hang on.
func open(g *judge.Judgement) int {
	asks := map[int]bool{}
	for _, v := range g.Verdicts {
		for _, n := range v.Open {
			asks[n] = true
		}
	}
	return len(asks)
}

// hidden measures whether an answer that is no leaf of a proof can move the verdict (P8). The leaves of what needs the
// treatment count, and what a never statement or a place's own condition reads.
func (m *measure) hidden() {
	tried, moved := 0, 0
	for _, s := range m.small[:min(len(m.small), 150)] {
		g := s.g
		for number, a := range g.Case.Asks {
			if a.Question == nil || a.Question.Measured || a.Thing.Unlisted || a.Question.Name == "kind" || readByNever(g, a.Question.ID) || len(a.Question.Name) > 7 && a.Question.Name[len(a.Question.Name)-7:] == "_listed" {
				continue
			}
			cells, _ := s.world.Pack.Env.Cells(a.Question)
			for _, cell := range cells {
				b := *s.book
				b.Results = append(slices.Clone(b.Results), record.Result{Question: a.Question, Thing: a.Thing.Record, Answer: cell.Some(), Date: g.Case.On})
				now := words(rejudge(s.world.Pack, &b))
				for _, v := range g.Verdicts {
					if slices.Contains(leaves(g, v), number) {
						continue
					}
					tried++
					if now[v.Treatment.ID+" "+v.Target.Path] != v.Word {
						moved++
					}
				}
			}
		}
	}
	m.row("hidden leaves (P8)", "every question that is no leaf, every cell, on worlds", "0", is(moved == 0), "%d of %d moved a verdict", moved, tried)
}

func leaves(g *judge.Judgement, v *judge.Verdict) []int {
	p := g.Prove(v)
	list := verify.Leaves(p)
	for _, n := range p.NeededBy {
		list = append(list, leaves(g, n.Verdict)...)
	}
	for _, n := range p.NotNeededBy {
		for _, r := range n.Reasons {
			for _, l := range r.Answers() {
				list = append(list, l.Ask)
			}
		}
	}
	return list
}

// readByNever tells whether a never statement reads the question.
func readByNever(g *judge.Judgement, question string) bool {
	found := false
	for _, n := range g.Case.Pack.Never {
		n.When.Root.Walk(func(k *cond.Node) {
			if k.Op == cond.OpAtom {
				for _, r := range k.Atom.Reads {
					found = found || r.Question.ID == question
				}
			}
		})
	}
	return found
}

// length measures how long leading reasons are, and what explaining costs.
func (m *measure) length() {
	var lengths []int
	var decide, why time.Duration
	for i, g := range m.judged {
		start := time.Now()
		rejudge(m.Pack, m.Books[i])
		decide += time.Since(start)
		start = time.Now()
		for _, v := range g.Verdicts {
			p := g.Prove(v)
			if v.Word == judge.RuledOut && !v.EitherWay {
				lengths = append(lengths, p.RulesOut[0].Leaves)
			}
		}
		why += time.Since(start)
	}
	slices.Sort(lengths)
	median, high := 0, 0
	if len(lengths) > 0 {
		median, high = lengths[len(lengths)/2], lengths[len(lengths)*95/100]
	}
	m.row("reason length", "answers in the leading reason of every ruling-out: median, 95th percentile", "≤ 3, ≤ 6", is(median <= 3 && high <= 6), "%d, %d of %d", median, high, len(lengths))
	m.row("explanation cost", "time for every proof of a book by the time to gather and judge it; a time, so no target fails on it", "", nil, "%.2f", float64(why)/float64(max(decide, 1)))
	firm, all := 0, 0
	for _, r := range m.Pack.Rules {
		all++
		if r.Standing != "" && len(r.Sources)+len(r.StandsOn) > 0 || r.Standing == "common practice, no source" {
			firm++
		}
	}
	common := 0
	for _, r := range m.Pack.Rules {
		if r.Standing == "common practice, no source" {
			common++
		}
	}
	m.row("justified", "rules with a standing and a source; those on common practice", "100 %", is(firm == all), "%d of %d; %d on common practice", firm, all, common)
}

// asking measures the list of tests.
func (m *measure) asking() {
	listed, idle, regret, worst, policies := 0, 0, 0.0, 0.0, 0
	waits, counted := 0, 0
	sum := 0.0
	for _, g := range m.all() {
		if open(g) > 60 {
			continue // a book of which nearly nothing is tested
		}
		r := ask.Next(g, ask.Options{})
		for _, p := range r.Proposals {
			listed++
			if len(p.Moves) == 0 {
				idle++
			}
		}
		if lost, ok := ask.Regret(g); ok {
			policies++
			regret, worst = regret+lost, max(worst, lost)
		}
		for _, s := range r.Shares {
			waits++
			if s.All > 0 {
				counted++
				_, n := s.Most()
				sum += n / s.All
			}
		}
	}
	m.row("asked for nothing (N2)", "proposed tests that could move no verdict", "0", is(idle == 0), "%d of %d", idle, listed)
	m.row("regret", "the exact policy over the best test at each turn, in support: mean, worst; up to six open questions", "shown", nil, "%.4f, %.3f over %d", regret/float64(max(policies, 1)), worst, policies)
	m.row("same-verdict share", "treatments that wait for a test: mean share of the outcomes that agree", "shown", nil, "%.2f over %d of %d", sum/float64(max(counted, 1)), counted, waits)
	m.missing()
}

// missing measures the list of what a verdict hangs on against enumeration (V5).
func (m *measure) missing() {
	right, wrong, absent := 0, 0, 0
	for _, s := range m.small {
		if slices.ContainsFunc(s.g.Case.Things, func(t *evidence.Thing) bool { return t.Unlisted }) {
			continue
		}
		c := verify.New(s.g)
		for _, v := range s.g.Verdicts {
			if v.Word != judge.TestFirst {
				continue
			}
			want, ok := c.Deciding(v)
			if !ok {
				continue
			}
			for _, n := range v.Open {
				if slices.Contains(want, n) {
					right++
				} else {
					wrong++
				}
			}
			for _, n := range want {
				if !slices.Contains(v.Open, n) {
					absent++
				}
			}
		}
	}
	m.row("missing-list precision and recall (V5)", "test first on worlds, against going through all outcomes", "1.00 / 1.00", is(wrong+absent == 0),
		"%.2f / %.2f over %d", float64(right)/float64(max(right+wrong, 1)), float64(right)/float64(max(right+absent, 1)), right)
}
