package plancheck

import (
	"cmp"
	"slices"
	"strings"

	"tideline/engine/plan"
	"tideline/engine/record"
	"tideline/rules/vocab"
)

// bring makes a finding of one that the plan says is brought. Where on a part it will be is for the plan to say.
func (c *checker) bring(b *plan.Brought) {
	side := c.g.Case.Book.Thing(b.On)
	if side == nil || side.Kind != vocab.Side {
		return
	}
	name := b.Path[strings.LastIndex(b.Path, "/")+1:]
	c.brought[b.Path] = &record.Thing{Kind: vocab.Finding, Name: name, Path: b.Path, Part: side.Part, Side: side}
}

// brings gives the findings that the plan says a step brings, by path.
func (c *checker) brings(k plan.Key) (list []finding) {
	for _, b := range c.p.Brought {
		if f := c.brought[b.Path]; f != nil && slices.Contains(b.By, k) {
			list = append(list, finding{f, b.Kind})
		}
	}
	slices.SortFunc(list, func(a, b finding) int { return cmp.Compare(a.thing.Path, b.thing.Path) })
	return list
}

// broughtBy checks what a step is said to bring: each kind that the pack names, on every part that the step reaches, on a side
// that it reaches; and nothing else.
func (c *checker) broughtBy(i int) {
	s, k, step := c.states[i], c.keys[i], c.p.Steps[i]
	t, target := c.pack.Treatment(k.Treatment), s.At(k.Path)
	if t == nil || target == nil {
		return
	}
	sides := s.reach(target, vocab.Side)
	for _, b := range c.p.Brought {
		by, told := slices.Contains(b.By, k), slices.Contains(step.Brings, b)
		side := c.g.Case.Book.Thing(b.On)
		if by != told || by && (!slices.Contains(t.Brings, b.Kind) || !slices.Contains(sides, side)) {
			c.fault(i, Fault{Kind: BringsWrong, Path: b.Path, Finding: b.Kind})
		}
	}
	for _, kind := range t.Brings {
		for _, part := range s.reach(target, vocab.Part) {
			there := slices.ContainsFunc(c.p.Brought, func(b *plan.Brought) bool {
				side := c.g.Case.Book.Thing(b.On)
				return b.Kind == kind && slices.Contains(b.By, k) && side != nil && side.Part == part
			})
			if !there {
				c.fault(i, Fault{Kind: BringsAbsent, Path: part.Path, Finding: kind})
			}
		}
	}
}

// meets gives the findings brought that a step clears or lessens, of those that are there when it is done.
func (c *checker) meets(i int) (list []*plan.Brought) {
	s, k := c.tested[i], c.keys[i]
	t, target := c.pack.Treatment(k.Treatment), s.At(k.Path)
	if t == nil || target == nil {
		return nil
	}
	met := s.findings(target, slices.Concat(t.Clears, t.Lessens))
	for _, b := range c.p.Brought {
		if f := c.brought[b.Path]; f != nil && slices.Contains(met, f) {
			list = append(list, b)
		}
	}
	return list
}

// met checks which step is said to meet each finding brought: one that clears or lessens it after the last that brings it;
// none where none does.
func (c *checker) met() {
	for _, b := range c.p.Brought {
		var by []int
		for i := range c.keys {
			if slices.Contains(c.meets(i), b) && i > c.lastBy(b) {
				by = append(by, i)
			}
		}
		right := b.Met == nil && len(by) == 0 || b.Met != nil && slices.ContainsFunc(by, func(i int) bool { return c.keys[i] == *b.Met })
		if right {
			continue
		}
		f := Fault{Kind: MetWrong, Path: b.Path, Finding: b.Kind}
		if len(by) > 0 {
			f.Other = c.keys[by[0]]
		}
		c.fault(Whole, f)
	}
}

// lastBy gives the place of the last step that brings a finding.
func (c *checker) lastBy(b *plan.Brought) int {
	last := -1
	for i, k := range c.keys {
		if slices.Contains(b.By, k) {
			last = i
		}
	}
	return last
}
