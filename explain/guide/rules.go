package guide

import (
	"fmt"
	"path/filepath"

	"tideline/explain/words"
	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/pack"
)

func (m *maker) ruleChapter() Chapter {
	return Chapter{Anchor: inRules, Title: chRules, Says: saysRules, Sections: bySubject(m, inRules, m.Rules, placeOfRule, m.rule)}
}

// rule tells all of a rule.
func (m *maker) rule(r *pack.Rule) Entry {
	e := Entry{Anchor: Anchor(OfRule, r.ID), Kind: OfRule, Title: r.ID, Says: prose(r.Because)}
	if r.Withdrawn != nil {
		e.Mark = prose(words.Labelled(words.NoLongerStands, words.Withdrawn(r.Withdrawn)))
	}
	f := fields{}
	f.add(does[r.Effect], treatmentLinks(r.Treatments)...)
	if r.Hazard {
		f.text("Danger to people", r.Say)
	} else {
		f.text("Watch for", r.Say)
	}
	if r.Step != nil {
		f.add("First", treatmentLink(r.Step))
	}
	if r.Criterion != nil {
		f.add("Weight", weighed(r))
	}
	if r.Each != "" {
		f.text("Asked of", "each "+string(r.Each))
	}
	f.add("Applies when", code(r.Text))
	m.reading(&f, conditions(r)...)
	if p := m.Principle(r.Principle); p != nil {
		f.add("Behind it", link(OfPrinciple, p.ID, p.Says))
	}
	f.text("Kind", r.Kind)
	m.founded(&f, r.Cite)
	f.list("Made from", r.StandsOn)
	f.text("Written in", written(r.Place))
	e.Fields = f
	for _, other := range m.against[r.ID] {
		e.Groups = append(e.Groups, Group{Kind: "beside", Heading: grpDisagree, Items: []Item{m.side(r), m.side(other)}})
	}
	return e
}

// side is one of two rules that are set side by side.
func (m *maker) side(r *pack.Rule) Item {
	f := fields{}
	f.add(does[r.Effect], treatmentLinks(r.Treatments)...)
	f.text("Says", r.Say)
	f.add("Applies when", code(r.Text))
	m.founded(&f, r.Cite)
	i := Item{Lead: []Piece{ruleLink(r)}, Text: prose(r.Because), Fields: f}
	if r.Withdrawn != nil {
		i.Mark = prose(words.Labelled(words.NoLongerStands, words.Withdrawn(r.Withdrawn)))
	}
	return i
}

// reading links what conditions name.
func (m *maker) reading(f *fields, list ...*cond.Cond) {
	var tests, facts []Piece
	for _, id := range namedIn(list...) {
		if m.Fact(id) != nil {
			facts = append(facts, link(OfFact, id, id))
		} else {
			tests = append(tests, testLink(id))
		}
	}
	f.add("Reads", append(tests, facts...)...)
}

// written says where something stands in the packs, without the folders of this machine.
func written(p fault.Place) string {
	if p.Line == 0 {
		return filepath.Base(p.File)
	}
	return fmt.Sprintf("%s, line %d", filepath.Base(p.File), p.Line)
}
