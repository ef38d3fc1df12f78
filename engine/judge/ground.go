package judge

import (
	"fmt"
	"slices"

	"tideline/engine/evidence"
	"tideline/rules/cond"
)

// formula is the open part of a condition, written out for the things of a case: constants are folded away, and each
// leaf knows how its value depends on the cells of open questions.
type formula struct {
	op    cond.Op // OpConst, OpAtom, OpNot, OpAnd, OpOr or OpCount
	value bool
	kids  []*formula
	count int
	leaf  *leaf
	// numbers are the questions it hangs on, once asked for.
	numbers []int
	// hung marks a formula that holds something that cannot be computed, whatever else is answered: see [formula.taken].
	hung bool
}

// leaf is an open atom: its value for every combination of cells of the open questions it reads.
type leaf struct {
	asks   []int // numbers of questions
	sizes  []int // how many cells each has
	values []bool
	// refused marks the combinations for which a function of the atom refuses to compute, nil when there are none: the
	// value is then neither true nor false.
	refused []bool
	sampled bool // points of a range stand in for the cells of one of its questions
}

// value is the value for a combination of cells.
func (l *leaf) value(at int) cond.Truth {
	if l.refused != nil && l.refused[at] {
		return cond.Open
	}
	return cond.Of(l.values[at])
}

// formula makes a formula of a leaf: a constant where its value is one.
func (l *leaf) formula() *formula {
	hung := slices.Contains(l.refused, true)
	if !hung && !slices.Contains(l.values, !l.values[0]) {
		return constant(l.values[0])
	}
	if hung && !slices.Contains(l.refused, false) { // whatever is answered
		l = &leaf{values: l.values[:1], refused: l.refused[:1], sampled: l.sampled}
	}
	return &formula{op: cond.OpAtom, leaf: l, hung: hung}
}

// taken gives the formula with whatever cannot be computed taken the way that makes the whole hold, or the way that
// makes it fail. A formula surely holds where it holds when taken to fail.
func (f *formula) taken(holds bool) *formula {
	if !f.hung {
		return f
	}
	if f.op == cond.OpAtom {
		l := &leaf{asks: f.leaf.asks, sizes: f.leaf.sizes, values: slices.Clone(f.leaf.values), sampled: f.leaf.sampled}
		for i, refused := range f.leaf.refused {
			if refused {
				l.values[i] = holds
			}
		}
		return l.formula()
	}
	if f.op == cond.OpNot {
		return not(f.kids[0].taken(!holds))
	}
	kids := make([]*formula, 0, len(f.kids))
	for _, k := range f.kids {
		kids = append(kids, k.taken(holds))
	}
	if f.op == cond.OpCount {
		return atLeast(f.count, kids)
	}
	return join(f.op, kids...)
}

func anyHung(kids []*formula) bool {
	return slices.ContainsFunc(kids, func(f *formula) bool { return f.hung })
}

// find tells whether some leaf of the formula is so.
func (f *formula) find(is func(*leaf) bool) bool {
	return f.leaf != nil && is(f.leaf) || slices.ContainsFunc(f.kids, func(k *formula) bool { return k.find(is) })
}

var (
	always    = &formula{op: cond.OpConst, value: true}
	neverHold = &formula{op: cond.OpConst}
)

func constant(v bool) *formula {
	if v {
		return always
	}
	return neverHold
}

// known tells whether the formula is a constant, and which.
func (f *formula) known() cond.Truth {
	if f.op == cond.OpConst {
		return cond.Of(f.value)
	}
	return cond.Open
}

func not(f *formula) *formula {
	switch f.op {
	case cond.OpConst:
		return constant(!f.value)
	case cond.OpNot:
		return f.kids[0]
	}
	return &formula{op: cond.OpNot, kids: []*formula{f}, hung: f.hung}
}

// join makes a conjunction or disjunction, without constants and with nested ones laid flat.
func join(op cond.Op, kids ...*formula) *formula {
	open := make([]*formula, 0, len(kids))
	for _, k := range kids {
		switch {
		case k.op != cond.OpConst:
			open = add(open, op, k)
		case k.value == (op == cond.OpOr):
			return k // the constant that decides
		}
	}
	return joined(op, open)
}

// add adds an operand to those of a conjunction or disjunction.
func add(open []*formula, op cond.Op, k *formula) []*formula {
	if k.op == op {
		return append(open, k.kids...)
	}
	return append(open, k)
}

// joined makes a conjunction or disjunction of operands that are open, and keeps the list.
func joined(op cond.Op, open []*formula) *formula {
	switch len(open) {
	case 0:
		return constant(op == cond.OpAnd)
	case 1:
		return open[0]
	}
	return &formula{op: op, kids: open, hung: anyHung(open)}
}

func and(kids ...*formula) *formula { return join(cond.OpAnd, kids...) }
func or(kids ...*formula) *formula  { return join(cond.OpOr, kids...) }

// atLeast is true when n of the kids are.
func atLeast(n int, kids []*formula) *formula {
	var open []*formula
	for _, k := range kids {
		switch k.known() {
		case cond.True:
			n--
		case cond.Open:
			open = append(open, k)
		}
	}
	switch {
	case n <= 0:
		return always
	case n > len(open):
		return neverHold
	case n == 1:
		return or(open...)
	case n == len(open):
		return and(open...)
	}
	return &formula{op: cond.OpCount, count: n, kids: open, hung: anyHung(open)}
}

// asks gives the numbers of the questions a formula hangs on, rising. The list must not be changed.
func (f *formula) asks() []int {
	switch {
	case f.numbers != nil || f.op == cond.OpConst:
	case f.leaf != nil:
		f.numbers = f.leaf.asks
	case len(f.kids) == 1:
		f.numbers = f.kids[0].asks()
	default:
		total := 0
		for _, k := range f.kids {
			total += len(k.asks())
		}
		list := make([]int, 0, total)
		for _, k := range f.kids {
			list = append(list, k.asks()...)
		}
		slices.Sort(list)
		f.numbers = slices.Compact(list)
	}
	return f.numbers
}

// reads adds the questions that leaves read to a list, as often as they do.
func (f *formula) reads(list []int) []int {
	if f.leaf != nil {
		return append(list, f.leaf.asks...)
	}
	for _, k := range f.kids {
		list = k.reads(list)
	}
	return list
}

// readsAny tells whether the formula hangs on one of the questions.
func (f *formula) readsAny(numbers []int) bool {
	asks := f.asks()
	return slices.ContainsFunc(numbers, func(n int) bool { _, found := slices.BinarySearch(asks, n); return found })
}

// assign puts a cell of a question into the formula.
func (f *formula) assign(number, cell int) *formula {
	if _, reads := slices.BinarySearch(f.asks(), number); !reads {
		return f
	}
	if f.leaf != nil {
		return f.leaf.assign(number, cell)
	}
	kids := make([]*formula, 0, len(f.kids))
	for _, k := range f.kids {
		switch k = k.assign(number, cell); {
		case f.op == cond.OpNot:
			return not(k)
		case f.op == cond.OpCount:
			kids = append(kids, k)
		case k.op != cond.OpConst:
			kids = add(kids, f.op, k)
		case k.value == (f.op == cond.OpOr):
			return k // it decides
		}
	}
	if f.op == cond.OpCount {
		return atLeast(f.count, kids)
	}
	return joined(f.op, kids)
}

// assign puts a cell of one of its questions into the leaf.
func (l *leaf) assign(number, cell int) *formula {
	if len(l.asks) == 1 && l.refused == nil {
		return constant(l.values[cell])
	}
	at := slices.Index(l.asks, number)
	inner := 1 // how many values follow for each cell of the question
	for _, size := range l.sizes[at+1:] {
		inner *= size
	}
	rest := &leaf{asks: slices.Delete(slices.Clone(l.asks), at, at+1), sizes: slices.Delete(slices.Clone(l.sizes), at, at+1), sampled: l.sampled}
	for i, v := range l.values {
		if i/inner%l.sizes[at] != cell {
			continue
		}
		if rest.values = append(rest.values, v); l.refused != nil {
			rest.refused = append(rest.refused, l.refused[i])
		}
	}
	return rest.formula()
}

// cells gives how many cells a question has, and remembers the cut.
func (j *judge) cells(number int) []cond.Cell {
	if cells, ok := j.asIs[number]; ok {
		return cells
	}
	q := j.c.Asks[number].Question
	if cells, ok := j.cut[q]; ok {
		return cells
	}
	cells, _ := j.c.Pack.Env.Cells(q)
	j.cut[q] = cells
	return cells
}

// leafLimit is how many combinations of cells one atom is tried with; at most four answers stand in one, so that only a
// pack with an absurd number of thresholds comes near it.
const leafLimit = 1_000_000

// dosedLimit is the same for an atom that calls a function: at most three answers stand in one.
const dosedLimit = 60_000

// write writes a condition out for the things in env.
func (j *judge) write(n *cond.Node, env []int32) *formula {
	if v := j.eval(n, env); v != cond.Open {
		return constant(v == cond.True)
	}
	switch n.Op {
	case cond.OpAtom:
		return j.leaf(n, env)
	case cond.OpFact:
		thing := j.end(n.Of, env)
		f := j.c.Pack.Fact(n.Fact)
		return j.write(f.Is.Root, j.of(f.Is, thing))
	case cond.OpNot:
		return not(j.write(n.Kids[0], env))
	case cond.OpAnd, cond.OpOr:
		kids := make([]*formula, 0, len(n.Kids))
		for _, k := range n.Kids {
			kids = append(kids, j.write(k, env))
		}
		return join(n.Op, kids...)
	}
	list := j.things(n.Of, env)
	kids := make([]*formula, 0, len(list))
	for _, m := range list {
		env[n.Bind] = int32(m.Index)
		kid := j.write(n.Kids[0], env)
		if n.Op == cond.OpAll {
			kid = not(kid) // all is: none for which it fails
		}
		kids = append(kids, and(j.there(m), kid))
	}
	switch n.Op {
	case cond.OpAll:
		return not(or(kids...))
	case cond.OpExists:
		return or(kids...)
	}
	return atLeast(n.Count, kids)
}

// there is whether a thing is there at all: for one not listed, that the list is not complete.
func (j *judge) there(m *evidence.Thing) *formula {
	if !m.Unlisted || j.surelyThere(m) {
		return always
	}
	l := &leaf{asks: []int{m.Listed}}
	for _, cell := range j.cells(m.Listed) {
		l.values = append(l.values, !cell.Some().Yes)
	}
	l.sizes = []int{len(l.values)}
	return &formula{op: cond.OpAtom, leaf: l}
}

// leaf tries an open atom with every combination of cells of the open questions it reads.
func (j *judge) leaf(n *cond.Node, env []int32) *formula {
	key := wideKey{atom: n.Atom.ID}
	for i, slot := range n.Args {
		key.things[i] = env[slot]
	}
	if f, ok := j.leaves[key]; ok {
		return f
	}
	l := &leaf{sampled: n.Atom.Sampled()}
	for _, r := range n.Atom.Reads {
		thing := j.end(cond.Path{Slot: n.Args[r.Arg], Links: r.Links}, env)
		number := thing.Base + r.Slot
		if !j.c.Asks[number].Answer.Known && !slices.Contains(l.asks, number) {
			l.asks = append(l.asks, number)
		}
	}
	slices.Sort(l.asks)
	combinations, limit := 1, leafLimit
	if len(n.Atom.Calls) > 0 {
		limit = dosedLimit
	}
	for _, number := range l.asks {
		l.sizes = append(l.sizes, len(j.cells(number)))
		combinations *= len(j.cells(number))
		if combinations > limit {
			break
		}
	}
	if combinations > limit {
		j.note(cond.Open, fmt.Errorf("condition %q compares answers with too many thresholds to try them all", n.Atom.Text))
		return always // the judgement fails with the error
	}
	j.tryAll(n, env, l)
	f := l.formula()
	j.reckons = j.reckons || l.sampled || f.hung
	j.leaves[key] = f
	return f
}

// tryAll evaluates an atom for every combination of cells: the first question varies slowest. What is open with all
// answers known is refused.
func (j *judge) tryAll(n *cond.Node, env []int32, l *leaf) {
	a := n.Atom
	if a.Test != nil {
		l.values = make([]bool, 0, l.sizes[0])
		for _, cell := range j.cells(l.asks[0]) {
			l.values = append(l.values, a.Test.Holds(a.Reads[0].Question, cell.Some()))
		}
		return
	}
	things := make([]*cond.Thing, len(n.Args))
	for i, slot := range n.Args {
		things[i] = j.c.Cel(j.c.Things[env[slot]])
	}
	var try func(i int)
	try = func(i int) {
		if i == len(l.asks) {
			v := j.note(a.Eval(things...))
			if l.values = append(l.values, v == cond.True); len(a.Calls) > 0 {
				l.refused = append(l.refused, v == cond.Open)
			}
			return
		}
		ask := j.c.Asks[l.asks[i]]
		slot := l.asks[i] - ask.Thing.Base
		for _, cell := range j.cells(l.asks[i]) {
			old := j.c.Cel(ask.Thing).Swap(slot, cond.Value(ask.Question, cell.Some()))
			try(i + 1)
			j.c.Cel(ask.Thing).Swap(slot, old)
		}
	}
	try(0)
	if !slices.Contains(l.refused, true) {
		l.refused = nil
	}
}
