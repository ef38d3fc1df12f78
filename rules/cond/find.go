package cond

import (
	"fmt"
	"slices"

	"tideline/rules/vocab"
)

// Supposed is one answer of a book that [Env.Find] found: what the thing is called in the condition (`ink`, `part.inks 1`),
// its question, and answers of which any will do.
type Supposed struct {
	Thing    string
	Question *vocab.Question // nil: there is such a thing in the list (There), or there is not
	Answers  []vocab.Answer
	There    bool
}

// findLimit bounds how many partial assignments one search looks at.
const findLimit = 20000

// Find looks for answers under which every one of holds is true and every one of fails is false. All of them speak of the
// same things by the same names; fact gives the condition of a fact. found tells whether there are such answers, and w
// is a choice of them of which none can be left out. sure is false when the search was cut
// short, or an answer is reckoned with so that only points of its range were tried: then not found means not known.
//
// Lists hold as many things as could matter. The things of two lists are taken to have nothing to do with each other, and
// never statements are not looked at: what is found may be a book that cannot be, but what is surely not found cannot be.
func (e *Env) Find(holds, fails []*Cond, fact func(id string) *Cond) (w []Supposed, found, sure bool) {
	f := &finder{env: e, fact: fact, sizes: map[string]int{}, declared: map[string]bool{}, measured: map[string]bool{}, places: map[string]*place{}, vars: map[string]int{}, known: map[string]*prop{}, sure: true}
	all := slices.Concat(holds, fails)
	for _, v := range all[0].Vars {
		f.declared[v.Name] = v.From != Bound
	}
	for _, c := range all {
		f.measure(c.Root, f.roots(c.Vars))
	}
	var goal []*prop
	for i, c := range all {
		p := f.prop(c.Root, f.roots(c.Vars))
		if i >= len(holds) {
			p = opposite(p)
		}
		goal = append(goal, p)
	}
	root := &prop{op: OpAnd, kids: goal}
	f.at = make([]int, len(f.variables))
	for i := range f.at {
		f.at[i] = unset
	}
	if !f.search(root) {
		return nil, false, f.sure && f.steps <= findLimit
	}
	return f.witness(root), true, true
}

const unset = -1

// finder is one search.
type finder struct {
	env       *Env
	fact      func(id string) *Cond
	atoms     []*Atom
	sizes     map[string]int  // how many things a list holds, by its name without numbers
	declared  map[string]bool // names the conditions may use
	measured  map[string]bool // facts and quantifiers counted in sizes
	places    map[string]*place
	variables []variable
	vars      map[string]int   // by thing and question
	known     map[string]*prop // facts of things, written out
	at        []int            // the cell of each variable
	steps     int
	sure      bool
}

// place is a thing as the conditions name it.
type place struct {
	name  string
	like  string // the name without numbers: the same for all members of a list
	kind  vocab.Kind
	owner *place            // what it was reached from; nil for a declared name
	leads map[string]*place // by link, so far as they were followed
	cel   *Thing            // made when an atom is first evaluated with cel-go
}

// variable is a question of a thing; with no question, whether the thing is there.
type variable struct {
	place    *place
	question *vocab.Question
	cells    []Cell
}

// prop is a condition written out for the things of the search.
type prop struct {
	op    Op
	value bool
	kids  []*prop
	count int
	atom  *Atom
	args  []*place
	vars  []int
	holds []bool // of one variable: by cell
}

func opposite(p *prop) *prop { return &prop{op: OpNot, kids: []*prop{p}} }

func (f *finder) place(name, like string, kind vocab.Kind, owner *place) *place {
	if f.places[name] == nil {
		f.places[name] = &place{name: name, like: like, kind: kind, owner: owner}
	}
	return f.places[name]
}

// member gives the nth member of a list.
func (f *finder) member(l listed, n int) *place {
	return f.place(fmt.Sprintf("%s.%s %d", l.owner.name, l.link.Name, n+1), l.like()+" 1", l.link.To, l.owner)
}

// listed is a list of things.
type listed struct {
	owner *place
	link  vocab.Link
}

func (l listed) like() string { return l.owner.like + "." + l.link.Name }

// roots puts the declared names of a condition into their slots.
func (f *finder) roots(vars []Var) []*place {
	env := make([]*place, len(vars))
	for i, v := range vars {
		if v.From != Bound {
			env[i] = f.place(v.Name, v.Name, v.Kind, nil)
		}
	}
	return env
}

// follow follows links to one thing. The part and side of a declared thing are those the conditions call part and side,
// where they may.
func (f *finder) follow(p *place, links []vocab.Link) *place {
	for _, l := range links {
		next := f.single(p, l)
		if p.leads == nil {
			p.leads = map[string]*place{}
		}
		p.leads[l.Name] = next
		p = next
	}
	return p
}

func (f *finder) single(p *place, l vocab.Link) *place {
	switch o := p.owner; {
	case o == nil && f.declared[string(l.To)]:
		return f.place(string(l.To), string(l.To), l.To, nil)
	case o != nil && o.kind == l.To && p.kind != vocab.Fastener:
		return o
	case o != nil && l.To == vocab.Part && (o.kind == vocab.Side || o.kind == vocab.Finding || o.kind == vocab.Ink):
		return f.single(o, l)
	}
	return f.place(p.name+"."+l.Name, p.like+"."+l.Name, l.To, p)
}

func (f *finder) list(p Path, env []*place) listed {
	last := len(p.Links) - 1
	return listed{f.follow(env[p.Slot], p.Links[:last]), p.Links[last]}
}

// factEnv puts the things that the condition of a fact speaks of into its slots.
func (f *finder) factEnv(c *Cond, of *place) []*place {
	env := f.roots(c.Vars)
	for i, v := range c.Vars {
		switch {
		case v.From == Bound:
		case v.Kind == of.kind:
			env[i] = of
		case v.Kind == vocab.Part || v.Kind == vocab.Side:
			if l, ok := vocab.LinkOf(of.kind, string(v.Kind)); ok {
				env[i] = f.follow(of, []vocab.Link{l})
			}
		}
	}
	return env
}

// measure counts how many things a list must hold for every difference to show: one for each exists or all that looks
// through it, n for each atLeast(n). It gathers the atoms as well.
func (f *finder) measure(n *Node, env []*place) {
	switch n.Op {
	case OpAtom:
		if !slices.Contains(f.atoms, n.Atom) {
			f.atoms = append(f.atoms, n.Atom)
		}
	case OpFact:
		of := f.follow(env[n.Of.Slot], n.Of.Links)
		if key := n.Fact + " of " + of.like; !f.measured[key] {
			f.measured[key] = true
			c := f.fact(n.Fact)
			f.measure(c.Root, f.factEnv(c, of))
		}
	case OpAll, OpExists, OpCount:
		l := f.list(n.Of, env)
		if key := fmt.Sprintf("%p in %s", n, l.like()); !f.measured[key] {
			f.measured[key] = true
			f.sizes[l.like()] += max(1, n.Count)
		}
		env[n.Bind] = f.member(l, 0)
	}
	for _, k := range n.Kids {
		f.measure(k, env)
	}
}

// prop writes a condition out.
func (f *finder) prop(n *Node, env []*place) *prop {
	switch n.Op {
	case OpConst:
		return &prop{op: OpConst, value: n.Value}
	case OpAtom:
		return f.leaf(n, env)
	case OpFact:
		of := f.follow(env[n.Of.Slot], n.Of.Links)
		key := n.Fact + " of " + of.name
		if f.known[key] == nil {
			c := f.fact(n.Fact)
			f.known[key] = f.prop(c.Root, f.factEnv(c, of))
		}
		return f.known[key]
	case OpNot, OpAnd, OpOr:
		p := &prop{op: n.Op}
		for _, k := range n.Kids {
			p.kids = append(p.kids, f.prop(k, env))
		}
		return p
	}
	p := &prop{op: OpCount, count: max(1, n.Count)}
	l := f.list(n.Of, env)
	for i := range f.sizes[l.like()] {
		m := f.member(l, i)
		env[n.Bind] = m
		kid := f.prop(n.Kids[0], env)
		if n.Op == OpAll {
			kid = opposite(kid)
		}
		p.kids = append(p.kids, &prop{op: OpAnd, kids: []*prop{f.there(m), kid}})
	}
	if n.Op == OpAll {
		return opposite(p)
	}
	return p
}

func (f *finder) there(m *place) *prop {
	return &prop{op: OpAtom, vars: []int{f.variable(m, nil)}, holds: []bool{true, false}}
}

func (f *finder) variable(p *place, q *vocab.Question) int {
	key := p.name
	if q != nil {
		key += ": " + q.ID
	}
	if i, ok := f.vars[key]; ok {
		return i
	}
	v := variable{place: p, question: q, cells: make([]Cell, 2)}
	if q != nil {
		exact := true
		if v.cells, exact = Cut(q, f.atoms); !exact {
			f.sure = false
		}
	}
	f.vars[key] = len(f.variables)
	f.variables = append(f.variables, v)
	return f.vars[key]
}

func (f *finder) leaf(n *Node, env []*place) *prop {
	p := &prop{op: OpAtom, atom: n.Atom}
	for _, slot := range n.Args {
		p.args = append(p.args, env[slot])
	}
	for _, r := range n.Atom.Reads {
		v := f.variable(f.follow(p.args[r.Arg], r.Links), r.Question)
		if !slices.Contains(p.vars, v) {
			p.vars = append(p.vars, v)
		}
	}
	if n.Atom.Test != nil {
		v := f.variables[p.vars[0]]
		for _, c := range v.cells {
			p.holds = append(p.holds, n.Atom.Test.Holds(v.question, c.Some()))
		}
	}
	return p
}

func (f *finder) eval(p *prop) Truth {
	switch p.op {
	case OpConst:
		return Of(p.value)
	case OpAtom:
		return f.evalLeaf(p)
	case OpNot:
		return Not(f.eval(p.kids[0]))
	case OpAnd:
		v := True
		for _, k := range p.kids {
			if v = And(v, f.eval(k)); v == False {
				return v
			}
		}
		return v
	case OpOr:
		v := False
		for _, k := range p.kids {
			if v = Or(v, f.eval(k)); v == True {
				return v
			}
		}
		return v
	}
	holds, open := 0, 0
	for _, k := range p.kids {
		switch f.eval(k) {
		case True:
			holds++
		case Open:
			open++
		}
	}
	return AtLeast(p.count, holds, open)
}

func (f *finder) evalLeaf(p *prop) Truth {
	for _, v := range p.vars {
		if f.at[v] == unset {
			return Open
		}
	}
	if p.holds != nil {
		return Of(p.holds[f.at[p.vars[0]]])
	}
	things := make([]*Thing, len(p.args))
	for i, a := range p.args {
		things[i] = f.thing(a)
	}
	for _, v := range p.vars {
		x := f.variables[v]
		f.thing(x.place).Set(f.env.Slot(x.question), x.question, x.cells[f.at[v]].Some())
	}
	v, err := p.atom.Eval(things...)
	if err != nil || v == Open {
		f.sure = false
		return False
	}
	return v
}

// thing gives a place as cel-go sees it.
func (f *finder) thing(p *place) *Thing {
	if p.cel == nil {
		p.cel = f.env.NewThing(p.kind, 0)
		for link, to := range p.leads {
			p.cel.Lead(link, f.thing(to))
		}
	}
	return p.cel
}

// search assigns cells until p holds.
func (f *finder) search(p *prop) bool {
	if f.steps++; f.steps > findLimit {
		return false
	}
	switch f.eval(p) {
	case True:
		return true
	case False:
		return false
	}
	v := f.pick(p)
	for cell := range f.variables[v].cells {
		f.at[v] = cell
		if f.search(p) {
			return true
		}
	}
	f.at[v] = unset
	return false
}

// pick gives an unset variable that p hangs on. p is open.
func (f *finder) pick(p *prop) int {
	for _, v := range p.vars {
		if f.at[v] == unset {
			return v
		}
	}
	for _, k := range p.kids {
		if f.eval(k) == Open {
			return f.pick(k)
		}
	}
	return 0
}

// witness gives the answers found, less those without which p holds as well.
func (f *finder) witness(p *prop) []Supposed {
	var w []Supposed
	for i := range f.at {
		if f.at[i] == unset {
			continue
		}
		cell := f.at[i]
		if f.at[i] = unset; f.eval(p) == True {
			continue
		}
		f.at[i] = cell
		v := f.variables[i]
		s := Supposed{Thing: v.place.name, Question: v.question, There: v.question == nil && cell == 0}
		if v.question != nil {
			s.Answers = v.cells[cell].Answers
		}
		w = append(w, s)
	}
	return w
}
