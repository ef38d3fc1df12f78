package judge

import (
	"maps"
	"slices"
	"strings"

	"tideline/engine/evidence"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// Again judges the book in another state: as [Judge] would, to the letter, but only what hangs on answers that are
// others. It is meant for cases made by [evidence.Case.With], however many one after another; one that does not have the
// same things, pack, aims and weights is judged from the beginning, and so is any after a judgement of [One].
//
// g stays as it is. The two share what they have in common, so that they must not be used by several goroutines at once.
func (g *Judgement) Again(c *evidence.Case) (*Judgement, error) {
	changed, alike := g.changed(c)
	if !alike {
		return Judge(c)
	}
	r := &rejudging{judge: g.j.again(c), before: g}
	for _, n := range changed {
		r.dirty = append(r.dirty, int32(c.Asks[n].Thing.Index))
	}
	next := &Judgement{Case: c, Aims: r.aims, Weights: r.weights, j: r.judge}
	r.trace(next, r.forget(changed))
	for _, v := range r.anew {
		r.decide(v)
	}
	next.Verdicts = r.merged()
	return next, r.err
}

// changed gives the numbers of the questions whose answers are others in c; alike tells whether all else is the same.
func (g *Judgement) changed(c *evidence.Case) (numbers []int, alike bool) {
	was := g.Case
	if g.j.some || c.Pack != was.Pack || len(c.Asks) != len(was.Asks) || len(c.Things) != len(was.Things) || &c.Things[0] != &was.Things[0] ||
		!slices.Equal(aims(c), g.Aims) || !maps.Equal(weights(c), g.Weights) {
		return nil, false
	}
	for n := range c.Asks {
		if c.Asks[n].Answer != was.Asks[n].Answer {
			if strings.HasSuffix(c.Asks[n].Question.Name, evidence.Listed) {
				return nil, false
			}
			numbers = append(numbers, n)
		}
	}
	return numbers, true
}

// again makes a judge of another state of the case, which knows all that j knows.
func (j *judge) again(c *evidence.Case) *judge {
	return &judge{
		table:  &table{c: c, atoms: slices.Clone(j.atoms), wide: j.wide, facts: slices.Clone(j.facts), factAt: j.factAt, only: j.only},
		layout: j.layout, cut: j.cut, leaves: map[wideKey]*formula{}, aims: j.aims, weights: j.weights, reckons: j.reckons,
		space: &space{size: j.space.size, forbidden: j.space.forbidden}, verdicts: make([]*Verdict, j.places),
	}
}

// rejudging is a judgement of another state in the making.
type rejudging struct {
	*judge
	before *Judgement
	dirty  []int32    // the things with answers that are others
	all    []Verdict  // copies of the verdicts there were
	anew   []*Verdict // those to be decided anew
	marked []bool     // by place: whether it is among anew
}

// trace follows changed answers by way of those who ask for them to the verdicts that may be others.
func (r *rejudging) trace(next *Judgement, askers []*asker) {
	rules, where, nevers := map[*pack.Treatment][]*asker{}, []*pack.Treatment(nil), []*asker(nil)
	for _, k := range askers {
		switch {
		case k.rule != nil:
			for _, t := range k.rule.Treatments {
				if t.Of == k.of {
					rules[t] = append(rules[t], k)
				}
			}
		case k.where != nil:
			where = append(where, k.where)
		case k.never != nil:
			nevers = append(nevers, k)
		}
	}
	next.Contradictions = r.before.Contradictions
	never := false
	if r.statements = r.before.j.statements; len(nevers) > 0 {
		old := r.space.forbidden
		next.Contradictions = r.stateAgain(nevers)
		never = !slices.EqualFunc(old, r.space.forbidden, same)
	}
	r.copy()
	for i := range r.all {
		v := &r.all[i]
		if list := rules[v.Treatment]; list != nil && r.askAgain(v, list) || never && v.hangs() {
			r.mark(v)
		}
	}
	for _, t := range where {
		r.considerAgain(t)
	}
	for i := 0; i < len(r.anew); i++ { // grows
		r.markSteps(r.anew[i].Treatment, r.anew[i].Target)
	}
	r.anew = slices.DeleteFunc(r.anew, func(v *Verdict) bool { return r.verdicts[r.place(v.Treatment, v.Target)] != v }) // considered no more
	for _, v := range r.anew {
		*v = Verdict{Treatment: v.Treatment, Target: v.Target, Instances: v.Instances}
	}
}

// stateAgain asks never statements again of the things they rest on, and gives those that the answers break.
func (r *rejudging) stateAgain(list []*asker) []Contradiction {
	r.statements = slices.Clone(r.statements)
	for i, s := range r.statements {
		at := slices.IndexFunc(list, func(k *asker) bool { return k.never == s.Never })
		if at < 0 || list[at].own && !slices.ContainsFunc(r.of(s.Never.When, s.Thing), r.isDirty) {
			continue
		}
		r.statements[i] = r.state(s.Contradiction)
	}
	return r.forbid()
}

// copy copies the verdicts there were, since their ranks may become others.
func (r *rejudging) copy() {
	r.all, r.marked = make([]Verdict, len(r.before.Verdicts)), make([]bool, r.places)
	for i, v := range r.before.Verdicts {
		r.all[i] = *v
		r.all[i].Rank, r.all[i].Unordered = 0, false
		r.verdicts[r.place(v.Treatment, v.Target)] = &r.all[i]
	}
}

// hangs tells whether anything about the verdict is open.
func (v *Verdict) hangs() bool {
	return v.calls.called.op != cond.OpConst || v.calls.serving.op != cond.OpConst ||
		slices.ContainsFunc(v.Instances, func(i *Instance) bool { return i.Value == cond.Open })
}

// askAgain asks the instances of some rules again, and tells whether any may matter otherwise: it has another value, or is
// open, and then may hang on others.
func (r *rejudging) askAgain(v *Verdict, list []*asker) bool {
	var instances []*Instance
	var rule *pack.Rule
	at := -1
	for n, i := range v.Instances {
		if i.Rule != rule {
			rule = i.Rule
			at = slices.IndexFunc(list, func(k *asker) bool { return k.rule == rule })
		}
		if at < 0 {
			continue
		}
		r.scratch = r.fill(r.scratch, list[at].cond.Vars, i.Target, i.Thing)
		if list[at].own && !slices.ContainsFunc(r.scratch, r.isDirty) {
			continue
		}
		value := r.instance(list[at].cond, i.Thing)
		if value == i.Value && value != cond.Open {
			continue
		}
		if instances == nil {
			instances = slices.Clone(v.Instances)
		}
		instances[n] = &Instance{Rule: i.Rule, Target: i.Target, Thing: i.Thing, Value: value}
	}
	if instances == nil {
		return false
	}
	v.Instances = instances
	return true
}

func (r *rejudging) isDirty(thing int32) bool { return slices.Contains(r.dirty, thing) }

// mark takes a verdict among those to be decided anew.
func (r *rejudging) mark(v *Verdict) {
	if at := r.place(v.Treatment, v.Target); !r.marked[at] {
		r.marked[at] = true
		r.anew = append(r.anew, v)
	}
}

// markSteps marks what a treatment may need.
func (r *rejudging) markSteps(t *pack.Treatment, target *evidence.Thing) {
	for _, rule := range r.rules[t.ID] {
		if rule.Effect != pack.Needs || rule.Step == nil {
			continue
		}
		for _, of := range r.c.Reach(target, rule.Step.Of) {
			if v := r.verdicts[r.place(rule.Step, of)]; v != nil {
				r.mark(v)
			}
		}
	}
}

// considerAgain asks again for which things a treatment is considered.
func (r *rejudging) considerAgain(t *pack.Treatment) {
	for _, target := range r.c.Of(t.Of) {
		v := r.verdicts[r.place(t, target)]
		switch now := !target.Unlisted && r.candidate(t, target); {
		case now && v == nil:
			v = r.instances(t, target)
			r.verdicts[r.place(t, target)] = v
			r.mark(v)
		case now:
			r.mark(v)
		case v != nil:
			r.verdicts[r.place(t, target)] = nil
			r.markSteps(t, target)
		}
	}
}

// merged puts the verdicts decided anew in their places among those that stand.
func (r *rejudging) merged() []*Verdict {
	slices.SortStableFunc(r.anew, before)
	list := make([]*Verdict, 0, len(r.all)+len(r.anew))
	for i := range r.all {
		v := &r.all[i]
		at := r.place(v.Treatment, v.Target)
		if r.marked[at] || r.verdicts[at] != v {
			continue
		}
		for len(r.anew) > 0 && before(r.anew[0], v) < 0 {
			list, r.anew = append(list, r.anew[0]), r.anew[1:]
		}
		list = append(list, v)
	}
	list = append(list, r.anew...)
	number(list)
	return list
}
