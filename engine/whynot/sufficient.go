package whynot

import (
	"fmt"
	"slices"

	"tideline/engine/judge"
)

// Holds gives every smallest set of questions whose answers, kept as they are, keep the verdict from becoming the one
// wanted, however the others that can change turn out: what is sufficient for it, beside what is given with the paper.
// It knows nothing of change sets. done is false where the search was given up.
func Holds(g *judge.Judgement, v *judge.Verdict, to judge.Word) (sets [][]int, done bool, err error) {
	l, err := g.Loosen(changeable)
	if err != nil {
		return nil, false, err
	}
	lv := l.Of(v)
	h := &holder{v: lv, goals: lv.Goals(to), state: l.Start(), seen: map[string]bool{}, options: map[int][]judge.Option{}}
	for _, n := range lv.Asks() {
		h.options[n] = lv.Options(n)
	}
	h.split(map[int]bool{})
	return h.sets, !h.gaveUp, nil
}

// holdLimit bounds the steps of a search for what holds a verdict.
const holdLimit = 40_000

// holder finds what holds a verdict where it is: from one set found it goes on to those that lack one of its questions.
type holder struct {
	v       *judge.LooseVerdict
	goals   []judge.Goal
	state   judge.State
	sets    [][]int
	seen    map[string]bool
	options map[int][]judge.Option
	steps   int
	gaveUp  bool
}

// split finds the sets that hold none of the questions let go.
func (h *holder) split(loose map[int]bool) {
	if key := fmt.Sprint(loose); h.gaveUp || h.seen[key] { // Sprint sorts the keys of a map
		return
	} else {
		h.seen[key] = true
	}
	free := map[int]bool{}
	for n := range loose {
		free[n] = true
	}
	if h.reachable(free) {
		return
	}
	var kept []int
	for _, n := range h.v.Asks() {
		if free[n] {
			continue
		}
		free[n] = true
		if h.reachable(free) {
			free[n] = false
			kept = append(kept, n)
		}
	}
	if h.gaveUp {
		return
	}
	if !slices.ContainsFunc(h.sets, func(s []int) bool { return slices.Equal(s, kept) }) {
		h.sets = append(h.sets, kept)
	}
	for _, n := range kept {
		loose[n] = true
		h.split(loose)
		delete(loose, n)
	}
}

// reachable tells whether some goal can be reached by answering the free questions otherwise.
func (h *holder) reachable(free map[int]bool) bool {
	for _, goal := range h.goals {
		reached := true
		for _, wants := range components(goal.Wants, func(w *judge.Want) []int { return h.of(w, free) }) {
			var asks []int
			for _, w := range wants {
				asks = append(asks, h.of(w, free)...)
			}
			slices.Sort(asks)
			if reached = reached && h.meet(wants, slices.Compact(asks), 0); !reached {
				break
			}
		}
		if reached {
			return true
		}
	}
	return false
}

// of gives the free questions of a want.
func (h *holder) of(w *judge.Want, free map[int]bool) (list []int) {
	for _, n := range w.Asks {
		if free[n] {
			list = append(list, n)
		}
	}
	return list
}

// meet tells whether answers to the questions from the i-th on meet all wants.
func (h *holder) meet(wants []*judge.Want, asks []int, i int) bool {
	if h.steps++; h.steps > holdLimit {
		h.gaveUp = true
	}
	if h.gaveUp {
		return false
	}
	if i == len(asks) {
		return !slices.ContainsFunc(wants, func(w *judge.Want) bool { return !w.Met(h.state) })
	}
	old := make([]int16, len(asks))
	for k := i; k < len(asks); k++ {
		old[k], h.state[asks[k]] = h.state[asks[k]], -1
	}
	hopeless := slices.ContainsFunc(wants, func(w *judge.Want) bool { return w.Hopeless(h.state) })
	for k := i; k < len(asks); k++ {
		h.state[asks[k]] = old[k]
	}
	if hopeless {
		return false
	}
	n := asks[i]
	if h.meet(wants, asks, i+1) {
		return true
	}
	for _, o := range h.options[n] {
		h.state[n] = o.Cell
		met := h.meet(wants, asks, i+1)
		h.state[n] = old[i]
		if met {
			return true
		}
	}
	return false
}
