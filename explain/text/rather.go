package text

import (
	"tideline/engine/judge"
	"tideline/explain/account"
	"tideline/explain/words"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// RatherThan writes in what a verdict and its foil differ, the foil first: rules that hold or may hold for one of the two
// and not in the same way for the other.
func RatherThan(g *judge.Judgement, v, foil *judge.Verdict, style Style, all bool) string {
	p := &whyPage{page: page{Style: style}, tree: tree{g: g, all: all, shown: map[shownFact]bool{}}, a: account.Of(g, v)}
	other := account.Of(g, foil)
	p.heading(words.Rather(words.On(v.Treatment.Name, v.Target.Path), words.On(foil.Treatment.Name, foil.Target.Path)))
	same := true
	for _, side := range []struct{ of, against *account.Account }{{other, p.a}, {p.a, other}} {
		p.blank()
		p.heading(words.Judged(side.of.Treatment.Name, side.of.Target.Path, string(side.of.Word)))
		if s := side.of.Support; side.of.Word == judge.Recommended || side.of.Word == judge.Possible {
			p.line(2, words.Support(s.For, s.Against, s.OpenFor, s.OpenAgainst))
		}
		for _, e := range pack.Effects {
			if e == pack.Caution && !all {
				continue
			}
			for _, value := range []cond.Truth{cond.True, cond.Open} {
				list := pickReasons(only(side.of, side.against), e, value)
				same = same && len(list) == 0
				p.reasons(words.OnlyHere(words.Effect(e, value)), list)
			}
		}
	}
	if same {
		p.blank()
		p.line(0, words.NoDifference)
	}
	return p.String()
}

// only gives the reasons of a that b has not with the same value.
func only(a, b *account.Account) []*judge.Proof {
	type key struct {
		rule  *pack.Rule
		thing string
		value cond.Truth
	}
	has := map[key]bool{}
	for _, r := range speaking(b) {
		has[key{r.Rule, r.Thing.Path, r.Value}] = true
	}
	var list []*judge.Proof
	for _, r := range speaking(a) {
		if !has[key{r.Rule, r.Thing.Path, r.Value}] {
			list = append(list, r)
		}
	}
	return list
}

// speaking gives the reasons of an account that hold or may; those of withdrawn rules do not speak.
func speaking(a *account.Account) []*judge.Proof {
	var speaking []*judge.Proof
	p := a.Proof
	for _, list := range [][]*judge.Proof{p.RulesOut, p.CalledFor, p.Needs, p.For, p.Against, p.Cautions} {
		for _, r := range list {
			if r.Value != cond.False && r.Rule.Withdrawn == nil {
				speaking = append(speaking, r)
			}
		}
	}
	return speaking
}
