package verify

import (
	"fmt"
	"math"
	"slices"

	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// needers checks which other treatments are said to need this one or not, and why: every instance by which one could, once.
func (c *Checker) needers(n *Count, p *judge.VerdictProof, target *node) error {
	var all []needer
	for _, r := range c.r.pack.Rules {
		if r.Effect == pack.Needs && r.Step == p.Verdict.Treatment {
			all = append(all, c.needing(r, target)...)
		}
	}
	told := 0
	for _, list := range [][]judge.Needer{p.NeededBy, p.NotNeededBy} {
		for _, by := range list {
			var mine []instance
			for _, k := range all {
				named := slices.ContainsFunc(by.Reasons, func(r *judge.Proof) bool { return r.Rule == k.rule && r.Thing != nil && r.Thing.Path == k.thing.path })
				if k.treatment == by.Verdict.Treatment && k.target.path == by.Verdict.Target.Path && named {
					mine = append(mine, k.instance)
				}
			}
			told += len(mine)
			if err := c.reasons(n, mine, by.Reasons); err != nil {
				return err
			}
		}
	}
	for _, by := range p.NotNeededBy {
		if slices.ContainsFunc(by.Reasons, func(r *judge.Proof) bool { return r.Value == cond.True }) {
			return &Failure{by.Verdict.Treatment.ID, "", "needs it after all"}
		}
	}
	if told != len(all) {
		return &Failure{p.Verdict.Treatment.ID + " on " + p.Verdict.Target.Path, "", "the proof leaves out a treatment that could need it"}
	}
	return nil
}

// root checks that the verdict follows, over all completions.
func (c *Checker) root(n *Count, p *judge.VerdictProof, target *node) error {
	v := p.Verdict
	where := v.Treatment.ID + " on " + v.Target.Path
	if c.l.fault != nil {
		return c.l.fault
	}
	s := &searcher{c: c}
	banned := s.settled(func() cond.Truth { return s.banned(v.Treatment, target) })
	called := s.settled(func() cond.Truth { return s.called(v.Treatment, target, false) })
	serving := s.settled(func() cond.Truth { return s.called(v.Treatment, target, true) })
	n.Steps += 3
	word := judge.Possible
	switch {
	case banned == cond.True:
		word = judge.RuledOut
	case called == cond.False:
		word = judge.NoNeed
	case banned == cond.Open:
		word = judge.TestFirst
	case serving == cond.True && v.Least > 0:
		word = judge.Recommended
	}
	if v.Unproven {
		n.Unsearched++
		return nil
	}
	if s.cut {
		n.Unsearched++
		return c.plausible(where, p)
	}
	if word != v.Word {
		return &Failure{where, "", fmt.Sprintf("what the proof holds makes it %s, not %s", word, v.Word)}
	}
	if one := slices.ContainsFunc(p.RulesOut, single); word == judge.RuledOut && v.EitherWay == one || v.EitherWay != (p.Cases != nil) {
		return &Failure{where, "", "it is not said rightly whether one reason is enough"}
	}
	if word != judge.Recommended && word != judge.Possible {
		return nil
	}
	return c.support(n, where, v, target)
}

// single tells whether a reason rules out by itself.
func single(p *judge.Proof) bool { return p.Value == cond.True && p.Rule.Withdrawn == nil }

// plausible holds a verdict whose search was cut short against what its reasons say by themselves.
func (c *Checker) plausible(where string, p *judge.VerdictProof) error {
	one := slices.ContainsFunc(p.RulesOut, single)
	open := slices.ContainsFunc(p.RulesOut, func(r *judge.Proof) bool { return r.Value == cond.Open && r.Rule.Withdrawn == nil })
	bad := one != (p.Verdict.Word == judge.RuledOut && !p.Verdict.EitherWay) || p.Verdict.Word == judge.TestFirst && !open
	if bad {
		return &Failure{where, "", "the verdict does not follow from its reasons"}
	}
	return nil
}

// support checks both ends of the support: no completion lies beyond them, and some reach them.
func (c *Checker) support(n *Count, where string, v *judge.Verdict, target *node) error {
	const dust = 2e-6
	s := &searcher{c: c}
	ends := func() (least, most float64) {
		for _, i := range c.about(v.Treatment, target) {
			w := 0.0
			switch i.rule.Effect {
			case pack.For:
				w = c.weights[i.rule.Criterion.ID] * i.rule.Weight
			case pack.Against:
				w = -c.weights[i.rule.Criterion.ID] * i.rule.Weight
			default:
				continue
			}
			switch c.now(i) {
			case cond.True:
				least, most = least+w, most+w
			case cond.Open:
				least, most = least+min(w, 0), most+max(w, 0)
			}
		}
		return least, most
	}
	above := func(bound float64) func() cond.Truth {
		return func() cond.Truth {
			least, most := ends()
			switch {
			case least > bound:
				return cond.True
			case most <= bound:
				return cond.False
			}
			return cond.Open
		}
	}
	for _, b := range []struct {
		bound float64
		want  cond.Truth // whether all completions lie above; open: some do
	}{{v.Least - dust, cond.True}, {v.Most + dust, cond.False}} {
		n.Steps++
		if got := s.settled(above(b.bound)); got != b.want && !s.cut {
			return &Failure{where, "", fmt.Sprintf("the support does not keep within %v and %v", v.Least, v.Most)}
		}
	}
	for _, b := range []struct {
		bound  float64
		cannot cond.Truth
	}{{v.Least + dust, cond.True}, {v.Most - dust, cond.False}} {
		if got := s.settled(above(b.bound)); got == b.cannot && !s.cut {
			return &Failure{where, "", fmt.Sprintf("no completion gives a support of %v", math.Round(b.bound*1e5)/1e5)}
		}
	}
	if s.cut {
		n.Unsearched++
	}
	return nil
}
