package judge

import (
	"slices"
	"strings"

	"tideline/engine/evidence"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Premises are what a verdict rests on besides the rules asked.
type Premises struct {
	// Never are the never statements that tie answers in the proof to one another or to others: they forbid some ways in
	// which open answers could turn out.
	Never []Tie
	// Listed are the answers that a list is complete, on which it rests that no thing was left out.
	Listed []*Proof
}

// Tie is a never statement asked of a thing, with its proof.
type Tie struct {
	Never *pack.Never
	Thing *evidence.Thing
	Proof *Proof
}

// Premises gives the premises of a verdict.
func (g *Judgement) Premises(v *Verdict) *Premises {
	asks, targets := map[int]bool{}, []*evidence.Thing{}
	g.gather(v, asks, &targets)
	p := &Premises{}
	var untied []Tie
	for _, n := range g.Case.Pack.Never {
		for _, t := range g.Case.Of(n.Each) {
			untied = append(untied, Tie{n, t, g.j.prove(n.When.Root, g.j.of(n.When, t))})
		}
	}
	for grown := true; grown; {
		grown = false
		untied = slices.DeleteFunc(untied, func(tie Tie) bool {
			leaves := tie.Proof.Answers()
			if !slices.ContainsFunc(leaves, func(l *Proof) bool { return asks[l.Ask] }) {
				return false
			}
			for _, l := range leaves {
				asks[l.Ask] = true
			}
			p.Never, grown = append(p.Never, tie), true
			return true
		})
	}
	p.Listed = g.listed(targets)
	return p
}

// gather notes the questions in the proof of a verdict and of those that need it, and what they are done to.
func (g *Judgement) gather(v *Verdict, asks map[int]bool, targets *[]*evidence.Thing) {
	if !slices.Contains(*targets, v.Target) {
		*targets = append(*targets, v.Target)
	}
	note := func(list []*Proof) {
		for _, r := range list {
			for _, l := range r.Answers() {
				asks[l.Ask] = true
			}
		}
	}
	for _, i := range v.Instances {
		note([]*Proof{g.Reason(i)})
	}
	by, notBy := g.needers(v)
	for _, n := range by {
		note(n.Reasons)
		g.gather(n.Verdict, asks, targets)
	}
	for _, n := range notBy {
		note(n.Reasons)
	}
}

// listed gives the answers that the lists in reach of the targets are complete.
func (g *Judgement) listed(targets []*evidence.Thing) []*Proof {
	var list []*Proof
	seen := map[int]bool{}
	for _, target := range targets {
		holders := append(slices.Clone(g.Case.Reach(target, vocab.Side)), g.Case.Of(vocab.Book)...)
		for _, holder := range holders {
			for _, q := range g.Case.Pack.Vocabulary.Of(holder.Kind) {
				number := g.Case.Number(holder, q)
				if !strings.HasSuffix(q.Name, "_listed") || !g.Case.Asks[number].Answer.Known || seen[number] {
					continue
				}
				seen[number] = true
				list = append(list, &Proof{Step: StepAnswer, Value: cond.True, Thing: holder, Ask: number, Leaves: 1, About: nothingRare})
			}
		}
	}
	return list
}
