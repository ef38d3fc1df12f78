package guide

import (
	"slices"

	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// index finds what points at what, the other way round.
func (m *maker) index() {
	m.readBy, m.rests, m.stale, m.against = map[string][]Piece{}, map[string][]Piece{}, map[string][]Piece{}, map[string][]*pack.Rule{}
	for _, f := range m.Facts {
		m.reads(link(OfFact, f.ID, f.ID), f.Is)
	}
	for _, n := range m.Never {
		m.reads(link(OfNever, n.ID, n.ID), n.When)
	}
	for _, t := range m.Treatments {
		if t.Where != nil {
			m.reads(treatmentLink(t), t.Where)
		}
		for _, q := range t.MakesStale {
			m.stale[q] = append(m.stale[q], treatmentLink(t))
		}
		for _, a := range t.Serves {
			m.rests[a] = append(m.rests[a], treatmentLink(t))
		}
	}
	for _, r := range m.Rules {
		m.reads(ruleLink(r), conditions(r)...)
		if r.Principle != "" {
			m.rests[r.Principle] = append(m.rests[r.Principle], ruleLink(r))
		}
		if r.Criterion != nil {
			m.rests[r.Criterion.ID] = append(m.rests[r.Criterion.ID], ruleLink(r))
		}
		for _, id := range r.Disagrees {
			if other := m.Rule(id); other != nil {
				m.disagree(r, other)
				m.disagree(other, r)
			}
		}
	}
	m.indexSources()
}

func (m *maker) disagree(r, other *pack.Rule) {
	if !slices.Contains(m.against[r.ID], other) {
		m.against[r.ID] = append(m.against[r.ID], other)
	}
}

// reads notes the questions and facts that conditions name.
func (m *maker) reads(by Piece, list ...*cond.Cond) {
	for _, id := range namedIn(list...) {
		m.readBy[id] = append(m.readBy[id], by)
	}
}

// conditions gives what a rule asks of each kind of target, in the order of kinds.
func conditions(r *pack.Rule) []*cond.Cond {
	var list []*cond.Cond
	for _, k := range vocab.Kinds {
		if c := r.When[k]; c != nil {
			list = append(list, c)
		}
	}
	return list
}

// namedIn lists the questions and facts that conditions name themselves, each once, as they come.
func namedIn(list ...*cond.Cond) []string {
	var ids []string
	add := func(id string) {
		if !slices.Contains(ids, id) {
			ids = append(ids, id)
		}
	}
	for _, c := range list {
		c.Root.Walk(func(n *cond.Node) {
			switch n.Op {
			case cond.OpAtom:
				for _, r := range n.Atom.Reads {
					add(r.Question.ID)
				}
			case cond.OpFact:
				add(n.Fact)
			}
		})
	}
	return ids
}

// questions lists the questions conditions hang on, through the facts they name.
func (m *maker) questions(list ...*cond.Cond) []string {
	var found []string
	seen := map[string]bool{}
	var walk func(ids []string)
	walk = func(ids []string) {
		for _, id := range ids {
			if seen[id] {
				continue
			}
			seen[id] = true
			if f := m.Fact(id); f != nil {
				walk(namedIn(f.Is))
			} else {
				found = append(found, id)
			}
		}
	}
	walk(namedIn(list...))
	return found
}

// indexSources notes what cites a source, by kind.
func (m *maker) indexSources() {
	m.cited = map[string][]Field{}
	cite := func(label string, by Piece, cites ...pack.Cite) {
		for _, c := range cites {
			for _, id := range c.Sources {
				m.citeOnce(id, label, by)
			}
		}
	}
	for _, t := range m.Treatments {
		cites := append([]pack.Cite{t.Cite}, dangerCites(t.Hazards)...)
		for _, s := range t.Settings {
			cites = append(cites, s.Cite)
		}
		cite(chTreatments, treatmentLink(t), cites...)
	}
	for _, r := range m.Rules {
		cite(chRules, ruleLink(r), r.Cite)
	}
	for _, t := range m.Tests {
		cite(chTests, testLink(t.Question.ID), append([]pack.Cite{t.Cite}, dangerCites(t.Hazards)...)...)
	}
	for _, f := range m.Facts {
		cite(chFacts, link(OfFact, f.ID, f.ID), f.Cite)
	}
	for _, n := range m.Never {
		cite(secNever, link(OfNever, n.ID, n.ID), n.Cite)
	}
	for _, p := range m.Principles {
		cite(chPrinciples, link(OfPrinciple, p.ID, p.ID), p.Cite)
	}
}

func dangerCites(list []pack.Hazard) []pack.Cite {
	var cites []pack.Cite
	for _, h := range list {
		cites = append(cites, h.Cite)
	}
	return cites
}

func (m *maker) citeOnce(source, label string, by Piece) {
	list := m.cited[source]
	i := slices.IndexFunc(list, func(f Field) bool { return f.Label == label })
	if i < 0 {
		list, i = append(list, Field{Label: label, Sep: ", "}), len(list)
	}
	if !slices.Contains(list[i].Pieces, by) {
		list[i].Pieces = append(list[i].Pieces, by)
	}
	m.cited[source] = list
}
