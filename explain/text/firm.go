package text

import (
	"strings"

	"tideline/engine/change"
	ranking "tideline/engine/firm" // firm is a word of this package
	"tideline/engine/judge"
	"tideline/explain/words"
)

// mostPairs is how many neighbours of the ranking are compared on the page.
const mostPairs = 12

// Firm writes how firm a ranking is. all writes every pair of neighbours.
func Firm(r *ranking.Result, style Style, all bool) string {
	p := &page{Style: style}
	p.heading(words.FirmHeading)
	if len(r.Rows) == 0 {
		p.line(2, words.NotRanked)
		return p.String()
	}
	for i, pair := range r.Pairs {
		if i == mostPairs && !all {
			p.line(2, words.More(len(r.Pairs)-i, "pair", "pairs"))
			break
		}
		p.item(2, "-", words.Before(row(pair.Above), row(pair.Below)))
		for _, line := range pairLines(r, pair, pair.Above == r.Rows[0]) {
			p.line(4, line)
		}
	}
	p.leads(r, all)
	return p.String()
}

// row names a place of the ranking by its first verdict.
func row(r *ranking.Row) string {
	v := r.Verdicts[0]
	s := words.On(v.Treatment.Name, v.Target.Path)
	if n := len(r.Verdicts) - 1; n > 0 {
		s += " " + words.Aside(words.More(n, "with the same arguments", "with the same arguments"))
	}
	return s
}

// pairLines says within which weights the order of two neighbours stands.
func pairLines(r *ranking.Result, pair ranking.Pair, first bool) (lines []string) {
	switch {
	case pair.Above.Loose || pair.Below.Loose:
		return []string{words.OpenTogether}
	case pair.Unordered:
		return []string{words.NoOrder}
	case pair.Tie:
		return []string{words.Tie}
	}
	for k, span := range pair.Ranges {
		if span.Least > 0 || span.Most < 1 {
			lines = append(lines, words.Keeps(first, r.Criteria[k].ID, span.Least, span.Most))
		}
	}
	if len(lines) == 0 {
		lines = append(lines, words.AnyWeight)
	}
	if pair.Move < 0 {
		return append(lines, words.NoMove)
	}
	return append(lines, words.Moves(pair.Move, r.Criteria[pair.From].ID, r.Criteria[pair.To].ID))
}

func (p *page) leads(r *ranking.Result, all bool) {
	if len(r.Leads) == 0 {
		return
	}
	p.blank()
	p.heading(words.LeadsHeading)
	for i, l := range r.Leads {
		if l.Share == 0 || i == mostPairs && !all {
			break
		}
		p.item(2, "-", words.Leads(row(l.Row), l.Share))
	}
	if r.Exact {
		p.line(2, words.SharesExact)
	} else {
		p.line(2, words.SharesDrawn(r.Draws, r.Error))
	}
}

// Since writes which settled verdicts of an earlier record no longer stand, and what withdrew them.
func Since(g *judge.Judgement, exits []change.Exit, style Style) string {
	p := &page{Style: style}
	if len(exits) == 0 {
		p.line(0, words.StandsAsBefore)
		return p.String()
	}
	for _, e := range exits {
		name := e.Treatment
		if t := g.Case.Pack.Treatment(e.Treatment); t != nil {
			name = t.Name
		}
		p.item(0, "-", words.ExitWords(name, e.Path, e.Was, e.Is))
		var causes []string
		for _, c := range e.Causes {
			causes = append(causes, words.Event(c))
		}
		if len(causes) == 0 {
			causes = []string{words.NotAttributed}
		}
		p.line(4, strings.Join(causes, "; "))
	}
	return p.String()
}
