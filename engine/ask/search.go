package ask

import (
	"cmp"
	"slices"
	"strconv"

	"tideline/engine/judge"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// search is one search for the next test.
type search struct {
	g      *judge.Judgement
	asking pack.Asking
	root   *judge.Outlook
	counts []counted
	slots  int
	held   map[*vocab.Question][]float64 // chances by cell, as the pack holds them
	drawn  map[*vocab.Question][]float64 // chances drawn instead, while firmness is tried
	values map[*judge.Outlook]float64
	nodes  int // outlooks looked at by the policy at hand
	limit  int
	spent  int // verdicts looked at anew by all policies
}

// counted is a verdict that could count in the value: for each aim it serves, the place of its thing and that aim.
type counted struct {
	place int
	slots []int
}

func newSearch(g *judge.Judgement) *search {
	s := &search{g: g, asking: g.Case.Pack.Asking, root: g.Outlook(), held: map[*vocab.Question][]float64{}, values: map[*judge.Outlook]float64{}}
	type slot struct{ thing, aim string }
	at := map[slot]int{}
	for i, v := range g.Verdicts {
		if v.Word == judge.RuledOut || v.Word == judge.NoNeed || s.root.View(i).Most <= 0 {
			continue
		}
		c := counted{place: i}
		for _, aim := range v.Treatment.Serves {
			if !slices.Contains(g.Aims, aim) {
				continue
			}
			key := slot{v.Target.Path, aim}
			if _, known := at[key]; !known {
				at[key] = len(at)
			}
			c.slots = append(c.slots, at[key])
		}
		if len(c.slots) > 0 {
			s.counts = append(s.counts, c)
		}
	}
	s.slots = len(at)
	return s
}

// value is the support of what could be done: see the package's doc.
func (s *search) value(o *judge.Outlook) float64 {
	if v, ok := s.values[o]; ok {
		return v
	}
	best := make([]float64, s.slots)
	for _, c := range s.counts {
		if !o.Recommends(c.place) || !o.Ready(c.place) { // recommended: clear, surely called for, above zero
			continue
		}
		for _, slot := range c.slots {
			best[slot] = max(best[slot], o.View(c.place).Least)
		}
	}
	sum := 0.0
	for _, b := range best {
		sum += b
	}
	s.values[o] = sum
	return sum
}

// policy is the best way to do some tests: what it can be expected to gain, its price, and which test comes first.
type policy struct {
	net   float64 // expected value at the end less the expected price of the tests
	price Price   // expected
	first int     // -1: stop here
	then  []*policy
	ways  []judge.Way
}

// best gives the exact best policy that does no other tests than those given, by dynamic programming over what is
// answered. ok is false when it grew beyond the limit.
func (s *search) best(o *judge.Outlook, tests []int) (p *policy, ok bool) {
	s.nodes = 0
	p = s.solve(o, tests, map[string]*policy{})
	return p, s.nodes <= s.limit
}

func (s *search) solve(o *judge.Outlook, tests []int, known map[string]*policy) *policy {
	key := s.key(o)
	if p := known[key]; p != nil {
		return p
	}
	p := &policy{net: s.value(o), first: -1}
	known[key] = p
	if s.nodes++; s.nodes > s.limit {
		return p
	}
	for i, n := range tests {
		ways := s.ways(o, n)
		if len(ways) < 2 {
			continue
		}
		rest := slices.Delete(slices.Clone(tests), i, i+1)
		own := s.price(n)
		try := &policy{price: own, first: n, ways: ways}
		outcomes, minutes, harm := make([]Outcome, 0, len(ways)), []Outcome{}, []Outcome{}
		for _, w := range ways {
			then := s.solve(w.Then, rest, known)
			chance := o.Share(n, w, s.chance)
			try.then = append(try.then, then)
			outcomes = append(outcomes, Outcome{chance, then.net})
			minutes, harm = append(minutes, Outcome{chance, then.price.Minutes}), append(harm, Outcome{chance, then.price.Harm})
		}
		try.net = Gain(own.Sum(), outcomes)
		if try.net > p.net+dust {
			try.price.Minutes += Gain(0, minutes)
			try.price.Harm += Gain(0, harm)
			p = try
		}
	}
	known[key] = p
	return p
}

// spentLimit is how many verdicts all sequences of a report together may look at anew.
const spentLimit = 4000

// ways gives the ways a question could turn out, none once too much was looked at.
func (s *search) ways(o *judge.Outlook, number int) []judge.Way {
	if s.spent > spentLimit {
		s.nodes = s.limit + 1
		return nil
	}
	s.spent += len(o.Cells(number)) * len(o.Moves(number))
	return o.Ways(number)
}

// dust is a difference that means nothing.
const dust = 1e-9

// key names a state by what is supposed in it; outlooks start from one judgement.
func (s *search) key(o *judge.Outlook) string {
	var b []byte
	for _, a := range o.Supposed() {
		b = strconv.AppendInt(b, int64(a.Number), 36)
		b = append(b, ':')
		b = strconv.AppendInt(b, int64(a.Cell), 36)
		b = append(b, ' ')
	}
	return string(b)
}

// row gives the policy that does the tests in the order given and stops when no further one could add to the value.
// ok is false when it grew beyond the limit.
func (s *search) row(o *judge.Outlook, tests []int) (p *policy, ok bool) {
	s.nodes = 0
	p = s.follow(o, tests)
	return p, s.nodes <= s.limit
}

func (s *search) follow(o *judge.Outlook, tests []int) *policy {
	stop := &policy{net: s.value(o), first: -1}
	if s.nodes++; s.nodes > s.limit {
		return stop
	}
	for i, n := range tests {
		ways := s.ways(o, n)
		if len(ways) < 2 {
			continue
		}
		p := &policy{price: s.price(n), first: n, ways: ways}
		net, minutes, harm := []Outcome{}, []Outcome{}, []Outcome{}
		for _, w := range ways {
			then := s.follow(w.Then, tests[i+1:])
			p.then = append(p.then, then)
			chance := o.Share(n, w, s.chance)
			net = append(net, Outcome{chance, then.net})
			minutes, harm = append(minutes, Outcome{chance, then.price.Minutes}), append(harm, Outcome{chance, then.price.Harm})
		}
		p.net = Gain(p.price.Sum(), net)
		if p.net <= stop.net+dust {
			return stop
		}
		p.price.Minutes += Gain(0, minutes)
		p.price.Harm += Gain(0, harm)
		return p
	}
	return stop
}

// order puts tests so that those come first that cost little for the chance that they end the row: price over the chance
// that the verdict at the place is then ruled out, which is the best order for tests that must all be passed.
func (s *search) order(place int, tests []int) []int {
	ends := map[int]float64{}
	for _, n := range tests {
		all, out := 0.0, 0.0
		for _, w := range s.root.Ways(n) {
			p := s.root.Share(n, w, s.chance)
			all += p
			if w.Then.View(place).Banned == s.root.View(place).Banned {
				continue
			}
			out += p
		}
		ends[n] = s.price(n).Sum() * max(all, dust) / max(out, dust)
	}
	list := slices.Clone(tests)
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Or(cmp.Compare(ends[a], ends[b]), cmp.Compare(a, b)) })
	return list
}
