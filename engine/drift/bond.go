package drift

import (
	"slices"
	"strings"

	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// bond is what the verdicts of one treatment can hang on, whatever is mixed: found from what the rules of both sides read,
// and so wider than what any one verdict hangs on.
type bond struct {
	treatment  string
	treatments map[string]bool // itself, and those that need it, and so on
	asks       map[string]bool // questions and facts
	criteria   map[string]bool
	wide       bool   // the verdict for one part can hang on another part
	items      []bool // of the mixer's list
}

// bond gives the bond of a treatment.
func (m *mixer) bond(treatment string) *bond {
	if b := m.bonds[treatment]; b != nil {
		return b
	}
	b := &bond{treatment: treatment, treatments: map[string]bool{treatment: true}, asks: map[string]bool{}, criteria: map[string]bool{}, items: make([]bool, len(m.list))}
	m.bonds[treatment] = b
	for grown := true; grown; {
		grown = false
		m.everyRule(func(r *pack.Rule) {
			if r.Effect == pack.Needs && r.Step != nil && b.treatments[r.Step.ID] {
				grown = m.spokenOf(r, func(t *pack.Treatment) bool { return b.treatments[t.ID] }, b) || grown
			}
		})
	}
	m.read(b)
	for i, item := range m.list {
		b.items[i] = b.hangsOn(m, item)
	}
	return b
}

func (m *mixer) everyRule(visit func(*pack.Rule)) {
	for i := range m.side {
		for _, r := range m.side[i].Pack.Rules {
			visit(r)
		}
	}
}

// spokenOf adds the treatments of either side that a rule speaks of, less the known; it tells whether there were any.
func (m *mixer) spokenOf(r *pack.Rule, known func(*pack.Treatment) bool, b *bond) (grown bool) {
	for i := range m.side {
		for _, t := range m.side[i].Pack.Treatments {
			if r.SpeaksOf(t) && !known(t) {
				b.treatments[t.ID], grown = true, true
			}
		}
	}
	return grown
}

// about tells whether a rule speaks of a treatment of the bond, as either side has it.
func (m *mixer) about(r *pack.Rule, b *bond) bool {
	for i := range m.side {
		if slices.ContainsFunc(m.side[i].Pack.Treatments, func(t *pack.Treatment) bool { return b.treatments[t.ID] && r.SpeaksOf(t) }) {
			return true
		}
	}
	return false
}

// read notes all that the rules about the bond's treatments read, with the facts and never statements tied to it.
func (m *mixer) read(b *bond) {
	m.everyRule(func(r *pack.Rule) {
		if !m.about(r, b) {
			return
		}
		b.wide = b.wide || r.Each == vocab.Fastener
		for _, c := range r.When {
			b.reads(c)
		}
		if r.Criterion != nil {
			b.criteria[r.Criterion.ID] = true
		}
	})
	for i := range m.side {
		for _, t := range m.side[i].Pack.Treatments {
			if b.treatments[t.ID] {
				b.wide = b.wide || t.Of == vocab.Book || t.Of == vocab.Fastener
				b.reads(t.Where)
			}
		}
	}
	for before := -1; before != len(b.asks); {
		before = len(b.asks)
		for i := range m.side {
			p := m.side[i].Pack
			for _, f := range p.Facts {
				if b.asks[f.ID] {
					b.reads(f.Is)
				}
			}
			for _, n := range p.Never {
				if b.tied(n) {
					b.reads(n.When)
				}
			}
		}
	}
}

// tied tells whether a never statement reads what the bond reads. What it ties of one part it may tie to another part by
// way of the book, the owner or the bench.
func (b *bond) tied(n *pack.Never) (tied bool) {
	own := &bond{asks: map[string]bool{}}
	own.reads(n.When)
	single := false
	for id := range own.asks {
		tied = tied || b.asks[id]
		kind, _, _ := strings.Cut(id, ".")
		single = single || vocab.Kind(kind).Singular()
	}
	b.wide = b.wide || tied && single
	return tied
}

// reads notes what a condition reads, and whether it looks beyond one part.
func (b *bond) reads(c *cond.Cond) {
	if c == nil {
		return
	}
	links := func(list []vocab.Link) {
		for _, l := range list {
			b.wide = b.wide || l.Name == "parts" || l.To == vocab.Fastener
		}
	}
	from := func(slot int, list []vocab.Link) {
		b.wide = b.wide || c.Vars[slot].Kind == vocab.Book && len(list) > 0
		links(list)
	}
	c.Root.Walk(func(n *cond.Node) {
		switch n.Op {
		case cond.OpFact:
			b.asks[n.Fact] = true
			from(n.Of.Slot, n.Of.Links)
		case cond.OpAll, cond.OpExists, cond.OpCount:
			from(n.Of.Slot, n.Of.Links)
		case cond.OpAtom:
			for _, r := range n.Atom.Reads {
				b.asks[r.Question.ID] = true
				from(n.Args[r.Arg], r.Links)
			}
		}
	})
}

// hangsOn tells whether the verdicts can hang on an item.
func (b *bond) hangsOn(m *mixer, item Item) bool {
	switch item.Kind {
	case Seen, Gone, Replaced, Moved, Aimed:
		return true
	case Weighed:
		return b.criteria[item.Of.ID]
	case Edited:
		return b.hangsOnEdit(m, item.Edit)
	}
	return b.asks[item.Question.ID] || strings.HasSuffix(item.Question.Name, "_listed")
}

func (b *bond) hangsOnEdit(m *mixer, e *pack.Edit) bool {
	switch e.Of {
	case pack.OfRule, pack.OfWithdrawal:
		return m.either(func(p *pack.Pack) bool { r := p.Rule(e.ID); return r != nil && m.about(r, b) })
	case pack.OfTreatment:
		return b.treatments[e.ID] || m.either(func(p *pack.Pack) bool {
			t := p.Treatment(e.ID)
			return t != nil && slices.ContainsFunc(t.MakesStale, func(q string) bool { return b.asks[q] })
		})
	case pack.OfNever:
		return m.either(func(p *pack.Pack) bool {
			return slices.ContainsFunc(p.Never, func(n *pack.Never) bool { return n.ID == e.ID && b.tied(n) })
		})
	case pack.OfAim:
		return true
	}
	return b.asks[e.ID]
}

// either tells whether something is so in the pack of either side.
func (m *mixer) either(is func(*pack.Pack) bool) bool {
	return is(m.side[0].Pack) || is(m.side[1].Pack)
}

// pack leaves the bond's treatments in a pack, and the rules about them.
func (b *bond) pack(p *pack.Pack) *pack.Pack {
	fewer := *p
	fewer.Treatments, fewer.Rules = nil, nil
	for _, t := range p.Treatments {
		if b.treatments[t.ID] {
			fewer.Treatments = append(fewer.Treatments, t)
		}
	}
	for _, r := range p.Rules {
		if slices.ContainsFunc(r.Treatments, func(t *pack.Treatment) bool { return b.treatments[t.ID] }) {
			fewer.Rules = append(fewer.Rules, r)
		}
	}
	return &fewer
}

// relevant lists those of some items that a verdict can hang on.
func (m *mixer) relevant(k Key, b *bond, of []int) []int {
	part, _, _ := strings.Cut(k.Path, "/")
	return slices.DeleteFunc(slices.Clone(of), func(i int) bool {
		item := m.list[i]
		here, _, _ := strings.Cut(item.Path, "/")
		elsewhere := item.Factor == Answers && here != part && !vocab.Kind(here).Singular()
		return !b.items[i] || elsewhere && !b.wide
	})
}
