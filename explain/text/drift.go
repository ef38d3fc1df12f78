package text

import (
	"fmt"
	"slices"
	"strings"

	"tideline/engine/drift"
	"tideline/engine/judge"
	"tideline/explain/words"
)

// Drift writes why a book would be decided otherwise now: verdicts that one cause moved the same way are told together.
func Drift(r *drift.Report, style Style) string {
	p := &driftPage{page: page{Style: style}}
	p.line(0, words.DriftCounted(r.Changed, r.Unchanged))
	groups := alike(r.Findings)
	if len(groups) == 0 {
		p.line(0, words.NoDrift)
	}
	for _, g := range groups {
		p.blank()
		p.group(g)
	}
	if !r.Singly {
		p.blank()
		p.line(0, words.OnlyFactors)
	}
	return p.String()
}

type driftPage struct{ page }

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

func (p *driftPage) group(same []drift.Finding) {
	f := same[0]
	var names []string
	for _, o := range same {
		names = append(names, words.On(o.Name, o.Path))
	}
	if f.Was == f.Is {
		for _, o := range same {
			p.heading(words.Still(o.Name, o.Path, o.Is))
		}
	} else {
		p.heading(words.Drifted(f.Was, f.Is, len(same)))
		p.line(2, strings.Join(names, "; "))
	}
	if f.Program != nil {
		p.line(2, words.ProgramDiffers+". "+words.Programs(f.Program))
		for _, s := range words.Checks(f.Program) {
			p.line(4, s)
		}
	}
	p.causes(f)
	p.because(words.ThenBecause, f.WasBecause)
	p.because(words.NowBecause, f.IsBecause)
}

// causes writes what made the difference.
func (p *driftPage) causes(f drift.Finding) {
	switch f.Class {
	case drift.One:
		p.line(2, words.MadeDifference(f.Enough[0][0])+":")
		p.set(f.Enough[0])
	case drift.Together:
		p.line(2, words.TogetherMade(len(f.Enough[0]))+":")
		p.set(f.Enough[0])
	case drift.Either:
		p.line(2, words.EitherWould(len(f.Enough))+":")
		p.sets(f.Enough)
	case drift.Returned:
		p.returns(f.Returns)
	case drift.Untold:
		p.line(2, words.NotAttributed)
	}
	if f.EnoughTried >= 0 {
		p.line(2, words.ChangesTried(f.EnoughTried))
	}
	if len(f.Enough) > 0 && !mirrored(f.Enough, f.Needed) {
		p.line(2, map[bool]string{true: words.WouldRestoreOne, false: words.WouldRestoreAny}[len(f.Needed) == 1]+":")
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

func (p *driftPage) set(s drift.Set) {
	for _, i := range s {
		p.item(4, "-", words.Change(i))
	}
}

func (p *driftPage) sets(list []drift.Set) {
	for n, s := range list {
		if n > 0 {
			p.line(4, words.OrElse)
		}
		if len(s) > 1 {
			p.line(4, words.All(len(s))+":")
		}
		p.set(s)
	}
}

func (p *driftPage) returns(list []drift.Return) {
	p.line(2, words.MovedBack+".")
	for _, r := range list {
		heading := words.MovedTo(r.To)
		if len(r.Moved) > 1 {
			heading = words.MovedByAll(len(r.Moved), r.To)
		}
		p.line(2, heading+":")
		p.set(r.Moved)
		p.line(2, words.TookBack(len(r.Back))+":")
		p.sets(r.Back)
		if r.Tried >= 0 {
			p.line(2, words.ChangesTried(r.Tried))
		}
	}
}

// because writes the leading reason of a verdict.
func (p *driftPage) because(when string, r *judge.Proof) {
	if r != nil {
		p.line(2, words.Labelled(when, words.Effect(r.Rule.Effect, r.Value)+". "+r.Rule.Because))
	}
}
