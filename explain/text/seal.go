package text

import (
	"slices"
	"strings"

	"tideline/engine/decision"
	"tideline/engine/judge"
	"tideline/engine/seal"
	"tideline/engine/seal/edition1"
	"tideline/explain/account"
	"tideline/explain/words"
)

// Overrides writes the proof of every verdict that says "ruled out" and is gone against, each with the reason given.
func Overrides(g *judge.Judgement, list []decision.Departure, style Style) string {
	var b strings.Builder
	for _, d := range list {
		p := &page{Style: style}
		p.heading(words.Labelled(words.OverridesFirst, words.On(d.Verdict.Treatment.Name, d.Verdict.Target.Path)))
		b.WriteString(p.String() + Why(g, d.Verdict, style, false))
		p = &page{Style: style}
		p.line(0, words.DecidedOtherwise(d.Because))
		p.blank()
		b.WriteString(p.String())
	}
	return b.String()
}

// AtHand writes the cautions and stop signs of the steps decided on, dangers to people first.
func AtHand(advice decision.Advice, verdicts []*judge.Verdict, style Style) string {
	p := &page{Style: style}
	danger := false
	for _, v := range verdicts {
		a := account.Of(advice.Met(v), v)
		if len(a.Cautions)+len(v.Treatment.StopSigns) == 0 {
			continue
		}
		p.line(0, words.Labelled(words.AtHand, words.On(v.Treatment.Name, v.Target.Path)))
		for _, c := range a.Cautions {
			danger = danger || c.Hazard
			p.item(2, "-", words.Caution(c.Say, protect(c), c.Hazard, c.Open))
		}
		for _, s := range v.Treatment.StopSigns {
			p.item(2, "-", words.StopAt(s))
		}
	}
	if danger {
		p.line(0, words.LocalRules)
	}
	if p.b.Len() > 0 {
		p.blank()
	}
	return p.String()
}

// Sealed writes what was sealed, where, and its number for the owner's sheet. meanwhile are the files that other runs
// sealed while this one was at work.
func Sealed(path string, b *edition1.Body, added seal.Link, meanwhile []string, style Style) string {
	p := &page{Style: style}
	p.line(0, words.SealedAs(path, b.Case, added.Number))
	p.heading(words.Labelled(words.OwnersSheet, seal.Number(added.Sum)))
	p.line(0, words.OwnersSheetSays)
	p.line(0, words.Follows(b.Previous))
	for _, m := range meanwhile {
		p.line(0, words.SealedMeanwhile(m))
	}
	if added.Signer != "" {
		p.line(0, words.SignedWith(added.Signer))
	}
	p.plan(b)
	switch d := b.Decision; {
	case d == nil:
		p.line(0, words.NotDecidedYet)
	case len(d.Accepted) == 0 && !slices.ContainsFunc(d.Departures, func(x edition1.Departure) bool { return x.Did != "" }):
		p.line(0, words.NothingAccepted)
	default:
		p.line(0, words.Recorded(len(d.Accepted), len(d.Departures), d.Consent != nil))
	}
	return p.String()
}

// plan says what plan was sealed, and how what was decided differs from it.
func (p *page) plan(b *edition1.Body) {
	if b.Plan == nil {
		p.line(0, words.NoPlanSealed)
		return
	}
	p.line(0, words.PlanSealed(len(b.Plan.Steps), !b.Plan.Unproven))
	diff := decision.Against(b.Plan, b.Decision)
	for _, part := range []struct {
		label string
		list  []decision.Place
	}{{words.LeftOfPlan, diff.Left}, {words.BesidePlan, diff.Added}} {
		if len(part.list) == 0 {
			continue
		}
		var names []string
		for _, at := range part.list {
			names = append(names, words.On(at.Step, at.On))
		}
		p.line(0, words.Labelled(words.Counted(part.label, len(names)), strings.Join(names, "; ")+"."))
	}
}

// NewKey writes where a key was made, and its public half.
func NewKey(path, public string, style Style) string {
	p := &page{Style: style}
	p.line(0, words.KeyMade(path))
	p.line(0, words.Labelled(words.PublicHalf, public))
	p.line(0, words.KeyKept)
	return p.String()
}
