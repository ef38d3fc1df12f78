package judge

import (
	"cmp"
	"maps"
	"slices"

	"tideline/rules/cond"
)

// space searches the completions of a case: all ways of giving each open question one of its cells, less those that a
// never statement forbids. It branches on one question at a time, the one that most hangs on, and puts its cell into the
// formulas; what then falls apart into pieces that share no question is searched piece by piece.
type space struct {
	forbidden []*formula // each never statement that some completion would break
	size      func(number int) int
	steps     int
	gaveUp    bool
}

// stepLimit bounds the searches for one verdict. One that reaches it answers "could be either", which errs to caution,
// and the verdict says so.
const stepLimit = 200_000

// branching gives the question to branch on: the one that most leaves read, the lowest number among equals.
func branching(formulas ...*formula) int { return branchingBeside(-1, formulas) }

// tied gives the never statements that tie the questions of the formulas to others, directly or by way of one another.
func (s *space) tied(formulas ...*formula) []*formula {
	if len(s.forbidden) == 0 {
		return nil
	}
	asks := map[int]bool{}
	note := func(f *formula) {
		for _, n := range f.asks() {
			asks[n] = true
		}
	}
	for _, f := range formulas {
		note(f)
	}
	var tied []*formula
	found := make([]bool, len(s.forbidden))
	for grown := true; grown; {
		grown = false
		for i, f := range s.forbidden {
			if !found[i] && slices.ContainsFunc(f.asks(), func(n int) bool { return asks[n] }) {
				note(f)
				found[i], tied, grown = true, append(tied, f), true
			}
		}
	}
	return tied
}

// piece is a group of formulas and never statements that shares no question with the others.
type piece struct {
	formulas []*formula
	never    []*formula
}

// pieces splits formulas, with the never statements that tie them, into groups that share no question, in the order of
// the first formula of each.
func pieces(formulas, never []*formula) []piece {
	all := append(slices.Clone(formulas), never...)
	group := make([]int, len(all)) // of each formula: the first formula it is grouped with, which is its own when it is first
	var find func(i int) int
	find = func(i int) int {
		if group[i] != i {
			group[i] = find(group[i])
		}
		return group[i]
	}
	type reading struct{ number, by int }
	var few [64]reading
	list := few[:0]
	for i, f := range all {
		group[i] = i
		for _, n := range f.asks() {
			list = append(list, reading{n, i})
		}
	}
	slices.SortFunc(list, func(a, b reading) int { return cmp.Or(a.number-b.number, a.by-b.by) })
	for i := 1; i < len(list); i++ {
		if list[i].number == list[i-1].number {
			a, b := find(list[i-1].by), find(list[i].by)
			group[max(a, b)] = min(a, b)
		}
	}
	at := make([]int, len(all)) // of each first formula: the place of its group, from 1
	var groups []piece
	for i, f := range all {
		root := find(i)
		if at[root] == 0 {
			groups = append(groups, piece{})
			at[root] = len(groups)
		}
		if g := &groups[at[root]-1]; i < len(formulas) {
			g.formulas = append(g.formulas, f)
		} else {
			g.never = append(g.never, f)
		}
	}
	return groups
}

// assignNever puts a cell into never statements. ok is false when one of them is then broken; those that can no longer be
// broken are left out.
func assignNever(never []*formula, number, cell int) (left []*formula, ok bool) {
	for _, f := range never {
		switch g := f.assign(number, cell); g.known() {
		case cond.True:
			return nil, false
		case cond.Open:
			left = append(left, g)
		}
	}
	return left, true
}

// outcomes tells which values a formula takes over the completions that break none of the never statements given. Both
// are false when there is no such completion. Where something cannot be computed, it takes both if nothing else decides.
func (s *space) outcomes(f *formula, never []*formula) (holds, fails bool) {
	if s.steps++; s.steps > stepLimit {
		s.gaveUp = true
		return true, true
	}
	switch {
	case f.hung:
		holds, _ = s.outcomes(f.taken(true), never)
		_, fails = s.outcomes(f.taken(false), never)
		return holds, fails
	case f.op == cond.OpConst:
		possible := s.possible(never)
		return possible && f.value || s.gaveUp, possible && !f.value || s.gaveUp
	case f.op == cond.OpAtom && len(never) == 0: // an atom that can only be one is a constant
		return slices.Contains(f.leaf.values, true), slices.Contains(f.leaf.values, false)
	case f.op == cond.OpNot:
		fails, holds = s.outcomes(f.kids[0], never)
		return holds, fails
	case f.op == cond.OpAnd || f.op == cond.OpOr:
		if groups := pieces(f.kids, never); len(groups) > 1 {
			return s.together(f.op, groups)
		}
	case len(never) > 0:
		if groups := pieces([]*formula{f}, never); len(groups) > 1 {
			return s.together(cond.OpAnd, groups)
		}
	}
	number := branching(append(slices.Clone(never), f)...)
	for cell := range s.size(number) {
		left, ok := assignNever(never, number, cell)
		if !ok {
			continue
		}
		h, x := s.outcomes(f.assign(number, cell), left)
		if holds, fails = holds || h, fails || x; holds && fails {
			return
		}
	}
	return holds, fails
}

// possible tells whether some completion breaks none of the never statements.
func (s *space) possible(never []*formula) bool {
	if len(never) == 0 {
		return true
	}
	if s.steps++; s.steps > stepLimit {
		s.gaveUp = true
		return true
	}
	for _, g := range pieces(nil, never) {
		number, found := branching(g.never...), false
		for cell := 0; cell < s.size(number) && !found; cell++ {
			left, ok := assignNever(g.never, number, cell)
			found = ok && s.possible(left)
		}
		if !found {
			return false
		}
	}
	return true
}

// together puts the outcomes of independent pieces of a conjunction or disjunction together.
func (s *space) together(op cond.Op, groups []piece) (holds, fails bool) {
	anyHolds, anyFails, allHold, allFail := false, false, true, true
	for _, g := range groups {
		if len(g.formulas) == 0 { // a never statement that nothing else reads: it must leave some completion
			if !s.possible(g.never) {
				return false, false
			}
			continue
		}
		h, x := s.outcomes(join(op, g.formulas...), g.never)
		if !h && !x {
			return false, false
		}
		anyHolds, anyFails, allHold, allFail = anyHolds || h, anyFails || x, allHold && h, allFail && x
	}
	if op == cond.OpOr {
		return anyHolds, allFail
	}
	return allHold, anyFails
}

// value is the exact value of a formula: true or false if it is so in every completion. Where there is no completion
// at all, because statements clash, nothing is settled.
func (s *space) value(f *formula) cond.Truth {
	if f.op == cond.OpConst {
		return cond.Of(f.value)
	}
	switch holds, fails := s.outcomes(f, s.tied(f)); {
	case holds && !fails:
		return cond.True
	case fails && !holds:
		return cond.False
	}
	return cond.Open
}

// deciding gives the questions on which a formula hangs exactly: those for which two completions differ in that answer
// only and in the value.
func (s *space) deciding(f *formula) []int {
	found := map[int]bool{}
	s.findDeciding(f.taken(true), s.tied(f), found)
	if f.hung {
		s.findDeciding(f.taken(false), s.tied(f), found)
	}
	return slices.Sorted(maps.Keys(found))
}

// findDeciding adds the questions that decide f to those found.
func (s *space) findDeciding(f *formula, never []*formula, found map[int]bool) {
	if s.steps++; s.steps > stepLimit {
		s.gaveUp = true
		for _, n := range f.asks() {
			found[n] = true
		}
		return
	}
	if !slices.ContainsFunc(f.asks(), func(n int) bool { return !found[n] }) {
		return
	}
	switch f.op {
	case cond.OpNot:
		s.findDeciding(f.kids[0], never, found)
		return
	case cond.OpAnd, cond.OpOr:
		if groups := pieces(f.kids, never); len(groups) > 1 {
			s.findInPieces(f.op, groups, found)
			return
		}
	}
	number := branching(append(slices.Clone(never), f)...)
	if !found[number] && s.decides(f, never, number) {
		found[number] = true
	}
	for cell := range s.size(number) {
		if left, ok := assignNever(never, number, cell); ok {
			s.findDeciding(f.assign(number, cell), left, found)
		}
	}
}

// findInPieces: a question decides a conjunction or disjunction when it decides its own piece and the others can stand
// aside: be true all of them, or false.
func (s *space) findInPieces(op cond.Op, groups []piece, found map[int]bool) {
	stuck, at := 0, -1 // how many pieces cannot stand aside, and the last of them
	for i, g := range groups {
		f := constant(op == cond.OpAnd)
		if len(g.formulas) > 0 {
			f = join(op, g.formulas...)
		}
		holds, fails := s.outcomes(f, g.never)
		if op == cond.OpOr && !fails || op == cond.OpAnd && !holds {
			stuck, at = stuck+1, i
		}
	}
	for i, g := range groups {
		if len(g.formulas) > 0 && (stuck == 0 || stuck == 1 && at == i) {
			s.findDeciding(join(op, g.formulas...), g.never, found)
		}
	}
}

// decides tells whether two completions that differ at one question only differ in the value of f.
func (s *space) decides(f *formula, never []*formula, number int) bool {
	if s.steps++; s.steps > stepLimit {
		s.gaveUp = true
		return true
	}
	if !f.readsAny([]int{number}) {
		return false
	}
	switch f.op {
	case cond.OpNot:
		return s.decides(f.kids[0], never, number)
	case cond.OpAnd, cond.OpOr:
		if groups := pieces(f.kids, never); len(groups) > 1 {
			return s.decidesPiece(f.op, groups, number)
		}
	}
	other := branchingBeside(number, append(slices.Clone(never), f))
	if other < 0 {
		return s.differs(f, never, number)
	}
	for cell := range s.size(other) {
		if left, ok := assignNever(never, other, cell); ok && s.decides(f.assign(other, cell), left, number) {
			return true
		}
	}
	return false
}

// decidesPiece: a question decides a conjunction or disjunction when it decides its own piece and the others can stand
// aside: be true all of them, or false.
func (s *space) decidesPiece(op cond.Op, groups []piece, number int) bool {
	var own piece
	for _, g := range groups {
		reads := func(f *formula) bool { return f.readsAny([]int{number}) }
		if slices.ContainsFunc(g.formulas, reads) {
			own = g
			continue
		}
		f := join(op, g.formulas...)
		if len(g.formulas) == 0 {
			f = constant(op == cond.OpAnd)
		}
		holds, fails := s.outcomes(f, g.never)
		if op == cond.OpOr && !fails || op == cond.OpAnd && !holds {
			return false
		}
	}
	return s.decides(join(op, own.formulas...), own.never, number)
}

// branchingBeside is branching on any question but one; -1 when there is no other.
func branchingBeside(number int, formulas []*formula) int {
	var few [64]int
	list := few[:0]
	for _, f := range formulas {
		list = f.reads(list)
	}
	slices.Sort(list)
	best, most := -1, 0
	for from, to := 0, 0; from < len(list); from = to {
		for to < len(list) && list[to] == list[from] {
			to++
		}
		if to-from > most && list[from] != number {
			best, most = list[from], to-from
		}
	}
	return best
}

// differs tells whether a formula of one question takes both values over the cells that are not forbidden.
func (s *space) differs(f *formula, never []*formula, number int) bool {
	holds, fails := false, false
	for cell := range s.size(number) {
		if _, ok := assignNever(never, number, cell); ok {
			v := f.assign(number, cell).known()
			holds, fails = holds || v == cond.True, fails || v == cond.False
		}
	}
	return holds && fails
}

// term is an argument whose condition is open, with its signed weight.
type term struct {
	f      *formula
	weight float64
}

// support bounds the sum of the weights of the terms that hold, over the completions that break none of the never
// statements given. ok is false when there is no such completion.
func (s *space) support(terms []term, never []*formula) (least, most float64, ok bool) {
	if s.steps++; s.steps > stepLimit {
		s.gaveUp = true
		return bounds(terms)
	}
	if slices.ContainsFunc(terms, func(t term) bool { return t.f.hung }) {
		least, _, ok = s.support(takenTerms(terms, false), never)
		_, most, _ = s.support(takenTerms(terms, true), never)
		return least, most, ok
	}
	var open []term
	for _, t := range terms {
		switch t.f.known() {
		case cond.True:
			least, most = least+t.weight, most+t.weight
		case cond.Open:
			open = append(open, t)
		}
	}
	if len(open) == 0 && len(never) == 0 {
		return least, most, true
	}
	groups := pieces(formulasOf(open), never)
	for _, g := range groups {
		low, high, possible := s.pieceSupport(termsOf(open, g.formulas), g.never)
		if !possible {
			return 0, 0, false
		}
		least, most = least+low, most+high
	}
	return least, most, true
}

// pieceSupport is the support of terms that share questions.
func (s *space) pieceSupport(terms []term, never []*formula) (least, most float64, ok bool) {
	if len(terms) == 1 {
		holds, fails := s.outcomes(terms[0].f, never)
		switch w := terms[0].weight; {
		case holds && fails:
			return min(w, 0), max(w, 0), true
		case holds:
			return w, w, true
		}
		return 0, 0, fails
	}
	number := branching(append(formulasOf(terms), never...)...)
	for cell := range s.size(number) {
		left, possible := assignNever(never, number, cell)
		if !possible {
			continue
		}
		assigned := make([]term, 0, len(terms))
		for _, t := range terms {
			assigned = append(assigned, term{t.f.assign(number, cell), t.weight})
		}
		low, high, possible := s.support(assigned, left)
		switch {
		case !possible:
		case !ok:
			least, most, ok = low, high, true
		default:
			least, most = min(least, low), max(most, high)
		}
	}
	return least, most, ok
}

// takenTerms takes whatever cannot be computed in the terms the way that makes the support high, or low.
func takenTerms(terms []term, high bool) []term {
	list := make([]term, 0, len(terms))
	for _, t := range terms {
		list = append(list, term{t.f.taken(high == (t.weight > 0)), t.weight})
	}
	return list
}

func formulasOf(terms []term) []*formula {
	list := make([]*formula, 0, len(terms))
	for _, t := range terms {
		list = append(list, t.f)
	}
	return list
}

// termsOf gives the terms whose formula is among those given.
func termsOf(terms []term, formulas []*formula) []term {
	var list []term
	for _, t := range terms {
		if slices.Contains(formulas, t.f) {
			list = append(list, t)
		}
	}
	return list
}

// bounds is the support with each argument taken by itself: wider than the exact one, never narrower.
func bounds(terms []term) (least, most float64, ok bool) {
	for _, t := range terms {
		switch t.f.known() {
		case cond.True:
			least, most = least+t.weight, most+t.weight
		case cond.Open:
			least, most = least+min(t.weight, 0), most+max(t.weight, 0)
		}
	}
	return least, most, true
}
