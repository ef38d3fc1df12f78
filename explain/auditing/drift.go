package auditing

import (
	"fmt"
	"slices"
	"strings"

	"tideline/engine/drift"
	"tideline/engine/judge"
	"tideline/explain/words"
)

// alike puts findings together that went the same way by the same causes, in the order of the first of each.
func alike(list []drift.Finding) (groups [][]drift.Finding) {
	at := map[string]int{}
	for _, f := range list {
		cause := fmt.Sprint(f.Was, "|", f.Is, "|", f.Replayed, f.Class, f.Enough, f.Needed, f.Returns, f.Program != nil)
		if f.Program != nil {
			cause += f.Key.Treatment + f.Path // each with its own proof
		}
		i, known := at[cause]
		if !known {
			i = len(groups)
			at[cause] = i
			groups = append(groups, nil)
		}
		groups[i] = append(groups[i], f)
	}
	return groups
}

// Moved is verdicts that went the same way by the same causes, with what made them others.
type Moved struct {
	Headings []string
	Names    string // "" where the headings name them
	Lines    []Line
}

// Line is a sentence below; an item is one of several.
type Line struct {
	Depth int // 1 or 2
	Item  bool
	Text  string
}

// Drift outlines what made verdicts others, in the order of the report.
func Drift(r *drift.Report) (list []Moved) {
	for _, g := range alike(r.Findings) {
		list = append(list, moved(g))
	}
	return list
}

// Causes outlines what made one verdict another.
func Causes(f drift.Finding) []Line {
	var l lines
	l.causes(f)
	return l
}

// Because tells the leading reason of a verdict; nothing where no rule is one.
func Because(when string, r *judge.Proof) []Line {
	if r == nil {
		return nil
	}
	return []Line{{1, false, words.Labelled(when, words.Effect(r.Rule.Effect, r.Value)+". "+r.Rule.Because)}}
}

type lines []Line

func (l *lines) line(depth int, text string) { *l = append(*l, Line{depth, false, text}) }
func (l *lines) item(text string)            { *l = append(*l, Line{2, true, text}) }

func moved(same []drift.Finding) (m Moved) {
	var p lines
	f := same[0]
	var names []string
	for _, o := range same {
		names = append(names, words.On(o.Name, o.Path))
	}
	if f.Was == f.Is {
		for _, o := range same {
			m.Headings = append(m.Headings, words.Still(o.Name, o.Path, o.Is))
		}
	} else {
		m.Headings, m.Names = []string{words.Drifted(f.Was, f.Is, len(same))}, strings.Join(names, "; ")
	}
	if f.Program != nil {
		p.line(1, words.ProgramDiffers+". "+words.Programs(f.Program))
		for _, s := range words.Checks(f.Program) {
			p.line(2, s)
		}
	}
	p.causes(f)
	p = append(p, Because(words.ThenBecause, f.WasBecause)...)
	m.Lines = append(p, Because(words.NowBecause, f.IsBecause)...)
	return m
}

// causes writes what made the difference.
func (p *lines) causes(f drift.Finding) {
	switch f.Class {
	case drift.One:
		p.line(1, words.MadeDifference(f.Enough[0][0])+":")
		p.set(f.Enough[0])
	case drift.Together:
		p.line(1, words.TogetherMade(len(f.Enough[0]))+":")
		p.set(f.Enough[0])
	case drift.Either:
		p.line(1, words.EitherWould(len(f.Enough))+":")
		p.sets(f.Enough)
	case drift.Returned:
		p.returns(f.Returns)
	case drift.Untold:
		p.line(1, words.NotAttributed)
	}
	if f.EnoughTried >= 0 {
		p.line(1, words.ChangesTried(f.EnoughTried))
	}
	if len(f.Enough) > 0 && !mirrored(f.Enough, f.Needed) {
		p.line(1, map[bool]string{true: words.WouldRestoreOne, false: words.WouldRestoreAny}[len(f.Needed) == 1]+":")
		p.sets(f.Needed)
	}
}

// mirrored tells whether taking back is what one expects from what is enough: one edit of each set that is enough, and
// nothing else.
func mirrored(enough, needed []drift.Set) bool {
	hits := func(n drift.Set) bool {
		return len(n) <= len(enough) && !slices.ContainsFunc(enough, func(e drift.Set) bool {
			return !slices.ContainsFunc(e, func(i drift.Item) bool { return contains(n, i) })
		})
	}
	return !slices.ContainsFunc(needed, func(n drift.Set) bool { return !hits(n) })
}

func contains(s drift.Set, item drift.Item) bool {
	return slices.ContainsFunc(s, func(i drift.Item) bool { return i.String() == item.String() })
}

func (p *lines) set(s drift.Set) {
	for _, i := range s {
		p.item(words.Change(i))
	}
}

func (p *lines) sets(list []drift.Set) {
	for n, s := range list {
		if n > 0 {
			p.line(2, words.OrElse)
		}
		if len(s) > 1 {
			p.line(2, words.All(len(s))+":")
		}
		p.set(s)
	}
}

func (p *lines) returns(list []drift.Return) {
	p.line(1, words.MovedBack+".")
	for _, r := range list {
		heading := words.MovedTo(r.To)
		if len(r.Moved) > 1 {
			heading = words.MovedByAll(len(r.Moved), r.To)
		}
		p.line(1, heading+":")
		p.set(r.Moved)
		p.line(1, words.TookBack(len(r.Back))+":")
		p.sets(r.Back)
		if r.Tried >= 0 {
			p.line(1, words.ChangesTried(r.Tried))
		}
	}
}
