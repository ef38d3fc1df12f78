package plan

import (
	"cmp"
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
)

// plan writes a solution out. again tells that groups were made one on the way, and it is to be solved again.
func (pl *planner) plan(s *solution, o Options) (p *Plan, again bool) {
	p = &Plan{Judgement: pl.base, Rest: pl.rest, Cost: s.cost, Bound: s.cost, Proven: !pl.stopped}
	if pl.stopped {
		p.Bound = s.bound
	}
	if p.Ties, again = pl.ties(s); again {
		return nil, true
	}
	if p.Next, again = pl.nextBest(s, o.Next); again {
		return nil, true
	}
	for i := range s.order {
		p.Steps = append(p.Steps, pl.step(s.order, i))
	}
	pl.join(p, s.order)
	pl.leave(p)
	if o.Must {
		pl.must(p, s)
	}
	return p, false
}

// step writes a step out, with the book that it will meet.
func (pl *planner) step(order []int, i int) *Step {
	c := pl.cands[order[i]]
	s := &Step{Key: c.Key, Treatment: c.Treatment, Brings: c.brings}
	own := evidence.Gather(pl.base.Case.Pack, pl.recordAfter(order[:i]), pl.base.Case.On)
	s.State, s.Verdict, s.Retests = pl.judged(own, pl.foresee(order[:i]), order[i])
	for sub := range c.deals {
		s.For = append(s.For, sub)
	}
	slices.SortFunc(s.For, func(a, b *Subject) int {
		return cmp.Compare(slices.Index(pl.subjects, a), slices.Index(pl.subjects, b))
	})
	return s
}

// judged judges a step on the book that it will meet. Tests that earlier steps made stale and that keep it from being judged as
// the plan has it are to be done again, and are taken to turn out as expected; so are those that a finding brought will answer.
func (pl *planner) judged(c *evidence.Case, f *foreseen, n int) (g *judge.Judgement, v *judge.Verdict, again []Retest) {
	k := pl.cands[n]
	for {
		g = judge.Begin(c)
		var err error
		v, err = g.Decide(k.Treatment.ID, k.Path)
		pl.fault = cmp.Or(pl.fault, err)
		asks := pl.stale(g, v, f, n)
		for _, q := range asks {
			a := &c.Asks[q]
			r := Retest{Path: a.Thing.Path, Question: a.Question, Before: a.Result.Answer, Expected: pl.answer(f, pl.numberOf(c, q))}
			again = append(again, r)
			c.Answer(q, r.Expected)
		}
		if len(asks) == 0 {
			break
		}
	}
	if v.Word == judge.TestFirst {
		for _, q := range v.Open {
			again = append(again, Retest{Path: c.Asks[q].Thing.Path, Question: c.Asks[q].Question})
		}
	}
	return g, v, again
}

// stale gives the questions that steps of the plan made stale and that a verdict must have answered to be as the plan has it: those
// that it hangs on; where these are not enough, all that never statements could tie to them.
func (pl *planner) stale(g *judge.Judgement, v *judge.Verdict, f *foreseen, n int) (list []int) {
	planned := pl.meet(f, n)
	if may, own := pl.permits(g, v); may && own == planned.own {
		return nil
	}
	for _, q := range v.Open {
		if pl.lapsed(g.Case, f, q) {
			list = append(list, q)
		}
	}
	for q := 0; len(list) == 0 && q < len(g.Case.Asks); q++ {
		if pl.lapsed(g.Case, f, q) {
			list = append(list, q)
		}
	}
	return list
}

// lapsed tells whether a question has no answer because steps of the plan made it stale.
func (pl *planner) lapsed(c *evidence.Case, f *foreseen, q int) bool {
	a := &c.Asks[q]
	n := pl.numberOf(c, q)
	return n >= 0 && !a.Answer.Known && a.Lapsed != nil && a.Lapsed.Step != nil && pl.answer(f, n).Known
}

// join tells each step what it is there for: what it meets, and who needs it.
func (pl *planner) join(p *Plan, order []int) {
	for _, b := range pl.brought {
		b.Met, b.By = nil, nil
	}
	f := pl.start
	for i, n := range order {
		for _, b := range pl.cands[n].meets {
			if f.there.has(b.thing.Index) {
				p.Steps[i].Meets = append(p.Steps[i].Meets, b)
				b.Met = &p.Steps[i].Key
			}
		}
		for _, b := range pl.cands[n].brings {
			if b.Met = nil; len(b.By) == 0 {
				p.Brought = append(p.Brought, b)
			}
			b.By = append(b.By, p.Steps[i].Key)
		}
		for _, need := range pl.needs(pl.meet(f, n)) {
			for j := range i {
				if slices.Contains(need.ways, order[j]) && !slices.Contains(p.Steps[j].Needed, p.Steps[i].Key) {
					p.Steps[j].Needed = append(p.Steps[j].Needed, p.Steps[i].Key)
				}
			}
		}
		f = pl.next(f, n)
	}
}

// leave finds what the plan leaves undone or lessened, with the verdicts that say why.
func (pl *planner) leave(p *Plan) {
	for _, sub := range pl.subjects {
		level := 0
		for _, s := range p.Steps {
			level = max(level, pl.cands[pl.byKey[s.Key]].deals[sub])
		}
		if level == clears {
			continue
		}
		left := &Left{Subject: sub, Lessened: level == lessens}
		for _, v := range pl.base.Verdicts {
			k := Key{v.Treatment.ID, v.Target.Path}
			does := pl.deals[k][sub]
			if n, known := pl.byKey[k]; known {
				does = max(does, pl.cands[n].deals[sub])
			}
			if does > level || does > 0 && level == 0 {
				left.Verdicts = append(left.Verdicts, v)
				if d := pl.doneOf(k); d != nil && left.Done == nil {
					left.Done = d
				}
			}
		}
		if level == 0 || len(left.Verdicts) > 0 {
			p.Left = append(p.Left, left)
		}
	}
}
