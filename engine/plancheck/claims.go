package plancheck

import (
	"slices"
	"strings"

	"tideline/engine/plan"
)

// claims checks what the plan says of a step: what it deals with, brings and meets, and which steps need it.
func (c *checker) claims(i int) {
	step := c.p.Steps[i]
	var told []*subject
	for _, s := range step.For {
		m := c.claimed(s)
		if told = append(told, m); m == nil || c.deals(c.states[i], c.keys[i], m) == nothing {
			f := Fault{Kind: ForWrong, Path: s.Path}
			for _, q := range s.Asks {
				f.Asks = append(f.Asks, q.ID)
			}
			c.fault(i, f)
		}
	}
	for _, m := range c.all {
		if !slices.Contains(told, m) && c.deals(c.states[i], c.keys[i], m) != nothing {
			c.fault(i, Fault{Kind: ForAbsent, Path: m.id.path, Asks: strings.Fields(m.id.asks)})
		}
	}
	for _, k := range step.Needed {
		if !c.neededBy(i, k) {
			c.fault(i, Fault{Kind: NeededWrong, Other: k})
		}
	}
	c.broughtBy(i)
	meets := c.meets(i)
	for _, b := range step.Meets {
		if !slices.Contains(meets, b) {
			c.fault(i, Fault{Kind: MeetsWrong, Path: b.Path, Finding: b.Kind})
		}
	}
	for _, b := range meets {
		if !slices.ContainsFunc(step.Meets, func(m *plan.Brought) bool { return m.Path == b.Path }) {
			c.fault(i, Fault{Kind: MeetsWrong, Path: b.Path, Finding: b.Kind})
		}
	}
}
