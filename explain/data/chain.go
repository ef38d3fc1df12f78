package data

import (
	"tideline/engine/judge"
	"tideline/explain/account"
)

// Chains is the whole chain of one verdict or more.
type Chains struct {
	Head
	Chains []Chain `json:"chains"`
}

// Chain is the whole chain of a verdict: every rule asked, with its value and proof.
type Chain struct {
	Verdict
	RulesOut  []Reason `json:"rules_out"`
	CalledFor []Reason `json:"called_for_by"`
	Needs     []Reason `json:"needs"`
	Arguments []Reason `json:"arguments"`
	Warnings  []Reason `json:"warnings"`
	NeededBy  []Needer `json:"needed_by"`
}

// Needer is another verdict that needs the treatment.
type Needer struct {
	Treatment string     `json:"treatment"`
	Target    Target     `json:"target"`
	Verdict   judge.Word `json:"verdict"`
	Reasons   []Reason   `json:"reasons"`
}

// Why gives the whole chains of verdicts.
func Why(g *judge.Judgement, verdicts []*judge.Verdict) Chains {
	w := Chains{Head: head(g), Chains: []Chain{}}
	for _, v := range verdicts {
		a := account.Of(g, v)
		p := a.Proof
		c := Chain{Verdict: verdict(g, a), RulesOut: reasons(g, p.RulesOut), CalledFor: reasons(g, p.CalledFor), Needs: reasons(g, p.Needs),
			Arguments: append(reasons(g, p.For), reasons(g, p.Against)...), Warnings: reasons(g, p.Cautions), NeededBy: []Needer{}}
		c.Verdict.Reasons = reasons(g, a.Deciding())
		for _, n := range p.NeededBy {
			c.NeededBy = append(c.NeededBy, Needer{n.Verdict.Treatment.ID, target(n.Verdict.Target), n.Verdict.Word, reasons(g, n.Reasons)})
		}
		w.Chains = append(w.Chains, c)
	}
	return w
}

func reasons(g *judge.Judgement, list []*judge.Proof) []Reason {
	all := make([]Reason, 0, len(list))
	for _, p := range list {
		all = append(all, reason(g, p))
	}
	return all
}
