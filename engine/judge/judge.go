package judge

import (
	"cmp"
	"slices"

	"tideline/engine/evidence"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// judge is one judgement in the making.
type judge struct {
	*table
	cut    map[*vocab.Question][]cond.Cell
	asIs   map[int][]cond.Cell // cells of a loosened question, by number: see [Loose]
	leaves map[wideKey]*formula
	space  *space
	*layout
	verdicts   []*Verdict // by place: see [layout]
	statements []statement
	aims       []string
	weights    map[string]float64
	scratch    []int32
	reckons    bool // some leaf is sampled, or refused
	some       bool // not all verdicts were asked for: see [One]
	// nodes and lists are spare nodes of proofs, and spare lists of them; atomProofs the proofs of atoms of one thing, by
	// atom and by place of the thing.
	nodes      []Proof
	lists      []*Proof
	atomProofs [][]*Proof
	factProofs [][]*Proof // by place of the fact, by place of the thing
	shared     map[reasonKey]*Proof
	lastRule   *About   // of the rule whose reason was made last
	tests      []*About // of the answers that an atom reads, by atom
}

// layout is what judgements of one pack and the same things share: which rules speak of what.
type layout struct {
	rules   map[string][]*pack.Rule // by treatment
	needers map[string][]*pack.Rule // rules by which a treatment is needed, by that treatment
	// first is the place of the verdict of a treatment for the first thing of its kind; the others follow.
	first  map[*pack.Treatment]int
	places int
	reads  *readers // who reads which question, once it was asked for
}

func newLayout(c *evidence.Case) *layout {
	l := &layout{rules: map[string][]*pack.Rule{}, needers: map[string][]*pack.Rule{}, first: map[*pack.Treatment]int{}}
	for _, r := range c.Pack.Rules {
		for _, t := range r.Treatments {
			l.rules[t.ID] = append(l.rules[t.ID], r)
			if r.Effect == pack.Needs && r.Step != nil && !slices.Contains(l.needers[r.Step.ID], r) {
				l.needers[r.Step.ID] = append(l.needers[r.Step.ID], r)
			}
		}
	}
	for _, t := range c.Pack.Treatments {
		l.first[t] = l.places
		l.places += len(c.Of(t.Of))
	}
	return l
}

// place is where the verdict of a treatment for a target stands among all that there could be.
func (l *layout) place(t *pack.Treatment, target *evidence.Thing) int {
	return l.first[t] + target.Nth
}

// newJudge makes a judge of a case that has looked at nothing yet.
func newJudge(c *evidence.Case) *judge {
	j := &judge{
		table: newTable(c), cut: map[*vocab.Question][]cond.Cell{}, leaves: map[wideKey]*formula{}, layout: newLayout(c),
		aims: aims(c), weights: weights(c),
	}
	j.verdicts = make([]*Verdict, j.places)
	j.space = &space{size: func(n int) int { return len(j.cells(n)) }}
	return j
}

// Judge decides every verdict of a case. The error is a fault of the pack: a condition that could not be evaluated.
func Judge(c *evidence.Case) (*Judgement, error) {
	j := newJudge(c)
	g := &Judgement{Case: c, Aims: j.aims, Weights: j.weights, j: j, Contradictions: j.nevers()}
	for _, t := range c.Pack.Treatments {
		for _, target := range c.Of(t.Of) {
			if !target.Unlisted && j.candidate(t, target) {
				v := j.instances(t, target)
				j.verdicts[j.place(t, target)] = v
				g.Verdicts = append(g.Verdicts, v)
			}
		}
	}
	for _, v := range g.Verdicts {
		j.decide(v)
	}
	rank(g.Verdicts)
	return g, j.err
}

// aims gives the owner's aims; an owner who has named none is taken to want everything the pack knows.
func aims(c *evidence.Case) []string {
	if c.Book.Aims != nil {
		return c.Book.Aims
	}
	var all []string
	for _, a := range c.Pack.Aims {
		all = append(all, a.ID)
	}
	return all
}

func weights(c *evidence.Case) map[string]float64 {
	w := map[string]float64{}
	for _, k := range c.Pack.Criteria {
		w[k.ID] = k.Weight
		if own, ok := c.Book.Weights[k.ID]; ok {
			w[k.ID] = own
		}
	}
	return w
}

// candidate tells whether a treatment is considered for a target: unless it is known to be none.
func (j *judge) candidate(t *pack.Treatment, target *evidence.Thing) bool {
	return t.Where == nil || j.eval(t.Where.Root, j.of(t.Where, target)) != cond.False
}

// considered is whether a treatment is considered for a target, as a formula.
func (j *judge) considered(t *pack.Treatment, target *evidence.Thing) *formula {
	if t.Where == nil {
		return always
	}
	return j.write(t.Where.Root, j.of(t.Where, target))
}

// statement is a never statement asked of a thing: its value, and when that is open its formula.
type statement struct {
	Contradiction
	value cond.Truth
	f     *formula
}

// nevers writes out the never statements and gives those that the answers break.
func (j *judge) nevers() []Contradiction {
	for _, n := range j.c.Pack.Never {
		for _, t := range j.c.Of(n.Each) {
			j.statements = append(j.statements, j.state(Contradiction{n, t}))
		}
	}
	return j.forbid()
}

// state asks a never statement of a thing.
func (j *judge) state(c Contradiction) statement {
	env := j.of(c.Never.When, c.Thing)
	s := statement{c, j.eval(c.Never.When.Root, env), nil}
	if s.value == cond.Open {
		s.f = j.write(c.Never.When.Root, env).taken(false) // only what it surely forbids
	}
	return s
}

// forbid keeps the statements that some completion would break, and gives those that the answers break.
func (j *judge) forbid() (broken []Contradiction) {
	j.space.forbidden = nil
	for _, s := range j.statements {
		switch {
		case s.value == cond.True:
			broken = append(broken, s.Contradiction)
		case s.f != nil && s.f.op != cond.OpConst:
			j.space.forbidden = append(j.space.forbidden, s.f)
		}
	}
	return broken
}

// instances asks every rule about a treatment of every thing in the target's reach.
func (j *judge) instances(t *pack.Treatment, target *evidence.Thing) *Verdict {
	v := &Verdict{Treatment: t, Target: target}
	reach, count := map[vocab.Kind][]*evidence.Thing{}, 0
	for _, r := range j.rules[t.ID] {
		each := cmp.Or(r.Each, t.Of)
		if _, known := reach[each]; !known {
			reach[each] = j.c.Reach(target, each)
		}
		count += len(reach[each])
	}
	all := make([]Instance, count)
	v.Instances = make([]*Instance, 0, count)
	for _, r := range j.rules[t.ID] {
		c, each := r.When[t.Of], cmp.Or(r.Each, t.Of)
		for _, thing := range reach[each] {
			j.scratch = j.fill(j.scratch, c.Vars, target, thing)
			i := &all[len(v.Instances)]
			i.Rule, i.Target, i.Thing, i.Value = r, target, thing, j.instance(c, thing)
			v.Instances = append(v.Instances, i)
		}
	}
	return v
}

// instance gives the value of a rule's condition for a thing; what its names stand for is in scratch.
func (j *judge) instance(c *cond.Cond, thing *evidence.Thing) cond.Truth {
	v := j.eval(c.Root, j.scratch)
	if v == cond.True && thing.Unlisted && !j.surelyThere(thing) {
		return cond.Open
	}
	return v
}

// env gives the things that an instance's condition speaks of.
func (j *judge) env(i *Instance) []int32 {
	return j.fill(nil, i.Rule.When[i.Target.Kind].Vars, i.Target, i.Thing)
}

// formula writes an instance's condition out.
func (j *judge) formula(i *Instance) *formula {
	return and(j.there(i.Thing), j.write(i.Rule.When[i.Target.Kind].Root, j.env(i)))
}

// open gives the formulas of the instances with the effect that are open, and whether one holds.
func (j *judge) open(v *Verdict, effect pack.Effect) (formulas []*formula, holds bool) {
	for _, i := range v.Instances {
		if i.Rule.Effect != effect || i.Rule.Withdrawn != nil {
			continue
		}
		switch i.Value {
		case cond.True:
			return nil, true
		case cond.Open:
			formulas = append(formulas, j.formula(i))
		}
	}
	return formulas, false
}

// ban is whether the treatment is ruled out, as a formula: a constant where it is settled.
func (j *judge) ban(v *Verdict) *formula {
	if v.ban == nil {
		v.ban = j.findBan(v)
	}
	return v.ban
}

// findBan searches with time of its own, so that it finds the same whoever asks first.
func (j *judge) findBan(v *Verdict) *formula {
	formulas, holds := j.open(v, pack.RulesOut)
	if holds {
		return always
	}
	steps, gaveUp := j.space.steps, j.space.gaveUp
	j.space.steps, j.space.gaveUp = 0, false
	defer func() {
		v.doubtful = v.doubtful || j.space.gaveUp
		j.space.steps, j.space.gaveUp = steps, gaveUp
	}()
	v.ofBan = j.marks(formulas...)
	f := or(formulas...)
	switch j.space.value(f) {
	case cond.True:
		v.EitherWay = true
		f = always
	case cond.False:
		f = neverHold
	default:
		return f
	}
	v.ofBan.refused = false // decided in spite of what cannot be computed
	return f
}

// calls are two formulas: whether a treatment is called for, and whether it is so by something that serves an aim.
type calls struct{ called, serving *formula }

// calledFor is whether something found calls for the treatment, or another treatment that is called for and not ruled
// out needs it.
func (j *judge) calledFor(v *Verdict) calls {
	if v.calls.called != nil {
		return v.calls
	}
	formulas, holds := j.open(v, pack.CalledFor)
	called := or(formulas...)
	if holds {
		called = always
	}
	serving := neverHold
	if slices.ContainsFunc(v.Treatment.Serves, func(a string) bool { return slices.Contains(j.aims, a) }) {
		serving = called
	}
	for _, i := range j.neededBy(v) {
		by, ban := j.calledFor(i.by), j.ban(i.by)
		v.doubtful = v.doubtful || i.by.doubtful
		permitted := and(i.needs, not(ban))
		one := called == serving && by.called == by.serving
		called = or(called, and(permitted, by.called))
		if one {
			serving = called // found and searched once
		} else {
			serving = or(serving, and(permitted, by.serving))
		}
	}
	v.calls = calls{called, serving}
	return v.calls
}

// need is another verdict that needs this treatment, and the formula by which it does.
type need struct {
	by    *Verdict
	needs *formula
}

func (j *judge) neededBy(v *Verdict) []need {
	var list []need
	for _, r := range j.needers[v.Treatment.ID] {
		for _, t := range r.Treatments {
			for _, target := range j.c.Of(t.Of) {
				other := j.verdicts[j.place(t, target)]
				if other == nil || !slices.Contains(j.c.Reach(target, v.Target.Kind), v.Target) {
					continue
				}
				needs := neverHold
				for _, i := range other.Instances {
					if i.Rule == r && i.Value != cond.False {
						needs = or(needs, j.formula(i))
					}
				}
				if needs = and(j.considered(t, target), needs); needs.known() != cond.False {
					list = append(list, need{other, needs})
				}
			}
		}
	}
	return list
}

// decide finds the verdict.
func (j *judge) decide(v *Verdict) {
	j.space.steps, j.space.gaveUp = 0, false
	ban := j.ban(v)
	calls := j.calledFor(v)
	v.CalledFor = j.space.value(calls.called)
	if v.ServesAim = v.CalledFor; calls.serving != calls.called {
		v.ServesAim = j.space.value(calls.serving)
	}
	m := v.ofBan
	switch {
	case ban == always:
		v.Word = RuledOut
	case v.CalledFor == cond.False:
		v.Word = NoNeed
		m = j.marks(calls.called)
	case ban != neverHold:
		v.Word = TestFirst
		v.Open = j.space.deciding(ban)
	default:
		v.Least, v.Most = j.support(v)
		m = m.with(j.marks(calls.called, calls.serving)).with(v.ofArguments)
		v.Word = Possible
		if v.ServesAim == cond.True && v.Least > 0 {
			v.Word = Recommended
		} else {
			v.Open = j.hangsOn(v, calls)
		}
	}
	v.Sampled, v.Refused = m.sampled, m.refused
	v.EitherWay = v.EitherWay && v.Word == RuledOut
	v.Unproven = j.space.gaveUp || v.doubtful
}

// support bounds the weights of the arguments for less those against.
func (j *judge) support(v *Verdict) (least, most float64) {
	var open []term
	for _, i := range v.Instances {
		if i.Rule.Effect != pack.For && i.Rule.Effect != pack.Against {
			continue
		}
		if i.Value == cond.False {
			continue
		}
		weight := i.Weighs(j.weights)
		if i.Rule.Effect == pack.Against {
			weight = -weight
		}
		switch i.Value {
		case cond.True:
			least, most = least+weight, most+weight
		case cond.Open:
			if f := j.formula(i); f.op != cond.OpConst {
				open = append(open, term{f, weight})
			} else if f.value {
				least, most = least+weight, most+weight
			}
		}
	}
	v.ofArguments = j.marks(formulasOf(open)...)
	low, high, ok := j.space.support(open, j.space.tied(formulasOf(open)...))
	if !ok {
		low, high, _ = bounds(open) // no completion: the statements clash, so nothing is settled
	}
	return round(least + low), round(most + high)
}

// round takes away the dust that adding weights in binary leaves.
func round(v float64) float64 { return float64(int64(v*1e6+sign(v)*0.5)) / 1e6 }

func sign(v float64) float64 {
	if v < 0 {
		return -1
	}
	return 1
}

// hangsOn gives the questions that could move a clear verdict: those of what calls for it and of its open arguments.
func (j *judge) hangsOn(v *Verdict, c calls) []int {
	list := append(c.called.asks(), c.serving.asks()...)
	for _, i := range v.Instances {
		if (i.Rule.Effect == pack.For || i.Rule.Effect == pack.Against) && i.Value == cond.Open {
			list = append(list, j.formula(i).asks()...)
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

var order = map[Word]int{Recommended: 0, Possible: 1, TestFirst: 2, RuledOut: 3, NoNeed: 4}

// before puts verdicts in order: recommended before possible, each by the low end of support, then the high end.
func before(a, b *Verdict) int {
	if a.Word != b.Word {
		return order[a.Word] - order[b.Word]
	}
	return cmp.Or(cmp.Compare(b.Least, a.Least), cmp.Compare(b.Most, a.Most), cmp.Compare(a.Treatment.ID, b.Treatment.ID), cmp.Compare(a.Target.Path, b.Target.Path))
}

// rank puts verdicts in order and gives them their places. What is ruled out, waits for a test or has no need is not
// ranked.
func rank(verdicts []*Verdict) {
	slices.SortStableFunc(verdicts, before)
	number(verdicts)
}

// number gives sorted verdicts their places; ties share one.
func number(verdicts []*Verdict) {
	for i, v := range verdicts {
		if v.Word != Recommended && v.Word != Possible {
			return
		}
		v.Rank = i + 1
		if i == 0 {
			continue
		}
		before := verdicts[i-1]
		if before.Word != v.Word {
			continue
		}
		if before.Least == v.Least && before.Most == v.Most {
			v.Rank = before.Rank
		} else if before.Least < v.Most {
			before.Unordered = true
		}
	}
}
