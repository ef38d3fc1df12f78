package verify

import (
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// decidingLimit is up to how many completions are gone through.
const decidingLimit = 3000

// Deciding gives the numbers of the questions on which a ruling-out hangs, by going through every completion of what its
// rules and the never statements read: those for which two completions differ in that answer only, and in whether it is
// ruled out. ok is false when there are too many.
func (c *Checker) Deciding(v *judge.Verdict) (numbers []int, ok bool) {
	target := c.r.byPath[v.Target.Path]
	s := &searcher{c: c}
	l := c.l
	l.plus, l.open = nil, nil
	for _, k := range c.about(v.Treatment, target) {
		if k.value == cond.Open && k.rule.Effect == pack.RulesOut && k.rule.Withdrawn == nil {
			l.holds(k.instance)
		}
	}
	for _, n := range c.statements() {
		l.eval(n.never.When.Root, l.seats(n.never.When, n.of, n.of))
	}
	asks := slices.Clone(l.open)
	all := 1
	for _, q := range asks {
		if all *= len(c.points(q.asks)); all > decidingLimit {
			return nil, false
		}
	}
	banned := map[string]cond.Truth{}
	c.complete(s, asks, supposed{}, "", func(key string) { banned[key] = s.banned(v.Treatment, target) })
	for i, q := range asks {
		if c.differ(asks, i, banned) {
			numbers = append(numbers, c.number(q))
		}
	}
	slices.Sort(numbers)
	return numbers, true
}

// complete goes through the completions, and names each by the places of its answers.
func (c *Checker) complete(s *searcher, asks []*question, plus supposed, key string, visit func(key string)) {
	if len(asks) == 0 {
		if !s.broken(plus) {
			c.l.plus = plus
			visit(key)
		}
		return
	}
	for i, a := range c.points(asks[0].asks) {
		plus[asks[0]] = a
		c.complete(s, asks[1:], plus, key+string(rune('a'+i)), visit)
	}
	delete(plus, asks[0])
}

// differ tells whether two completions that differ at one place only differ in their value.
func (c *Checker) differ(asks []*question, at int, values map[string]cond.Truth) bool {
	for key, v := range values {
		for i := range c.points(asks[at].asks) {
			other, there := values[key[:at]+string(rune('a'+i))+key[at+1:]]
			if there && other != v {
				return true
			}
		}
	}
	return false
}

func (c *Checker) number(q *question) int {
	return slices.IndexFunc(c.g.Case.Asks, func(a evidence.Ask) bool { return a.Question == q.asks && a.Thing.Path == q.of.path })
}
