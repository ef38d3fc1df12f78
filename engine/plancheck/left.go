package plancheck

import (
	"slices"
	"strings"

	"tideline/engine/judge"
	"tideline/engine/plan"
)

// left checks that everything that calls for care is dealt with by a step, or listed with a verdict that says why not.
func (c *checker) left() {
	for _, m := range c.all {
		done := c.dealt(m, c.states, c.keys)
		surely, perhaps := c.clearable(m)
		i := slices.IndexFunc(c.p.Left, func(l *plan.Left) bool { return c.claimed(l.Subject) == m })
		f := Fault{Path: m.id.path, Asks: strings.Fields(m.id.asks)}
		switch {
		case i < 0 && (done == clears || done == lessens && !surely):
			continue
		case i < 0:
			f.Kind = LeftAbsent
		case done == clears, c.p.Left[i].Lessened != (done == lessens), done == lessens && !perhaps:
			f.Kind = LeftWrong
		case c.p.Left[i].Done == nil && !slices.ContainsFunc(c.p.Left[i].Verdicts, func(v *judge.Verdict) bool { return c.saysWhy(m, v) }):
			f.Kind = LeftNoWhy
		default:
			continue
		}
		c.fault(Whole, f)
	}
	for _, l := range c.p.Left {
		if c.claimed(l.Subject) == nil {
			c.fault(Whole, Fault{Kind: LeftWrong, Path: l.Subject.Path})
		}
	}
}

// saysWhy tells whether a verdict can be the reason why something is left: that of a treatment that would deal with it, as the
// book is judged, and that is not recommended.
func (c *checker) saysWhy(m *subject, v *judge.Verdict) bool {
	if v == nil || v.Word == judge.Recommended || c.g.Of(v.Treatment.ID, v.Target.Path) != v {
		return false
	}
	return c.deals(c.states[0], plan.Key{Treatment: v.Treatment.ID, Path: v.Target.Path}, m) != nothing
}

// dealt gives the most that any step does for a subject.
func (c *checker) dealt(m *subject, states []*State, keys []plan.Key) deal {
	best := nothing
	for i, k := range keys {
		best = max(best, c.deals(states[i], k, m))
	}
	return best
}
