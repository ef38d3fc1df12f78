package verify

import (
	"fmt"
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Count is how much of a proof was replayed.
type Count struct {
	Leaves, Steps int
	// Unsearched counts claims about all completions that were too large to go through again.
	Unsearched int
}

// Failure is the first step of a proof that does not hold.
type Failure struct {
	Where string // the rule and thing, or the verdict
	Text  string // the condition at that step, "" for the root
	Why   string
}

// Error tells the failure in one line.
func (f *Failure) Error() string {
	if f.Text == "" {
		return f.Where + ": " + f.Why
	}
	return fmt.Sprintf("%s, at %q: %s", f.Where, f.Text, f.Why)
}

// Checker checks proofs of one judgement.
type Checker struct {
	r       *reading
	g       *judge.Judgement
	l       *logic
	weights map[string]float64
	done    map[visit]Count // steps found to hold
	rules   map[place][]known
	needs   map[place][]needer
	nevers  []statement
	cuts    map[*vocab.Question][]vocab.Answer
}

type visit struct {
	proof *judge.Proof
	node  *cond.Node
	first *node
}

// New reads the record of a judgement again.
func New(g *judge.Judgement) *Checker {
	c := &Checker{
		r: read(g.Case.Pack, g.Case.Book, g.Case.On), g: g, done: map[visit]Count{}, weights: map[string]float64{},
		rules: map[place][]known{}, needs: map[place][]needer{}, cuts: map[*vocab.Question][]vocab.Answer{},
	}
	c.l = &logic{reading: c.r, atoms: map[string]cond.Truth{}}
	for _, k := range g.Case.Pack.Criteria {
		c.weights[k.ID] = k.Weight
		if w, ok := g.Case.Book.Weights[k.ID]; ok {
			c.weights[k.ID] = w
		}
	}
	return c
}

// Check replays a proof: every leaf against the record, every step by its table, the list of rule instances against the
// pack, and the verdict against all of it.
func (c *Checker) Check(p *judge.VerdictProof) (n Count, err error) {
	defer func() { // a proof that names what is not there
		if r := recover(); r != nil {
			err = &Failure{Where: p.Verdict.Treatment.ID + " on " + p.Verdict.Target.Path, Why: fmt.Sprint("cannot be followed: ", r)}
		}
	}()
	v := p.Verdict
	target := c.r.byPath[v.Target.Path]
	want := c.r.instances(v.Treatment, target)
	for effect, list := range map[pack.Effect][]*judge.Proof{
		pack.RulesOut: p.RulesOut, pack.CalledFor: p.CalledFor, pack.Needs: p.Needs,
		pack.For: p.For, pack.Against: p.Against, pack.Caution: p.Cautions,
	} {
		var mine []instance
		for _, i := range want {
			if i.rule.Effect == effect {
				mine = append(mine, i)
			}
		}
		if err := c.reasons(&n, mine, list); err != nil {
			return n, err
		}
	}
	if err := c.needers(&n, p, target); err != nil {
		return n, err
	}
	if p.Cases != nil {
		if err := c.cases(&n, p, target); err != nil {
			return n, err
		}
	}
	return n, c.root(&n, p, target)
}

// reasons holds a list of reasons against the instances there must be: all of them, each once.
func (c *Checker) reasons(n *Count, want []instance, list []*judge.Proof) error {
	left := slices.Clone(want)
	for _, p := range list {
		where := "a reason"
		if p.Rule != nil && p.Thing != nil {
			where = p.Rule.ID + " of " + p.Thing.Path
		}
		at := slices.IndexFunc(left, func(i instance) bool { return p.Thing != nil && i.rule == p.Rule && i.thing.path == p.Thing.Path })
		if at < 0 || p.Step != judge.StepReason {
			return &Failure{where, "", "no such rule applies to this thing, or it stands twice"}
		}
		if err := c.reason(n, where, left[at], p); err != nil {
			return err
		}
		left = slices.Delete(left, at, at+1)
	}
	if len(left) > 0 {
		return &Failure{left[0].rule.ID + " of " + left[0].thing.path, "", "the proof leaves it out"}
	}
	return nil
}

func (c *Checker) reason(n *Count, where string, i instance, p *judge.Proof) error {
	when := i.rule.When[i.target.kind]
	there := c.presence(i.thing)
	kids := 1
	if there == cond.Open {
		kids = 2
	}
	if p.Text != i.rule.Text || len(p.Kids) != kids {
		return &Failure{where, p.Text, "this is not the rule as the pack has it"}
	}
	if err := c.step(n, where, when.Root, c.r.seats(when, i.target, i.thing), p.Kids[0]); err != nil {
		return err
	}
	if kids == 2 {
		if err := c.listed(n, where, i.thing, p.Kids[1]); err != nil {
			return err
		}
	}
	n.Steps++
	if both(there, p.Kids[0].Value) != p.Value {
		return &Failure{where, p.Text, "its value does not follow"}
	}
	return nil
}

// presence tells by the record alone whether a thing is there.
func (c *Checker) presence(n *node) cond.Truth {
	c.l.plus, c.l.open = nil, nil
	return c.l.presence(n)
}

// listed checks the leaf that says that a list may not be complete.
func (c *Checker) listed(n *Count, where string, thing *node, p *judge.Proof) error {
	n.Leaves++
	holder := c.g.Case.Asks[p.Ask]
	if p.Step != judge.StepAnswer || p.Value != cond.Open || holder.Question != thing.listed.asks || holder.Thing.Path != thing.listed.of.path || p.Thing != holder.Thing {
		return &Failure{where, p.Text, "it hangs on whether the list is complete, and the proof does not say so"}
	}
	return nil
}

var stepOf = map[cond.Op]judge.Step{
	cond.OpConst: judge.StepAlways, cond.OpAtom: judge.StepAtom, cond.OpFact: judge.StepFact, cond.OpNot: judge.StepNot,
	cond.OpAnd: judge.StepAnd, cond.OpOr: judge.StepOr, cond.OpAll: judge.StepAll, cond.OpExists: judge.StepExists, cond.OpCount: judge.StepCount,
}

// step checks one step of a proof against the condition it should be of.
func (c *Checker) step(n *Count, where string, is *cond.Node, env []*node, p *judge.Proof) error {
	key := visit{proof: p, node: is}
	if is.Op == cond.OpAtom && len(is.Args) == 1 {
		key.first = env[is.Args[0]]
		if seen, ok := c.done[key]; ok {
			n.Leaves, n.Steps = n.Leaves+seen.Leaves, n.Steps+seen.Steps
			return nil
		}
	}
	fail := func(why string) error { return &Failure{where, p.Text, why} }
	if p.Step != stepOf[is.Op] || p.Text != is.Text || p.Count != is.Count {
		return fail("this is not the condition as the pack has it")
	}
	before := *n
	n.Steps++
	value, err := c.kids(n, where, is, env, p)
	if err != nil {
		return err
	}
	if value != p.Value {
		return fail("its value does not follow")
	}
	if key.first != nil {
		c.done[key] = Count{Leaves: n.Leaves - before.Leaves, Steps: n.Steps - before.Steps}
	}
	return nil
}

// kids checks what a step rests on, and gives the value that follows.
func (c *Checker) kids(n *Count, where string, is *cond.Node, env []*node, p *judge.Proof) (cond.Truth, error) {
	fail := func(why string) (cond.Truth, error) { return cond.Open, &Failure{where, p.Text, why} }
	switch is.Op {
	case cond.OpConst:
		c.l.plus = nil
		return c.l.eval(is, env), nil
	case cond.OpAtom:
		return c.atom(n, where, is, env, p)
	case cond.OpFact:
		f, of := c.r.pack.Fact(is.Fact), c.r.follow(is.Of, env)
		if p.Fact != f || p.Thing == nil || p.Thing.Path != of.path || len(p.Kids) != 1 {
			return fail("this is not the fact as the pack has it")
		}
		return p.Kids[0].Value, c.step(n, where, f.Is.Root, c.r.seats(f.Is, of, of), p.Kids[0])
	case cond.OpNot, cond.OpAnd, cond.OpOr:
		return c.operands(n, where, is, env, p)
	}
	return c.each(n, where, is, env, p)
}

// operands checks the operands of a connective, in whatever order they are told.
func (c *Checker) operands(n *Count, where string, is *cond.Node, env []*node, p *judge.Proof) (cond.Truth, error) {
	if len(p.Kids) != len(is.Kids) {
		return cond.Open, &Failure{where, p.Text, "a part of the condition is missing, or there is one too many"}
	}
	left := slices.Clone(is.Kids)
	var values []cond.Truth
	for _, k := range p.Kids {
		at := slices.IndexFunc(left, func(n *cond.Node) bool { return n.Text == k.Text && stepOf[n.Op] == k.Step })
		if at < 0 {
			return cond.Open, &Failure{where, k.Text, "the condition has no such part"}
		}
		if err := c.step(n, where, left[at], env, k); err != nil {
			return cond.Open, err
		}
		left = slices.Delete(left, at, at+1)
		values = append(values, k.Value)
	}
	switch is.Op {
	case cond.OpNot:
		return opposite(values[0]), nil
	case cond.OpAnd:
		return both(values...), nil
	}
	return either(values...), nil
}

// each checks a statement about the things of a list: that all of them are told, each once.
func (c *Checker) each(n *Count, where string, is *cond.Node, env []*node, p *judge.Proof) (cond.Truth, error) {
	left := c.r.members(is.Of, env)
	if len(left) != len(p.Kids) {
		return cond.Open, &Failure{where, p.Text, "not all things of the list are told"}
	}
	var values, there []cond.Truth
	for _, k := range p.Kids {
		at := slices.IndexFunc(left, func(m *node) bool { return k.Thing != nil && m.path == k.Thing.Path })
		if at < 0 || k.Step != judge.StepEach || len(k.Kids) == 0 || k.Text != is.Kids[0].Text {
			return cond.Open, &Failure{where, k.Text, "no such thing is in the list, or it stands twice"}
		}
		m := left[at]
		left = slices.Delete(left, at, at+1)
		env[is.Bind] = m
		if err := c.step(n, where, is.Kids[0], env, k.Kids[0]); err != nil {
			return cond.Open, err
		}
		here := c.presence(m)
		want := overList(&cond.Node{Op: map[bool]cond.Op{true: cond.OpAll, false: cond.OpExists}[is.Op == cond.OpAll]}, []cond.Truth{k.Kids[0].Value}, []cond.Truth{here})
		if k.Value != want || len(k.Kids) != map[bool]int{true: 2, false: 1}[here == cond.Open] {
			return cond.Open, &Failure{where, k.Text, "its value does not follow"}
		}
		if here == cond.Open {
			if err := c.listed(n, where, m, k.Kids[1]); err != nil {
				return cond.Open, err
			}
		}
		n.Steps++
		values, there = append(values, k.Kids[0].Value), append(there, here)
	}
	return overList(is, values, there), nil
}

// atom checks the leaves of an atom against the record, and evaluates it with only them known.
func (c *Checker) atom(n *Count, where string, is *cond.Node, env []*node, p *judge.Proof) (cond.Truth, error) {
	c.l.plus, c.l.open = nil, nil
	left := c.l.reads(is, env)
	calls := slices.Clone(is.Atom.Calls)
	for _, k := range p.Kids {
		if k.Step == judge.StepDose {
			at := slices.IndexFunc(calls, func(d *cond.Call) bool { return k.Dose != nil && d == k.Dose.Call })
			if at < 0 {
				return cond.Open, &Failure{where, p.Text, "it tells of a function that the condition does not call"}
			}
			if why := c.dose(is, env, k); why != "" {
				return cond.Open, &Failure{where, k.Text, why}
			}
			calls = slices.Delete(calls, at, at+1)
			n.Steps++
			continue
		}
		ask := c.g.Case.Asks[k.Ask]
		at := slices.IndexFunc(left, func(q *question) bool { return q.asks == ask.Question && ask.Thing.Path == q.of.path })
		if at < 0 || k.Step != judge.StepAnswer || k.Thing != ask.Thing || k.Test != is.Atom.Test {
			return cond.Open, &Failure{where, p.Text, "a leaf is of another question than the condition reads"}
		}
		if why := c.leaf(left[at], ask, k.Value); why != "" {
			return cond.Open, &Failure{where, p.Text, why}
		}
		left = slices.Delete(left, at, at+1)
		n.Leaves++
	}
	if len(left) > 0 {
		return cond.Open, &Failure{where, p.Text, "an answer it reads is not among its leaves: " + left[0].asks.ID + " of " + left[0].of.path}
	}
	if len(calls) > 0 {
		return cond.Open, &Failure{where, p.Text, "it does not tell what " + calls[0].Text + " gives"}
	}
	v := c.l.atom(is, env)
	return v, c.l.fault
}

// dose makes a call again with the answers of the record.
func (c *Checker) dose(is *cond.Node, env []*node, p *judge.Proof) string {
	read := func(n int) vocab.Answer {
		rd := is.Atom.Reads[n]
		a, _ := c.l.known(c.l.ask(c.l.follow(cond.Path{Slot: is.Args[rd.Arg], Links: rd.Links}, env), rd.Question))
		return a
	}
	d := p.Dose
	value, done, refusal := d.Call.Do(read)
	for i, a := range d.Call.Args {
		given := a.Value
		if a.Read >= 0 {
			given = read(a.Read)
		}
		if i >= len(d.Values) || d.Values[i] != given {
			return "it was not given the answers of the record"
		}
	}
	switch {
	case p.Text != d.Call.Text || len(p.Kids) > 0 || len(d.Values) != len(d.Call.Args):
		return "this is not the call as the pack has it"
	case done != (p.Value == cond.True) || done && value != d.Value:
		return "the function gives something else"
	case (refusal == nil) != (d.Refusal == nil):
		return "it is not said rightly whether the function refuses"
	}
	return ""
}

// leaf compares a leaf with the record.
func (c *Checker) leaf(q *question, ask evidence.Ask, value cond.Truth) string {
	g := c.r.answers[q]
	switch {
	case (value == cond.True) != g.stands || value == cond.False:
		return "a leaf says that it is answered or not, and the record says otherwise"
	case ask.Answer != g.answer:
		return "a leaf does not give the answer of the record"
	case !sameResult(ask.Result, g.result):
		return "a leaf does not name the result that the record gives for it"
	}
	return ""
}

// sameResult tells whether two results are one; those that a step gives are read from the step each time.
func sameResult(a, b *record.Result) bool {
	if a == nil || b == nil || a.Step == nil {
		return a == b
	}
	return a.Step == b.Step && a.Question == b.Question && a.Thing == b.Thing && a.Answer == b.Answer && a.Date.Equal(b.Date)
}
