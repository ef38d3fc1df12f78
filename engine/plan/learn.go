package plan

import "slices"

// clause says that a set with all of the core in it holds together only with one of the others.
type clause struct {
	core, help set
	size       int // of the core
}

// broken tells whether a set breaks the clause.
func (c *clause) broken(by set) bool { return c.core.within(by) && !c.help.meets(by) }

// arrangement is the order of a set, nil when there is none; then a greater set that holds together has one of help.
type arrangement struct {
	of    set
	steps []int
	help  set
	apart bool // two of its steps are never done both
}

// arranged finds an order for a set, once; nil when time ran out. From a set without one it learns a clause, from as few of its
// steps as it can: it looks at those first that found no place in a short search.
func (pl *planner) arranged(of set) *arrangement {
	a, o := pl.arrange(of, quick)
	if a != nil && (a.steps != nil || a.apart) {
		return a
	}
	for _, n := range o.stuck() {
		if b := pl.core(of, n); b != nil {
			return b
		}
	}
	if a == nil {
		if a = pl.apart(of, o.steps); a != nil && a.steps != nil {
			return a
		}
	}
	if a != nil && !pl.pair(of, o.steps) {
		pl.lessen(of)
	}
	return a
}

// core looks for steps around one that do not hold together without others of which the set has none.
func (pl *planner) core(of set, n int) *arrangement {
	few := newSet(pl.size, n)
	for {
		b, _ := pl.arrange(few, quick)
		if b == nil || b.steps != nil {
			return nil
		}
		more := b.help.both(of).minus(few)
		if more.empty() {
			return b
		}
		few.join(more)
	}
}

// lessen looks for fewer steps of a set that do not hold together either without others of which it has none, by leaving one out
// after the other.
func (pl *planner) lessen(of set) {
	few := of.clone()
	for _, n := range of.list() {
		if less := few.without(n); pl.clash(less, of) {
			few = less
		}
	}
}

// clash tells whether some steps of a set do not hold together without others of which it has none.
func (pl *planner) clash(some, of set) bool {
	a, _ := pl.arrange(some, quick)
	return a != nil && a.steps == nil && !a.help.meets(of)
}

// pair looks for two steps of a set that clash: what one of them rests on the other changes.
func (pl *planner) pair(of set, steps []int) bool {
	for i, n := range steps {
		for _, m := range steps[:i] {
			if !pl.related(n, m) {
				continue
			}
			two := newSet(pl.size, n, m)
			for _, b := range pl.brought {
				if of.has(b.n) {
					two.add(b.n)
				}
			}
			if pl.clash(two, of) {
				return true
			}
		}
	}
	return false
}

// apart finds an order for a set by one for each of its parts that have nothing to do with each other; the arrangement of a part
// that has none, where there is one.
func (pl *planner) apart(of set, steps []int) *arrangement {
	whole := &arrangement{of: of.clone(), help: newSet(pl.size)}
	for _, part := range pl.parts(of, steps) {
		a, _ := pl.arrange(part, long)
		if a == nil || a.steps == nil {
			return a
		}
		whole.steps = append(whole.steps, a.steps...)
	}
	pl.sets[of.key()] = whole
	return whole
}

// parts splits a set into parts that have nothing to do with each other.
func (pl *planner) parts(of set, steps []int) (list []set) {
	left := slices.Clone(steps)
	for len(left) > 0 {
		part := newSet(pl.size, left[0])
		todo := []int{left[0]}
		left = left[1:]
		for len(todo) > 0 {
			n := todo[0]
			todo = todo[1:]
			left = slices.DeleteFunc(left, func(m int) bool {
				if !pl.related(n, m) {
					return false
				}
				part.add(m)
				todo = append(todo, m)
				return true
			})
		}
		for _, b := range pl.brought {
			if of.has(b.n) {
				part.add(b.n)
			}
		}
		list = append(list, part)
	}
	return list
}

// related tells whether two steps have anything to do with each other when they are put in order.
func (pl *planner) related(n, m int) bool {
	a, b := pl.cands[n], pl.cands[m]
	return pl.first(a, b) || pl.first(b, a) || pl.touches(n, m) || pl.touches(m, n) || pl.servers(n).has(m) || pl.servers(m).has(n) ||
		slices.ContainsFunc(a.brings, func(x *Brought) bool { return slices.Contains(b.brings, x) || slices.Contains(b.meets, x) }) ||
		slices.ContainsFunc(b.brings, func(x *Brought) bool { return slices.Contains(a.meets, x) })
}

// How many books are looked at for one order before a search for it is given up.
const (
	quick = 400
	long  = 1 << 40
)

// arrange finds an order for a set, once; nil when it was given up. Every set without one is a clause.
func (pl *planner) arrange(of set, most int) (*arrangement, *order) {
	name := of.key()
	o := &order{planner: pl, of: of, failed: map[string]bool{}, help: newSet(pl.size), placed: newSet(pl.size), left: most}
	if pl.stopped {
		o.left = min(most, quick)
	}
	for _, n := range of.list() {
		if n < len(pl.cands) {
			o.steps = append(o.steps, n)
		}
	}
	if a, known := pl.sets[name]; known {
		return a, o
	}
	of = of.clone()
	a := &arrangement{of: of, help: o.help}
	for _, n := range o.steps {
		if pl.cands[n].instead.meets(of) {
			m := pl.cands[n].instead.both(of).list()[0]
			pl.learn(&clause{newSet(pl.size, n, m), newSet(pl.size), 2})
			pl.sets[name], a.apart = a, true
			return a, o
		}
	}
	a.steps = o.extend(at{f: pl.start, done: newSet(pl.size), pending: newSet(pl.size), unmet: newSet(pl.size)})
	if o.gaveUp {
		return nil, o
	}
	pl.sets[name] = a
	if a.steps == nil {
		for _, n := range o.steps {
			a.help.remove(n) // it is there, and not enough
		}
		pl.learn(&clause{of, a.help, of.count()})
	}
	return a, o
}

// stuck gives the steps that found no place.
func (o *order) stuck() (list []int) {
	for _, n := range o.steps {
		if !o.placed.has(n) {
			list = append(list, n)
		}
	}
	return list
}

func (pl *planner) learn(c *clause) {
	i, _ := slices.BinarySearchFunc(pl.clauses, c.size+1, func(c *clause, size int) int { return c.size - size })
	pl.clauses = slices.Insert(pl.clauses, i, c)
}
