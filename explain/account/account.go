package account

import (
	"slices"

	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// Account is what is to be told of one verdict. In every list the shortest reason stands first.
type Account struct {
	*judge.Verdict
	Proof *judge.VerdictProof

	RulesOut  []*judge.Proof // ruling-outs that hold
	MayRule   []*judge.Proof // ruling-outs that are open
	Withdrawn []*judge.Proof // ruling-outs of withdrawn rules that would hold or may
	Calls     []*judge.Proof // what calls for it
	MayCall   []*judge.Proof
	Needs     []*judge.Proof // what must or may have to come first
	Arguments []Argument     // that hold, for before against
	Open      []Argument     // that are open
	Idle      []*judge.Proof // rules asked that do not apply

	Support  Support
	Missing  []Missing
	Cautions []Caution
	Standing string // the firmest standing among the reasons the verdict rests on, "" when it rests on none
	Grounds  Grounds
	Done     *record.Done // the last time it was already done, nil when never
}

// Argument is an argument with what it weighs.
type Argument struct {
	*judge.Proof
	Criterion, Weight float64 // the criterion's weight, and that times the rule's
}

// Support is the arguments added up. OpenFor and OpenAgainst are how far the open ones can move the sum.
type Support struct{ For, Against, OpenFor, OpenAgainst float64 }

// Grounds is why a verdict is no better, where no rule says so itself.
type Grounds int

// The grounds.
const (
	GroundsInRules  Grounds = iota // the reasons say it
	NothingCalls                   // no need: rules could call for it and none does
	NoRuleCalls                    // no need: there is no such rule
	OnlyForRuledOut                // no need: what needs it is ruled out
	ServesNoAim                    // possible: it serves none of the aims
	NotOutweighed                  // possible: the arguments for do not outweigh those against
)

// Of gives the account of a verdict of the judgement.
func Of(g *judge.Judgement, v *judge.Verdict) *Account {
	p := g.Prove(v)
	a := &Account{Verdict: v, Proof: p, Done: g.Case.Done(v.Treatment.ID, v.Target)}
	for _, r := range p.RulesOut {
		switch {
		case r.Rule.Withdrawn != nil && r.Value != cond.False:
			a.Withdrawn = append(a.Withdrawn, r)
		case r.Value == cond.True:
			a.RulesOut = append(a.RulesOut, r)
		case r.Value == cond.Open:
			a.MayRule = append(a.MayRule, r)
		}
	}
	for _, r := range p.CalledFor {
		switch r.Value {
		case cond.True:
			a.Calls = append(a.Calls, r)
		case cond.Open:
			a.MayCall = append(a.MayCall, r)
		}
	}
	for _, r := range p.Needs {
		if r.Value != cond.False {
			a.Needs = append(a.Needs, r)
		}
	}
	a.argue(g.Weights)
	for _, list := range [][]*judge.Proof{p.RulesOut, p.CalledFor, p.Needs, p.For, p.Against, p.Cautions} {
		for _, r := range list {
			if r.Value == cond.False {
				a.Idle = append(a.Idle, r)
			}
		}
	}
	a.Missing = missing(g, a)
	a.Cautions = cautions(v.Treatment, p.Cautions)
	a.Standing, a.Grounds = a.standing(), a.grounds()
	return a
}

// argue weighs the arguments and adds them up.
func (a *Account) argue(weights map[string]float64) {
	for _, list := range [][]*judge.Proof{a.Proof.For, a.Proof.Against} {
		for _, r := range list {
			w := weights[r.Rule.Criterion.ID]
			argument := Argument{Proof: r, Criterion: w, Weight: w * r.Rule.Weight}
			inFavour := r.Rule.Effect == pack.For
			switch {
			case r.Value == cond.True && inFavour:
				a.Support.For += argument.Weight
			case r.Value == cond.True:
				a.Support.Against += argument.Weight
			case r.Value == cond.Open && inFavour:
				a.Support.OpenFor += argument.Weight
			case r.Value == cond.Open:
				a.Support.OpenAgainst += argument.Weight
			}
			switch r.Value {
			case cond.True:
				a.Arguments = append(a.Arguments, argument)
			case cond.Open:
				a.Open = append(a.Open, argument)
			}
		}
	}
	a.bound()
}

// bound puts the exact bounds, where the judge found them, in place of the sums of the open arguments: some of those may
// exclude one another, or be settled whatever the answers.
func (a *Account) bound() {
	if a.Word != judge.Recommended && a.Word != judge.Possible {
		return
	}
	s := &a.Support
	net := s.For - s.Against
	if a.Least > net { // an open argument that holds whatever the answers
		s.For += a.Least - net
	}
	if a.Most < net {
		s.Against += net - a.Most
	}
	net = s.For - s.Against
	s.OpenFor, s.OpenAgainst = round(a.Most-net), round(net-a.Least)
}

// round takes away the dust that adding weights in binary leaves, and the sign of nothing.
func round(v float64) float64 {
	r := float64(int64(v*1e6+0.5)) / 1e6
	return max(0, r)
}

// Deciding gives the reasons the verdict rests on.
func (a *Account) Deciding() []*judge.Proof {
	switch a.Word {
	case judge.RuledOut:
		if len(a.RulesOut) == 0 {
			return a.MayRule // either way
		}
		return a.RulesOut
	case judge.TestFirst:
		return a.MayRule
	case judge.NoNeed:
		return nil
	}
	list := append(slices.Clone(a.Calls), a.MayCall...)
	for _, argument := range a.Arguments {
		list = append(list, argument.Proof)
	}
	return list
}

// standing gives the firmest standing among the deciding reasons that speak for the verdict.
func (a *Account) standing() string {
	best := len(pack.Standings)
	for _, r := range a.Deciding() {
		if r.Rule.Effect == pack.Against {
			continue
		}
		if n := slices.Index(pack.Standings, r.Rule.Standing); n >= 0 {
			best = min(best, n)
		}
	}
	if best == len(pack.Standings) {
		return ""
	}
	return pack.Standings[best]
}

func (a *Account) grounds() Grounds {
	switch {
	case a.Word == judge.NoNeed && len(a.Proof.NeededBy) > 0:
		return OnlyForRuledOut
	case a.Word == judge.NoNeed && len(a.Proof.CalledFor) == 0:
		return NoRuleCalls
	case a.Word == judge.NoNeed:
		return NothingCalls
	case a.Word == judge.Possible && a.CalledFor == cond.True && a.ServesAim == cond.False:
		return ServesNoAim
	case a.Word == judge.Possible && a.CalledFor == cond.True && a.Least <= 0:
		return NotOutweighed
	}
	return GroundsInRules
}
