package plancheck

import (
	"cmp"
	"slices"

	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/engine/record"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// need is a treatment that a step needs done before, to one thing; to none where there is nothing it could be done to.
type need struct {
	treatment *pack.Treatment
	of        *record.Thing
}

// needs gives what a step needs in a state: where that is not known, it may need it. It is needed of the thing that the rule
// looks at, else of everything in the step's reach that it is considered for.
func (c *checker) needs(s *State, g *judge.Judgement, v *judge.Verdict) (list []need) {
	for _, i := range v.Instances {
		if i.Rule.Effect != pack.Needs || g.Exact(i) == cond.False {
			continue
		}
		t := i.Rule.Step
		if i.Thing.Kind == t.Of {
			list = append(list, need{t, i.Thing.Record})
			continue
		}
		before := len(list)
		for _, m := range s.reach(v.Target.Record, t.Of) {
			if c.look(s, plan.Key{Treatment: t.ID, Path: m.Path}).v != nil {
				list = append(list, need{t, m})
			}
		}
		if len(list) == before {
			list = append(list, need{treatment: t})
		}
	}
	return list
}

// meets tells whether a step is what is needed, or a variant of it.
func (n need) meets(p *pack.Pack, k plan.Key) bool {
	return n.of != nil && n.of.Path == k.Path && root(p.Treatment(k.Treatment)) == root(n.treatment)
}

// key names what is needed.
func (n need) key() plan.Key {
	if n.of == nil {
		return plan.Key{Treatment: n.treatment.ID}
	}
	return plan.Key{Treatment: n.treatment.ID, Path: n.of.Path}
}

// root gives the treatment that a treatment is a variant of, or itself.
func root(t *pack.Treatment) string {
	if t == nil {
		return ""
	}
	return cmp.Or(t.VariantOf, t.ID)
}

// done tells whether a treatment was done to a thing before the plan begins, and not given up half-way.
func (c *checker) done(k plan.Key) bool {
	return slices.ContainsFunc(c.g.Case.Book.Done, func(d record.Done) bool {
		return d.Treatment == k.Treatment && d.Target.Path == k.Path && d.Outcome != record.Partly && d.Outcome != record.Stopped
	})
}

// metBefore tells whether a need is met by steps, or by what was done before the plan.
func (c *checker) metBefore(n need, steps []plan.Key) bool {
	for _, k := range steps {
		if n.meets(c.pack, k) {
			return true
		}
	}
	for _, d := range c.g.Case.Book.Done {
		if k := (plan.Key{Treatment: d.Treatment, Path: d.Target.Path}); c.done(k) && n.meets(c.pack, k) {
			return true
		}
	}
	return false
}

// misordered tells whether the pack has a later step before an earlier one, and they have a part in common.
func (c *checker) misordered(s *State, earlier, later plan.Key) bool {
	a, b := c.pack.Treatment(earlier.Treatment), c.pack.Treatment(later.Treatment)
	if a == nil || b == nil || !slices.Contains(a.After, b.ID) && !slices.Contains(b.Before, a.ID) {
		return false
	}
	x, y := c.thing(s, earlier.Path), c.thing(s, later.Path)
	return x != nil && y != nil && slices.ContainsFunc(s.reach(x, vocab.Part), func(p *record.Thing) bool { return slices.Contains(s.reach(y, vocab.Part), p) })
}

// inPlace tells whether one of two treatments does the work of the other.
func inPlace(a, b *pack.Treatment) bool {
	return slices.Contains(a.InPlaceOf, b.ID) || slices.Contains(b.InPlaceOf, a.ID)
}

// thing gives what a path names, also where it is there no longer or not yet.
func (c *checker) thing(s *State, path string) *record.Thing {
	if t := s.At(path); t != nil {
		return t
	}
	if t := c.brought[path]; t != nil {
		return t
	}
	return c.g.Case.Book.Thing(path)
}
