package lesson

import (
	"slices"

	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// Pair is two steps of which one comes first: by what the pack says of either, or by a rule of need.
type Pair struct {
	First, Then *judge.Verdict
	By          *pack.Treatment // whose before or after says so; nil when a rule does
	Need        *judge.Proof
}

// Pairs gives the pairs among the exercise's steps that have an order.
func (e *Exercise) Pairs() []Pair { return pairs(e.Judgement, e.Verdicts) }

func pairs(g *judge.Judgement, list []*judge.Verdict) (found []Pair) {
	for _, a := range list {
		for _, b := range list {
			if a.Treatment == b.Treatment || !touches(g, a, b) {
				continue
			}
			switch need := needs(g, b, a); {
			case slices.Contains(a.Treatment.Before, b.Treatment.ID):
				found = append(found, Pair{First: a, Then: b, By: a.Treatment})
			case slices.Contains(b.Treatment.After, a.Treatment.ID):
				found = append(found, Pair{First: a, Then: b, By: b.Treatment})
			case need != nil:
				found = append(found, Pair{First: a, Then: b, Need: need})
			}
		}
	}
	return found
}

// touches tells whether what one step is done to has to do with what the other is done to.
func touches(g *judge.Judgement, a, b *judge.Verdict) bool {
	return slices.Contains(g.Case.Reach(a.Target, b.Target.Kind), b.Target) || slices.Contains(g.Case.Reach(b.Target, a.Target.Kind), a.Target)
}

// needs gives the reason why a step needs another first, nil when it does not.
func needs(g *judge.Judgement, v, first *judge.Verdict) *judge.Proof {
	for _, i := range v.Instances {
		if i.Rule.Effect == pack.Needs && i.Rule.Step == first.Treatment && i.Value == cond.True {
			return g.Reason(i)
		}
	}
	return nil
}

// markOrder takes picks as the places of the steps in the order said.
func (e *Exercise) markOrder(picks []int) *Mark {
	at := func(v *judge.Verdict) int { return slices.Index(picks, slices.Index(e.Verdicts, v)) }
	for _, p := range e.Pairs() {
		if at(p.First) > at(p.Then) {
			return &Mark{Broken: &p}
		}
	}
	return &Mark{Right: true}
}

// Orders gives every order of the exercise's steps that is right, as places in its list.
func (e *Exercise) Orders() (list [][]int) {
	var visit func(picks []int)
	visit = func(picks []int) {
		if len(picks) == len(e.Verdicts) {
			if e.markOrder(picks).Right {
				list = append(list, slices.Clone(picks))
			}
			return
		}
		for i := range e.Verdicts {
			if !slices.Contains(picks, i) {
				visit(append(picks, i))
			}
		}
	}
	visit(nil)
	return list
}
