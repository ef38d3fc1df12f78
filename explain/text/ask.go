package text

import (
	"fmt"
	"strings"

	"tideline/engine/ask"
	"tideline/engine/judge"
	"tideline/explain/account"
	"tideline/explain/words"
	"tideline/rules/pack"
)

// Ask writes the next tests, with what each could settle, and the table behind their order. top is how many are told; 0
// for all.
func Ask(r *ask.Report, style Style, top int) string {
	p := &askPage{page: page{Style: style}, r: r}
	if len(r.Judgement.Contradictions) > 0 {
		p.line(0, words.CannotReckon)
		return p.String()
	}
	shown := r.Proposals
	if top > 0 && len(shown) > top {
		shown = shown[:top]
	}
	switch {
	case len(shown) > 0:
		p.heading(words.Counted(words.NextTests, len(r.Proposals)))
	case len(r.Idle) > 0:
		p.line(0, words.NoTestWorth)
	default:
		p.line(0, words.NoTestLeft)
	}
	for i := range shown {
		p.proposal(i, &shown[i])
	}
	p.table(shown)
	p.shares()
	p.idle()
	return p.String()
}

type askPage struct {
	page
	r *ask.Report
}

func (p *askPage) proposal(i int, proposal *ask.Proposal) {
	label := fmt.Sprintf("%d.", i+1)
	if len(proposal.Tests) > 1 {
		p.item(0, label, words.OnlyTogether+":")
		label = "-"
	}
	for _, t := range proposal.Tests {
		p.item(2, label, words.Answered(words.Thing(t.Ask.Thing), t.Ask.Question.Asks, words.Answer(t.Ask)))
		if t.Test != nil {
			for h := range t.Test.Hazards {
				p.line(6, words.Caution(t.Test.Hazards[h].Danger, words.Protect(&t.Test.Hazards[h]), true, false))
			}
			for _, line := range words.How(t.Test) {
				p.line(6, line)
			}
		}
		if len(proposal.Tests) == 1 {
			p.turns(&t)
		}
	}
	if len(proposal.Tests) > 1 {
		p.line(4, words.Labelled(words.CouldSettle, p.moves(proposal.Moves)))
	}
}

// turns tells what each answer of a test would settle.
func (p *askPage) turns(t *ask.Test) {
	p.line(6, words.CouldSettle+":")
	all := account.Points(p.r.Judgement.Case, t.Ask.Question)
	for _, w := range t.Ways {
		p.line(8, words.IfTurns(words.Cells(t.Ask.Question, w.Answers, all), w.Chance)+" "+p.moves(w.Moves))
	}
}

// mostMoves is how many verdicts that would change are named; the others are counted.
const mostMoves = 6

func (p *askPage) moves(list []ask.Move) string {
	if len(list) == 0 {
		return words.NothingChanges
	}
	var parts []string
	for i, m := range list {
		if i == mostMoves && len(list) > mostMoves+1 {
			parts = append(parts, words.More(len(list)-mostMoves, "verdict", "verdicts"))
			break
		}
		parts = append(parts, words.Becomes(words.On(m.Verdict.Treatment.Name, m.Verdict.Target.Path), m.To))
	}
	return strings.Join(parts, "; ")
}

// table tells the figures behind the order.
func (p *askPage) table(shown []ask.Proposal) {
	if len(shown) == 0 {
		return
	}
	p.blank()
	p.heading(words.BehindRanking)
	var harms []string
	for _, h := range pack.Harms[1:] {
		harms = append(harms, h+" "+words.Figure(p.r.Judgement.Case.Pack.Asking.Harm[h]))
	}
	widths := []int{4, 8, 8, 8, 8, 34}
	p.row(2, widths, "", "gain", "minutes", "harm", "worth", "")
	for i, s := range shown {
		chances := words.EquallyLikely
		held := 0
		for _, t := range s.Tests {
			if t.Held {
				held++
			}
		}
		if held == len(s.Tests) {
			chances = words.ChancesHeld
		}
		p.row(2, widths, fmt.Sprint(i+1), words.Figure(s.Gain), words.Figure(s.Price.Minutes), words.Figure(s.Price.Harm), words.Figure(s.Worth), chances)
		if len(p.r.Proposals) > 1 && p.r.Draws > 0 && i == 0 {
			p.line(8, words.Firmness(s.Firm, p.r.Draws))
		}
	}
	p.line(2, words.AskUnit(p.r.Judgement.Case.Pack.Asking.Minute, strings.Join(harms, ", ")))
	if p.r.Exact {
		p.line(2, words.ExactPolicy)
	} else {
		p.line(2, words.LookedAhead)
	}
	if p.r.Cut {
		p.line(2, words.CutShort)
	}
}

// shares tells how open the verdicts are that wait for a test.
func (p *askPage) shares() {
	told := 0
	for _, s := range p.r.Shares {
		if s.All == 0 {
			continue
		}
		if told == 0 {
			p.blank()
			p.heading(words.SameVerdict)
		}
		told++
		out, n := s.Most()
		word := string(judge.RuledOut)
		if !out {
			word = "clear"
		}
		v := s.Verdict
		p.item(2, "-", words.Of(words.On(v.Treatment.Name, v.Target.Path), words.Outcomes(word, n, s.All)))
	}
}

// idle counts the open questions not proposed, and names those not allowed.
func (p *askPage) idle() {
	if len(p.r.Idle) == 0 {
		return
	}
	p.blank()
	p.line(0, words.Counted(words.NotProposed, len(p.r.Idle)))
	for _, i := range p.r.Idle {
		if i.Refused {
			p.item(2, "-", words.Answered(words.Thing(i.Ask.Thing), i.Ask.Question.Asks, words.NotAllowed))
		}
	}
}
