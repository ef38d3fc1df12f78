package pack

import (
	"fmt"
	"slices"
	"strings"

	"tideline/rules/fault"
	"tideline/rules/vocab"
)

// EditOf is what sort of entry an edit is of.
type EditOf string

// The sorts.
const (
	OfRule       EditOf = "rule"
	OfWithdrawal EditOf = "withdrawal" // of the rule of that id
	OfFact       EditOf = "fact"
	OfNever      EditOf = "never"
	OfTreatment  EditOf = "treatment"
	OfQuestion   EditOf = "question" // how it is answered
	OfGoodFor    EditOf = "good for" // how long its answer is good for
	OfAim        EditOf = "aim"
)

// Edit is one difference between two packs that a verdict can hang on. What nothing would read by itself is none: a
// question or fact that only one of the packs has comes along with what reads it.
type Edit struct {
	Of EditOf
	ID string
	// Was and Is are nil where the entry is not there.
	Was, Is *Version
}

// Version is an entry as one pack has it.
type Version struct {
	Text  string // what decides, as written; of treatments and questions only what differs
	Place fault.Place
}

// edits lists the differences between two packs, by sort and id.
func (b *Blend) edits() {
	for _, p := range b.rules {
		b.compare(OfRule, p.id, p.old != nil, p.new != nil, says(p.old, ruleText), says(p.new, ruleText), place(p.old, rulePlace), place(p.new, rulePlace))
		old, new := withdrawal(p.old), withdrawal(p.new)
		if (old != nil) != (new != nil) {
			b.add(OfWithdrawal, p.id, version(old, withdrawalText), version(new, withdrawalText))
		}
	}
	for _, p := range b.facts {
		if p.old != nil && p.new != nil && p.old.Is.Text != p.new.Is.Text {
			b.add(OfFact, p.id, version(p.old, factText), version(p.new, factText))
		}
	}
	for _, p := range b.nevers {
		b.compare(OfNever, p.id, p.old != nil, p.new != nil, says(p.old, neverText), says(p.new, neverText), place(p.old, neverPlace), place(p.new, neverPlace))
	}
	for _, p := range b.treatments {
		was, is := differing(fieldsOf(p.old), fieldsOf(p.new))
		b.compare(OfTreatment, p.id, p.old != nil, p.new != nil, was, is, place(p.old, treatmentPlace), place(p.new, treatmentPlace))
	}
	for _, p := range b.tests {
		if p.old != nil && p.new != nil && p.old.GoodFor != p.new.GoodFor {
			b.add(OfGoodFor, p.id, version(p.old, goodFor), version(p.new, goodFor))
		}
	}
	for _, id := range b.names() {
		was, is := b.definition(b.old, id), b.definition(b.new, id)
		if was != nil && is != nil && was.Text != is.Text {
			b.add(OfQuestion, id, was, is)
		}
	}
	for _, p := range b.aims {
		if (p.old == nil) != (p.new == nil) {
			b.add(OfAim, p.id, version(p.old, aimText), version(p.new, aimText))
		}
	}
}

// compare adds an edit of an entry that only one pack has or that decides otherwise.
func (b *Blend) compare(of EditOf, id string, old, new bool, was, is string, oldPlace, newPlace fault.Place) {
	if old && new && was == is {
		return
	}
	var before, after *Version
	if old {
		before = &Version{was, oldPlace}
	}
	if new {
		after = &Version{is, newPlace}
	}
	b.add(of, id, before, after)
}

func (b *Blend) add(of EditOf, id string, was, is *Version) {
	b.at[editKey{of, id}] = len(b.Edits)
	b.Edits = append(b.Edits, Edit{of, id, was, is})
}

func says[T any](v *T, text func(*T) string) string {
	if v == nil {
		return ""
	}
	return text(v)
}

func place[T any](v *T, of func(*T) fault.Place) fault.Place {
	if v == nil {
		return fault.Place{}
	}
	return of(v)
}

func version[T any](v *T, of func(*T) Version) *Version {
	if v == nil {
		return nil
	}
	made := of(v)
	return &made
}

func rulePlace(r *Rule) fault.Place           { return r.Place }
func neverPlace(n *Never) fault.Place         { return n.Place }
func treatmentPlace(t *Treatment) fault.Place { return t.Place }
func factText(f *Fact) Version                { return Version{f.Is.Text, f.Place} }
func aimText(a *Aim) Version                  { return Version{a.Says, a.Place} }

func withdrawal(r *Rule) *Withdrawal {
	if r == nil {
		return nil
	}
	return r.Withdrawn
}

func withdrawalText(w *Withdrawal) Version {
	return Version{fmt.Sprintf("withdrawn by %s, %s: %s", w.By, w.Date, w.Because), w.Place}
}

func goodFor(t *Test) Version {
	if t.GoodFor == 0 {
		return Version{"for ever", t.Place}
	}
	return Version{fmt.Sprintf("%d days", t.GoodFor), t.Place}
}

// ruleText writes all of a rule that decides.
func ruleText(r *Rule) string {
	about := "family " + strings.Join(slices.Sorted(slices.Values(r.Families)), ", ")
	if r.Families == nil {
		about = strings.Join(names(r.Treatments, func(t *Treatment) string { return t.ID }), ", ")
	}
	s := fmt.Sprintf("%s: %s when %s", about, r.Effect, r.Text)
	if r.Each != "" {
		s += fmt.Sprintf(" (each %s)", r.Each)
	}
	if r.Criterion != nil {
		s += fmt.Sprintf(" (%s, weight %g)", r.Criterion.ID, r.Weight)
	}
	if r.Step != nil {
		s += fmt.Sprintf(" (first: %s)", r.Step.ID)
	}
	return s
}

func neverText(n *Never) string { return fmt.Sprintf("%s (each %s)", n.When.Text, n.Each) }

// fieldsOf writes what of a treatment decides, key by key.
func fieldsOf(t *Treatment) [][2]string {
	if t == nil {
		return nil
	}
	where := "all"
	if t.Where != nil {
		where = t.Where.Text
	}
	list := func(words []string) string {
		if len(words) == 0 {
			return "none"
		}
		return strings.Join(slices.Sorted(slices.Values(words)), ", ")
	}
	return [][2]string{{"of", string(t.Of)}, {"where", where}, {"family", list(t.Families)}, {"serves", list(t.Serves)}, {"makes stale", list(t.MakesStale)}}
}

// differing writes those keys of two treatments that differ; all of one that has no counterpart.
func differing(old, new [][2]string) (was, is string) {
	write := func(fields, other [][2]string) string {
		var parts []string
		for i, f := range fields {
			if other == nil || other[i] != f {
				parts = append(parts, f[0]+": "+f[1])
			}
		}
		return strings.Join(parts, "; ")
	}
	return write(old, new), write(new, old)
}

// definition says how a name is answered: as a question of which form, or as a fact. nil where the pack does not have it.
func (b *Blend) definition(p *Pack, id string) *Version {
	if f := p.Fact(id); f != nil {
		return &Version{"a fact", f.Place}
	}
	q := p.Vocabulary.Question(id)
	if q == nil {
		return nil
	}
	v := &Version{Text: form(q)}
	if t := p.Test(id); t != nil {
		v.Place = t.Place
	}
	return v
}

// form writes the answers a question takes.
func form(q *vocab.Question) string {
	switch q.Type {
	case vocab.Words:
		return "one of " + strings.Join(slices.Sorted(slices.Values(q.Words)), ", ")
	case vocab.Number:
		return fmt.Sprintf("a number of %s from %g to %g", q.Unit, q.From, q.To)
	case vocab.Grade:
		return "a grade"
	}
	return "yes or no"
}
