package judge

import (
	"tideline/engine/evidence"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// One decides the verdict of one treatment for the thing at a path, as [Judge] would among all the others; nil when it is no
// candidate there. It looks only at that treatment and at those that may need it. The error is a fault of the pack.
func One(c *evidence.Case, treatment, path string) (*Judgement, *Verdict, error) {
	j := newJudge(c)
	j.some = true
	g := &Judgement{Case: c, Aims: j.aims, Weights: j.weights, j: j, Contradictions: j.nevers()}
	t, target := c.Pack.Treatment(treatment), c.At(path)
	for by := range j.bearing(t) {
		for _, of := range c.Of(by.Of) {
			if !of.Unlisted && j.candidate(by, of) {
				j.verdicts[j.place(by, of)] = j.instances(by, of)
			}
		}
	}
	if target == nil || target.Kind != t.Of || j.verdicts[j.place(t, target)] == nil {
		return g, nil, j.err
	}
	v := j.verdicts[j.place(t, target)]
	j.decide(v)
	g.Verdicts = append(g.Verdicts, v)
	return g, v, j.err
}

// bearing gives a treatment and all that its verdict may hang on: those that need it, those that need these, and so on.
func (j *judge) bearing(t *pack.Treatment) map[*pack.Treatment]bool {
	all := map[*pack.Treatment]bool{}
	var add func(t *pack.Treatment)
	add = func(t *pack.Treatment) {
		if all[t] {
			return
		}
		all[t] = true
		for _, r := range j.needers[t.ID] {
			for _, by := range r.Treatments {
				add(by)
			}
		}
	}
	add(t)
	return all
}

// Exact gives the value of a rule instance over all completions of the answers: open also where the search for it was given up.
func (g *Judgement) Exact(i *Instance) cond.Truth {
	if i.Value != cond.Open {
		return i.Value
	}
	g.j.space.steps, g.j.space.gaveUp = 0, false
	return g.j.space.value(g.j.formula(i))
}
