package judge

import (
	"tideline/engine/evidence"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// One decides the verdict of one treatment for the thing at a path, as [Judge] would among all the others; nil when it is no
// candidate there. The error is a fault of the pack.
func One(c *evidence.Case, treatment, path string) (*Judgement, *Verdict, error) {
	g := Begin(c)
	v, err := g.Decide(treatment, path)
	return g, v, err
}

// Begin gives a judgement of a case that has decided nothing yet. Answers of the case must not change once it decides.
func Begin(c *evidence.Case) *Judgement {
	j := newJudge(c)
	j.some = true
	return &Judgement{Case: c, Aims: j.aims, Weights: j.weights, j: j, Contradictions: j.nevers()}
}

// Decide decides one verdict more of a judgement begun, and looks only at that treatment and at those that may need it.
func (g *Judgement) Decide(treatment, path string) (*Verdict, error) {
	j, t, target := g.j, g.Case.Pack.Treatment(treatment), g.Case.At(path)
	for by := range j.bearing(t) {
		for _, of := range g.Case.Of(by.Of) {
			g.ask(by, of)
		}
	}
	v := g.ask(t, target)
	if v != nil && v.Word == "" {
		j.decide(v)
		g.Verdicts = append(g.Verdicts, v)
	}
	return v, j.err
}

// Instances asks every rule about a treatment of the thing at a path and decides nothing; considered is false where it is no
// candidate there.
func (g *Judgement) Instances(treatment, path string) (list []*Instance, considered bool) {
	v := g.ask(g.Case.Pack.Treatment(treatment), g.Case.At(path))
	if v == nil {
		return nil, false
	}
	return v.Instances, true
}

// ask gives the verdict of a treatment for a thing, decided or not; nil where it is no candidate there.
func (g *Judgement) ask(t *pack.Treatment, target *evidence.Thing) *Verdict {
	if target == nil || target.Kind != t.Of {
		return nil
	}
	at := g.j.place(t, target)
	if g.j.verdicts[at] == nil && g.Considers(t, target) {
		g.j.verdicts[at] = g.j.instances(t, target)
	}
	return g.j.verdicts[at]
}

// Considers tells whether a treatment is a candidate for a thing: unless it is known to be none.
func (g *Judgement) Considers(t *pack.Treatment, target *evidence.Thing) bool {
	return !target.Unlisted && g.j.candidate(t, target)
}

// Where gives the proof of the condition by which a treatment is a candidate for a thing; nil where there is none.
func (g *Judgement) Where(t *pack.Treatment, target *evidence.Thing) *Proof {
	if t.Where == nil {
		return nil
	}
	return g.j.prove(t.Where.Root, g.j.of(t.Where, target))
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
