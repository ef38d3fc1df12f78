package plan

import (
	"cmp"
	"container/heap"
	"slices"
)

// search looks for the best set of steps among the candidates of one group. It goes through the sets in which every step is
// there for something: a subject, or, by what was learnt of sets that do not hold together, another step. Of the sets in the
// making it always takes up the one that could cost the least, so that the first whole one that holds together is the best.
type search struct {
	*planner
	group    set
	subjects []*Subject
	forced   set
	out      set   // candidates not wanted
	not      []set // sets of steps not wanted
	keep     bool  // leave nothing undone but what is so from the start
	best     set   // nil while none is found
	ties     []set // others that cost the same
	cost     Cost
	bound    Cost // the least that any set can cost, when it was stopped
	stopped  bool
	outside  set   // candidates of other groups that might have helped
	dealing  []set // for each subject the candidates of the group that do anything for it
	clearing []set // and those that clear it
	open     nodes
}

// node is a set in the making: candidates in it, with what is accepted; those that will not be; subjects that are left as they
// are, by number.
type node struct {
	in, out          set
	undone, lessened set
	least            Cost // that any set made from it costs
	nth              int  // in the order in which they were made
}

// nodes is a heap: the one that could cost the least first, of equals the one furthest made.
type nodes struct {
	list []*node
	made int
}

func (h *nodes) Len() int { return len(h.list) }
func (h *nodes) Less(i, j int) bool {
	a, b := h.list[i], h.list[j]
	return cmp.Or(a.least.Compare(b.least), cmp.Compare(b.nth, a.nth)) < 0
}
func (h *nodes) Swap(i, j int) { h.list[i], h.list[j] = h.list[j], h.list[i] }
func (h *nodes) Push(n any)    { h.list = append(h.list, n.(*node)) }
func (h *nodes) Pop() any {
	n := h.list[len(h.list)-1]
	h.list = h.list[:len(h.list)-1]
	return n
}

// dives is how many sets are tried in a first dive for some set that holds together.
const dives = 20

// run searches.
func (s *search) run() {
	s.prepare()
	s.from(s.root())
}

// root is the node of which all sets are made.
func (s *search) root() *node {
	return &node{in: s.forced.clone(), out: s.out.clone(), undone: newSet(len(s.subjects)), lessened: newSet(len(s.subjects))}
}

// from searches from a node.
func (s *search) from(root *node) {
	left := dives
	s.dive(root, &left)
	s.push(root)
	for len(s.open.list) > 0 && s.fault == nil {
		n := heap.Pop(&s.open).(*node)
		if s.best != nil && n.least.Compare(s.cost) > 0 {
			return
		}
		if s.stop() {
			s.bound, s.stopped = n.least, true
			return
		}
		kids, whole := s.kids(n)
		if whole {
			switch tried, ok := s.try(n); {
			case !ok:
				s.bound, s.stopped = n.least, true
				return
			case !tried: // it owes what was learnt of it
				s.push(n)
			}
		}
		for _, k := range kids {
			s.push(k)
		}
	}
}

func (s *search) push(n *node) {
	n.least = s.least(n)
	if s.best == nil || n.least.Compare(s.cost) <= 0 {
		s.open.made++
		n.nth = s.open.made
		heap.Push(&s.open, n)
	}
}

// dive follows the mildest ways to a first set that holds together.
func (s *search) dive(n *node, left *int) {
	if *left <= 0 || s.best != nil || s.fault != nil || s.stop() {
		return
	}
	kids, whole := s.kids(n)
	if whole {
		*left--
		if tried, ok := s.try(n); ok && !tried {
			s.dive(n, left)
		}
	}
	for _, k := range kids {
		s.dive(k, left)
	}
}

func (s *search) prepare() {
	s.outside = newSet(s.size)
	for _, sub := range s.subjects {
		dealing, clearing := newSet(s.size), newSet(s.size)
		for _, n := range s.dealers[sub] {
			if s.group.has(n) {
				dealing.add(n)
				if s.cands[n].deals[sub] == clears {
					clearing.add(n)
				}
			}
		}
		s.dealing, s.clearing = append(s.dealing, dealing), append(s.clearing, clearing)
	}
}

// kids gives the sets that meet the next thing owed, one for each way; whole tells that nothing is owed.
func (s *search) kids(n *node) (list []*node, whole bool) {
	ways, leave, owed := s.owed(n)
	if !owed {
		return nil, true
	}
	slices.SortFunc(ways, func(a, b int) int { return cmp.Or(s.alone(a).Compare(s.alone(b)), cmp.Compare(a, b)) })
	out := n.out
	for _, w := range ways {
		list = append(list, &node{in: n.in.with(w), out: out, undone: n.undone, lessened: n.lessened})
		out = out.with(w)
	}
	if leave != nil {
		k := &node{in: n.in, out: out, undone: n.undone, lessened: n.lessened}
		if leave.lessens {
			k.lessened = k.lessened.with(leave.subject)
		} else {
			k.undone = k.undone.with(leave.subject)
		}
		list = append(list, k)
	}
	return list, false
}

// owing is a subject that a set in the making leaves undone, or only lessened, without its being decided that it is.
type owing struct {
	subject int
	lessens bool // it is lessened already
	free    set  // the candidates that could do more for it
}

// owed finds something that the set still owes: the ways in which it could be had, and, where it may be left, what. Of several
// things it is the one with the fewest ways.
func (s *search) owed(n *node) (ways []int, leave *owing, owed bool) {
	for _, c := range s.clauses {
		if !c.broken(n.in) {
			continue
		}
		could := c.help.minus(n.out)
		s.outside.join(could.minus(s.group))
		if list := could.both(s.group).list(); !owed || len(list) < len(ways) {
			if ways, owed = list, true; len(list) == 0 {
				return nil, nil, true
			}
		}
	}
	if owed {
		return ways, nil, true
	}
	list := s.owing(n)
	for i := range list {
		if o := &list[i]; leave == nil || o.free.count() < len(ways) {
			ways, leave, owed = o.free.list(), o, true
		}
	}
	if s.keep {
		leave = nil
	}
	return ways, leave, owed
}

// owing gives all subjects so owed.
func (s *search) owing(n *node) (list []owing) {
	for i, sub := range s.subjects {
		switch {
		case s.clearing[i].meets(n.in):
		case s.dealing[i].meets(n.in):
			if sub.clearable && !n.lessened.has(i) {
				list = append(list, owing{i, true, s.clearing[i].minus(n.out)})
			}
		case !n.undone.has(i):
			list = append(list, owing{i, false, s.dealing[i].minus(n.out)})
		}
	}
	return list
}

// least is the least that any set made from a node costs: what it costs so far, and for things owed that no candidate could do
// two of the mildest way of each.
func (s *search) least(n *node) Cost {
	c := s.costOf(n.in, nil)
	c.Undone, c.Lessened = c.Undone+n.undone.count(), c.Lessened+n.lessened.count()
	used := newSet(s.size)
	for _, o := range s.owing(n) {
		switch {
		case o.free.empty() && o.lessens:
			c.Lessened++
		case o.free.empty():
			c.Undone++
		case !o.free.meets(used):
			c = c.plus(s.mildest(o.free))
			used.join(o.free)
		}
	}
	return c
}

// mildest gives the least that one of some candidates costs.
func (s *search) mildest(of set) (least Cost) {
	for i, n := range of.list() {
		if c := s.alone(n); i == 0 || c.Compare(least) < 0 {
			least = c
		}
	}
	return least
}

// try takes a whole set as the best if it is, and holds together; tried is false if it does not, and has taught a clause. ok is
// false when time ran out.
func (s *search) try(n *node) (tried, ok bool) {
	cost := s.costOf(n.in, s.subjects)
	if s.best != nil && cost.Compare(s.cost) > 0 {
		return true, true
	}
	steps := s.stepsOf(n.in)
	if slices.ContainsFunc(s.not, func(o set) bool { return slices.Equal(o, steps) }) {
		return true, true
	}
	a := s.arranged(n.in)
	switch {
	case a == nil:
		return false, false
	case a.steps == nil:
		return false, true
	case len(s.not) > 0 && s.idle(n.in):
	case s.best == nil || cost.Compare(s.cost) < 0:
		s.best, s.cost, s.ties = n.in, cost, nil
	case !slices.ContainsFunc(append(s.ties, s.best), func(o set) bool { return slices.Equal(s.stepsOf(o), steps) }):
		s.ties = append(s.ties, n.in)
	}
	return true, true
}

// stepsOf gives the candidates of a set, without what is accepted.
func (pl *planner) stepsOf(of set) set {
	steps := of.clone()
	for _, b := range pl.brought {
		steps.remove(b.n)
	}
	return steps
}

// idle tells whether a set would do as much, and hold together, without some of its steps: whether the best of its subsets that
// leave no more undone is another.
func (s *search) idle(of set) bool {
	steps := s.stepsOf(of)
	less := &search{planner: s.planner, group: steps.clone(), subjects: s.subjects, forced: s.forced, out: newSet(s.size), keep: true}
	for _, b := range s.brought {
		less.group.add(b.n)
	}
	less.prepare()
	root := less.root()
	for i, sub := range s.subjects {
		switch {
		case s.clearing[i].meets(of):
		case !s.dealing[i].meets(of):
			root.undone.add(i)
		case sub.clearable:
			root.lessened.add(i)
		}
	}
	less.from(root)
	return less.best != nil && !slices.Equal(s.stepsOf(less.best), steps)
}

// alone gives what one member of a set costs, but for what it does not do.
func (pl *planner) alone(n int) Cost {
	if n >= len(pl.cands) {
		return Cost{Unmet: 1}
	}
	k := pl.cands[n]
	c := Cost{Steps: 1, Support: pl.support(n), Active: k.Active, Waiting: k.Waiting}
	c.Classes[5-k.Intervention] = 1
	return c
}

// costOf gives the cost of a set, of the subjects given.
func (pl *planner) costOf(of set, subjects []*Subject) (c Cost) {
	list := of.list()
	for _, sub := range subjects {
		level := 0
		for _, n := range list {
			if n < len(pl.cands) {
				level = max(level, pl.cands[n].deals[sub])
			}
		}
		switch {
		case level == 0:
			c.Undone++
		case level == lessens && sub.clearable:
			c.Lessened++
		}
	}
	for _, n := range list {
		c = c.plus(pl.alone(n))
	}
	return c
}
