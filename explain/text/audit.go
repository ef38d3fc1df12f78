package text

import (
	"strings"

	"tideline/explain/auditing"
	"tideline/explain/words"
)

// Audit writes the audit of one case or one decision. The first line names the result.
func Audit(o auditing.Outline, style Style) string {
	p := &page{Style: style}
	p.outline(o)
	p.blank()
	p.line(0, words.PersonDecides)
	return p.String()
}

// AuditFolder writes the audit of a folder: the result, the counts, and the cases that call for a look.
func AuditFolder(s *auditing.Summary, style Style) string {
	p := &page{Style: style}
	p.heading(s.Heading())
	p.line(0, strings.Join(s.Counted(), "; ")+".")
	for _, o := range s.Worst() {
		p.blank()
		p.outline(o)
	}
	p.blank()
	p.line(0, words.WithoutWitness)
	return p.String()
}

func (p *page) outline(o auditing.Outline) {
	p.heading(o.Heading)
	for _, l := range o.Lead {
		p.line(0, l)
	}
	for _, s := range o.Sections {
		p.line(2, s.Title+":")
		for _, i := range s.Items {
			p.item(4, "-", i.Text)
			for _, sub := range i.Sub {
				if item, ok := strings.CutPrefix(sub, auditing.ItemMark); ok {
					p.item(8, "-", item)
				} else {
					p.line(8, sub)
				}
			}
		}
	}
}
