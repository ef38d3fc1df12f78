package text

import (
	"fmt"

	"tideline/engine/judge"
	"tideline/engine/whynot"
	"tideline/explain/account"
	"tideline/explain/words"
)

// mostSets is how many change sets are written; the others are counted.
const mostSets = 5

// WhyNot writes what would turn a verdict.
func WhyNot(g *judge.Judgement, r *whynot.Result, style Style, all bool) string {
	p := &turnPage{page: page{Style: style}, g: g}
	v := r.Verdict
	p.heading(words.Judged(v.Treatment.Name, v.Target.Path, string(v.Word)))
	switch r.Outcome {
	case whynot.Already:
		p.line(2, words.Already(r.To))
		return p.String()
	case whynot.Nothing:
		p.line(2, words.NothingWould(r.To))
		if len(r.Given) > 0 {
			p.blank()
			p.sets(words.Counted(words.GivenWithThePaper, len(r.Given)), r.Given, len(r.Given), all)
		}
	case whynot.Unknown:
		p.line(2, words.NoneFound(r.To, r.Tried))
	case whynot.Turns:
		p.blank()
		p.sets(words.WouldTurn(r.To, r.Count), r.Sets, r.Count, all)
		if r.Tried >= 0 {
			p.line(2, words.TriedUpTo(r.Tried))
		}
		p.blank()
		p.line(0, words.NotAToDoList)
	}
	if len(r.Variants) > 0 {
		p.blank()
		p.heading(words.Milder)
		for _, o := range r.Variants {
			p.item(2, "-", words.Judged(o.Treatment.Name, o.Target.Path, string(o.Word)))
		}
	}
	return p.String()
}

type turnPage struct {
	page
	g *judge.Judgement
}

// sets writes change sets, of many the first few.
func (p *turnPage) sets(heading string, sets []whynot.Set, count int, all bool) {
	p.heading(heading)
	for i, s := range sets {
		if i == mostSets && !all {
			break
		}
		label := fmt.Sprintf("%d.", i+1)
		if len(s.Changes) == 1 {
			p.item(2, label, p.change(s.Changes[0]))
			continue
		}
		p.item(2, label, words.All(len(s.Changes)))
		for _, c := range s.Changes {
			p.item(5, "-", p.change(c))
		}
	}
	shown := len(sets)
	if !all {
		shown = min(shown, mostSets)
	}
	if count > shown {
		p.line(2, words.More(count-shown, "set", "sets"))
	}
}

func (p *turnPage) change(c whynot.Change) string {
	s := words.Had(c.Ask, words.Ranges(c.Ask.Question, c.Does, account.Points(p.g.Case, c.Ask.Question)))
	if c.Test != nil {
		s += " " + words.Aside(words.Costs(c.Test))
	}
	return s
}
