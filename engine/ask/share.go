package ask

import (
	"slices"

	"tideline/engine/judge"
	"tideline/rules/cond"
)

// Share is how many of the possible outcomes of the open tests give a verdict that waits for them the same word.
type Share struct {
	Verdict *judge.Verdict
	Out     float64 // how many rule it out
	All     float64 // how many there are; 0 when there are too many to count
}

// Most gives the commoner side and how many outcomes are on it.
func (s Share) Most() (out bool, n float64) {
	if s.Out*2 >= s.All {
		return true, s.Out
	}
	return false, s.All - s.Out
}

// shareLimit is up to how many states of one verdict are gone through.
const shareLimit = 600

// share counts the outcomes of the tests on which a ruling-out hangs, by the cells of their answers.
func (s *search) share(place int) Share {
	v := s.g.Verdicts[place]
	sh := Share{Verdict: v}
	var tests []int
	for _, n := range v.Open {
		if s.g.Case.Asks[n].Thing.Unlisted {
			return sh // what is not listed cannot be counted
		}
		tests = append(tests, n)
	}
	s.nodes = 0
	out, all := s.count(s.root, place, tests)
	if s.nodes <= shareLimit {
		sh.Out, sh.All = out, all
	}
	return sh
}

// count counts the completions of the tests, and in how many the verdict is ruled out.
func (s *search) count(o *judge.Outlook, place int, tests []int) (out, all float64) {
	if s.nodes++; s.nodes > shareLimit {
		return 0, 0
	}
	if len(tests) == 0 {
		switch o.View(place).Banned {
		case cond.True:
			return 1, 1
		case cond.Open: // what cannot be computed is on neither side, and so the outcomes cannot be counted
			s.nodes = shareLimit + 1
		}
		return 0, 1
	}
	n, rest := tests[0], tests[1:]
	if banned := o.View(place).Banned; banned != cond.Open && !slices.ContainsFunc(tests, o.Tied) {
		all = 1
		for _, n := range tests {
			all *= float64(len(o.Cells(n)))
		}
		if banned == cond.True {
			return all, all
		}
		return 0, all
	}
	for _, w := range o.Ways(n) {
		b, a := s.count(w.Then, place, rest)
		out, all = out+b*float64(len(w.Cells)), all+a*float64(len(w.Cells))
	}
	return out, all
}
