package plan

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// levels tells how far down the orders of the pack each treatment stands: 0 for those before which none must come.
func levels(p *pack.Pack) map[string]int {
	earlier := map[string][]string{}
	for _, t := range p.Treatments {
		earlier[t.ID] = append(earlier[t.ID], t.After...)
		for _, b := range t.Before {
			earlier[b] = append(earlier[b], t.ID)
		}
	}
	for _, r := range p.Rules {
		if r.Effect == pack.Needs {
			for _, t := range r.Treatments {
				earlier[t.ID] = append(earlier[t.ID], r.Step.ID)
			}
		}
	}
	level, open := map[string]int{}, map[string]bool{}
	var find func(id string) int
	find = func(id string) int {
		if n, known := level[id]; known || open[id] { // open: a ring, which no order of steps can meet
			return n
		}
		open[id] = true
		n := 0
		for _, e := range earlier[id] {
			n = max(n, find(e)+1)
		}
		open[id], level[id] = false, n
		return n
	}
	for _, t := range p.Treatments {
		find(t.ID)
	}
	return level
}

// before orders candidates as they are tried: an order given by an earlier plan, then the orders of the pack, then names.
func (pl *planner) before(a, b *candidate) int {
	return cmp.Or(cmp.Compare(pl.was(a.Key), pl.was(b.Key)), cmp.Compare(a.level, b.level), a.Key.Compare(b.Key))
}

// was is the place of a step in the earlier plan; that of a new one is after all of them.
func (pl *planner) was(k Key) int {
	if at, known := pl.earlier[k]; known {
		return at
	}
	return len(pl.earlier)
}

// first tells whether the pack has a come before b: where they have a part in common.
func (pl *planner) first(a, b *candidate) bool {
	if !slices.Contains(a.Before, b.Treatment.ID) && !slices.Contains(b.After, a.Treatment.ID) {
		return false
	}
	return slices.ContainsFunc(a.parts, func(p string) bool { return slices.Contains(b.parts, p) })
}

// order looks for an order in which the steps of a set hold together. What kept steps from being placed is noted for whoever
// looks for a step that would help.
type order struct {
	*planner
	set    []int // rising, which is the order in which they are tried
	failed map[failure]bool
	placed map[int]bool         // steps that could be placed somewhere
	help   map[int]map[int]bool // for steps that could not be placed somewhere, the candidates that might help there
	err    error
}

type failure struct {
	placed string
	book   int
}

// arrange gives the first order in which a set holds together, nil when there is none; then one of the candidates given in help
// must be in any greater set that does, for the sake of the step stuck; -1 when they stop one another.
func (pl *planner) arrange(set []int) (arrangement, error) {
	o := &order{planner: pl, set: set, failed: map[failure]bool{}, placed: map[int]bool{}, help: map[int]map[int]bool{}}
	if steps := o.extend([]int{}); steps != nil {
		return arrangement{steps: steps, stuck: -1}, nil
	}
	stuck, help := o.stuck()
	return arrangement{stuck: stuck, help: help}, o.err
}

// arrangement is the order of a set, or what keeps it from having one.
type arrangement struct {
	steps []int
	stuck int
	help  []int
}

// stuck finds steps that have no place and that no other step without one could help, unless they help one another: in a greater
// set that holds together one of them comes first, so that something there must help it. Of several such groups the one that
// least could help; step is -1 for a group of more than one.
func (o *order) stuck() (step int, help []int) {
	waits := map[int]map[int]bool{} // for each step without a place, those that could help it, and those that could help these
	var without []int
	for _, n := range o.set {
		if !o.placed[n] {
			without = append(without, n)
			waits[n] = map[int]bool{n: true}
		}
	}
	for more := true; more; {
		more = false
		for _, n := range without {
			for _, m := range without {
				direct := o.help[n][m] || o.first(o.cands[m], o.cands[n])
				for k := range waits[m] {
					if direct && !waits[n][k] {
						waits[n][k], more = true, true
					}
				}
			}
		}
	}
	step, found := -1, false
	for _, n := range without {
		own := map[int]bool{}
		alone := true
		for m := range waits[n] {
			alone = alone && waits[m][n]
			maps.Copy(own, o.help[m])
		}
		maps.DeleteFunc(own, func(h int, _ bool) bool { return slices.Contains(o.set, h) })
		if alone && (!found || len(own) < len(help)) {
			found, step, help = true, -1, slices.Sorted(maps.Keys(own))
			if len(waits[n]) == 1 {
				step = n
			}
		}
	}
	return step, help
}

// extend puts the rest of the set after the steps placed.
func (o *order) extend(placed []int) []int {
	if len(placed) == len(o.set) {
		return slices.Clone(placed)
	}
	if o.stop() {
		return nil
	}
	f := o.foresee(placed)
	here := failure{fmt.Sprint(sorted(placed)), f.id}
	if o.failed[here] {
		return nil
	}
	for _, n := range o.set {
		if slices.Contains(placed, n) || !o.may(f, placed, n) {
			continue
		}
		o.placed[n] = true
		if found := o.extend(append(placed[:len(placed):len(placed)], n)); found != nil || o.err != nil {
			return found
		}
	}
	o.failed[here] = true
	return nil
}

func sorted(list []int) []int {
	list = slices.Clone(list)
	slices.Sort(list)
	return list
}

// may tells whether a step may come next.
func (o *order) may(f *foreseen, placed []int, n int) bool {
	c := o.cands[n]
	for _, m := range o.set {
		if m != n && !slices.Contains(placed, m) && (o.first(o.cands[m], c) || o.tooEarly(placed, n, m)) {
			return false
		}
	}
	m, err := o.meet(f, n)
	switch {
	case err != nil:
		o.err = err
		return false
	case m.v == nil: // cleared by another step, or not brought yet
		for h, other := range o.cands {
			if slices.ContainsFunc(other.brings, func(b *Brought) bool { return b.Path == c.Path }) {
				o.helps(n, h)
			}
		}
		return false
	case !o.met(f, placed, n, m):
		return false
	case m.word == judge.Recommended, m.word == judge.Possible && o.supports(o.set, n):
		return true
	}
	o.seek(n, m)
	return false
}

// tooEarly tells whether n is the last step to meet something that m is yet to bring.
func (o *order) tooEarly(placed []int, n, m int) bool {
	return slices.ContainsFunc(o.cands[m].brings, func(b *Brought) bool {
		return slices.Contains(o.cands[n].meets, b) && !slices.ContainsFunc(o.set, func(other int) bool {
			return other != n && !slices.Contains(placed, other) && slices.Contains(o.cands[other].meets, b)
		})
	})
}

// met tells whether all that a step needs has been done before it.
func (o *order) met(f *foreseen, placed []int, n int, m *meeting) bool {
	for _, i := range m.v.Instances {
		if i.Rule.Effect != pack.Needs || i.Value == cond.False || i.Rule.Withdrawn != nil {
			continue
		}
		for _, ways := range o.needs(f.c, i) {
			if !slices.ContainsFunc(placed, func(p int) bool { return slices.Contains(ways, o.cands[p].Key) }) {
				rests := o.leaves(m.g, toFail, i)
				for h, other := range o.cands {
					if slices.Contains(ways, other.Key) || other.touches(rests) {
						o.helps(n, h)
					}
				}
				return false
			}
		}
	}
	return true
}

// supports tells whether a step is there for another: one of the set needs it, or it meets what one of them brings.
func (pl *planner) supports(set []int, n int) bool {
	return slices.ContainsFunc(set, func(m int) bool { return m != n && pl.servedBy(m, n) })
}

// servedBy tells whether m needs n or brings something that n meets.
func (pl *planner) servedBy(m, n int) bool {
	return slices.ContainsFunc(pl.cands[m].needs, func(need need) bool { return slices.Contains(need.ways, pl.cands[n].Key) }) ||
		slices.ContainsFunc(pl.cands[m].brings, func(b *Brought) bool { return slices.Contains(pl.cands[n].meets, b) })
}

// seek notes the candidates that could change what is in the way of a verdict, or give the step something to be there for. Of
// several things in the way each must be seen to: those that could see to the one that the fewest can are enough.
func (o *order) seek(n int, m *meeting) {
	var least []int
	bars := o.inTheWay(m.g, m.v, o.cands[n], o.cands)
	for k, bar := range bars {
		var could []int
		for h, c := range o.cands {
			if h != n && (c.moves(o.cands[n], bar) || m.word != judge.RuledOut && m.word != judge.TestFirst && o.servedBy(h, n)) {
				could = append(could, h)
			}
		}
		if k == 0 || len(could) < len(least) {
			least = could
		}
	}
	for _, h := range least {
		o.helps(n, h)
	}
}

func (o *order) helps(n, h int) {
	if o.help[n] == nil {
		o.help[n] = map[int]bool{}
	}
	o.help[n][h] = true
}
