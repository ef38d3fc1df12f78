package whynot

import (
	"cmp"
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Outcome is one of three: never is an empty list made to stand for two of them.
type Outcome string

// The outcomes.
const (
	Turns   Outcome = "turns"   // there are change sets
	Nothing Outcome = "nothing" // no answer that can change would turn it: proved
	Already Outcome = "already" // the verdict is as wanted
	Unknown Outcome = "unknown" // none was found, and the search was not finished: see Result.Tried
)

// Change is one answer that would have to be another.
type Change struct {
	Number int
	Ask    evidence.Ask // with the answer that stands
	To     vocab.Answer // the mildest that does
	Does   []vocab.Answer
	Test   *pack.Test // nil for what the record itself answers
	Steps  float64    // how far To is from the answer that stands, in grades; 0 where none stands
}

// Set is a smallest set of answers that would turn the verdict.
type Set struct {
	Changes []Change
	Steps   float64 // of all changes
	Harm    int     // of the worst test, by its place among [pack.Harms]
	Minutes int     // of all tests
}

// Numbers gives the numbers of the set's questions, rising.
func (s *Set) Numbers() []int {
	list := make([]int, 0, len(s.Changes))
	for _, c := range s.Changes {
		list = append(list, c.Number)
	}
	return list
}

// Result is what would turn a verdict.
type Result struct {
	Verdict *judge.Verdict
	To      judge.Word
	Outcome Outcome
	Sets    []Set // the smallest and mildest first
	Count   int   // how many sets there are; more than len(Sets) where they are too many to list
	// Tried is up to which size all sets were tried, where the search was not finished; -1 where it was.
	Tried int
	// Given are the smallest sets with what is given with the paper taken as if it could be other, where nothing else
	// would do.
	Given []Set
	// Variants are milder or equal variants of the treatment for the same target that are not ruled out.
	Variants []*judge.Verdict
}

// To gives the verdict to ask for when none is named: ruled out for what is clear, clear for the rest.
func To(v *judge.Verdict) judge.Word {
	if v.Word == judge.Recommended || v.Word == judge.Possible {
		return judge.RuledOut
	}
	return judge.Clear
}

func is(w, to judge.Word) bool {
	return w == to || to == judge.Clear && (w == judge.Recommended || w == judge.Possible)
}

// changeable tells whether an answer can change: unless it is given with the paper.
func changeable(a evidence.Ask) bool { return a.Question.Nature != vocab.Fixed || !a.Answer.Known }

// Find finds what would turn a verdict into another.
func Find(g *judge.Judgement, v *judge.Verdict, to judge.Word) (*Result, error) {
	r := &Result{Verdict: v, To: to, Tried: -1}
	if is(v.Word, to) {
		r.Outcome = Already
		return r, nil
	}
	sets, count, tried, err := find(g, v, to, changeable, stepLimit)
	if err != nil {
		return nil, err
	}
	r.Sets, r.Count, r.Tried = sets, count, tried
	switch {
	case len(sets) > 0:
		r.Outcome = Turns
	case tried >= 0:
		r.Outcome = Unknown
	default:
		r.Outcome = Nothing
		r.Given, _, _, err = find(g, v, to, func(evidence.Ask) bool { return true }, givenLimit)
	}
	if to == judge.Clear {
		r.Variants = variants(g, v)
	}
	return r, err
}

// find finds the change sets made of answers for which free is true, in so many steps at most.
func find(g *judge.Judgement, v *judge.Verdict, to judge.Word, free func(evidence.Ask) bool, limit int) (sets []Set, count, tried int, err error) {
	l, err := g.Loosen(free)
	if err != nil {
		return nil, 0, -1, err
	}
	f := &finder{g: g, l: l, v: l.Of(v), start: l.Start(), options: make([][]judge.Option, len(l.Start())), asked: make([]bool, len(l.Start())), met: map[string]*search{}, tried: -1, limit: limit}
	goals := f.v.Goals(to)
	f.find(goals)
	if len(goals) > 1 {
		f.sets = smallest(f.sets)
		f.count = len(f.sets)
	}
	slices.SortStableFunc(f.sets, milder)
	return f.sets, f.count, f.tried, nil
}

// milder orders sets: the fewest changes first, then the shortest way, then the least harm and the fewest minutes.
func milder(a, b Set) int {
	return cmp.Or(cmp.Compare(len(a.Changes), len(b.Changes)), cmp.Compare(a.Steps, b.Steps), cmp.Compare(a.Harm, b.Harm),
		cmp.Compare(a.Minutes, b.Minutes), slices.Compare(a.Numbers(), b.Numbers()))
}

// smallest leaves out the sets that hold another.
func smallest(sets []Set) []Set {
	slices.SortStableFunc(sets, milder)
	var kept []Set
	for _, s := range sets {
		if !slices.ContainsFunc(kept, func(k Set) bool { return within(k.Numbers(), s.Numbers()) }) {
			kept = append(kept, s)
		}
	}
	return kept
}

// within tells whether every number of a is among those of b; both rise.
func within(a, b []int) bool {
	for _, n := range a {
		if _, found := slices.BinarySearch(b, n); !found {
			return false
		}
	}
	return true
}

// variants gives the variants of a verdict's treatment that could be done to the same target and intervene no more.
func variants(g *judge.Judgement, v *judge.Verdict) (list []*judge.Verdict) {
	root := cmp.Or(v.Treatment.VariantOf, v.Treatment.ID)
	for _, o := range g.Verdicts {
		if o.Target == v.Target && o.Treatment != v.Treatment && cmp.Or(o.Treatment.VariantOf, o.Treatment.ID) == root &&
			o.Treatment.Intervention <= v.Treatment.Intervention && o.Word != judge.RuledOut && o.Word != judge.NoNeed {
			list = append(list, o)
		}
	}
	return list
}
