package pack

import (
	"slices"

	"tideline/rules/cond"
	"tideline/rules/vocab"
)

// Scope gives the names a condition may use that is asked of each thing of one kind in the reach of a target of another.
// The target comes first, then the thing when its kind is another, then book, owner and bench, then part and side where
// there can be only one.
func Scope(target, each vocab.Kind) []cond.Var {
	vars := []cond.Var{{Name: string(target), Kind: target, From: cond.FromTarget}}
	add := func(k vocab.Kind, from cond.Seat) {
		if !slices.ContainsFunc(vars, func(v cond.Var) bool { return v.Kind == k }) {
			vars = append(vars, cond.Var{Name: string(k), Kind: k, From: from})
		}
	}
	add(each, cond.FromThing)
	add(vocab.Book, cond.FromBook)
	add(vocab.Owner, cond.FromOwner)
	add(vocab.Bench, cond.FromBench)
	if lies(target) || lies(each) {
		add(vocab.Part, cond.FromPart)
	}
	if onSide(target) != onSide(each) || target == each && onSide(target) {
		add(vocab.Side, cond.FromSide)
	}
	return vars
}

// lies tells whether things of the kind lie on one part.
func lies(k vocab.Kind) bool { return k == vocab.Side || onSide(k) }

// onSide tells whether things of the kind lie on one side.
func onSide(k vocab.Kind) bool { return k == vocab.Ink || k == vocab.Finding }
