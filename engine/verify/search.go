package verify

import (
	"slices"

	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// searcher goes through completions: it supposes answers to the questions an evaluation met, one at a time.
type searcher struct {
	c     *Checker
	steps int
	cut   bool
}

// searchLimit is how many evaluations one claim may take.
const searchLimit = 400

// settled gives the exact value of a statement: true or false if it is so in every completion, else open.
func (s *searcher) settled(eval func() cond.Truth) cond.Truth {
	s.steps = 0
	holds, fails := s.outcomes(supposed{}, eval)
	switch {
	case holds && !fails:
		return cond.True
	case fails && !holds:
		return cond.False
	}
	return cond.Open
}

func (s *searcher) outcomes(plus supposed, eval func() cond.Truth) (holds, fails bool) {
	if s.steps++; s.steps > searchLimit {
		s.cut = true
		return true, true
	}
	l := s.c.l
	l.plus, l.open = plus, nil
	v := eval()
	open := l.open
	if v != cond.Open {
		if !s.possible(plus) {
			return false, false
		}
		return v == cond.True, v == cond.False
	}
	if len(open) == 0 { // everything is answered, and something cannot be computed
		possible := s.possible(plus)
		return possible, possible
	}
	q := open[0]
	for _, a := range s.c.points(q.asks) {
		plus[q] = a
		if !s.broken(plus) {
			h, f := s.outcomes(plus, eval)
			holds, fails = holds || h, fails || f
		}
		delete(plus, q)
		if holds && fails {
			break
		}
	}
	return holds, fails
}

// statement is a never statement about one thing.
type statement struct {
	never *pack.Never
	of    *node
}

// statements lists the never statements that the record leaves open, or breaks.
func (c *Checker) statements() []statement {
	if c.nevers != nil {
		return c.nevers
	}
	c.nevers = []statement{}
	l := &logic{reading: c.r, atoms: c.l.atoms}
	for _, n := range c.r.pack.Never {
		for _, of := range c.r.nodes {
			if of.kind == n.Each && l.eval(n.When.Root, l.seats(n.When, of, of)) == cond.Open {
				c.nevers = append(c.nevers, statement{n, of})
			}
		}
	}
	return c.nevers
}

// each calls visit for every never statement still open, with its value under what is supposed and what it hangs on.
func (s *searcher) each(plus supposed, visit func(of *node, v cond.Truth, open []*question) bool) {
	l := s.c.l
	for _, n := range s.c.statements() {
		l.plus, l.open = plus, nil
		v := l.eval(n.never.When.Root, l.seats(n.never.When, n.of, n.of))
		if !visit(n.of, v, l.open) {
			return
		}
	}
}

// broken tells whether what is supposed breaks a never statement.
func (s *searcher) broken(plus supposed) (broken bool) {
	s.each(plus, func(_ *node, v cond.Truth, _ []*question) bool {
		broken = v == cond.True
		return !broken
	})
	return broken
}

// possible tells whether some completion of what is supposed breaks no never statement. One that speaks of nothing
// supposed can be kept by its own questions, and is left alone.
func (s *searcher) possible(plus supposed) bool {
	if s.steps++; s.steps > searchLimit {
		s.cut = true
		return true
	}
	var next *question
	broken := false
	s.each(plus, func(of *node, v cond.Truth, open []*question) bool {
		if v == cond.True {
			broken = true
		}
		if v == cond.Open && next == nil && touched(plus, of, open) {
			next = open[0]
		}
		return !broken
	})
	if broken || next == nil {
		return !broken
	}
	for _, a := range s.c.points(next.asks) {
		plus[next] = a
		ok := s.possible(plus)
		delete(plus, next)
		if ok {
			return true
		}
	}
	return false
}

// touched tells whether something is supposed of the thing a never statement speaks of, or of one it hangs on.
func touched(plus supposed, of *node, open []*question) bool {
	for q := range plus {
		if q.of == of || slices.ContainsFunc(open, func(o *question) bool { return o.of == q.of }) {
			return true
		}
	}
	return false
}

// points gives answers to a question so that each two that some comparison in the packs tells apart are there.
func (c *Checker) points(q *vocab.Question) []vocab.Answer {
	if c.cuts[q] == nil {
		c.cuts[q] = c.cut(q)
	}
	return c.cuts[q]
}

func (c *Checker) cut(q *vocab.Question) []vocab.Answer {
	var list []vocab.Answer
	switch q.Type {
	case vocab.YesNo:
		return []vocab.Answer{vocab.Yes(true), vocab.Yes(false)}
	case vocab.Words:
		for _, w := range q.Words {
			list = append(list, vocab.Word(w))
		}
	case vocab.Grade:
		for g := 5.0; g >= 1; g -= 0.5 {
			list = append(list, vocab.Num(g))
		}
	default:
		list = c.stretch(q)
	}
	var readers []*cond.Atom
	for _, a := range c.r.pack.Env.Atoms() {
		for _, r := range a.Reads {
			if r.Question == q && a.Test == nil && !a.Steady() {
				return list
			} else if r.Question == q {
				readers = append(readers, a)
			}
		}
	}
	says := func(a *cond.Atom, v vocab.Answer) cond.Truth {
		if a.Test == nil {
			return a.Says(v)
		}
		return cond.Of(a.Test.Holds(q, v))
	}
	var apart []vocab.Answer
	for _, a := range list {
		if !slices.ContainsFunc(apart, func(b vocab.Answer) bool {
			return !slices.ContainsFunc(readers, func(r *cond.Atom) bool { return says(r, a) != says(r, b) })
		}) {
			apart = append(apart, a)
		}
	}
	return apart
}

// stretch gives the values a number is compared with, its ends, and one value between each two; where it is reckoned
// with, a grid too.
func (c *Checker) stretch(q *vocab.Question) []vocab.Answer {
	at := []float64{q.From, q.To}
	for _, a := range c.r.pack.Env.Atoms() {
		for _, r := range a.Reads {
			if r.Question != q {
				continue
			}
			if a.Test == nil {
				at = append(at, a.Marks(q)...)
				continue
			}
			for _, v := range a.Test.Values {
				at = append(at, v.Num)
			}
		}
	}
	slices.Sort(at)
	at = slices.Compact(at)
	var list []vocab.Answer
	for i, v := range at {
		list = append(list, vocab.Num(v))
		if i+1 < len(at) {
			list = append(list, vocab.Num((v+at[i+1])/2))
		}
	}
	return list
}

// known is a rule instance with its value by the record alone. One that is true or false by it stays so whatever is
// supposed.
type known struct {
	instance
	value cond.Truth
}

// about gives every rule instance about a treatment for a target, with its value.
func (c *Checker) about(t *pack.Treatment, target *node) []known {
	key := place{t, target}
	list, ok := c.rules[key]
	if !ok {
		l := &logic{reading: c.r, atoms: c.l.atoms}
		for _, i := range c.r.instances(t, target) {
			list = append(list, known{i, l.holds(i)})
		}
		c.rules[key] = list
	}
	return list
}

// place is a treatment with a target.
type place struct {
	treatment *pack.Treatment
	target    *node
}

// now gives the value of an instance under what is supposed.
func (c *Checker) now(k known) cond.Truth {
	if k.value != cond.Open {
		return k.value
	}
	return c.l.holds(k.instance)
}

// banned is whether a ruling-out holds.
func (s *searcher) banned(t *pack.Treatment, target *node) cond.Truth {
	v := cond.False
	for _, k := range s.c.about(t, target) {
		if k.rule.Effect == pack.RulesOut && k.rule.Withdrawn == nil && k.value != cond.False {
			if v = either(v, s.c.now(k)); v == cond.True {
				break
			}
		}
	}
	return v
}

// called is whether something calls for a treatment, or one called for and not ruled out needs it. With serving, only what
// serves an aim counts.
func (s *searcher) called(t *pack.Treatment, target *node, serving bool) cond.Truth {
	v := cond.False
	serves := slices.ContainsFunc(t.Serves, func(a string) bool { return slices.Contains(s.c.g.Aims, a) })
	for _, k := range s.c.about(t, target) {
		if k.rule.Effect == pack.CalledFor && (serves || !serving) && v != cond.True {
			v = either(v, s.c.now(k))
		}
	}
	for _, by := range s.c.neededBy(t, target) {
		if v == cond.True {
			break
		}
		if need := s.c.now(by.known); need != cond.False {
			v = either(v, both(need, opposite(s.banned(by.treatment, by.target)), s.called(by.treatment, by.target, serving)))
		}
	}
	return v
}

// needer is an instance by which another treatment needs one.
type needer struct {
	known
	treatment *pack.Treatment
}

// neededBy lists the instances not false by which other treatments need this one for the target.
func (c *Checker) neededBy(t *pack.Treatment, target *node) []needer {
	key := place{t, target}
	list, ok := c.needs[key]
	if ok {
		return list
	}
	for _, r := range c.r.pack.Rules {
		if r.Effect != pack.Needs || r.Step != t {
			continue
		}
		for _, by := range c.needing(r, target) {
			if by.value != cond.False {
				list = append(list, by)
			}
		}
	}
	c.needs[key] = list
	return list
}

// needing lists the instances by which a rule could make another treatment need a step for the target.
func (c *Checker) needing(r *pack.Rule, target *node) []needer {
	var list []needer
	for _, other := range r.Treatments {
		for _, of := range c.r.nodes {
			if of.kind != other.Of || of.listed != nil || !slices.Contains(c.r.near(of, target.kind), target) || !c.candidate(other, of) {
				continue
			}
			for _, k := range c.about(other, of) {
				if k.rule == r {
					list = append(list, needer{k, other})
				}
			}
		}
	}
	return list
}

// candidate tells whether a treatment is considered for a thing, by the record alone.
func (c *Checker) candidate(t *pack.Treatment, of *node) bool {
	if t.Where == nil {
		return true
	}
	l := &logic{reading: c.r, atoms: c.l.atoms}
	return l.eval(t.Where.Root, l.seats(t.Where, of, of)) != cond.False
}
