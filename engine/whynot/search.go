package whynot

import (
	"fmt"
	"math"
	"slices"

	"tideline/engine/judge"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Limits of a search: its steps, and sets that are listed.
const (
	stepLimit  = 12_000
	givenLimit = 1_000 // where what is given with the paper is taken as if it could be other: that only illustrates
	listLimit  = 2_000
	tryLimit   = 5_000 // ways of answering the questions of one set
)

// finder finds the change sets of one verdict.
type finder struct {
	g       *judge.Judgement
	l       *judge.Loose
	v       *judge.LooseVerdict
	start   judge.State
	options [][]judge.Option // by number, once asked for
	asked   []bool

	goals    []judge.Goal
	searches []*search
	met      map[string]*search // searches by their wants: several goals share most of theirs
	alone    [][]int            // sets found that reach a goal by themselves
	steps    int
	limit    int
	tried    int // up to which size all sets were tried; -1 when the search was finished
	sets     []Set
	count    int
}

// unmet counts the wants of a goal that are not met as things stand.
func (f *finder) unmet(goal judge.Goal) (n int) {
	for _, w := range goal.Wants {
		if !w.Met(f.start) {
			n++
		}
	}
	return n
}

func (f *finder) option(n int) []judge.Option {
	if !f.asked[n] {
		f.asked[n], f.options[n] = true, f.v.Options(n)
	}
	return f.options[n]
}

// find finds the sets that reach one of the goals. Wants that share no question are met apart, and every choice of one
// set for each is a set for all.
func (f *finder) find(goals []judge.Goal) {
	f.goals = goals
	slices.SortStableFunc(f.goals, func(a, b judge.Goal) int { return f.unmet(a) - f.unmet(b) })
	parts := make([][]*search, len(goals))
	for i, goal := range f.goals {
		var open [][]*judge.Want
		for _, wants := range components(goal.Wants, func(w *judge.Want) []int { return w.Asks }) {
			if slices.ContainsFunc(wants, func(w *judge.Want) bool { return !w.Met(f.start) }) {
				open = append(open, wants)
			}
		}
		for _, wants := range open {
			parts[i] = append(parts[i], f.search(wants, len(open) == 1))
		}
	}
	f.deepen()
	for _, searches := range parts {
		f.choose(searches)
	}
}

// spent tells whether the search has taken as many steps as it may; values that are hard to find count for more.
func (f *finder) spent() bool { return f.steps+f.l.Work()/10 > f.limit }

// search gives the search for sets that meet wants that hang together; alone, when they are all that a goal lacks.
func (f *finder) search(wants []*judge.Want, alone bool) *search {
	key := fmt.Sprint(alone, wants) // the addresses of the wants
	if f.met[key] == nil {
		f.met[key] = &search{f: f, wants: wants, alone: alone, state: slices.Clone(f.start), changed: make([]bool, len(f.start)), excluded: make([]bool, len(f.start))}
		f.searches = append(f.searches, f.met[key])
	}
	return f.met[key]
}

// deepen takes all searches through the sets by size, until none needs larger ones tried.
func (f *finder) deepen() {
	for size, left := 1, slices.Clone(f.searches); len(left) > 0; size++ {
		left = slices.DeleteFunc(left, func(s *search) bool {
			s.cut = false
			s.deepen(size)
			return !s.cut && !f.spent()
		})
		if f.spent() {
			f.tried = size - 1
			return
		}
	}
}

// choose puts the sets of searches that must all succeed together.
func (f *finder) choose(searches []*search) {
	var parts [][]Set
	for _, s := range searches {
		if len(s.found) == 0 {
			return
		}
		sets := make([]Set, 0, len(s.found))
		for _, numbers := range s.found {
			sets = append(sets, s.mildest(numbers))
		}
		slices.SortStableFunc(sets, milder)
		parts = append(parts, sets)
	}
	sets, count := product(parts)
	f.sets = append(f.sets, sets...)
	f.count += count
}

// components groups wants that share questions.
func components(wants []*judge.Want, of func(*judge.Want) []int) (groups [][]*judge.Want) {
	asks := [][]int{}
	for _, w := range wants {
		own := of(w)
		group, numbers := []*judge.Want{w}, slices.Clone(own)
		for i := 0; i < len(groups); {
			if !slices.ContainsFunc(asks[i], func(n int) bool { return slices.Contains(own, n) }) {
				i++
				continue
			}
			group, numbers = append(groups[i], group...), append(numbers, asks[i]...)
			groups, asks = slices.Delete(groups, i, i+1), slices.Delete(asks, i, i+1)
		}
		slices.Sort(numbers)
		groups, asks = append(groups, group), append(asks, slices.Compact(numbers))
	}
	return groups
}

// product gives every choice of one set from each part, and how many there are. Where there are too many, only the
// mildest of each part are chosen from.
func product(parts [][]Set) (sets []Set, count int) {
	count = 1
	for _, p := range parts {
		count = min(count*len(p), math.MaxInt32)
	}
	most := make([]int, len(parts))
	for i, p := range parts {
		most[i] = len(p)
	}
	for size := count; size > listLimit; {
		widest := 0
		for i := range most {
			if most[i] > most[widest] {
				widest = i
			}
		}
		most[widest]--
		size = 1
		for _, m := range most {
			size = min(size*m, math.MaxInt32)
		}
	}
	sets = []Set{{}}
	for i, p := range parts {
		var longer []Set
		for _, a := range sets {
			for _, b := range p[:most[i]] {
				both := Set{append(slices.Clone(a.Changes), b.Changes...), a.Steps + b.Steps, max(a.Harm, b.Harm), a.Minutes + b.Minutes}
				slices.SortFunc(both.Changes, func(x, y Change) int { return x.Number - y.Number })
				longer = append(longer, both)
			}
		}
		sets = longer
	}
	return sets, count
}

// search finds all smallest sets of questions by which wants that hang together can all be met.
type search struct {
	f                 *finder
	wants             []*judge.Want
	state             judge.State
	changed, excluded []bool // by number
	size              int    // how many are changed
	found             [][]int
	alone             bool // what it finds reaches a goal by itself
	cut               bool
}

// deepen changes up to so many more answers. A want that is not met can only be met by changing one of its own answers,
// so it branches on those; what an earlier branch has changed, later ones leave alone.
func (s *search) deepen(left int) {
	if s.f.steps++; s.f.spent() || s.holdsFound() {
		return
	}
	branch, least, all := s.unmet()
	switch {
	case all:
		s.found = append(s.found, s.numbers())
		if s.alone {
			s.f.alone = append(s.f.alone, s.numbers())
		}
		return
	case branch == nil:
		return
	case least > left:
		s.cut = true
		return
	}
	for _, n := range branch {
		s.changed[n] = true
		s.size++
		old := s.state[n]
		for _, o := range s.f.option(n) {
			s.state[n] = o.Cell
			s.deepen(left - 1)
		}
		s.state[n] = old
		s.changed[n] = false
		s.size--
		s.excluded[n] = true
	}
	for _, n := range branch {
		s.excluded[n] = false
	}
}

// holdsFound tells whether the answers changed hold a set found already.
func (s *search) holdsFound() bool {
	held := func(set []int) bool { return !slices.ContainsFunc(set, func(n int) bool { return !s.changed[n] }) }
	return slices.ContainsFunc(s.found, held) || s.alone && slices.ContainsFunc(s.f.alone, held)
}

func (s *search) numbers() []int {
	list := make([]int, 0, s.size)
	for n, changed := range s.changed {
		if changed {
			list = append(list, n)
		}
	}
	return list
}

// unmet gives the questions to branch on, the fewest that a want not met has, and how many changes are needed at the
// least: one for each of several such wants that share none. There is no branch where a want can no longer be met.
func (s *search) unmet() (branch []int, least int, all bool) {
	all = true
	var taken []int
	for _, w := range s.wants {
		if w.Met(s.state) {
			continue
		}
		all = false
		var open []int
		apart := true
		for _, n := range w.Asks {
			if !s.changed[n] && !s.excluded[n] && len(s.f.option(n)) > 0 {
				open = append(open, n)
				apart = apart && !slices.Contains(taken, n)
			}
		}
		if len(open) == 0 {
			return nil, 0, false
		}
		if branch == nil || len(open) < len(branch) {
			branch = open
		}
		if apart {
			least++
			taken = append(taken, open...)
		}
	}
	return branch, least, all
}

// mildest chooses the mildest answers to the questions of a set, and finds which others do as well.
func (s *search) mildest(numbers []int) Set {
	state := slices.Clone(s.f.start)
	var best []judge.Option
	bestSteps := math.Inf(1)
	chosen := make([]judge.Option, len(numbers))
	met := func() bool { return s.reached(state) }
	tries := 0
	var choose func(i int, steps float64)
	choose = func(i int, steps float64) {
		if tries++; steps >= bestSteps || tries > tryLimit && best != nil {
			return
		}
		if i == len(numbers) {
			if met() {
				best, bestSteps = slices.Clone(chosen), steps
			}
			return
		}
		for _, o := range s.f.option(numbers[i]) {
			state[numbers[i]], chosen[i] = o.Cell, o
			_, far := s.nearest(numbers[i], o.Answers)
			choose(i+1, steps+far)
		}
	}
	choose(0, 0)
	set := Set{}
	for i, n := range numbers {
		state[n] = best[i].Cell
	}
	for i, n := range numbers {
		change := Change{Number: n, Ask: s.f.g.Case.Asks[n]}
		change.Test = s.f.g.Case.Pack.Test(change.Ask.Question.ID)
		change.To, change.Steps = s.nearest(n, best[i].Answers)
		for _, o := range s.f.option(n) {
			if state[n] = o.Cell; met() {
				change.Does = append(change.Does, o.Answers...)
			}
		}
		state[n] = best[i].Cell
		set.Changes = append(set.Changes, change)
		set.Steps += change.Steps
		if change.Test != nil {
			set.Harm = max(set.Harm, slices.Index(pack.Harms, change.Test.Harm))
			set.Minutes += change.Test.Minutes
		}
	}
	return set
}

// reached tells whether a state meets the wants; where they are all that a goal lacks, whether it reaches any goal.
func (s *search) reached(state judge.State) bool {
	met := func(wants []*judge.Want) bool {
		return !slices.ContainsFunc(wants, func(w *judge.Want) bool { return !w.Met(state) })
	}
	if !s.alone {
		return met(s.wants)
	}
	return slices.ContainsFunc(s.f.goals, func(g judge.Goal) bool { return met(g.Wants) })
}

// nearest gives the answer nearest to the one that stands, and how far it is: in grades; a number by its range, which
// counts as the four grades from 1 to 5; another word, or yes for no, as one.
func (s *search) nearest(number int, answers []vocab.Answer) (vocab.Answer, float64) {
	ask := s.f.g.Case.Asks[number]
	if !ask.Answer.Known {
		return answers[0], 0
	}
	q := ask.Question
	if q.Type == vocab.YesNo || q.Type == vocab.Words {
		return answers[0], 1
	}
	best, far := answers[0], math.Inf(1)
	for _, a := range answers {
		d := math.Abs(a.Num - ask.Answer.Num)
		if q.Type == vocab.Number {
			d *= 4 / (q.To - q.From)
		}
		if d < far {
			best, far = a, d
		}
	}
	return best, far
}
