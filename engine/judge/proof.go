package judge

import (
	"slices"

	"tideline/engine/evidence"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Proof is one node of a proof: what it says, its value, and what it rests on. A whole proof has thousands, so that nodes
// are small: what few of them have stands in About.
type Proof struct {
	Step   Step
	Value  cond.Truth
	Text   string          // the condition as written, in its normal form
	Thing  *evidence.Thing // what a reason, fact, answer or each-node speaks of
	Ask    int             // of an answer or cases: the number of the question
	Kids   []*Proof        // the deciding one first
	Leaves int             // how many answers the shortest sufficient part has
	*About                 // never nil; nodes share it, so that it must not be changed
}

// About is what only some nodes of a proof have.
type About struct {
	Rule  *pack.Rule     // of a reason
	Fact  *pack.Fact     // of a fact
	Cells []vocab.Answer // of a case: the answers it stands for
	Count int            // of at least
	Test  *cond.Test     // of an answer: what it was compared with, nil when it was reckoned with
	Dose  *Dosed         // of a dose
}

// nothingRare is About for the nodes that have nothing of it.
var nothingRare = &About{}

// VerdictProof is the whole proof of a verdict: every rule instance in scope, grouped by what the rule does.
type VerdictProof struct {
	Verdict *Verdict
	// RulesOut, CalledFor, Needs, For, Against and Cautions hold every instance: those that hold first, then the open,
	// then those that do not.
	RulesOut, CalledFor, Needs, For, Against, Cautions []*Proof
	// NeededBy are the treatments that need this one or may, with the reasons why; NotNeededBy those that could but for
	// the reasons given do not.
	NeededBy, NotNeededBy []Needer
	// Cases is the proof by cases of a ruling-out either way, nil otherwise.
	Cases *Proof
}

// Needer is another verdict that needs the treatment.
type Needer struct {
	Verdict *Verdict
	Reasons []*Proof
}

// Prove gives the whole proof of a verdict of the judgement.
func (g *Judgement) Prove(v *Verdict) *VerdictProof {
	p := &VerdictProof{Verdict: v}
	lists := g.reasons(v)
	p.RulesOut, p.CalledFor, p.Needs, p.For, p.Against, p.Cautions = lists[0], lists[1], lists[2], lists[3], lists[4], lists[5]
	p.NeededBy, p.NotNeededBy = g.needers(v)
	if v.EitherWay {
		p.Cases = g.j.cases(v)
	}
	return p
}

// reasons gives the reasons of each of [pack.Effects]: those that hold, the shortest first, then the open, then those that
// do not hold.
func (g *Judgement) reasons(v *Verdict) (lists [6][]*Proof) {
	var counts [6][3]int // by effect, by value
	byEffect(v.Instances, func(effect int, i *Instance) { counts[effect][i.Value]++ })
	var next [6][3]int // where the next goes
	for e, n := range counts {
		lists[e] = g.j.list(n[cond.True] + n[cond.Open] + n[cond.False])
		next[e] = [3]int{cond.Open: n[cond.True], cond.False: n[cond.True] + n[cond.Open]}
	}
	byEffect(v.Instances, func(effect int, i *Instance) {
		at := &next[effect][i.Value]
		lists[effect][*at] = g.Reason(i)
		*at++
	})
	for e, n := range counts {
		slices.SortStableFunc(lists[e][:n[cond.True]], func(a, b *Proof) int { return a.Leaves - b.Leaves })
	}
	return lists
}

// byEffect calls visit for every instance, with the place of its effect among [pack.Effects].
func byEffect(instances []*Instance, visit func(effect int, i *Instance)) {
	var rule *pack.Rule
	effect := 0
	for _, i := range instances { // those of a rule stand together
		if i.Rule != rule {
			rule, effect = i.Rule, slices.Index(pack.Effects, i.Rule.Effect)
		}
		visit(effect, i)
	}
}

// needers gives the verdicts whose rules of need speak of the treatment: by those that hold or are open, and by those that
// do not hold. Both are reasons why it is called for or not.
func (g *Judgement) needers(v *Verdict) (by, notBy []Needer) {
	seen := map[*Verdict]bool{}
	for _, r := range g.j.needers[v.Treatment.ID] {
		for _, t := range r.Treatments {
			for _, target := range g.Case.Of(t.Of) {
				other := g.j.verdicts[g.j.place(t, target)]
				if other == nil || seen[other] || !slices.Contains(g.Case.Reach(target, v.Target.Kind), v.Target) {
					continue
				}
				seen[other] = true
				yes, no := Needer{Verdict: other}, Needer{Verdict: other}
				for _, i := range other.Instances {
					switch {
					case i.Rule.Effect != pack.Needs || i.Rule.Step != v.Treatment:
					case i.Value == cond.False || g.j.formula(i).known() == cond.False:
						no.Reasons = append(no.Reasons, g.Reason(i))
					default:
						yes.Reasons = append(yes.Reasons, g.Reason(i))
					}
				}
				if len(yes.Reasons) > 0 {
					by = append(by, yes)
				}
				if len(no.Reasons) > 0 {
					notBy = append(notBy, no)
				}
			}
		}
	}
	return by, notBy
}

var stepOf = [...]Step{
	cond.OpConst: StepAlways, cond.OpAtom: StepAtom, cond.OpFact: StepFact, cond.OpNot: StepNot, cond.OpAnd: StepAnd,
	cond.OpOr: StepOr, cond.OpAll: StepAll, cond.OpExists: StepExists, cond.OpCount: StepCount,
}

// reasonKey is what the reason of a rule instance rests on: those of a rule about several treatments are shared.
type reasonKey struct {
	rule          *pack.Rule
	target, thing *evidence.Thing
}

// Reason gives the proof of one rule instance.
func (g *Judgement) Reason(i *Instance) *Proof {
	if len(i.Rule.Treatments) == 1 {
		return g.reason(i)
	}
	key := reasonKey{i.Rule, i.Target, i.Thing}
	p := g.j.shared[key]
	if p == nil {
		if g.j.shared == nil {
			g.j.shared = map[reasonKey]*Proof{}
		}
		p = g.reason(i)
		g.j.shared[key] = p
	}
	return p
}

func (g *Judgement) reason(i *Instance) *Proof {
	c := i.Rule.When[i.Target.Kind]
	g.j.scratch = g.j.fill(g.j.scratch, c.Vars, i.Target, i.Thing)
	kid := g.j.prove(c.Root, g.j.scratch)
	p := g.j.node(StepReason)
	p.Text, p.Value, p.About, p.Thing, p.Kids, p.Leaves = i.Rule.Text, i.Value, g.j.ofRule(i.Rule), i.Thing, g.j.kids(kid), kid.Leaves
	if i.Thing.Unlisted && !g.j.surelyThere(i.Thing) {
		p.Kids = append(p.Kids, g.j.listed(i.Thing))
	}
	return p
}

// ofRule gives what the reasons of a rule share. They are mostly made one after another.
func (j *judge) ofRule(r *pack.Rule) *About {
	if j.lastRule == nil || j.lastRule.Rule != r {
		j.lastRule = &About{Rule: r}
	}
	return j.lastRule
}

// listed is the answer whether the list is complete that a thing not listed stands for.
func (j *judge) listed(t *evidence.Thing) *Proof {
	holder := j.c.Asks[t.Listed].Thing
	return &Proof{Step: StepAnswer, Value: cond.Open, Thing: holder, Ask: t.Listed, Leaves: 1, About: nothingRare}
}

// node makes a node of a proof. Nodes are made in blocks, since a whole proof has thousands.
func (j *judge) node(step Step) *Proof {
	if len(j.nodes) == 0 {
		j.nodes = make([]Proof, 400) // 32 KiB, the largest block the runtime hands out cheaply
	}
	p := &j.nodes[0]
	j.nodes = j.nodes[1:]
	p.Step, p.About = step, nothingRare
	return p
}

// list makes a list of nodes, of a block of its own kind.
func (j *judge) list(length int) []*Proof {
	const block = 1024
	if length > block/4 {
		return make([]*Proof, length)
	}
	if len(j.lists) < length {
		j.lists = make([]*Proof, block)
	}
	list := j.lists[:length:length]
	j.lists = j.lists[length:]
	return list
}

// kids makes the list of one kid.
func (j *judge) kids(kid *Proof) []*Proof {
	list := j.list(1)
	list[0] = kid
	return list
}

// prove gives the proof of a condition for the things in env.
func (j *judge) prove(n *cond.Node, env []int32) *Proof {
	switch n.Op {
	case cond.OpAtom:
		return j.proveAtom(n, env)
	case cond.OpFact:
		return j.proveFact(n, j.end(n.Of, env))
	}
	p := j.node(stepOf[n.Op])
	p.Text = n.Text
	switch n.Op {
	case cond.OpConst:
		p.Value = cond.Of(n.Value)
	case cond.OpNot:
		p.Kids = j.kids(j.prove(n.Kids[0], env))
		p.Value, p.Leaves = cond.Not(p.Kids[0].Value), p.Kids[0].Leaves
	case cond.OpAnd, cond.OpOr:
		p.Kids = j.list(len(n.Kids))
		p.Value = cond.Of(n.Op == cond.OpAnd)
		for i, k := range n.Kids {
			kid := j.prove(k, env)
			if p.Kids[i] = kid; n.Op == cond.OpAnd {
				p.Value = cond.And(p.Value, kid.Value)
			} else {
				p.Value = cond.Or(p.Value, kid.Value)
			}
		}
		decideFirst(p)
	default:
		j.proveEach(p, n, env)
	}
	return p
}

// proveFact gives the proof of a fact of a thing. It is made once and shared, wherever it is written alike.
func (j *judge) proveFact(n *cond.Node, thing *evidence.Thing) *Proof {
	at := j.factAt[n.Fact]
	if j.factProofs == nil {
		j.factProofs = make([][]*Proof, len(j.facts))
	}
	if j.factProofs[at] == nil {
		j.factProofs[at] = make([]*Proof, len(j.facts[at]))
	}
	shared := &j.factProofs[at][thing.Nth]
	if *shared != nil && (*shared).Text == n.Text {
		return *shared
	}
	f := j.c.Pack.Facts[at]
	p := j.node(StepFact)
	p.Text, p.Thing, p.About = n.Text, thing, &About{Fact: f}
	if *shared != nil {
		p.Kids = (*shared).Kids
	} else {
		p.Kids = j.kids(j.prove(f.Is.Root, j.of(f.Is, thing)))
	}
	p.Value, p.Leaves = p.Kids[0].Value, p.Kids[0].Leaves
	*shared = p
	return p
}

// proveAtom gives the proof of an atom. That of an atom of one thing is made once and shared.
func (j *judge) proveAtom(n *cond.Node, env []int32) *Proof {
	var shared **Proof
	if len(n.Args) == 1 {
		thing := j.c.Things[env[n.Args[0]]]
		if j.atomProofs == nil {
			j.atomProofs = make([][]*Proof, len(j.atoms))
		}
		if j.atomProofs[n.Atom.ID] == nil {
			j.atomProofs[n.Atom.ID] = make([]*Proof, len(j.c.Of(thing.Kind)))
		}
		shared = &j.atomProofs[n.Atom.ID][thing.Nth]
		if *shared != nil && (*shared).Text == n.Text {
			return *shared
		}
	}
	p := j.node(StepAtom)
	p.Text, p.Value, p.Kids = n.Text, j.eval(n, env), j.answers(n, env)
	p.Leaves = len(p.Kids)
	if len(n.Atom.Calls) > 0 {
		p.Kids = append(slices.Clip(p.Kids), j.doses(n, env)...)
	}
	if shared != nil {
		*shared = p
	}
	return p
}

func (j *judge) proveEach(p *Proof, n *cond.Node, env []int32) {
	if n.Op == cond.OpCount {
		p.About = &About{Count: n.Count}
	}
	things := j.things(n.Of, env)
	p.Kids = j.list(len(things))
	var found [3]int // by value
	for i, m := range things {
		env[n.Bind] = int32(m.Index)
		kid := j.prove(n.Kids[0], env)
		each := j.node(StepEach)
		each.Text, each.Value, each.Thing, each.Kids, each.Leaves = kid.Text, kid.Value, m, j.kids(kid), kid.Leaves
		if m.Unlisted && !j.surelyThere(m) {
			each.Kids = append(each.Kids, j.listed(m))
			if kid.Value == cond.Of(n.Op != cond.OpAll) {
				each.Value = cond.Open
			}
		}
		p.Kids[i] = each
		found[each.Value]++
	}
	p.Value = counted(n, found)
	decideFirst(p)
}

// decideFirst puts the operand that decides first, and counts the answers of the shortest sufficient part: one operand
// where one decides, else all of them.
func decideFirst(p *Proof) {
	decides := p.Value
	switch p.Step {
	case StepOr, StepExists:
		decides = cond.True
	case StepAnd, StepAll:
		decides = cond.False
	}
	for i := 1; i < len(p.Kids); i++ { // few, and mostly in order
		for k := i; k > 0 && leads(p.Kids[k], p.Kids[k-1], decides); k-- {
			p.Kids[k], p.Kids[k-1] = p.Kids[k-1], p.Kids[k]
		}
	}
	if p.Value == decides && p.Value != cond.Open && p.Step != StepCount && len(p.Kids) > 0 {
		p.Leaves = p.Kids[0].Leaves
		return
	}
	for _, k := range p.Kids {
		p.Leaves += k.Leaves
	}
}

// leads tells whether an operand is told before another: one that decides before one that does not, then the shorter.
func leads(a, b *Proof, decides cond.Truth) bool {
	if (a.Value == decides) != (b.Value == decides) {
		return a.Value == decides
	}
	return a.Leaves < b.Leaves
}

// answers gives the leaves of an atom: each question it reads, once.
func (j *judge) answers(n *cond.Node, env []int32) []*Proof {
	if len(n.Atom.Reads) == 1 {
		return j.kids(j.leafOf(n, &n.Atom.Reads[0], env))
	}
	var list []*Proof
	for i := range n.Atom.Reads {
		leaf := j.leafOf(n, &n.Atom.Reads[i], env)
		if !slices.ContainsFunc(list, func(p *Proof) bool { return p.Ask == leaf.Ask }) {
			list = append(list, leaf)
		}
	}
	return list
}

// ofTest gives what the answers that an atom reads share. The leaves of an atom are mostly made one after another.
func (j *judge) ofTest(a *cond.Atom) *About {
	if a.Test == nil {
		return nothingRare
	}
	if j.tests == nil {
		j.tests = make([]*About, len(j.atoms))
	}
	if j.tests[a.ID] == nil {
		j.tests[a.ID] = &About{Test: a.Test}
	}
	return j.tests[a.ID]
}

// leafOf gives the leaf of a question that an atom reads.
func (j *judge) leafOf(n *cond.Node, r *cond.Read, env []int32) *Proof {
	thing := j.end(cond.Path{Slot: n.Args[r.Arg], Links: r.Links}, env)
	p := j.node(StepAnswer)
	p.Value, p.Thing, p.Ask, p.About, p.Leaves = cond.True, thing, thing.Base+r.Slot, j.ofTest(n.Atom), 1
	if !j.c.Asks[p.Ask].Answer.Known {
		p.Value = cond.Open
	}
	return p
}

// cases proves a ruling-out either way: it goes through the ways a question could turn out until, in each, one instance
// rules out by itself.
func (j *judge) cases(v *Verdict) *Proof {
	var rules []openRule
	for _, i := range v.Instances {
		if i.Rule.Effect != pack.RulesOut || i.Rule.Withdrawn != nil || i.Value != cond.Open {
			continue
		}
		if f := j.formula(i).taken(false); f.known() == cond.Open {
			rules = append(rules, openRule{i, f})
		}
	}
	return j.split(rules, j.space.tied(formulasOfRules(rules)...))
}

// openRule is a ruling-out still open on the way down: its instance, and its formula with the cells put in so far.
type openRule struct {
	instance *Instance
	f        *formula
}

// split looks at the question that most hangs on. Ways that lead to the same instance are told together.
func (j *judge) split(rules []openRule, never []*formula) *Proof {
	rules, never = j.settledPiece(rules, never)
	number := branching(append(formulasOfRules(rules), never...)...)
	p := &Proof{Step: StepCases, Value: cond.True, Ask: number, Thing: j.c.Asks[number].Thing, About: nothingRare}
	for cell, answers := range j.cells(number) {
		left, ok := assignNever(never, number, cell)
		if !ok {
			continue // cannot be
		}
		way := &Proof{Step: StepCase, Value: cond.True, Ask: number, About: &About{Cells: answers.Answers}}
		var open []openRule
		for _, r := range rules {
			switch f := r.f.assign(number, cell); f.known() {
			case cond.True:
				if len(way.Kids) == 0 {
					i := r.instance
					way.Kids = []*Proof{{Step: StepReason, Text: i.Rule.Text, Value: cond.True, About: j.ofRule(i.Rule), Thing: i.Thing}}
				}
			case cond.Open:
				open = append(open, openRule{r.instance, f})
			}
		}
		if len(way.Kids) == 0 {
			if len(open) == 0 {
				continue // the never statements leave nothing here
			}
			way.Kids = []*Proof{j.split(open, left)}
		}
		if last := len(p.Kids) - 1; last >= 0 && sameReason(p.Kids[last], way) {
			p.Kids[last].Cells = append(slices.Clone(p.Kids[last].Cells), answers.Answers...)
			continue
		}
		p.Kids = append(p.Kids, way)
	}
	return p
}

// settledPiece leaves only the rules of one independent piece that rules out by itself, where there is such a piece.
func (j *judge) settledPiece(rules []openRule, never []*formula) ([]openRule, []*formula) {
	for _, g := range pieces(formulasOfRules(rules), never) {
		if len(g.formulas) == 0 {
			continue
		}
		if holds, fails := j.space.outcomes(or(g.formulas...), g.never); holds && !fails {
			return slices.DeleteFunc(slices.Clone(rules), func(r openRule) bool { return !slices.Contains(g.formulas, r.f) }), g.never
		}
	}
	return rules, never
}

func formulasOfRules(rules []openRule) []*formula {
	list := make([]*formula, 0, len(rules))
	for _, r := range rules {
		list = append(list, r.f)
	}
	return list
}

func sameReason(a, b *Proof) bool {
	return len(a.Kids) == 1 && len(b.Kids) == 1 && a.Kids[0].Step == StepReason && b.Kids[0].Step == StepReason &&
		a.Kids[0].Rule == b.Kids[0].Rule && a.Kids[0].Thing == b.Kids[0].Thing
}

// Missing gives what a verdict hangs on as questions, those about lists not complete in place of those of the things that
// may not be there.
func (g *Judgement) Missing(v *Verdict) []evidence.Ask {
	var list []evidence.Ask
	seen := map[int]bool{}
	for _, number := range v.Open {
		if t := g.Case.Asks[number].Thing; t.Unlisted {
			number = t.Listed
		}
		if !seen[number] {
			seen[number] = true
			list = append(list, g.Case.Asks[number])
		}
	}
	return list
}
