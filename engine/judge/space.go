package judge

import (
	"slices"

	"tideline/rules/cond"
)

// space searches the completions of a case: assignments of a cell to each open question, less those that a never
// statement forbids. Searches branch on one question at a time, always
// one that the value still hangs on, and stop as soon as Kleene's logic decides.
type space struct {
	forbidden []*formula // each never statement that some completion breaks
	assigned  []int32    // the cell of each question by number
	size      func(number int) int
	steps     int
	gaveUp    bool
}

const unassigned = -1

// stepLimit bounds a search. One that reaches it answers "could be either", which errs to caution, and says so.
const stepLimit = 1_000_000

func newSpace(asks int, size func(number int) int) *space {
	s := &space{assigned: make([]int32, asks), size: size}
	for i := range s.assigned {
		s.assigned[i] = unassigned
	}
	return s
}

// eval gives the value of a formula under the cells assigned so far.
func (s *space) eval(f *formula) cond.Truth {
	switch f.op {
	case cond.OpConst:
		return cond.Of(f.value)
	case cond.OpAtom:
		return s.leaf(f.leaf)
	case cond.OpNot:
		return cond.Not(s.eval(f.kids[0]))
	case cond.OpAnd:
		v := cond.True
		for _, k := range f.kids {
			if v = cond.And(v, s.eval(k)); v == cond.False {
				return v
			}
		}
		return v
	case cond.OpOr:
		v := cond.False
		for _, k := range f.kids {
			if v = cond.Or(v, s.eval(k)); v == cond.True {
				return v
			}
		}
		return v
	}
	holds, open := 0, 0
	for _, k := range f.kids {
		switch s.eval(k) {
		case cond.True:
			holds++
		case cond.Open:
			open++
		}
	}
	return cond.AtLeast(f.count, holds, open)
}

func (s *space) leaf(l *leaf) cond.Truth {
	if len(l.asks) == 1 {
		if cell := s.assigned[l.asks[0]]; cell != unassigned {
			return cond.Of(l.values[cell])
		}
		return cond.Open
	}
	yes, no := false, false
	s.scan(l, 0, 0, func(v bool) { yes, no = yes || v, no || !v })
	switch {
	case yes && no:
		return cond.Open
	case yes:
		return cond.True
	}
	return cond.False
}

// scan visits the values of a leaf that the cells assigned so far allow.
func (s *space) scan(l *leaf, i, index int, visit func(bool)) {
	if i == len(l.asks) {
		visit(l.values[index])
		return
	}
	if cell := s.assigned[l.asks[i]]; cell != unassigned {
		s.scan(l, i+1, index*l.sizes[i]+int(cell), visit)
		return
	}
	for cell := range l.sizes[i] {
		s.scan(l, i+1, index*l.sizes[i]+cell, visit)
	}
}

// concerns gives the questions that formulas hang on, together with those that never statements tie to them, rising,
// and the never statements concerned.
func (s *space) concerns(formulas ...*formula) (asks []int, tied []*formula) {
	for _, f := range formulas {
		asks = append(asks, f.asks()...)
	}
	left := slices.Clone(s.forbidden)
	for grown := true; grown; {
		grown = false
		left = slices.DeleteFunc(left, func(f *formula) bool {
			its := f.asks()
			if !slices.ContainsFunc(its, func(n int) bool { return slices.Contains(asks, n) }) {
				return false
			}
			asks, tied, grown = append(asks, its...), append(tied, f), true
			return true
		})
	}
	slices.Sort(asks)
	return slices.Compact(asks), tied
}

// outcomes tells which values a formula takes over the completions.
func (s *space) outcomes(f *formula) (canHold, canFail bool) {
	if f.op == cond.OpConst {
		return f.value, !f.value
	}
	_, tied := s.concerns(f)
	s.search(func() int {
		v := s.eval(f)
		switch {
		case canHold && canFail:
			return stop
		case v == cond.True && canHold || v == cond.False && canFail || s.breaks(tied) == cond.True:
			return prune
		case v == cond.Open:
			return s.pick(f)
		case s.breaks(tied) == cond.Open:
			return s.pick(tied...)
		}
		canHold, canFail = canHold || v == cond.True, canFail || v == cond.False
		return prune
	})
	if s.gaveUp {
		return true, true
	}
	return canHold, canFail
}

// breaks tells whether the assignment breaks a never statement.
func (s *space) breaks(tied []*formula) cond.Truth {
	v := cond.False
	for _, f := range tied {
		v = cond.Or(v, s.eval(f))
	}
	return v
}

// What a visit of a search says, besides the number of the question to branch on.
const (
	prune = -1 // look no further down this branch
	stop  = -2 // look no further at all
)

// search walks through the completions. visit is called at every point; it gives the question to branch on there, or
// prune, or stop.
func (s *space) search(visit func() int) (stopped bool) {
	if s.steps++; s.steps > stepLimit {
		s.gaveUp = true
		return true
	}
	next := visit()
	if next < 0 {
		return next == stop
	}
	defer func() { s.assigned[next] = unassigned }()
	for cell := range s.size(next) {
		s.assigned[next] = int32(cell)
		if s.search(visit) {
			return true
		}
	}
	return false
}

// pick gives an unassigned question on which the first open one of the formulas hangs. It gives prune when none is open.
func (s *space) pick(formulas ...*formula) int {
	for _, f := range formulas {
		if s.eval(f) != cond.Open {
			continue
		}
		if f.leaf == nil {
			return s.pick(f.kids...)
		}
		for _, n := range f.leaf.asks {
			if s.assigned[n] == unassigned {
				return n
			}
		}
	}
	return prune
}

// parts splits formulas into groups that share no question, not even by way of a never statement. What one group does
// is then independent of the others.
func (s *space) parts(formulas []*formula) [][]*formula {
	groupOf := map[int]int{} // question to group
	var groups [][]*formula
	for _, f := range formulas {
		asks, _ := s.concerns(f)
		joined := []*formula{f}
		for g := range groups {
			if groups[g] != nil && slices.ContainsFunc(asks, func(n int) bool { at, ok := groupOf[n]; return ok && at == g }) {
				joined = append(groups[g], joined...)
				groups[g] = nil
				for n, at := range groupOf {
					if at == g {
						groupOf[n] = len(groups)
					}
				}
			}
		}
		for _, n := range asks {
			groupOf[n] = len(groups)
		}
		groups = append(groups, joined)
	}
	return slices.DeleteFunc(groups, func(g []*formula) bool { return g == nil })
}

// any is the value of a disjunction over all completions. Since parts are independent, it holds always just when one
// part does, and never when none can.
func (s *space) any(formulas []*formula) cond.Truth {
	could := false
	for _, part := range s.parts(flatOr(formulas)) {
		canHold, canFail := s.outcomes(or(part...))
		if canHold && !canFail {
			return cond.True
		}
		could = could || canHold || !canFail // no completion at all: the statements clash, so nothing is settled
	}
	if could {
		return cond.Open
	}
	return cond.False
}

// flatOr lays disjunctions flat and leaves out what never holds.
func flatOr(formulas []*formula) []*formula {
	f := or(formulas...)
	switch {
	case f.op == cond.OpConst && !f.value:
		return nil
	case f.op == cond.OpOr:
		return f.kids
	}
	return []*formula{f}
}

// deciding gives the questions on which a disjunction hangs exactly: those for which two completions differ in that
// answer only and in the value of the whole.
func (s *space) deciding(formulas []*formula) []int {
	var list []int
	for _, part := range s.parts(flatOr(formulas)) {
		f := or(part...)
		for _, number := range f.asks() {
			if s.decides(f, number) {
				list = append(list, number)
			}
		}
	}
	slices.Sort(list)
	return list
}

// decides tells whether two completions that differ only at one question differ in the value of f.
func (s *space) decides(f *formula, number int) bool {
	_, tied := s.concerns(f)
	found := false
	s.search(func() int {
		var holds, fails bool
		next := prune
		for cell := range s.size(number) {
			s.assigned[number] = int32(cell)
			switch v, broken := s.eval(f), s.breaks(tied); {
			case broken == cond.True:
			case v == cond.Open:
				next = s.pick(f)
			case broken == cond.Open:
				next = s.pick(tied...)
			case v == cond.True:
				holds = true
			default:
				fails = true
			}
		}
		s.assigned[number] = unassigned
		if found = holds && fails; found {
			return stop
		}
		return next
	})
	return found || s.gaveUp
}

// term is an argument whose condition is open, with its signed weight.
type term struct {
	f      *formula
	weight float64
}

// support bounds the sum of the weights of the terms that hold over the completions.
func (s *space) support(terms []term) (least, most float64) {
	formulas := make([]*formula, 0, len(terms))
	byFormula := map[*formula]float64{}
	for _, t := range terms {
		if _, twice := byFormula[t.f]; !twice {
			formulas = append(formulas, t.f)
		}
		byFormula[t.f] += t.weight
	}
	for _, part := range s.parts(formulas) {
		low, high := s.partSupport(part, byFormula)
		least, most = least+low, most+high
	}
	return least, most
}

func (s *space) partSupport(part []*formula, weight map[*formula]float64) (least, most float64) {
	_, tied := s.concerns(part...)
	first := true
	s.search(func() int {
		if s.breaks(tied) == cond.True {
			return prune
		}
		var low, high float64
		for _, f := range part {
			w := weight[f]
			switch s.eval(f) {
			case cond.True:
				low, high = low+w, high+w
			case cond.Open:
				low, high = low+min(w, 0), high+max(w, 0)
			}
		}
		if !first && low >= least && high <= most {
			return prune
		}
		if next := s.pick(part...); next >= 0 {
			return next
		}
		if next := s.pick(tied...); next >= 0 {
			return next
		}
		if first {
			least, most, first = low, high, false
		}
		least, most = min(least, low), max(most, high)
		return prune
	})
	if s.gaveUp {
		return bounds(part, weight)
	}
	return least, most
}

// bounds is the support with each argument taken by itself: wider than the exact one, never narrower.
func bounds(part []*formula, weight map[*formula]float64) (least, most float64) {
	for _, f := range part {
		least, most = least+min(weight[f], 0), most+max(weight[f], 0)
	}
	return least, most
}
