package plan

import (
	"cmp"
	"maps"
	"slices"

	"tideline/engine/judge"
)

// search looks for the best set of steps among the candidates of one group. It goes through the sets in which every step is
// there for something: a subject, a need, something brought, or to make another step permitted or worth its while.
type search struct {
	*planner
	group    []int
	subjects []*Subject
	not      [][]int // sets not wanted
	set      []int   // the best; nil while none is found
	cost     Cost
	outside  map[int]bool // candidates of other groups that might have helped
	err      error
}

// node is a set in the making: candidates in it, candidates that will not be, and what it was decided to leave.
type node struct {
	in       []int // rising
	out      map[int]bool
	undone   map[*Subject]bool
	lessened map[*Subject]bool
	unmet    map[*Brought]bool
}

// also gives the node with one candidate more in it, and others that will not be.
func (n node) also(in int, out []int) node {
	n.in = sorted(append(slices.Clone(n.in), in))
	return n.never(out)
}

func (n node) never(out []int) node {
	n.out = maps.Clone(n.out)
	for _, o := range out {
		n.out[o] = true
	}
	return n
}

func added[T comparable](m map[T]bool, v T) map[T]bool {
	m = maps.Clone(m)
	m[v] = true
	return m
}

// run searches. Candidates forced are in every set.
func (s *search) run(forced []int, barred map[int]bool) {
	root := node{in: sorted(forced), out: map[int]bool{}, undone: map[*Subject]bool{}, lessened: map[*Subject]bool{}, unmet: map[*Brought]bool{}}
	maps.Copy(root.out, barred)
	s.branch(root)
}

// branch tries the ways to meet the next thing owed, and the set itself when nothing is.
func (s *search) branch(n node) {
	if s.err != nil || s.stop() || s.set != nil && s.least(n).Compare(s.cost) > 0 {
		return
	}
	ways, leave := s.owed(n)
	if ways == nil && leave == nil {
		s.try(n)
		return
	}
	slices.SortStableFunc(ways, func(a, b int) int { return s.mild(a, b) })
	for i, w := range ways {
		s.branch(n.also(w, ways[:i]))
	}
	if leave != nil {
		s.branch(leave(n.never(ways)))
	}
}

// mild orders candidates by what they would cost.
func (s *search) mild(a, b int) int {
	x, y := s.cands[a], s.cands[b]
	return cmp.Or(cmp.Compare(x.Intervention, y.Intervention), cmp.Compare(len(x.needs)+len(x.brings), len(y.needs)+len(y.brings)), cmp.Compare(y.support, x.support), cmp.Compare(a, b))
}

// owed finds something that the set still owes: the candidates that would do, and, where it may be left, the node in which it
// is. Both are nil when nothing is owed.
func (s *search) owed(n node) (ways []int, leave func(node) node) {
	for _, c := range s.clauses {
		if contains(n.in, c.core) && !slices.ContainsFunc(c.help, func(h int) bool { return slices.Contains(n.in, h) }) {
			for _, h := range c.help {
				if !slices.Contains(s.group, h) {
					s.outside[h] = true
				}
			}
			return s.free(n, func(o *candidate) bool { return slices.Contains(c.help, s.byKey[o.Key]) }), nil
		}
	}
	for _, i := range n.in {
		c := s.cands[i]
		for _, need := range c.needs {
			if !s.any(n, func(o *candidate) bool { return need.meets(o) }) {
				return s.free(n, need.meets), nil
			}
		}
		if c.verdict.Word == judge.Possible && len(c.bars) > 0 && s.supports(n.in, i) {
			continue
		}
		for _, bar := range c.bars {
			helps := func(o *candidate) bool {
				return o != c && (o.moves(c, bar) || c.verdict.Word == judge.Possible && s.servedBy(s.byKey[o.Key], i))
			}
			if !s.any(n, helps) {
				return s.free(n, helps), nil
			}
		}
	}
	for _, sub := range s.subjects {
		level := 0
		for _, i := range n.in {
			level = max(level, s.cands[i].deals[sub])
		}
		switch {
		case level == 0 && !n.undone[sub]:
			ways := s.free(n, func(o *candidate) bool { return o.deals[sub] > 0 })
			return ways, func(n node) node { n.undone = added(n.undone, sub); return n }
		case level == lessens && sub.clearable && !n.lessened[sub]:
			ways := s.free(n, func(o *candidate) bool { return o.deals[sub] == clears })
			return ways, func(n node) node { n.lessened = added(n.lessened, sub); return n }
		}
	}
	for _, i := range n.in {
		for _, b := range s.cands[i].brings {
			meets := func(o *candidate) bool { return slices.Contains(o.meets, b) }
			if !n.unmet[b] && !s.any(n, meets) {
				return s.free(n, meets), func(n node) node { n.unmet = added(n.unmet, b); return n }
			}
		}
	}
	return nil, nil
}

// contains tells whether a rising list holds all of another.
func contains(set, all []int) bool {
	for _, n := range all {
		if _, found := slices.BinarySearch(set, n); !found {
			return false
		}
	}
	return true
}

func (s *search) any(n node, does func(*candidate) bool) bool {
	return slices.ContainsFunc(n.in, func(i int) bool { return does(s.cands[i]) })
}

// free gives the candidates of the group that would do and are neither in the set nor kept out of it; never nil.
func (s *search) free(n node, does func(*candidate) bool) []int {
	ways := []int{}
	for _, i := range s.group {
		if !n.out[i] && !slices.Contains(n.in, i) && does(s.cands[i]) {
			ways = append(ways, i)
		}
	}
	return ways
}

// least is the least that any set made from a node costs.
func (s *search) least(n node) Cost {
	c := s.costOf(n.in, nil)
	c.Undone, c.Unmet, c.Lessened = len(n.undone), len(n.unmet), len(n.lessened)
	return c
}

// try takes a set as the best if it is, and holds together. If it does not, sets with what might help are tried.
func (s *search) try(n node) {
	cost := s.costOf(n.in, s.subjects)
	if s.set != nil && cmp.Or(cost.Compare(s.cost), slices.Compare(n.in, s.set)) >= 0 {
		return
	}
	if slices.ContainsFunc(s.not, func(set []int) bool { return slices.Equal(set, n.in) }) {
		return
	}
	a, err := s.arranged(n.in)
	switch {
	case err != nil:
		s.err = err
	case a.steps == nil && !s.stopped: // it owes what might help
		s.branch(n)
	case a.steps != nil && (len(s.not) == 0 || !s.idle(n.in, cost)):
		s.set, s.cost = n.in, cost
	}
}

// idle tells whether a set would do as much, and hold together, without one of its steps.
func (s *search) idle(set []int, cost Cost) bool {
	for i := range set {
		rest := slices.Delete(slices.Clone(set), i, i+1)
		c := s.costOf(rest, s.subjects)
		if c.Undone > cost.Undone || c.Unmet > cost.Unmet || c.Lessened > cost.Lessened {
			continue
		}
		if a, _ := s.arranged(rest); a.steps != nil {
			return true
		}
	}
	return false
}

// costOf gives the cost of a set, of the subjects given.
func (pl *planner) costOf(set []int, subjects []*Subject) (c Cost) {
	for _, sub := range subjects {
		level := 0
		for _, i := range set {
			level = max(level, pl.cands[i].deals[sub])
		}
		switch {
		case level == 0:
			c.Undone++
		case level == lessens && sub.clearable:
			c.Lessened++
		}
	}
	var brought []*Brought
	for _, i := range set {
		k := pl.cands[i]
		c.Classes[5-k.Intervention]++
		c.Steps++
		c.Support += k.support
		c.Active += k.Active
		c.Waiting += k.Waiting
		for _, b := range k.brings {
			if !slices.Contains(brought, b) {
				brought = append(brought, b)
			}
		}
	}
	for _, b := range brought {
		if !slices.ContainsFunc(set, func(i int) bool { return slices.Contains(pl.cands[i].meets, b) }) {
			c.Unmet++
		}
	}
	return c
}
