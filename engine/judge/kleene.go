package judge

import (
	"tideline/engine/evidence"
	"tideline/rules/cond"
	"tideline/rules/vocab"
)

// notYet marks a value not evaluated so far.
const notYet cond.Truth = 255

// table holds the values of atoms and facts, each evaluated once for each thing.
type table struct {
	c     *evidence.Case
	atoms [][]cond.Truth // by atom, by place of the thing among those of its kind; for atoms of one thing
	wide  map[wideKey]cond.Truth
	facts [][]cond.Truth // by place of the fact in the pack, by place of the thing
	// factAt gives the place of a fact.
	factAt map[string]int
	only   [3]int32 // the book, the owner and the bench
	err    error    // the first atom that failed: a fault of the pack
}

// wideKey is an atom with the things it compares.
type wideKey struct {
	atom   int
	things [9]int32
}

func newTable(c *evidence.Case) *table {
	t := &table{c: c, wide: map[wideKey]cond.Truth{}, factAt: map[string]int{}}
	for i, k := range []vocab.Kind{vocab.Book, vocab.Owner, vocab.Bench} {
		t.only[i] = int32(c.Of(k)[0].Index)
	}
	atoms := c.Pack.Env.Atoms()
	t.atoms = make([][]cond.Truth, len(atoms))
	for i, f := range c.Pack.Facts {
		t.factAt[f.ID] = i
		t.facts = append(t.facts, unset(len(c.Of(f.Kind))))
	}
	return t
}

func unset(n int) []cond.Truth {
	v := make([]cond.Truth, n)
	for i := range v {
		v[i] = notYet
	}
	return v
}

// atom gives the value of an atom for things put in env.
func (t *table) atom(n *cond.Node, env []int32) cond.Truth {
	a := n.Atom
	if len(n.Args) != 1 {
		return t.wideAtom(n, env)
	}
	thing := t.c.Things[env[n.Args[0]]]
	row := t.atoms[a.ID]
	if row == nil {
		row = unset(len(t.c.Of(thing.Kind)))
		t.atoms[a.ID] = row
	}
	if row[thing.Nth] == notYet {
		row[thing.Nth] = t.ask(a, thing)
	}
	return row[thing.Nth]
}

// ask evaluates an atom of one thing: a comparison with written values directly, which says the same as cel-go (see
// TestTestAgreesWithCEL of package cond), anything else by cel-go.
func (t *table) ask(a *cond.Atom, thing *evidence.Thing) cond.Truth {
	if a.Test == nil {
		return t.note(a.Eval(t.c.Cel(thing)))
	}
	r := &a.Reads[0]
	thing = t.follow(thing, r.Links)
	ask := &t.c.Asks[thing.Base+r.Slot]
	if !ask.Answer.Known {
		return cond.Open
	}
	return cond.Of(a.Test.Holds(r.Question, ask.Answer))
}

func (t *table) wideAtom(n *cond.Node, env []int32) cond.Truth {
	key := wideKey{atom: n.Atom.ID}
	for i, slot := range n.Args {
		key.things[i] = env[slot]
	}
	v, ok := t.wide[key]
	if !ok {
		things := make([]*cond.Thing, len(n.Args))
		for i, slot := range n.Args {
			things[i] = t.c.Cel(t.c.Things[env[slot]])
		}
		v = t.note(n.Atom.Eval(things...))
		t.wide[key] = v
	}
	return v
}

func (t *table) note(v cond.Truth, err error) cond.Truth {
	if err != nil && t.err == nil {
		t.err = err
	}
	return v
}

// eval gives the value of a formula by Kleene's logic. Every operand is evaluated, so that an atom that fails is found
// even where the others decide.
func (t *table) eval(n *cond.Node, env []int32) cond.Truth {
	switch n.Op {
	case cond.OpConst:
		return cond.Of(n.Value)
	case cond.OpAtom:
		return t.atom(n, env)
	case cond.OpFact:
		return t.fact(n.Fact, t.end(n.Of, env))
	case cond.OpNot:
		return cond.Not(t.eval(n.Kids[0], env))
	case cond.OpAnd:
		v := cond.True
		for _, k := range n.Kids {
			v = cond.And(v, t.eval(k, env))
		}
		return v
	case cond.OpOr:
		v := cond.False
		for _, k := range n.Kids {
			v = cond.Or(v, t.eval(k, env))
		}
		return v
	}
	return t.quantifier(n, env)
}

func (t *table) quantifier(n *cond.Node, env []int32) cond.Truth {
	var found [3]int // by value
	for _, m := range t.things(n.Of, env) {
		env[n.Bind] = int32(m.Index)
		v := t.eval(n.Kids[0], env)
		if m.Unlisted && !(n.Op == cond.OpAll && v == cond.True) && !(n.Op != cond.OpAll && v == cond.False) && !t.surelyThere(m) {
			v = cond.Open // it may not be there at all
		}
		found[v]++
	}
	return counted(n, found)
}

// counted is the value of a look through a list of which so many things have each value.
func counted(n *cond.Node, found [3]int) cond.Truth {
	switch n.Op {
	case cond.OpAll:
		return cond.Not(cond.AtLeast(1, found[cond.False], found[cond.Open]))
	case cond.OpExists:
		return cond.AtLeast(1, found[cond.True], found[cond.Open])
	}
	return cond.AtLeast(n.Count, found[cond.True], found[cond.Open])
}

// surelyThere tells whether a thing not listed is known to be there, because the list is known to be incomplete.
func (t *table) surelyThere(m *evidence.Thing) bool { return t.c.Asks[m.Listed].Answer.Known }

// fact gives the value of a fact of a thing.
func (t *table) fact(id string, thing *evidence.Thing) cond.Truth {
	at := t.factAt[id]
	row := t.facts[at]
	if row[thing.Nth] == notYet {
		f := t.c.Pack.Facts[at]
		row[thing.Nth] = t.eval(f.Is.Root, t.of(f.Is, thing))
	}
	return row[thing.Nth]
}

// end follows links to one thing.
func (t *table) end(p cond.Path, env []int32) *evidence.Thing {
	return t.follow(t.c.Things[env[p.Slot]], p.Links)
}

// follow follows links from a thing to one thing.
func (t *table) follow(thing *evidence.Thing, links []vocab.Link) *evidence.Thing {
	for i := range links {
		thing = t.c.Lead(thing, links[i].Name)[0]
	}
	return thing
}

// things follows links to a list of things.
func (t *table) things(p cond.Path, env []int32) []*evidence.Thing {
	last := len(p.Links) - 1
	thing := t.end(cond.Path{Slot: p.Slot, Links: p.Links[:last]}, env)
	return t.c.Lead(thing, p.Links[last].Name)
}

// fill puts the things that a condition's names stand for into env, which is made larger where it is too small.
func (t *table) fill(env []int32, vars []cond.Var, target, thing *evidence.Thing) []int32 {
	if cap(env) < len(vars) {
		env = make([]int32, len(vars))
	}
	env = env[:len(vars)]
	for i, v := range vars {
		switch v.From {
		case cond.FromTarget:
			env[i] = int32(target.Index)
		case cond.FromThing:
			env[i] = int32(thing.Index)
		case cond.FromBook:
			env[i] = t.only[0]
		case cond.FromOwner:
			env[i] = t.only[1]
		case cond.FromBench:
			env[i] = t.only[2]
		case cond.FromPart:
			env[i] = first(thing.Part, target.Part)
		case cond.FromSide:
			env[i] = first(thing.Side, target.Side)
		}
	}
	return env
}

// of makes the env of a condition asked of one thing itself.
func (t *table) of(c *cond.Cond, thing *evidence.Thing) []int32 {
	return t.fill(nil, c.Vars, thing, thing)
}

func first(a, b *evidence.Thing) int32 {
	if a == nil {
		a = b
	}
	return int32(a.Index)
}
