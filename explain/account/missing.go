package account

import (
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Missing is one question that a verdict hangs on, with all the things it is open for.
type Missing struct {
	Question *vocab.Question
	Test     *pack.Test // how it is answered; nil for what the record itself answers
	Asks     []evidence.Ask
	Turns    []Turn // what its answer would do by itself
}

// Turn is an answer that alone makes a ruling-out hold.
type Turn struct {
	Ask    evidence.Ask
	Test   *cond.Test
	Passes bool // whether the answers that pass the test make it hold, or those that do not
	Rule   *pack.Rule
}

// Things gives the things the question is open for.
func (m Missing) Things() []*evidence.Thing {
	var list []*evidence.Thing
	for _, a := range m.Asks {
		list = append(list, a.Thing)
	}
	return list
}

// missing gathers what the verdict hangs on by question, in the order of the first thing each is open for.
func missing(g *judge.Judgement, a *Account) []Missing {
	var list []Missing
	for _, ask := range g.Missing(a.Verdict) {
		i := slices.IndexFunc(list, func(m Missing) bool { return m.Question == ask.Question })
		if i < 0 {
			list = append(list, Missing{Question: ask.Question, Test: g.Case.Pack.Test(ask.Question.ID)})
			i = len(list) - 1
		}
		list[i].Asks = append(list[i].Asks, ask)
	}
	if a.Word == judge.TestFirst {
		for _, r := range a.MayRule {
			addTurn(g, list, r)
		}
	}
	return list
}

// addTurn notes the answer that alone would make an open ruling-out hold, where one answer does.
func addTurn(g *judge.Judgement, list []Missing, r *judge.Proof) {
	leaves := openLeaves(r, true)
	if len(leaves) != 1 || leaves[0].proof.Test == nil {
		return
	}
	leaf := leaves[0]
	ask := g.Case.Asks[leaf.proof.Ask]
	i := slices.IndexFunc(list, func(m Missing) bool { return m.Question == ask.Question })
	if i < 0 {
		return
	}
	turn := Turn{ask, leaf.proof.Test, leaf.holds, r.Rule}
	same := func(t Turn) bool {
		return t.Ask.Thing == ask.Thing && t.Passes == turn.Passes && t.Test.Op == turn.Test.Op && slices.Equal(t.Test.Values, turn.Test.Values)
	}
	if !slices.ContainsFunc(list[i].Turns, same) {
		list[i].Turns = append(list[i].Turns, turn)
	}
}

// leaf is an open answer of a proof; holds tells whether the proof holds when the leaf's test does, or when it fails.
type leaf struct {
	proof *judge.Proof
	holds bool
}

func openLeaves(p *judge.Proof, holds bool) []leaf {
	if p.Value != cond.Open {
		return nil
	}
	if p.Step == judge.StepAnswer {
		return []leaf{{p, holds}}
	}
	if p.Step == judge.StepNot {
		holds = !holds
	}
	var list []leaf
	for _, k := range p.Kids {
		list = append(list, openLeaves(k, holds)...)
	}
	return list
}

// Leaf is an answer that a reason rests on.
type Leaf struct {
	*judge.Proof
	Passes bool // whether the answer passes the leaf's test
}

// Sufficient gives the answers of the shortest part of a proof that is enough for its value: the deciding branch wherever
// one branch decides.
func Sufficient(p *judge.Proof) []Leaf { return sufficient(p, p.Value == cond.True) }

func sufficient(p *judge.Proof, passes bool) []Leaf {
	switch p.Step {
	case judge.StepAnswer:
		return []Leaf{{p, passes}}
	case judge.StepAtom:
		passes = p.Value == cond.True
	}
	var list []Leaf
	for _, k := range Branches(p) {
		for _, l := range sufficient(k, passes) {
			if !slices.ContainsFunc(list, func(o Leaf) bool { return o.Ask == l.Ask && o.Test == l.Test }) {
				list = append(list, l)
			}
		}
	}
	return list
}

// Branches gives the branches that a node's value needs: one where one decides, else all.
func Branches(p *judge.Proof) []*judge.Proof {
	decides := p.Value == cond.True && (p.Step == judge.StepOr || p.Step == judge.StepExists) ||
		p.Value == cond.False && (p.Step == judge.StepAnd || p.Step == judge.StepAll)
	switch {
	case decides && len(p.Kids) > 0:
		return p.Kids[:1]
	case p.Step == judge.StepCount && p.Value == cond.True:
		return p.Kids[:min(p.Count, len(p.Kids))]
	}
	return p.Kids
}

// Points gives every answer a question was cut at: each cell's, in order. It gives none where points of a range stand in
// for its cells: nothing is then known of what lies between two of them.
func Points(c *evidence.Case, q *vocab.Question) []vocab.Answer {
	cells, exact := c.Pack.Env.Cells(q)
	if !exact {
		return nil
	}
	var all []vocab.Answer
	for _, cell := range cells {
		all = append(all, cell.Answers...)
	}
	return all
}
