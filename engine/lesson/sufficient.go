package lesson

import (
	"fmt"
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
)

// holding tells which answers are enough for a ruling-out: what else could be otherwise is put into the formulas as open,
// so that no book need be judged again.
type holding struct {
	v     *judge.LooseVerdict
	start judge.State
	asks  []int // the questions with answers that bear on it and can be named, rising
}

// hold loosens the answers that can be named and for which free is true.
func hold(g *judge.Judgement, v *judge.Verdict, free func(evidence.Ask) bool) (*holding, error) {
	l, err := g.Loosen(func(a evidence.Ask) bool { return free(a) && Nameable(a) })
	if err != nil {
		return nil, err
	}
	h := &holding{v: l.Of(v), start: l.Start()}
	for _, n := range h.v.Asks() {
		if h.start[n] >= 0 {
			h.asks = append(h.asks, n)
		}
	}
	return h, nil
}

// enough tells whether the answers to the questions rule out whatever the others turn out to be.
func (h *holding) enough(named []int) bool {
	state := slices.Clone(h.start)
	for _, n := range h.asks {
		if !slices.Contains(named, n) {
			state[n] = -1
		}
	}
	return h.v.Word(state) == judge.RuledOut
}

// least leaves out of a set that is enough, one after the other, what is not needed.
func (h *holding) least(set []int) []int {
	for _, n := range slices.Clone(set) {
		if less := without(set, n); h.enough(less) {
			set = less
		}
	}
	return set
}

func without(set []int, n int) []int {
	return slices.DeleteFunc(slices.Clone(set), func(m int) bool { return m == n })
}

// Limits of a search for all smallest sets.
const (
	setLimit  = 60
	stepLimit = 600
)

// all gives every smallest set of questions whose answers are enough. more tells that there may be others. From each set
// found it goes on to those that lack one of its questions, so that none is left out.
func (h *holding) all() (sets [][]int, more bool) {
	seen := map[string]bool{}
	var split func(left []int)
	split = func(left []int) {
		if key := fmt.Sprint(left); seen[key] {
			return
		} else if len(sets) >= setLimit || len(seen) >= stepLimit {
			more = true
			return
		} else {
			seen[key] = true
		}
		if !h.enough(left) {
			return
		}
		set := h.least(left)
		if !slices.ContainsFunc(sets, func(s []int) bool { return slices.Equal(s, set) }) {
			sets = append(sets, set)
		}
		for _, n := range set {
			split(without(left, n))
		}
	}
	split(h.asks)
	slices.SortStableFunc(sets, func(a, b []int) int {
		if len(a) != len(b) {
			return len(a) - len(b)
		}
		return slices.Compare(a, b)
	})
	return sets, more
}

func anything(evidence.Ask) bool { return true }

// Enough gives every smallest set of results that rules the exercise's treatment out, the smallest first. more tells that
// there may be others.
func (e *Exercise) Enough() (sets [][]int, more bool, err error) {
	h, err := hold(e.Judgement, e.Verdict, anything)
	if err != nil {
		return nil, false, err
	}
	sets, more = h.all()
	return sets, more, nil
}
