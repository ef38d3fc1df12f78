package guide

import (
	"fmt"

	"tideline/explain/words"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// eachQuestion visits all questions in the order of their chapter.
func (m *maker) eachQuestion(visit func(id string)) {
	for _, k := range vocab.Kinds {
		for _, q := range m.Vocabulary.Of(k) {
			visit(q.ID)
		}
	}
}

func (m *maker) testChapter() Chapter {
	c := Chapter{Anchor: inTests, Title: chTests, Says: saysTests}
	for _, k := range vocab.Kinds {
		s := Section{Anchor: Anchor(inTests, string(k)), Title: askedOf(k)}
		for _, q := range m.Vocabulary.Of(k) {
			s.Entries = append(s.Entries, m.question(q))
		}
		c.Sections = append(c.Sections, s)
	}
	return c
}

func (m *maker) question(q *vocab.Question) Entry {
	e := Entry{Anchor: Anchor(OfTest, q.ID), Kind: OfTest, Title: prose(q.Asks), ID: q.ID}
	f := fields{}
	f.text("Answer", q.Expected())
	if t := m.Test(q.ID); t != nil {
		e.Says = prose(t.Purpose)
		m.method(&f, t)
		e.Dangers = danger(m.hazards(t.Hazards))
	} else {
		e.Says = fromRecord
	}
	f.add("Read by", m.readBy[q.ID]...)
	f.add("No longer stands after", m.stale[q.ID]...)
	e.Fields = f
	return e
}

// method tells how a test is done and what it costs.
func (m *maker) method(f *fields, t *pack.Test) {
	f.list("Materials", t.Materials)
	f.text("How", t.How)
	f.text("How long", t.Dwell)
	f.text("Where", t.Where)
	if t.Spots > 0 {
		f.text("Places", words.Count(t.Spots, "place", "places"))
	}
	f.text("Read", t.Read)
	f.text("Goes wrong", t.GoesWrong)
	f.text("Harm to the book", t.Harm)
	if t.Minutes > 0 {
		f.text("Takes", words.Count(t.Minutes, "minute", "minutes"))
	}
	if t.GoodFor > 0 {
		f.text("Good for", words.Count(t.GoodFor, "day", "days"))
	}
	f.text("Nature", string(t.Question.Nature))
	if t.Question.Limit {
		f.text("A limit", "something the owner may not want")
	}
	m.founded(f, t.Cite)
	f.list("Made from", t.StandsOn)
	f.text("Written in", written(t.Place))
}

func (m *maker) factChapter() Chapter {
	facts, never := Section{Anchor: "facts-named", Title: secFacts}, Section{Anchor: "facts-never", Title: secNever}
	for _, fact := range m.Facts {
		f := fields{}
		f.add("Means", code(fact.Is.Text))
		m.reading(&f, fact.Is)
		f.add("Read by", m.readBy[fact.ID]...)
		m.founded(&f, fact.Cite)
		f.text("Written in", written(fact.Place))
		facts.Entries = append(facts.Entries, Entry{Anchor: Anchor(OfFact, fact.ID), Kind: OfFact, Title: fact.ID, Says: prose(fact.Says), Fields: f})
	}
	for _, n := range m.Never {
		f := fields{}
		f.text("Asked of", "each "+string(n.Each))
		f.add("Cannot be", code(n.When.Text))
		m.reading(&f, n.When)
		m.founded(&f, n.Cite)
		f.text("Written in", written(n.Place))
		never.Entries = append(never.Entries, Entry{Anchor: Anchor(OfNever, n.ID), Kind: OfNever, Title: n.ID, Says: prose(n.Because), Fields: f})
	}
	return Chapter{Anchor: "facts", Title: chFacts, Says: saysFacts, Sections: []Section{facts, never}}
}

func (m *maker) principleChapter() Chapter {
	s := Section{}
	for _, p := range m.Principles {
		f := fields{}
		f.add("Rules that rest on it", m.rests[p.ID]...)
		m.founded(&f, p.Cite)
		f.text("Written in", written(p.Place))
		s.Entries = append(s.Entries, Entry{Anchor: Anchor(OfPrinciple, p.ID), Kind: OfPrinciple, Title: p.ID, Says: prose(p.Says), Fields: f})
	}
	return Chapter{Anchor: "principles", Title: chPrinciples, Sections: []Section{s}}
}

func (m *maker) criteriaChapter() Chapter {
	criteria, aims := Section{Anchor: "criteria-weighed", Title: secCriteria}, Section{Anchor: "criteria-aims", Title: secAims}
	for _, c := range m.Criteria {
		f := fields{}
		f.text("Weight", fmt.Sprintf("%s; a record may move it from %s to %s", words.Number(c.Weight), words.Number(c.From), words.Number(c.To)))
		f.add("Arguments", m.rests[c.ID]...)
		criteria.Entries = append(criteria.Entries, Entry{Anchor: Anchor(OfCriterion, c.ID), Kind: OfCriterion, Title: c.ID, Says: prose(c.Says), Fields: f})
	}
	for _, a := range m.Aims {
		f := fields{}
		f.add("Served by", m.rests[a.ID]...)
		aims.Entries = append(aims.Entries, Entry{Anchor: Anchor(OfAim, a.ID), Kind: OfAim, Title: a.ID, Says: prose(a.Says), Fields: f})
	}
	return Chapter{Anchor: "criteria", Title: chCriteria, Sections: []Section{criteria, aims}}
}

func (m *maker) sourceChapter() Chapter {
	s := Section{}
	for _, src := range m.Sources {
		f := fields{}
		f.text("Author", src.Author)
		f.text("Year", src.Year)
		f.text("Publisher", src.Publisher)
		f.add("Address", site(src.URL))
		f.text("Note", src.Note)
		for _, cited := range m.cited[src.ID] {
			cited.Label = words.Labelled("Cited by", cited.Label)
			f = append(f, cited)
		}
		s.Entries = append(s.Entries, Entry{Anchor: Anchor(OfSource, src.ID), Kind: OfSource, Title: prose(src.Title), ID: src.ID, Fields: f})
	}
	return Chapter{Anchor: "sources", Title: chSources, Sections: []Section{s}}
}
