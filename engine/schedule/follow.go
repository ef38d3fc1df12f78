package schedule

import (
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/plan"
	"tideline/rules/vocab"
)

// jobOf says what a step takes and what it follows.
func jobOf(p *plan.Plan, place int, s *plan.Step) job {
	j := job{active: s.Treatment.Active, waiting: s.Treatment.Waiting, equipment: s.Treatment.Equipment, parts: Parts(s)}
	for _, r := range s.Retests {
		if test := s.State.Case.Pack.Test(r.Question.ID); test != nil {
			j.tests += test.Minutes
		}
	}
	for i, earlier := range p.Steps[:place] {
		if share(j.parts, Parts(earlier)) || serves(earlier, s) {
			j.after = append(j.after, i)
		}
	}
	return j
}

// serves tells whether a step needs an earlier one, or meets what it brings.
func serves(earlier, s *plan.Step) bool {
	return slices.Contains(earlier.Needed, s.Key) ||
		slices.ContainsFunc(s.Meets, func(b *plan.Brought) bool { return slices.Contains(b.By, earlier.Key) })
}

// Parts gives the parts that a step keeps occupied, sorted.
func Parts(s *plan.Step) []string {
	c := s.State.Case
	touched := []*evidence.Thing{s.Verdict.Target}
	touch := func(q *vocab.Question) { touched = append(touched, c.Reach(s.Verdict.Target, q.Kind)...) }
	for _, set := range s.Treatment.Sets {
		touch(set.Question)
	}
	for _, id := range s.Treatment.MakesStale {
		touch(c.Pack.Vocabulary.Question(id))
	}
	for _, r := range s.Retests {
		touched = append(touched, c.At(r.Path))
	}
	var parts []string
	for _, t := range touched {
		for _, part := range c.Reach(t, vocab.Part) {
			parts = append(parts, fastened(c, part.Path)...)
		}
	}
	slices.Sort(parts)
	return slices.Compact(parts)
}

// fastened gives a part and all that hang together with it by fasteners.
func fastened(c *evidence.Case, part string) []string {
	parts := []string{part}
	for i := 0; i < len(parts); i++ {
		if holds(c, c.At(parts[i]), "part.loose") {
			continue
		}
		for _, f := range c.Of(vocab.Fastener) {
			through := c.Reach(f, vocab.Part)
			if holds(c, f, "fastener.out") || !slices.ContainsFunc(through, func(p *evidence.Thing) bool { return p.Path == parts[i] }) {
				continue
			}
			for _, p := range through {
				if !holds(c, p, "part.loose") && !slices.Contains(parts, p.Path) {
					parts = append(parts, p.Path)
				}
			}
		}
	}
	return parts
}

// holds tells whether a yes/no question is known to be yes of a thing. A pack may have no such question.
func holds(c *evidence.Case, t *evidence.Thing, question string) bool {
	q := c.Pack.Vocabulary.Question(question)
	if q == nil || q.Type != vocab.YesNo {
		return false
	}
	a := c.Asks[c.Number(t, q)].Answer
	return a.Known && a.Yes
}
