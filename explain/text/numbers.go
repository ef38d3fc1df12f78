package text

import (
	"tideline/engine/numbers"
	"tideline/explain/words"
)

// Numbers writes the figures of a measurement, one a paragraph.
func Numbers(rows []numbers.Row, style Style) string {
	p := &page{Style: style}
	for _, r := range rows {
		p.item(0, "-", words.Measured(r.Name, r.Figure, r.Target, r.Met))
		if r.How != "" {
			p.line(6, r.How)
		}
	}
	return p.String()
}
