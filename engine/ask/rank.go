package ask

import (
	"cmp"
	"math/rand/v2"
	"slices"

	"tideline/engine/judge"
	"tideline/rules/vocab"
)

// rank puts proposals in order by worth, then lets no proposal that takes something from the book stand before one that
// takes less, gains as much and moves the same verdicts.
func (s *search) rank(list []Proposal) {
	slices.SortStableFunc(list, func(a, b Proposal) int {
		return cmp.Or(cmp.Compare(b.Worth, a.Worth), cmp.Compare(len(a.Tests), len(b.Tests)), cmp.Compare(a.Tests[0].Number, b.Tests[0].Number))
	})
	for i := 0; i < len(list); i++ {
		for k := i + 1; k < len(list); k++ {
			if settlesTheSame(list[k], list[i]) {
				gentler := list[k]
				copy(list[i+1:k+1], list[i:k])
				list[i] = gentler
			}
		}
	}
}

// settlesTheSame tells whether a does less harm than b, gains as much and moves whatever b moves.
func settlesTheSame(a, b Proposal) bool {
	if a.takes() >= b.takes() || a.Gain < b.Gain-dust {
		return false
	}
	return !slices.ContainsFunc(b.Moves, func(m Move) bool {
		at := slices.IndexFunc(a.Moves, func(o Move) bool { return o.Verdict == m.Verdict })
		return at < 0 || slices.ContainsFunc(m.To, func(w judge.Word) bool { return !slices.Contains(a.Moves[at].To, w) })
	})
}

// takes is the most that a test of the proposal takes from the book.
func (p Proposal) takes() int {
	most := 0
	for _, t := range p.Tests {
		most = max(most, destructive(t.Test))
	}
	return most
}

// firmness draws chances anew for every question the pack holds none for, evenly over all that sum to 1, and counts under
// how many draws each proposal is worth most.
func (s *search) firmness(r *Report) {
	if r.Draws == 0 || len(r.Proposals) == 0 {
		return
	}
	rnd := rand.New(rand.NewPCG(1, 1)) // the same draws every time
	asked := map[*vocab.Question]int{}
	var questions []*vocab.Question
	for _, p := range r.Proposals {
		p.policy.walk(s.root, func(n int, o *judge.Outlook) {
			if ask := s.g.Case.Asks[n]; asked[ask.Question] == 0 && !(s.test(n) != nil && len(s.test(n).Chance) > 0) {
				asked[ask.Question] = n
				questions = append(questions, ask.Question)
			}
		})
	}
	now, leads := s.value(s.root), make([]int, len(r.Proposals))
	for range r.Draws {
		s.drawn = map[*vocab.Question][]float64{}
		for _, q := range questions {
			cells := s.root.Cells(asked[q])
			list := make([]float64, len(cells))
			for i := range cells {
				list[i] = rnd.ExpFloat64()
			}
			s.drawn[q] = list
		}
		best, most := 0, 0.0
		for i, p := range r.Proposals {
			if worth := s.expect(p.policy, s.root) - now; i == 0 || worth > most+dust {
				best, most = i, worth
			}
		}
		leads[best]++
	}
	s.drawn = nil
	for i := range r.Proposals {
		r.Proposals[i].Firm = float64(leads[i]) / float64(r.Draws)
	}
}

// expect is what a policy can be expected to end with under the chances of the moment, less the price of its tests.
func (s *search) expect(p *policy, o *judge.Outlook) float64 {
	if p.first < 0 {
		return s.value(o)
	}
	var outcomes []Outcome
	for i, w := range p.ways {
		outcomes = append(outcomes, Outcome{o.Share(p.first, w, s.chance), s.expect(p.then[i], w.Then)})
	}
	return Gain(s.price(p.first).Sum(), outcomes)
}

// walk calls visit for every test of the policy, with the state in which it is done.
func (p *policy) walk(o *judge.Outlook, visit func(number int, o *judge.Outlook)) {
	if p.first < 0 {
		return
	}
	visit(p.first, o)
	for i, t := range p.then {
		t.walk(p.ways[i].Then, visit)
	}
}

// Regret is how much less the best single test at each turn can be expected to come to than the exact best policy. ok is
// false when more than ExactUpTo questions are open, or none.
func Regret(g *judge.Judgement) (lost float64, ok bool) {
	s := newSearch(g)
	s.limit = 1 << 20
	open := slices.DeleteFunc(s.open(), s.refused)
	if len(open) == 0 || len(open) > ExactUpTo || len(g.Contradictions) > 0 {
		return 0, false
	}
	p, ok := s.best(s.root, open)
	return max(0, p.net-s.greedy(s.root, open)), ok
}

// greedy is what doing the test that is worth most by itself, again and again, can be expected to come to.
func (s *search) greedy(o *judge.Outlook, tests []int) float64 {
	now, best, at := s.value(o), dust, -1
	for i, n := range tests {
		var outcomes []Outcome
		for _, w := range o.Ways(n) {
			outcomes = append(outcomes, Outcome{o.Share(n, w, s.chance), s.value(w.Then)})
		}
		if worth := Gain(now+s.price(n).Sum(), outcomes); len(outcomes) > 1 && worth > best {
			best, at = worth, i
		}
	}
	if at < 0 {
		return now
	}
	n, rest := tests[at], slices.Delete(slices.Clone(tests), at, at+1)
	var outcomes []Outcome
	for _, w := range o.Ways(n) {
		outcomes = append(outcomes, Outcome{o.Share(n, w, s.chance), s.greedy(w.Then, rest)})
	}
	return Gain(s.price(n).Sum(), outcomes)
}
