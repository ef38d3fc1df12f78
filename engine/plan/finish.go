package plan

import (
	"cmp"
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// plan writes a solution out.
func (pl *planner) plan(s *solution, o Options) (*Plan, error) {
	p := &Plan{Judgement: pl.base, Rest: pl.rest, Cost: s.cost, Proven: !pl.stopped}
	for i := range s.all {
		step, err := pl.step(s.all, i)
		if err != nil {
			return nil, err
		}
		p.Steps = append(p.Steps, step)
	}
	pl.join(p, s.all)
	pl.leave(p)
	var err error
	if !pl.stopped {
		p.Next, err = pl.next(s, o)
	}
	return p, err
}

// step writes a step out, with the book that it will meet.
func (pl *planner) step(order []int, i int) (*Step, error) {
	c := pl.cands[order[i]]
	f := pl.foresee(order[:i])
	m, err := pl.meet(f, order[i])
	if err != nil {
		return nil, err
	}
	s := &Step{Key: c.Key, Treatment: c.Treatment, Brings: c.brings, Retests: m.retests, State: m.g, Verdict: m.v}
	if len(m.retests) > 0 { // judge it once more, with the tests done: a proof reads the answers
		own := evidence.Gather(f.c.Pack, f.c.Book, f.c.On)
		for _, r := range m.retests {
			if r.Expected.Known {
				own.Answer(own.Number(own.At(r.Path), r.Question), r.Expected)
			}
		}
		if s.State, s.Verdict, err = judge.One(own, c.Treatment.ID, c.Path); err != nil {
			return nil, err
		}
	}
	for sub := range c.deals {
		s.For = append(s.For, sub)
	}
	slices.SortFunc(s.For, func(a, b *Subject) int {
		return cmp.Compare(slices.Index(pl.subjects, a), slices.Index(pl.subjects, b))
	})
	return s, nil
}

// join tells each step what it is there for: what it meets, and who needs it.
func (pl *planner) join(p *Plan, order []int) {
	brings := map[*Brought]bool{}
	for i, n := range order {
		for _, b := range pl.cands[n].meets {
			if by := p.bringers(b, i); len(by) > 0 {
				p.Steps[i].Meets = append(p.Steps[i].Meets, b)
				b.Met = &p.Steps[i].Key
			}
		}
		for _, b := range pl.cands[n].brings {
			b.Met = nil
			if !brings[b] {
				brings[b] = true
				p.Brought = append(p.Brought, b)
			}
			b.By = append(b.By, p.Steps[i].Key)
		}
		v := p.Steps[i].Verdict
		for _, inst := range v.Instances {
			if inst.Rule.Effect != pack.Needs || inst.Value == cond.False {
				continue
			}
			for _, ways := range pl.needs(p.Steps[i].State.Case, inst) {
				for j := range i {
					if slices.Contains(ways, p.Steps[j].Key) && !slices.Contains(p.Steps[j].Needed, p.Steps[i].Key) {
						p.Steps[j].Needed = append(p.Steps[j].Needed, p.Steps[i].Key)
					}
				}
			}
		}
	}
}

// bringers gives the steps before the place that bring a finding.
func (p *Plan) bringers(b *Brought, before int) (by []Key) {
	for _, s := range p.Steps[:before] {
		if slices.Contains(s.Brings, b) {
			by = append(by, s.Key)
		}
	}
	return by
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

// next finds the next best plans. One differs from the best in one group alone: a change in two groups costs more than either.
func (pl *planner) next(s *solution, o Options) ([]*Alternative, error) {
	forced, barred := pl.indexes(o.With), map[int]bool{}
	for _, n := range pl.indexes(o.Without) {
		barred[n] = true
	}
	type open struct {
		group int
		not   [][]int
		found *search
	}
	var all []*open
	look := func(group int, not [][]int) error {
		found, err := pl.best(s.of, group, not, forced, barred)
		if err == nil && found.set != nil && !pl.stopped {
			all = append(all, &open{group, not, found})
		}
		return err
	}
	if o.Next > 0 {
		for _, group := range groupsOf(s.of) {
			if err := look(group, [][]int{s.sets[group]}); err != nil {
				return nil, err
			}
		}
	}
	var list []*Alternative
	for len(list) < o.Next && len(all) > 0 && !pl.stopped {
		slices.SortStableFunc(all, func(a, b *open) int {
			return cmp.Or(pl.instead(s, a.group, a.found).Compare(pl.instead(s, b.group, b.found)), slices.Compare(a.found.set, b.found.set))
		})
		first := all[0]
		all = all[1:]
		if pl.together(s, first.group, first.found.set) {
			list = append(list, pl.alternative(s, first.group, first.found))
		}
		if err := look(first.group, append(slices.Clone(first.not), first.found.set)); err != nil {
			return nil, err
		}
	}
	return list, nil
}

// instead gives what the plan costs with another set in one group.
func (pl *planner) instead(s *solution, group int, other *search) Cost {
	c := other.cost
	c.Undone += pl.hopeless()
	for g, set := range s.sets {
		if g != group {
			c = c.plus(pl.costIn(s.of, g, set))
		}
	}
	return c
}

// costIn gives the cost of a set within its group.
func (pl *planner) costIn(of []int, group int, set []int) Cost {
	var subjects []*Subject
	for _, sub := range pl.subjects {
		if slices.ContainsFunc(pl.byGroup(of, group), func(i int) bool { return pl.cands[i].deals[sub] > 0 }) {
			subjects = append(subjects, sub)
		}
	}
	return pl.costOf(set, subjects)
}

func (pl *planner) byGroup(of []int, group int) (list []int) {
	for i, g := range of {
		if g == group {
			list = append(list, i)
		}
	}
	return list
}

// together tells whether another set in one group goes with those of the others.
func (pl *planner) together(s *solution, group int, set []int) bool {
	all := slices.Clone(set)
	for g, other := range s.sets {
		if g != group {
			all = append(all, other...)
		}
	}
	a, err := pl.arranged(sorted(all))
	return err == nil && a.steps != nil
}

func (pl *planner) alternative(s *solution, group int, other *search) *Alternative {
	a := &Alternative{Cost: pl.instead(s, group, other)}
	for _, n := range other.set {
		if !slices.Contains(s.sets[group], n) {
			a.With = append(a.With, pl.cands[n].Key)
		}
	}
	for _, n := range s.sets[group] {
		if !slices.Contains(other.set, n) {
			a.Without = append(a.Without, pl.cands[n].Key)
		}
	}
	return a
}
