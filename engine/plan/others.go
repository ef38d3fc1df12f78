package plan

import (
	"cmp"
	"slices"
)

// ties gives the changes after which the plan would be as good: other sets of one group. again tells that one does not go with the
// sets of the others, so that groups were made one.
func (pl *planner) ties(s *solution) (list []*Alternative, again bool) {
	if pl.stopped {
		return nil, false
	}
	for _, g := range s.groups {
		for _, tie := range g.ties {
			all := pl.with(s, map[*search]set{g: tie})
			switch a := pl.arranged(all); {
			case a == nil:
			case a.steps == nil:
				pl.merge(all)
				return nil, true
			default:
				list = append(list, pl.alternative(s, all, s.cost))
			}
		}
	}
	return list, false
}

// with puts the best sets of the groups together, but for some groups others.
func (pl *planner) with(s *solution, instead map[*search]set) set {
	all := newSet(pl.size)
	for _, g := range s.groups {
		if other, given := instead[g]; given {
			all.join(other)
		} else {
			all.join(g.best)
		}
	}
	return all
}

func (pl *planner) alternative(s *solution, all set, cost Cost) *Alternative {
	a := &Alternative{Cost: cost}
	best := pl.with(s, nil)
	for n, k := range pl.cands {
		switch {
		case all.has(n) && !best.has(n):
			a.With = append(a.With, k.Key)
		case best.has(n) && !all.has(n):
			a.Without = append(a.Without, k.Key)
		}
	}
	return a
}

// choice is one set of each group, by its place among the sets of the group from the best on.
type choice struct {
	at   []int
	last int // the last group in which it is not the best
	cost Cost
}

// nextBest finds the next best plans. The sets of each group are found one after the other as they are asked for; choices of one
// set each are gone through in the order of what they cost together.
func (pl *planner) nextBest(s *solution, most int) (list []*Alternative, again bool) {
	found := make([][]*search, len(s.groups))
	for i, g := range s.groups {
		found[i] = []*search{g}
	}
	nth := func(group, n int) *search {
		for len(found[group]) <= n {
			next := pl.search(s.groups[group].group)
			for _, f := range found[group] {
				next.not = append(next.not, pl.stepsOf(f.best))
			}
			next.run()
			if next.best == nil || pl.stopped {
				return nil
			}
			again = again || pl.outside(next)
			found[group] = append(found[group], next)
		}
		return found[group][n]
	}
	open := []choice{{at: make([]int, len(s.groups)), last: 0}}
	for len(open) > 0 && len(list) < most && !pl.stopped && pl.fault == nil {
		slices.SortStableFunc(open, func(a, b choice) int { return cmp.Or(a.cost.Compare(b.cost), slices.Compare(b.at, a.at)) })
		c := open[0]
		open = open[1:]
		instead := map[*search]set{}
		for i, g := range s.groups {
			instead[g] = found[i][c.at[i]].best
		}
		if all := pl.with(s, instead); slices.Max(append(c.at, 0)) > 0 {
			a := pl.arranged(all)
			if a == nil || a.steps == nil {
				pl.merge(all)
				return nil, a != nil
			}
			list = append(list, pl.alternative(s, all, pl.costOf(all, pl.subjects)))
		}
		for i := c.last; i < len(s.groups); i++ {
			next := choice{at: slices.Clone(c.at), last: i}
			next.at[i]++
			if nth(i, next.at[i]) == nil {
				continue
			}
			if again {
				return nil, true
			}
			for j, g := range next.at {
				next.cost = next.cost.plus(found[j][g].cost)
			}
			open = append(open, next)
		}
	}
	return list, false
}

// must marks the steps without which no valid plan leaves as little undone.
func (pl *planner) must(p *Plan, s *solution) {
	for _, step := range p.Steps {
		n := pl.byKey[step.Key]
		barred := pl.barred
		pl.barred = barred.with(n)
		without := &solution{none: true}
		if !pl.forced.has(n) {
			without = pl.solve()
		}
		pl.barred = barred
		step.Must = !pl.stopped && (without.none || without.cost.Undone > p.Cost.Undone)
	}
}

// salvage makes a plan of what was found when time ran out: the best sets that go together, and for groups without one the best
// of those that were tried.
func (pl *planner) salvage(s *solution) {
	all := pl.forced.clone()
	s.order = nil
	if a, _ := pl.arrange(all, quick); a != nil {
		s.order = a.steps
	}
	take := func(more set) {
		both := all.clone()
		both.join(more)
		if pl.costOf(both, pl.subjects).Compare(pl.costOf(all, pl.subjects)) >= 0 {
			return
		}
		if a, _ := pl.arrange(both, quick); a != nil && a.steps != nil {
			all, s.order = both, a.steps
		}
	}
	for _, g := range s.groups {
		if g.best != nil {
			take(g.best)
		}
	}
	var tried []set
	for _, a := range pl.sets {
		if a.steps != nil && !newSet(pl.size, a.steps...).meets(pl.barred) {
			tried = append(tried, a.of)
		}
	}
	slices.SortFunc(tried, func(a, b set) int {
		return cmp.Or(pl.costOf(a, pl.subjects).Compare(pl.costOf(b, pl.subjects)), slices.Compare(a, b))
	})
	for _, more := range tried[:min(len(tried), 100)] {
		take(more)
	}
	s.cost = pl.costOf(pl.stepsOf(all), pl.subjects)
	s.cost.Unmet = pl.unmet(s.order)
}

// unmet counts what is brought and not met after, in an order.
func (pl *planner) unmet(order []int) int {
	left := newSet(pl.size)
	for _, n := range order {
		left = pl.owes(left, n)
	}
	return left.count()
}

// owes gives what is still to be met after one step more.
func (pl *planner) owes(unmet set, n int) set {
	unmet = unmet.clone()
	for _, b := range pl.cands[n].meets {
		unmet.remove(b.n) // if it is there; if not, it was cleared, or is yet to be brought
	}
	for _, b := range pl.cands[n].brings {
		unmet.add(b.n)
	}
	return unmet
}
