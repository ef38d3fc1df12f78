package data

import (
	"tideline/engine/judge"
	"tideline/explain/account"
	"tideline/explain/guide"
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
	// NotNeededBy are the treatments that could need it and do not; Tied and Listed what it rests on besides the rules:
	// statements that tie answers together, and answers that a list is complete.
	NotNeededBy []Needer `json:"not_needed_by"`
	Tied        []Tie    `json:"tied"`
	Listed      []Answer `json:"listed"`
	// Doses are the settings computed for the target.
	Doses []Setting `json:"doses"`
}

// Tie is a statement that answers cannot go together, asked of a thing.
type Tie struct {
	Never    string `json:"never"`
	Guide    string `json:"guide"` // its place in the handbook
	Thing    string `json:"thing"`
	Sentence string `json:"sentence"`
	Proof    Node   `json:"proof"`
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
		c := Chain{
			Verdict: verdict(g, a), RulesOut: reasons(g, p.RulesOut), CalledFor: reasons(g, p.CalledFor), Needs: reasons(g, p.Needs),
			Arguments: append(reasons(g, p.For), reasons(g, p.Against)...), Warnings: reasons(g, p.Cautions), NeededBy: needers(g, p.NeededBy), NotNeededBy: needers(g, p.NotNeededBy), Tied: []Tie{}, Listed: []Answer{}, Doses: Settings(g, v),
		}
		c.Verdict.Reasons = reasons(g, a.Deciding())
		premises := g.Premises(v)
		for _, t := range premises.Never {
			c.Tied = append(c.Tied, Tie{t.Never.ID, place(guide.OfNever, t.Never.ID), t.Thing.Path, t.Never.Because, node(g, t.Proof)})
		}
		for _, l := range premises.Listed {
			c.Listed = append(c.Listed, *answer(g, l))
		}
		w.Chains = append(w.Chains, c)
	}
	return w
}

func needers(g *judge.Judgement, list []judge.Needer) []Needer {
	all := make([]Needer, 0, len(list))
	for _, n := range list {
		all = append(all, Needer{n.Verdict.Treatment.ID, target(n.Verdict.Target), n.Verdict.Word, reasons(g, n.Reasons)})
	}
	return all
}

func reasons(g *judge.Judgement, list []*judge.Proof) []Reason {
	all := make([]Reason, 0, len(list))
	for _, p := range list {
		all = append(all, reason(g, p))
	}
	return all
}
