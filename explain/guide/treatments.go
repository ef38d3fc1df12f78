package guide

import (
	"cmp"
	"slices"

	"tideline/explain/words"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

func (m *maker) treatmentChapter() Chapter {
	return Chapter{
		Anchor: inTreatments, Title: chTreatments, Says: saysTreatments,
		Sections: bySubject(m, inTreatments, m.Treatments, placeOfTreatment, m.treatment),
	}
}

// treatment tells all of a treatment, dangers to people before anything is done.
func (m *maker) treatment(t *pack.Treatment) Entry {
	e := Entry{Anchor: Anchor(OfTreatment, t.ID), Kind: OfTreatment, Title: prose(t.Name), ID: t.ID, Says: prose(t.Says), Dangers: m.dangers(t), Fields: m.glance(t)}
	add := func(g Group) {
		if g.Note != "" || len(g.Items) > 0 || len(g.Fields) > 0 {
			e.Groups = append(e.Groups, g)
		}
	}
	add(m.speaking("call", grpCalled, "", t, pack.CalledFor))
	add(m.stepFor(t))
	add(m.speaking("out", grpOut, noRulingOut, t, pack.RulesOut))
	add(m.comesFirst(t))
	add(m.testsFirst(t))
	add(m.speaking("for", grpFor, noFor, t, pack.For))
	add(m.speaking("against", grpAgainst, noAgainst, t, pack.Against))
	add(m.settings(t))
	add(m.watch(t))
	stop := Group{Kind: "stop", Heading: grpStop}
	for _, s := range t.StopSigns {
		stop.Items = append(stop.Items, Item{Text: prose(s)})
	}
	add(stop)
	add(Group{Kind: "after", Heading: grpAfter, Fields: m.leaves(t)})
	return e
}

// glance is what can be said of a treatment in a word or two.
func (m *maker) glance(t *pack.Treatment) []Field {
	f := fields{}
	f.text("Done to", "each "+string(t.Of))
	if t.Where != nil {
		f.add("Only where", code(t.Where.Text))
	}
	if v := m.Treatment(t.VariantOf); v != nil {
		f.add("A variant of", treatmentLink(v))
	}
	var variants []Piece
	for _, v := range m.Treatments {
		if v.VariantOf == t.ID {
			variants = append(variants, treatmentLink(v))
		}
	}
	f.add("Variants", variants...)
	f.list("Family", t.Families)
	var aims []Piece
	for _, a := range t.Serves {
		aims = append(aims, link(OfAim, a, a))
	}
	f.add("Serves", aims...)
	f.text("Intervention", level(t.Intervention))
	f.text("Can be undone or done again", t.Retreatable)
	f.list("Works with", t.Uses)
	f.text("Minutes", minutes(t.Active, t.Waiting))
	f.list("Equipment", t.Equipment)
	f.list("Materials", t.Materials)
	m.founded(&f, t.Cite)
	return f
}

// about gives the rules that speak of a treatment in one way.
func (m *maker) about(t *pack.Treatment, e pack.Effect) []*pack.Rule {
	var list []*pack.Rule
	for _, r := range m.Rules {
		if r.Effect == e && slices.Contains(r.Treatments, t) {
			list = append(list, r)
		}
	}
	if e == pack.For || e == pack.Against {
		slices.SortStableFunc(list, func(a, b *pack.Rule) int {
			return cmp.Compare(b.Criterion.Weight*b.Weight, a.Criterion.Weight*a.Weight)
		})
	}
	return list
}

func (m *maker) speaking(kind, heading, none string, t *pack.Treatment, e pack.Effect) Group {
	g := Group{Kind: kind, Heading: heading}
	for _, r := range m.about(t, e) {
		g.Items = append(g.Items, m.short(r))
	}
	if len(g.Items) == 0 {
		g.Note = none
	}
	return g
}

// short tells a rule where a treatment is told of. All of it stands in its own place.
func (m *maker) short(r *pack.Rule) Item {
	i := Item{Text: prose(r.Because)}
	f := fields{}
	if r.Say != "" {
		i.Text = prose(r.Say)
		f.text("Because", r.Because)
	}
	if r.Withdrawn != nil {
		i.Mark = prose(words.Labelled(words.NoLongerStands, words.Withdrawn(r.Withdrawn)))
	}
	f.add("Applies when", code(r.Text))
	if r.Each != "" {
		f.text("Asked of", "each "+string(r.Each))
	}
	if r.Criterion != nil {
		f.add("Weight", weighed(r))
	}
	f.text("Standing", r.Standing)
	var others []Piece
	for _, o := range m.against[r.ID] {
		others = append(others, ruleLink(o))
	}
	f.add("Disagrees with", others...)
	f.add("Rule", ruleLink(r))
	i.Fields = f
	return i
}

func weighed(r *pack.Rule) Piece {
	return link(OfCriterion, r.Criterion.ID, words.Weighed(r.Criterion, r.Criterion.Weight, r.Weight))
}

// dangers gives the hazards of a treatment and the cautions for people.
func (m *maker) dangers(t *pack.Treatment) []Group {
	list := m.hazards(t.Hazards)
	for _, r := range m.about(t, pack.Caution) {
		if r.Hazard {
			list = append(list, m.short(r))
		}
	}
	return danger(list)
}

// danger puts dangers to people under their heading, with what always goes with them.
func danger(list []Item) []Group {
	if len(list) == 0 {
		return nil
	}
	return []Group{{Kind: "danger", Heading: grpDangers, Items: list, Note: words.LocalRules}}
}

func (m *maker) hazards(list []pack.Hazard) []Item {
	var items []Item
	for _, h := range list {
		f := fields{}
		f.text("Protection", h.Protect)
		f.text("Stop at", h.Stop)
		f.text("Hand over", h.HandOver)
		m.founded(&f, h.Cite)
		items = append(items, Item{Lead: []Piece{plain(h.Danger)}, Fields: f})
	}
	return items
}

func (m *maker) watch(t *pack.Treatment) Group {
	g := Group{Kind: "watch", Heading: grpWatch}
	for _, r := range m.about(t, pack.Caution) {
		if !r.Hazard {
			g.Items = append(g.Items, m.short(r))
		}
	}
	return g
}

// stepFor tells which treatments want this one before them.
func (m *maker) stepFor(t *pack.Treatment) Group {
	g := Group{Kind: "call", Heading: grpStepFor}
	for _, r := range m.Rules {
		if r.Step != t {
			continue
		}
		i := m.short(r)
		f := fields{}
		f.add("Before", treatmentLinks(r.Treatments)...)
		i.Fields = append(f, i.Fields...)
		g.Items = append(g.Items, i)
	}
	return g
}

func treatmentLinks(list []*pack.Treatment) []Piece {
	var links []Piece
	for _, t := range list {
		links = append(links, treatmentLink(t))
	}
	return links
}

func (m *maker) comesFirst(t *pack.Treatment) Group {
	g := Group{Kind: "first", Heading: grpFirst}
	for _, r := range m.about(t, pack.Needs) {
		i := m.short(r)
		i.Lead = []Piece{treatmentLink(r.Step)}
		g.Items = append(g.Items, i)
	}
	f := fields{}
	f.add("Comes after", m.byID(t.After)...)
	g.Fields = f
	return g
}

func (m *maker) byID(ids []string) []Piece {
	var links []Piece
	for _, id := range ids {
		if t := m.Treatment(id); t != nil {
			links = append(links, treatmentLink(t))
		}
	}
	return links
}

// testsFirst gives the questions that the ruling-outs hang on, in the order of the tests' chapter.
func (m *maker) testsFirst(t *pack.Treatment) Group {
	g := Group{Kind: "tests", Heading: grpTests}
	var all []*cond.Cond
	for _, r := range m.about(t, pack.RulesOut) {
		if r.Withdrawn == nil {
			all = append(all, r.When[t.Of])
		}
	}
	read := m.questions(all...)
	m.eachQuestion(func(id string) {
		if !slices.Contains(read, id) {
			return
		}
		f := fields{}
		if test := m.Test(id); test != nil {
			f.text("How", test.How)
			f.text("Read", test.Read)
		}
		g.Items = append(g.Items, Item{Lead: []Piece{testLink(id)}, Text: prose(m.Vocabulary.Question(id).Asks), Fields: f})
	})
	return g
}

func (m *maker) settings(t *pack.Treatment) Group {
	g := Group{Kind: "settings", Heading: grpSettings}
	for _, s := range t.Settings {
		f := fields{}
		if s.Dose != nil {
			f.add("Computed by", code(s.Dose.Text))
		}
		for _, t := range s.Taken {
			f.add("Taken until measured", testLink(t.Question.ID), plain(t.Question.Text(t.Answer)))
		}
		f.text("Because", s.Because)
		m.founded(&f, s.Cite)
		g.Items = append(g.Items, Item{Lead: []Piece{plain(s.What)}, Text: prose(cmp.Or(s.Value, forTheBook)), Fields: f})
	}
	return g
}

// leaves tells what is so afterwards.
func (m *maker) leaves(t *pack.Treatment) []Field {
	f := fields{}
	f.list("Clears", t.Clears)
	f.list("Lessens", t.Lessens)
	f.list("Brings", t.Brings)
	f.list("Can bring", t.CanBring)
	var stale []Piece
	for _, q := range t.MakesStale {
		stale = append(stale, testLink(q))
	}
	f.add("Must be tested again", stale...)
	f.add("Comes before", m.byID(t.Before)...)
	return f
}
