package judge

import (
	"tideline/engine/evidence"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// readers tells which atoms read a question, and what in a pack asks an atom: by these a changed answer is followed to
// what hangs on it.
type readers struct {
	atoms  map[*vocab.Question][]*cond.Atom
	askers [][]*asker // by atom
}

// asker is one condition of a pack: of a rule for targets of one kind, of a fact (by its place among the facts), of a
// never statement, or that lets things through to a treatment.
type asker struct {
	cond  *cond.Cond
	rule  *pack.Rule
	of    vocab.Kind
	fact  int // -1 for none
	never *pack.Never
	where *pack.Treatment
	// own tells that it rests only on answers of the very things that its names stand for.
	own bool
}

func newReaders(p *pack.Pack) *readers {
	atoms := p.Env.Atoms()
	r := &readers{atoms: map[*vocab.Question][]*cond.Atom{}, askers: make([][]*asker, len(atoms))}
	for _, a := range atoms {
		for _, read := range a.Reads {
			r.atoms[read.Question] = append(r.atoms[read.Question], a)
		}
	}
	for i, f := range p.Facts {
		r.add(p, &asker{cond: f.Is, fact: i})
	}
	for _, n := range p.Never {
		r.add(p, &asker{cond: n.When, never: n, fact: -1})
	}
	for _, t := range p.Treatments {
		if t.Where != nil {
			r.add(p, &asker{cond: t.Where, where: t, fact: -1})
		}
	}
	for _, rule := range p.Rules {
		for of, c := range rule.When {
			r.add(p, &asker{cond: c, rule: rule, of: of, fact: -1})
		}
	}
	return r
}

// add enters an asker with every atom its condition rests on, facts seen through.
func (r *readers) add(p *pack.Pack, a *asker) {
	seen := map[int]bool{}
	a.own = true
	var walk func(c *cond.Cond, inFact bool)
	walk = func(c *cond.Cond, inFact bool) {
		c.Root.Walk(func(n *cond.Node) {
			switch n.Op {
			case cond.OpAtom:
				if !seen[n.Atom.ID] {
					seen[n.Atom.ID] = true
					r.askers[n.Atom.ID] = append(r.askers[n.Atom.ID], a)
				}
				for _, read := range n.Atom.Reads {
					a.own = a.own && len(read.Links) == 0
				}
				for _, slot := range n.Args { // a fact's other names need not be among those of who asks for it
					a.own = a.own && (slot == 0 || !inFact)
				}
			case cond.OpFact:
				a.own = a.own && len(n.Of.Links) == 0 && (n.Of.Slot == 0 || !inFact)
				walk(p.Fact(n.Fact).Is, true)
			case cond.OpAll, cond.OpExists, cond.OpCount:
				a.own = false
			}
		})
	}
	walk(a.cond, false)
}

// forget makes the tables of j forget what rests on the answers to some questions, and gives who asks for it.
func (j *judge) forget(numbers []int) (askers []*asker) {
	if j.reads == nil {
		j.reads = newReaders(j.c.Pack)
	}
	known, wide := map[*asker]bool{}, false
	touched := map[int]bool{} // atoms
	for _, n := range numbers {
		ask := &j.c.Asks[n]
		for _, a := range j.reads.atoms[ask.Question] {
			if len(a.Kinds) == 1 {
				j.forgetAtom(a, ask, !touched[a.ID])
			}
			wide = wide || len(a.Kinds) != 1
			touched[a.ID] = true
			for _, k := range j.reads.askers[a.ID] {
				if !known[k] {
					known[k], askers = true, append(askers, k)
				}
			}
		}
	}
	if wide {
		kept := map[wideKey]cond.Truth{}
		for key, v := range j.wide {
			if !touched[key.atom] {
				kept[key] = v
			}
		}
		j.wide = kept
	}
	for _, k := range askers {
		if k.fact >= 0 {
			j.facts[k.fact] = unset(len(j.facts[k.fact]))
		}
	}
	return askers
}

// forgetAtom forgets the values of an atom of one thing that an answer bears on, in a row of j's own.
func (j *judge) forgetAtom(a *cond.Atom, ask *evidence.Ask, shared bool) {
	row := j.atoms[a.ID]
	if row == nil {
		return
	}
	if shared {
		row = append([]cond.Truth(nil), row...)
		j.atoms[a.ID] = row
	}
	for i := range a.Reads {
		r := &a.Reads[i]
		switch {
		case r.Question != ask.Question:
		case len(r.Links) == 0:
			row[ask.Thing.Nth] = notYet
		default:
			for _, x := range j.c.Of(a.Kinds[0]) {
				if j.follow(x, r.Links) == ask.Thing {
					row[x.Nth] = notYet
				}
			}
		}
	}
}
