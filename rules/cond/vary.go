package cond

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"tideline/rules/vocab"
)

// Fork gives an environment that starts with the atoms of e and compiles others without e knowing of them: what is tried
// in it leaves the cells of e as they are.
func (e *Env) Fork() *Env {
	for _, k := range vocab.Kinds {
		e.with(alone(k)) // what Vary compiles with; made once, then shared by all forks
	}
	e.mu.Lock()
	defer e.mu.Unlock()
	return &Env{vocabulary: e.vocabulary, kinds: e.kinds, base: e.base, byVars: maps.Clone(e.byVars), parsed: maps.Clone(e.parsed), atoms: slices.Clip(e.atoms), byKey: maps.Clone(e.byKey), functions: e.functions}
}

func alone(k vocab.Kind) []Var { return []Var{{Name: string(k), Kind: k}} }

// Vary gives an atom that compares the question of n, an atom with a [Test], otherwise: as t says. vars are those of
// the condition that n stands in.
func (e *Env) Vary(vars []Var, n *Node, t Test) (*Node, error) {
	if n.Op != OpAtom || n.Atom.Test == nil {
		return nil, fmt.Errorf("%s is no comparison with a written value", n.Text)
	}
	r := n.Atom.Reads[0]
	v := vars[n.Args[r.Arg]]
	rest := ""
	for _, l := range r.Links {
		rest += "." + l.Name
	}
	rest += "." + r.Question.Name + comparison(r.Question, t)
	c, problems := e.Compile(string(v.Kind)+rest, alone(v.Kind))
	if problems != nil {
		return nil, fmt.Errorf("%s: %s", v.Name+rest, problems[0].Summary)
	}
	if c.Root.Op != OpAtom || c.Root.Atom == nil {
		return nil, fmt.Errorf("%s is no atom", v.Name+rest)
	}
	return &Node{Op: OpAtom, Text: v.Name + rest, Atom: c.Root.Atom, Args: []int{n.Args[r.Arg]}}, nil
}

// Limit gives the number that an atom compares what a function gives with; ok is false for any other atom.
func (a *Atom) Limit() (v float64, ok bool) {
	if a.limit == nil {
		return 0, false
	}
	return a.limit.value, true
}

// VaryLimit gives an atom that compares what a function gives with another number. vars are those of the condition that n
// stands in.
func (e *Env) VaryLimit(vars []Var, n *Node, v float64) (*Node, error) {
	if n.Op != OpAtom || n.Atom.limit == nil || n.Text != n.Atom.Text {
		return nil, fmt.Errorf("%s is no comparison of a function, as first written, with a written value", n.Text)
	}
	l := n.Atom.limit
	q := &vocab.Question{Type: vocab.Number, Unit: l.call.Function.Unit}
	c, problems := e.Compile(l.call.Text+comparison(q, Test{Op: l.op, Values: []vocab.Answer{vocab.Num(v)}}), vars)
	if problems != nil {
		return nil, fmt.Errorf("%s: %s", n.Text, problems[0].Summary)
	}
	return c.Root, nil
}

// comparison writes a test as conditions write it, with the unit of the question.
func comparison(q *vocab.Question, t Test) string {
	var list []string
	for _, a := range t.Values {
		switch {
		case q.Type == vocab.YesNo:
			list = append(list, strconv.FormatBool(a.Yes))
		case q.Type == vocab.Words:
			list = append(list, strconv.Quote(a.Word))
		case q.Type == vocab.Grade || plain(q.Unit):
			list = append(list, strconv.FormatFloat(a.Num, 'f', -1, 64))
		default:
			list = append(list, q.Unit+"("+strconv.FormatFloat(a.Num, 'f', -1, 64)+")")
		}
	}
	if t.Op == "in" {
		return " in [" + strings.Join(list, ", ") + "]"
	}
	return " " + t.Op + " " + list[0]
}

// Replace gives the formula with another node in the place of old, wherever it stands. Nodes on the way are copied;
// the formula itself stays as it is. Their texts stay those of the formula.
func (n *Node) Replace(old, by *Node) *Node {
	if n == old {
		return by
	}
	var kids []*Node
	for i, k := range n.Kids {
		if other := k.Replace(old, by); other != k {
			if kids == nil {
				kids = slices.Clone(n.Kids)
			}
			kids[i] = other
		}
	}
	if kids == nil {
		return n
	}
	c := *n
	c.Kids = kids
	return &c
}
