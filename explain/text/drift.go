package text

import (
	"tideline/engine/drift"
	"tideline/explain/auditing"
	"tideline/explain/words"
)

// Drift writes why a book would be decided otherwise now: verdicts that one cause moved the same way are told together.
func Drift(r *drift.Report, style Style) string {
	p := &page{Style: style}
	p.line(0, words.DriftCounted(r.Changed, r.Unchanged))
	groups := auditing.Drift(r)
	if len(groups) == 0 {
		p.line(0, words.NoDrift)
	}
	for _, g := range groups {
		p.blank()
		for _, h := range g.Headings {
			p.heading(h)
		}
		if g.Names != "" {
			p.line(2, g.Names)
		}
		p.below(0, g.Lines)
	}
	if !r.Singly {
		p.blank()
		p.line(0, words.OnlyFactors)
	}
	return p.String()
}

// below writes the lines that stand below a verdict, after so many blanks.
func (p *page) below(indent int, list []auditing.Line) {
	for _, l := range list {
		if l.Item {
			p.item(indent+2*l.Depth, "-", l.Text)
		} else {
			p.line(indent+2*l.Depth, l.Text)
		}
	}
}
