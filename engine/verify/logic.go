package verify

import (
	"fmt"
	"slices"

	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// supposed is answers supposed on top of the record.
type supposed map[*question]vocab.Answer

// logic evaluates conditions over a reading, with some answers supposed.
type logic struct {
	*reading
	plus  supposed
	open  []*question // questions not answered that an evaluation met, in order
	atoms map[string]cond.Truth
	steps int
	fault error
}

// known gives the answer to a question, and notes one that is not answered.
func (l *logic) known(q *question) (vocab.Answer, bool) {
	if a, ok := l.plus[q]; ok {
		return a, true
	}
	if g := l.answers[q]; g.stands {
		return g.answer, true
	}
	if !slices.Contains(l.open, q) {
		l.open = append(l.open, q)
	}
	return vocab.Answer{}, false
}

// presence tells whether a thing is there: one not listed is there if the list is known to be incomplete.
func (l *logic) presence(n *node) cond.Truth {
	if n.listed == nil {
		return cond.True
	}
	a, ok := l.known(n.listed)
	switch {
	case !ok:
		return cond.Open
	case a.Yes:
		return cond.False
	}
	return cond.True
}

// Kleene's tables, by the order false, open, true.
var level = map[cond.Truth]int{cond.False: 0, cond.Open: 1, cond.True: 2}

var ofLevel = [...]cond.Truth{cond.False, cond.Open, cond.True}

func both(list ...cond.Truth) cond.Truth {
	least := 2
	for _, v := range list {
		least = min(least, level[v])
	}
	return ofLevel[least]
}

func either(list ...cond.Truth) cond.Truth {
	most := 0
	for _, v := range list {
		most = max(most, level[v])
	}
	return ofLevel[most]
}

func opposite(v cond.Truth) cond.Truth { return ofLevel[2-level[v]] }

// enough is whether at least n hold.
func enough(n int, list []cond.Truth) cond.Truth {
	sure, may := 0, 0
	for _, v := range list {
		if v == cond.True {
			sure++
		}
		if v != cond.False {
			may++
		}
	}
	switch {
	case sure >= n:
		return cond.True
	case may < n:
		return cond.False
	}
	return cond.Open
}

// overList is a statement about the things of a list, from what holds of each and whether it is there.
func overList(n *cond.Node, values, there []cond.Truth) cond.Truth {
	list := make([]cond.Truth, len(values))
	for i, v := range values {
		if n.Op == cond.OpAll {
			list[i] = either(opposite(there[i]), v)
		} else {
			list[i] = both(there[i], v)
		}
	}
	switch n.Op {
	case cond.OpAll:
		return both(list...)
	case cond.OpExists:
		return either(list...)
	}
	return enough(n.Count, list)
}

// eval gives the value of a condition.
func (l *logic) eval(n *cond.Node, env []*node) cond.Truth {
	switch n.Op {
	case cond.OpConst:
		if n.Value {
			return cond.True
		}
		return cond.False
	case cond.OpAtom:
		return l.atom(n, env)
	case cond.OpFact:
		f, of := l.pack.Fact(n.Fact), l.follow(n.Of, env)
		return l.eval(f.Is.Root, l.seats(f.Is, of, of))
	case cond.OpNot:
		return opposite(l.eval(n.Kids[0], env))
	case cond.OpAnd, cond.OpOr:
		values := make([]cond.Truth, 0, len(n.Kids))
		for _, k := range n.Kids {
			values = append(values, l.eval(k, env))
		}
		if n.Op == cond.OpAnd {
			return both(values...)
		}
		return either(values...)
	}
	var values, there []cond.Truth
	for _, m := range l.members(n.Of, env) {
		env[n.Bind] = m
		values, there = append(values, l.eval(n.Kids[0], env)), append(there, l.presence(m))
	}
	return overList(n, values, there)
}

// reads gives the questions an atom reads, each once.
func (l *logic) reads(n *cond.Node, env []*node) []*question {
	var list []*question
	for _, rd := range n.Atom.Reads {
		q := l.ask(l.follow(cond.Path{Slot: n.Args[rd.Arg], Links: rd.Links}, env), rd.Question)
		if !slices.Contains(list, q) {
			list = append(list, q)
		}
	}
	return list
}

// atom has cel-go evaluate one atom with its own answers known and nothing else.
func (l *logic) atom(n *cond.Node, env []*node) cond.Truth {
	l.steps++
	key := fmt.Sprint(n.Atom.ID)
	for _, slot := range n.Args {
		key += "|" + env[slot].path
	}
	for _, q := range l.reads(n, env) {
		a, ok := l.known(q)
		if ok {
			key += fmt.Sprint("|", a)
		} else {
			key += "|?"
		}
	}
	if v, ok := l.atoms[key]; ok {
		return v
	}
	v, err := n.Atom.Eval(l.alone(n, env)...)
	if err != nil && l.fault == nil {
		l.fault = err
	}
	l.atoms[key] = v
	return v
}

// alone makes the things of an atom anew, with nothing known but what the atom reads.
func (l *logic) alone(n *cond.Node, env []*node) []*cond.Thing {
	made := map[*node]*cond.Thing{}
	make1 := func(of *node) *cond.Thing {
		if made[of] == nil {
			made[of] = l.pack.Env.NewThing(of.kind, 0)
		}
		return made[of]
	}
	args := make([]*cond.Thing, 0, len(n.Args))
	for _, slot := range n.Args {
		args = append(args, make1(env[slot]))
	}
	for _, rd := range n.Atom.Reads {
		at := env[n.Args[rd.Arg]]
		for _, link := range rd.Links {
			next := l.near(at, link.To)[0]
			make1(at).Lead(link.Name, make1(next))
			at = next
		}
		if a, ok := l.known(l.ask(at, rd.Question)); ok {
			make1(at).Set(l.pack.Env.Slot(rd.Question), rd.Question, a)
		}
	}
	return args
}

// instance is a rule asked of a thing for a target.
type instance struct {
	rule          *pack.Rule
	target, thing *node
}

// instances instantiates every rule about a treatment for a target.
func (r *reading) instances(t *pack.Treatment, target *node) []instance {
	var list []instance
	for _, rule := range r.pack.Rules {
		if !slices.Contains(rule.Treatments, t) {
			continue
		}
		each := rule.Each
		if each == "" {
			each = t.Of
		}
		for _, m := range r.near(target, each) {
			list = append(list, instance{rule, target, m})
		}
	}
	return list
}

// holds gives the value of an instance.
func (l *logic) holds(i instance) cond.Truth {
	c := i.rule.When[i.target.kind]
	return both(l.presence(i.thing), l.eval(c.Root, l.seats(c, i.target, i.thing)))
}
