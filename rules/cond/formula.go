package cond

import "tideline/rules/vocab"

// Op is what a node of a formula does.
type Op uint8

// The operations.
const (
	OpConst  Op = iota // Value
	OpAtom             // Atom, evaluated for the things in Args
	OpFact             // the fact named Fact of the thing Of leads to
	OpNot              // one kid
	OpAnd              // all kids
	OpOr               // some kid
	OpAll              // the kid, for all things Of leads to, each in turn put in slot Bind
	OpExists           // the kid, for some of them
	OpCount            // the kid, for at least Count of them
)

// Node is one node of a formula.
type Node struct {
	Op    Op
	Text  string // what the writer wrote, in its normal form
	Kids  []*Node
	Value bool
	Atom  *Atom
	Args  []int
	Fact  string
	Of    Path
	Bind  int
	Count int
}

// Path is a way from the thing in a slot along links to another thing, or to a list of things.
type Path struct {
	Slot  int
	Links []vocab.Link
}

// Cond is a compiled condition.
type Cond struct {
	Text string
	Vars []Var // the declared names in their slots, then those that exists, all and atLeast bind
	Root *Node
}

// Walk calls visit for every node of a formula, parents first.
func (n *Node) Walk(visit func(*Node)) {
	visit(n)
	for _, k := range n.Kids {
		k.Walk(visit)
	}
}
