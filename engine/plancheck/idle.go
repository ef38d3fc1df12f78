package plancheck

import (
	"slices"

	"tideline/engine/plan"
)

// missed tells whether something is lost when a step is left out: what is dealt with no longer is, or less; what is brought is
// no longer met; a later step may no longer be done, not even with more tests done again; or an earlier one, that is only
// possible, loses what needs it.
func (c *checker) missed(i int) bool {
	keys := slices.Delete(slices.Clone(c.keys), i, i+1)
	states := slices.Clone(c.tested[:i])
	s := c.states[i]
	for _, k := range keys[i:] {
		s = s.tested(s.open()...)
		states = append(states, s)
		if t, target := c.pack.Treatment(k.Treatment), s.At(k.Path); t != nil && target != nil {
			s = s.after(t, target, c.brings(k))
		}
	}
	for _, m := range c.all {
		if c.dealt(m, states, keys) < c.dealt(m, c.tested, c.keys) {
			return true
		}
	}
	for _, b := range c.p.Brought {
		if b.Met != nil && c.unmetBy(b, states, keys) {
			return true
		}
	}
	for n := range keys {
		is := c.look(states[n], keys[n])
		if _, unmet := c.unmet(is, keys[:n]); unmet || !is.passes(c.excused(states[n], keys[n], keys[n+1:])) {
			return true
		}
	}
	return false
}

// unmetBy tells whether a finding that steps bring is there at the end of them, neither cleared nor lessened.
func (c *checker) unmetBy(b *plan.Brought, states []*State, keys []plan.Key) (there bool) {
	f := c.brought[b.Path]
	for i, k := range keys {
		t, target := c.pack.Treatment(k.Treatment), states[i].At(k.Path)
		if t == nil || target == nil || f == nil {
			continue
		}
		if slices.Contains(states[i].findings(target, slices.Concat(t.Clears, t.Lessens)), f) {
			there = false
		}
		if slices.Contains(b.By, k) {
			there = true
		}
	}
	return there
}
