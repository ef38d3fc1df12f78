package text

import (
	"fmt"
	"strings"

	"tideline/engine/dose"
	"tideline/explain/words"
)

// Doses lists the computations by subject.
func Doses(style Style) string {
	p := &page{Style: style}
	p.heading(words.Counted(words.Computations, len(dose.Names())))
	for _, s := range dose.Subjects() {
		p.blank()
		p.line(0, s.Name+":")
		for _, c := range s.Computations {
			p.row(2, []int{17, p.Width - 21}, c.Name, c.Says)
		}
	}
	p.blank()
	p.line(0, words.SeeDose)
	return p.String()
}

// Dose tells what a computation needs.
func Dose(c dose.Computation, style Style) string {
	p := &page{Style: style}
	p.heading(words.Of(c.Name, c.Says))
	p.blank()
	p.line(0, words.Inputs+":")
	for _, in := range c.Params {
		says, given, within := words.Input(in)
		p.item(2, "-", words.Of(in.Name, says)+" "+words.Aside(words.Needed(in)))
		p.line(6, given)
		if within != "" {
			p.line(6, within)
		}
	}
	p.blank()
	p.line(0, words.ForExample+":")
	p.whole(2, words.DoseCommand(c.Name, c.Example()))
	return p.String()
}

// whole writes a line that is to be copied, and so is not wrapped.
func (p *page) whole(indent int, text string) {
	p.b.WriteString(strings.Repeat(" ", indent) + words.Safe(text) + "\n")
}

// valueWidth is the widest value that stands beside its name.
const valueWidth = 22

// Result writes a computation done: what to watch for first, then the values, the working and where it comes from. danger
// says that the work can hurt people; record is a line for the record, or "".
func Result(r dose.Result, danger bool, record string, style Style) string {
	p := &page{Style: style}
	p.heading(words.Of(r.Name, r.Says))
	if len(r.Cautions) > 0 || danger {
		p.blank()
		p.line(0, words.BeforeFigures+":")
		for _, c := range r.Cautions {
			p.item(2, "-", c)
		}
		if danger {
			p.item(2, "-", words.LocalRules)
		}
	}
	p.blank()
	p.heading(words.DoseResult)
	for _, v := range r.Values {
		says := v.Says + words.Doubt(v.Class)
		if width(v.String()) > valueWidth || width(v.Name) > 18 {
			p.item(2, v.Name, says)
			p.line(6, v.String())
			continue
		}
		p.row(2, []int{18, valueWidth, p.Width - valueWidth - 24}, v.Name, v.String(), says)
	}
	for _, t := range r.Tables {
		p.table(t)
	}
	p.blank()
	p.heading(words.Working)
	for i, l := range r.Working {
		p.item(2, fmt.Sprintf("%d.", i+1), l.Formula)
		if l.Put != "" {
			p.line(5, l.Put)
		}
		p.line(5, words.Comes(l))
	}
	p.blank()
	if r.Range != "" {
		p.line(0, words.Labelled(words.HoldsFor, r.Range))
	}
	p.line(0, words.WhereFrom+":")
	for _, s := range r.Sources {
		p.item(2, words.Aside(s.ID), words.DoseSource(s))
	}
	if len(r.Pictures) > 0 {
		p.line(0, words.PictureInJSON)
	}
	p.line(0, words.SaysNoMore)
	if record != "" {
		p.blank()
		p.line(0, words.ForTheRecord+":")
		p.whole(2, record)
	}
	return p.String()
}

// table writes a table of a result.
func (p *page) table(t dose.Table) {
	p.blank()
	p.heading(t.Title)
	widths := columns(t, p.Width-2)
	p.row(2, widths, t.Columns...)
	for _, r := range t.Rows {
		p.row(2, widths, r...)
	}
}

// columns gives each column what it needs, taking from the widest until the table fits.
func columns(t dose.Table, room int) []int {
	widths := make([]int, len(t.Columns))
	for _, r := range append([][]string{t.Columns}, t.Rows...) {
		for i, c := range r[:min(len(r), len(widths))] {
			widths[i] = max(widths[i], width(c))
		}
	}
	for total(widths) > room {
		widest := 0
		for i, w := range widths {
			if w > widths[widest] {
				widest = i
			}
		}
		if widths[widest] <= 8 {
			break
		}
		widths[widest]--
	}
	return widths
}

func total(widths []int) int {
	n := 2 * max(0, len(widths)-1)
	for _, w := range widths {
		n += w
	}
	return n
}

// mostKnown is how many known words a refusal lists.
const mostKnown = 20

// Refusal tells why nothing was computed, and what to do.
func Refusal(r *dose.Refusal, style Style) string {
	p := &page{Style: style}
	p.line(0, words.Refused(r))
	tell := func(label, text string) {
		if text != "" {
			p.line(2, words.Labelled(label, text))
		}
	}
	tell(words.LabelRange, words.RangeBy(r.Range, r.By))
	tell(words.LabelSource, r.Source)
	tell(words.LabelHelp, r.Help)
	if near := r.Nearest(); near != "" {
		p.line(2, words.Meant(near))
	}
	switch {
	case len(r.Known) > mostKnown:
		p.line(2, words.SeeDoses)
	default:
		tell(words.LabelKnown, strings.Join(r.Known, ", "))
	}
	p.line(0, words.NothingDone)
	return p.String()
}
