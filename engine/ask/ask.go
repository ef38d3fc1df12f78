package ask

import (
	"cmp"
	"fmt"
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Report is what to test next.
type Report struct {
	Judgement *judge.Judgement
	Value     float64    // of what is known now
	Proposals []Proposal // worth more than nothing, the best first
	Idle      []Idle     // other open questions on which a verdict hangs
	Shares    []Share    // of every treatment that waits for a test
	Exact     bool       // the proposals hold the exact best policy: at most ExactUpTo questions are open
	Cut       bool       // some sequence was too long to be looked through
	Draws     int        // how many draws of chances the firmness rests on
}

// ExactUpTo is up to how many open questions the exact best policy over all of them is found.
const ExactUpTo = 6

// Proposal is a test to do next, or several that only help together.
type Proposal struct {
	Tests  []Test
	Gain   float64 // expected
	Price  Price   // expected: tests made needless by the first are not paid for
	Worth  float64 // Gain less Price
	Firm   float64 // the share of drawn chances under which this proposal is worth most
	Exact  bool    // of several tests: the order is the best there is
	Moves  []Move  // what could come of it
	policy *policy
}

// Test is one test of a proposal.
type Test struct {
	Number int
	Ask    evidence.Ask
	Test   *pack.Test // nil for what the record itself answers
	Price  Price
	Held   bool // the pack holds how likely its answers are; otherwise they count as equally likely
	Ways   []Turn
}

// Turn is one way in which a test could turn out.
type Turn struct {
	Answers []vocab.Answer
	Chance  float64
	Value   float64 // of what would be known then
	Moves   []Move
}

// Move is a verdict that would be another, and which.
type Move struct {
	Verdict *judge.Verdict
	To      []judge.Word
}

// Idle is an open question that is not proposed, and why.
type Idle struct {
	Test
	Refused bool // the pack does not allow a test of such harm on this book
	Gain    float64
}

// Options are how much is looked at.
type Options struct {
	Draws int // of chances, for the firmness
	Limit int // of states looked at for one sequence; 0 for the usual
}

const usualLimit = 400

// Next says what to test next.
func Next(g *judge.Judgement, opt Options) *Report {
	s := newSearch(g)
	s.limit = cmp.Or(opt.Limit, usualLimit)
	r := &Report{Judgement: g, Value: s.value(s.root), Draws: opt.Draws}
	if len(g.Contradictions) > 0 {
		return r // the answers given cannot all be true: no completion is left to reckon with
	}
	open := s.open()
	allowed := slices.DeleteFunc(slices.Clone(open), s.refused)
	singles := map[int]Proposal{}
	for _, n := range allowed {
		p := s.single(n)
		singles[n] = p
		if p.Worth > dust && len(p.Moves) > 0 {
			r.Proposals = append(r.Proposals, p)
		}
	}
	s.together(r, allowed, singles)
	s.rank(r.Proposals)
	s.firmness(r)
	for _, n := range open {
		if !proposed(r.Proposals, n) {
			r.Idle = append(r.Idle, Idle{s.test1(n), s.refused(n), singles[n].Gain})
		}
	}
	for i, v := range g.Verdicts {
		if v.Word == judge.TestFirst {
			r.Shares = append(r.Shares, s.share(i))
		}
	}
	return r
}

func proposed(list []Proposal, number int) bool {
	return slices.ContainsFunc(list, func(p Proposal) bool {
		return slices.ContainsFunc(p.Tests, func(t Test) bool { return t.Number == number })
	})
}

// open lists the questions a person could answer that could move a verdict.
func (s *search) open() []int {
	var list []int
	for i, v := range s.g.Verdicts {
		if v.Word == judge.TestFirst || v.Word == judge.Possible || v.Word == judge.NoNeed && len(v.Open) > 0 {
			list = append(list, s.root.Hangs(i)...)
		}
	}
	slices.Sort(list)
	return slices.DeleteFunc(slices.Compact(list), func(n int) bool { return len(s.root.Ways(n)) < 2 })
}

func (s *search) test1(n int) Test {
	t := Test{Number: n, Ask: s.g.Case.Asks[n], Test: s.test(n), Price: s.price(n)}
	t.Held = t.Test != nil && len(t.Test.Chance) > 0
	all := 0.0
	ways := s.root.Ways(n)
	for _, w := range ways {
		all += s.root.Share(n, w, s.chance)
	}
	for _, w := range ways {
		chance := 1 / float64(len(ways))
		if all > 0 {
			chance = s.root.Share(n, w, s.chance) / all
		}
		t.Ways = append(t.Ways, Turn{w.Answers, chance, s.value(w.Then), s.moves(w.Then, s.root.Moves(n))})
	}
	return t
}

// moves lists the verdicts at the places that are others in an outlook.
func (s *search) moves(o *judge.Outlook, places []int) []Move {
	var list []Move
	for _, i := range places {
		if v := s.g.Verdicts[i]; o.View(i).Word != v.Word {
			list = append(list, Move{v, []judge.Word{o.View(i).Word}})
		}
	}
	return list
}

func (s *search) single(n int) Proposal {
	t := s.test1(n)
	var outcomes []Outcome
	for _, w := range t.Ways {
		outcomes = append(outcomes, Outcome{w.Chance, w.Value})
	}
	p := Proposal{Tests: []Test{t}, Gain: Gain(s.value(s.root), outcomes), Price: t.Price, Exact: true}
	p.Worth = p.Gain - p.Price.Sum()
	for _, w := range t.Ways {
		p.Moves = join(p.Moves, w.Moves)
	}
	p.policy = &policy{first: n, ways: s.root.Ways(n)}
	for _, w := range p.policy.ways {
		p.policy.then = append(p.policy.then, &policy{net: s.value(w.Then), first: -1})
	}
	return p
}

// join puts two lists of moves together.
func join(list, more []Move) []Move {
	for _, m := range more {
		at := slices.IndexFunc(list, func(o Move) bool { return o.Verdict == m.Verdict })
		if at < 0 {
			list = append(list, Move{m.Verdict, slices.Clone(m.To)})
			continue
		}
		for _, w := range m.To {
			if !slices.Contains(list[at].To, w) {
				list[at].To = append(list[at].To, w)
			}
		}
	}
	return list
}

// together adds sequences that are worth more than their tests one by one: over all questions where they are few, else
// over those that each verdict hangs on.
func (s *search) together(r *Report, allowed []int, singles map[int]Proposal) {
	if len(allowed) <= ExactUpTo {
		limit := s.limit
		s.limit = 1 << 20
		if p, ok := s.best(s.root, allowed); ok {
			s.add(r, p, true, singles)
			r.Exact = true
		}
		s.limit = limit
		return
	}
	tried, long := map[string]bool{}, false
	defer func() { r.Cut = r.Cut || long }()
	for _, c := range s.counts {
		if s.g.Verdicts[c.place].Word == judge.Recommended {
			continue
		}
		tests := slices.DeleteFunc(s.root.Hangs(c.place), func(n int) bool { return !slices.Contains(allowed, n) })
		if key := fmt.Sprint(tests); len(tests) < 2 || tried[key] {
			continue
		} else {
			tried[key] = true
		}
		if r.Cut = r.Cut || s.spent > spentLimit; r.Cut {
			return
		}
		if len(tests) <= ExactUpTo {
			if p, ok := s.best(s.root, tests); ok {
				s.add(r, p, true, singles)
				continue
			}
		}
		if p, ok := s.row(s.root, s.order(c.place, tests)); ok {
			s.add(r, p, false, singles)
			continue
		}
		long = true
		s.pairs(r, tests, singles)
	}
}

// mostPairs is up to how many tests all pairs of them are looked through.
const mostPairs = 12

// pairs looks two tests ahead, exactly.
func (s *search) pairs(r *Report, tests []int, singles map[int]Proposal) {
	if len(tests) > mostPairs {
		return
	}
	for i, a := range tests {
		for _, b := range tests[i+1:] {
			if p, ok := s.best(s.root, []int{a, b}); ok {
				s.add(r, p, true, singles)
			}
		}
	}
}

// add adds a policy of two tests or more that is worth more than its tests one by one.
func (s *search) add(r *Report, p *policy, exact bool, singles map[int]Proposal) {
	numbers := p.tests(nil)
	now := s.value(s.root)
	alone := 0.0
	for _, n := range numbers {
		alone += max(0, singles[n].Worth)
	}
	worth := p.net - now
	if len(numbers) < 2 || worth <= alone+dust {
		return
	}
	same := func(o Proposal) bool {
		return len(o.Tests) == len(numbers) && !slices.ContainsFunc(o.Tests, func(t Test) bool { return !slices.Contains(numbers, t.Number) })
	}
	if slices.ContainsFunc(r.Proposals, same) {
		return
	}
	proposal := Proposal{Gain: worth + p.price.Sum(), Price: p.price, Worth: worth, Exact: exact, policy: p}
	for _, n := range numbers {
		proposal.Tests = append(proposal.Tests, s.test1(n))
	}
	p.leaves(s.root, func(o *judge.Outlook) {
		var places []int
		for _, n := range numbers {
			places = append(places, s.root.Moves(n)...)
		}
		slices.Sort(places)
		proposal.Moves = join(proposal.Moves, s.moves(o, slices.Compact(places)))
	})
	if len(proposal.Moves) > 0 {
		r.Proposals = append(r.Proposals, proposal)
	}
}

// tests lists the tests of a policy in the order in which they can come up.
func (p *policy) tests(list []int) []int {
	if p.first >= 0 && !slices.Contains(list, p.first) {
		list = append(list, p.first)
	}
	for _, t := range p.then {
		list = t.tests(list)
	}
	return list
}

// leaves calls visit for every state in which the policy stops.
func (p *policy) leaves(o *judge.Outlook, visit func(*judge.Outlook)) {
	if p.first < 0 {
		visit(o)
		return
	}
	for i, t := range p.then {
		t.leaves(p.ways[i].Then, visit)
	}
}
