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
	kinds := []vocab.Kind{target}
	add := func(k vocab.Kind) {
		if !slices.Contains(kinds, k) {
			kinds = append(kinds, k)
		}
	}
	add(each)
	add(vocab.Book)
	add(vocab.Owner)
	add(vocab.Bench)
	if lies(target) || lies(each) {
		add(vocab.Part)
	}
	if onSide(target) != onSide(each) || target == each && onSide(target) {
		add(vocab.Side)
	}
	vars := make([]cond.Var, 0, len(kinds))
	for _, k := range kinds {
		vars = append(vars, cond.Var{Name: string(k), Kind: k})
	}
	return vars
}

// lies tells whether things of the kind lie on one part.
func lies(k vocab.Kind) bool { return k == vocab.Side || onSide(k) }

// onSide tells whether things of the kind lie on one side.
func onSide(k vocab.Kind) bool { return k == vocab.Ink || k == vocab.Finding }
