package judge

import (
	"slices"

	"tideline/engine/evidence"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Step is what a node of a proof is.
type Step string

// The steps.
const (
	StepReason Step = "reason" // a rule asked of a thing
	StepAnd    Step = "and"
	StepOr     Step = "or"
	StepNot    Step = "not"
	StepAll    Step = "all"      // for all things of a list
	StepExists Step = "exists"   // for some thing of a list
	StepCount  Step = "at least" // for at least Count things of a list
	StepEach   Step = "each"     // one thing of such a list
	StepAtom   Step = "atom"
	StepFact   Step = "fact"
	StepAnswer Step = "answer"
	StepAlways Step = "always"
	StepCases  Step = "cases" // either way: the question, then one kid for each way it could turn out
	StepCase   Step = "case"
)

// Proof is one node of a proof: what it says, its value, and what it rests on.
type Proof struct {
	Step   Step
	Text   string // the condition as written, in its normal form
	Value  cond.Truth
	Rule   *pack.Rule      // of a reason
	Fact   *pack.Fact      // of a fact
	Thing  *evidence.Thing // what a reason, fact, answer or each-node speaks of
	Ask    int             // of an answer or cases: the number of the question
	Cells  []vocab.Answer  // of a case: the answers it stands for
	Count  int             // of at least
	Test   *cond.Test      // of an answer: what it was compared with, nil when it was reckoned with
	Kids   []*Proof        // the deciding one first
	Leaves int             // how many answers the shortest sufficient part has
}

// VerdictProof is the whole proof of a verdict: every rule instance in scope, grouped by what the rule does.
type VerdictProof struct {
	Verdict *Verdict
	// RulesOut, CalledFor, Needs, For, Against and Cautions hold every instance: those that hold first, then the open,
	// then those that do not.
	RulesOut, CalledFor, Needs, For, Against, Cautions []*Proof
	// NeededBy are the treatments that need this one, with the reasons why.
	NeededBy []Needer
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
	lists := map[pack.Effect]*[]*Proof{pack.RulesOut: &p.RulesOut, pack.CalledFor: &p.CalledFor, pack.Needs: &p.Needs,
		pack.For: &p.For, pack.Against: &p.Against, pack.Caution: &p.Cautions}
	for _, i := range v.Instances {
		*lists[i.Rule.Effect] = append(*lists[i.Rule.Effect], g.Reason(i))
	}
	for _, list := range lists {
		leadFirst(*list)
	}
	for _, n := range g.j.neededBy(v) {
		other := g.j.verdicts[verdictKey{n.treatment, n.target}]
		needer := Needer{Verdict: other}
		for _, i := range other.Instances {
			if i.Rule.Effect == pack.Needs && i.Rule.Step == v.Treatment && i.Value != cond.False {
				needer.Reasons = append(needer.Reasons, g.Reason(i))
			}
		}
		p.NeededBy = append(p.NeededBy, needer)
	}
	if v.EitherWay {
		p.Cases = g.j.cases(v)
	}
	return p
}

// leadFirst sorts reasons: those that hold, then the open, then those that do not; among equals the shortest first.
func leadFirst(list []*Proof) {
	slices.SortStableFunc(list, func(a, b *Proof) int {
		if a.Value != b.Value {
			return rankOf(a.Value) - rankOf(b.Value)
		}
		return a.Leaves - b.Leaves
	})
}

func rankOf(v cond.Truth) int {
	return map[cond.Truth]int{cond.True: 0, cond.Open: 1, cond.False: 2}[v]
}

// Reason gives the proof of one rule instance.
func (g *Judgement) Reason(i *Instance) *Proof {
	kid := g.j.prove(i.Rule.When[i.Target.Kind].Root, slices.Clone(i.env))
	p := &Proof{Step: StepReason, Text: i.Rule.Text, Value: i.Value, Rule: i.Rule, Thing: i.Thing, Kids: []*Proof{kid}, Leaves: kid.Leaves}
	if i.Thing.Unlisted && !g.j.surelyThere(i.Thing) {
		p.Kids = append(p.Kids, g.j.listed(i.Thing))
	}
	return p
}

// listed is the answer whether the list is complete that a thing not listed stands for.
func (j *judge) listed(t *evidence.Thing) *Proof {
	holder := j.c.Asks[t.Listed].Thing
	return &Proof{Step: StepAnswer, Value: cond.Open, Thing: holder, Ask: t.Listed, Leaves: 1}
}

// prove gives the proof of a condition for the things in env.
func (j *judge) prove(n *cond.Node, env []int32) *Proof {
	p := &Proof{Text: n.Text, Value: j.eval(n, env)}
	switch n.Op {
	case cond.OpConst:
		p.Step = StepAlways
	case cond.OpAtom:
		p.Step = StepAtom
		p.Kids = j.answers(n, env)
		p.Leaves = len(p.Kids)
	case cond.OpFact:
		thing := j.end(n.Of, env)
		f := j.c.Pack.Fact(n.Fact)
		kid := j.prove(f.Is.Root, j.fill(f.Is.Vars, thing, thing))
		p.Step, p.Fact, p.Thing, p.Kids, p.Leaves = StepFact, f, thing, []*Proof{kid}, kid.Leaves
	case cond.OpNot, cond.OpAnd, cond.OpOr:
		p.Step = map[cond.Op]Step{cond.OpNot: StepNot, cond.OpAnd: StepAnd, cond.OpOr: StepOr}[n.Op]
		for _, k := range n.Kids {
			p.Kids = append(p.Kids, j.prove(k, env))
		}
		decideFirst(p)
	default:
		j.proveEach(p, n, env)
	}
	return p
}

func (j *judge) proveEach(p *Proof, n *cond.Node, env []int32) {
	p.Step = map[cond.Op]Step{cond.OpAll: StepAll, cond.OpExists: StepExists, cond.OpCount: StepCount}[n.Op]
	p.Count = n.Count
	for _, m := range j.list(n.Of, env) {
		env[n.Bind] = int32(m.Index)
		kid := j.prove(n.Kids[0], env)
		each := &Proof{Step: StepEach, Text: kid.Text, Value: kid.Value, Thing: m, Kids: []*Proof{kid}, Leaves: kid.Leaves}
		if m.Unlisted && !j.surelyThere(m) {
			each.Kids = append(each.Kids, j.listed(m))
			if kid.Value == cond.Of(n.Op != cond.OpAll) {
				each.Value = cond.Open
			}
		}
		p.Kids = append(p.Kids, each)
	}
	decideFirst(p)
}

// decideFirst puts the operand that decides first, and counts the answers of the shortest sufficient part: one operand
// where one decides, else all of them.
func decideFirst(p *Proof) {
	var decides cond.Truth
	switch p.Step {
	case StepOr, StepExists:
		decides = cond.True
	case StepAnd, StepAll:
		decides = cond.False
	case StepCount:
		decides = p.Value
	default:
		decides = p.Value
	}
	slices.SortStableFunc(p.Kids, func(a, b *Proof) int {
		if (a.Value == decides) != (b.Value == decides) {
			if a.Value == decides {
				return -1
			}
			return 1
		}
		return a.Leaves - b.Leaves
	})
	if p.Value == decides && p.Value != cond.Open && p.Step != StepCount && len(p.Kids) > 0 {
		p.Leaves = p.Kids[0].Leaves
		return
	}
	for _, k := range p.Kids {
		p.Leaves += k.Leaves
	}
}

// answers gives the leaves of an atom: each question it reads, once.
func (j *judge) answers(n *cond.Node, env []int32) []*Proof {
	var list []*Proof
	for _, r := range n.Atom.Reads {
		thing := j.end(cond.Path{Slot: n.Args[r.Arg], Links: r.Links}, env)
		number := j.c.Number(thing, r.Question)
		if slices.ContainsFunc(list, func(p *Proof) bool { return p.Ask == number }) {
			continue
		}
		value := cond.True
		if !j.c.Asks[number].Answer.Known {
			value = cond.Open
		}
		list = append(list, &Proof{Step: StepAnswer, Value: value, Thing: thing, Ask: number, Test: n.Atom.Test, Leaves: 1})
	}
	return list
}

// cases proves a ruling-out either way: it goes through the ways a question could turn out until, in each, one instance
// rules out by itself.
func (j *judge) cases(v *Verdict) *Proof {
	var formulas []*formula
	byFormula := map[*formula]*Instance{}
	for _, i := range v.Instances {
		if i.Rule.Effect == pack.RulesOut && i.Rule.Withdrawn == nil && i.Value == cond.Open {
			f := j.formula(i)
			formulas = append(formulas, f)
			byFormula[f] = i
		}
	}
	for _, part := range j.space.parts(formulas) {
		if canHold, canFail := j.space.outcomes(or(part...)); canHold && !canFail {
			asks, tied := j.space.concerns(or(part...))
			return j.split(part, byFormula, asks, tied)
		}
	}
	return nil
}

// split looks at the first question: ways that lead to the same instance are told together.
func (j *judge) split(part []*formula, byFormula map[*formula]*Instance, asks []int, tied []*formula) *Proof {
	number := asks[0]
	p := &Proof{Step: StepCases, Value: cond.True, Ask: number, Thing: j.c.Asks[number].Thing}
	defer func() { j.space.assigned[number] = unassigned }()
	for n, cell := range j.cells(number) {
		j.space.assigned[number] = int32(n)
		if j.space.breaks(tied) == cond.True {
			continue // cannot be
		}
		way := &Proof{Step: StepCase, Value: cond.True, Ask: number, Cells: cell.Answers}
		holding := slices.IndexFunc(part, func(f *formula) bool { return j.space.eval(f) == cond.True })
		switch {
		case holding >= 0:
			i := byFormula[part[holding]]
			way.Kids = []*Proof{{Step: StepReason, Text: i.Rule.Text, Value: cond.True, Rule: i.Rule, Thing: i.Thing}}
		case len(asks) > 1:
			way.Kids = []*Proof{j.split(part, byFormula, asks[1:], tied)}
		}
		if last := len(p.Kids) - 1; last >= 0 && sameReason(p.Kids[last], way) {
			p.Kids[last].Cells = append(slices.Clone(p.Kids[last].Cells), cell.Answers...)
			continue
		}
		p.Kids = append(p.Kids, way)
	}
	if len(p.Kids) == 1 && len(p.Kids[0].Kids) == 1 && p.Kids[0].Kids[0].Step == StepCases {
		return p.Kids[0].Kids[0] // the question made no difference
	}
	return p
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
