package judge

import (
	"slices"

	"tideline/engine/evidence"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// Word is a verdict's word.
type Word string

// The verdicts.
const (
	Recommended Word = "recommended"
	Possible    Word = "possible"
	TestFirst   Word = "test first"
	RuledOut    Word = "ruled out"
	NoNeed      Word = "no need"
)

// Verdict is what was decided of one treatment for one target.
type Verdict struct {
	Treatment *pack.Treatment
	Target    *evidence.Thing
	Word      Word
	// EitherWay marks a ruling-out that no single reason gives, but every way the open answers could turn out.
	EitherWay bool
	// Open is what the ruling-out hangs on for test first, and what the verdict hangs on for possible: numbers of
	// questions, rising.
	Open []int
	// Least and Most bound the support over the completions: weights of arguments for less those against.
	Least, Most float64
	// CalledFor and ServesAim are exact: true or false in every completion, or open.
	CalledFor, ServesAim cond.Truth
	// Rank is 1 for the first of the recommended and possible, equal for ties, 0 for what is not ranked.
	Rank int
	// Unordered marks a place whose support overlaps that of the next: no order between the two.
	Unordered bool
	// Unproven marks a verdict whose exact search was given up; it then errs to caution.
	Unproven bool
	// Sampled marks a verdict for which a number not known was tried at points of its range only, because a condition
	// reckons with it: it holds at those points.
	Sampled bool
	// Refused marks a verdict that a condition leaves open because a function refuses to compute with the answers given, and
	// no further answer can help that.
	Refused bool
	// ofBan and ofArguments are both of its ruling-out and of its open arguments.
	ofBan, ofArguments marks
	// doubtful marks a verdict whose ruling-out, or that of one that needs it, was not searched to the end.
	doubtful  bool
	ban       *formula    // whether it is ruled out, once asked for
	calls     calls       // whether it is called for, once asked for
	Instances []*Instance // every rule instance in scope, by rule and thing
}

// Instance is one rule asked of one thing in the reach of one target.
type Instance struct {
	Rule   *pack.Rule
	Target *evidence.Thing
	Thing  *evidence.Thing
	Value  cond.Truth // by Kleene's logic
}

// Weighs is the weight of an argument: the criterion's, times the rule's.
func (i *Instance) Weighs(weights map[string]float64) float64 {
	return weights[i.Rule.Criterion.ID] * i.Rule.Weight
}

// Judgement is all verdicts of a case.
type Judgement struct {
	Case     *evidence.Case
	Aims     []string
	Weights  map[string]float64 // by criterion
	Verdicts []*Verdict         // by rank, then by word, then by treatment and target
	// Contradictions are statements of the pack that the answers given break: they cannot all be true.
	Contradictions []Contradiction
	j              *judge
}

// Contradiction is a never statement that the answers break.
type Contradiction struct {
	Never *pack.Never
	Thing *evidence.Thing
}

// Of gives the verdict of a treatment for a target, nil when it is no candidate there.
func (g *Judgement) Of(treatment, path string) *Verdict {
	for _, v := range g.Verdicts {
		if v.Treatment.ID == treatment && v.Target.Path == path {
			return v
		}
	}
	return nil
}

// Clash gives the proof of a contradiction: its answers are the ones that cannot all be true.
func (g *Judgement) Clash(c Contradiction) *Proof {
	return g.j.prove(c.Never.When.Root, g.j.of(c.Never.When, c.Thing))
}

// Answers gives the answers at the leaves of a proof, each once, in the order in which it tells them.
func (p *Proof) Answers() []*Proof {
	var list []*Proof
	var walk func(*Proof)
	walk = func(p *Proof) {
		if p.Step == StepAnswer && !slices.ContainsFunc(list, func(q *Proof) bool { return q.Ask == p.Ask }) {
			list = append(list, p)
		}
		for _, k := range p.Kids {
			walk(k)
		}
	}
	walk(p)
	return list
}

// FactHolds tells whether a fact is true of something in the case.
func (g *Judgement) FactHolds(id string) bool {
	for _, t := range g.Case.Of(g.Case.Pack.Fact(id).Kind) {
		if g.j.fact(id, t) == cond.True {
			return true
		}
	}
	return false
}
