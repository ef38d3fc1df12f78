package cond

import (
	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/types"
)

// Whole is a condition evaluated by cel-go in one piece, with no formula of ours: the second voice that tests compare
// the formula with, and the measure of its speed.
type Whole struct {
	prog cel.Program
	vars []Var
}

// Whole compiles a condition for evaluation in one piece.
func (e *Env) Whole(text string, vars []Var) (*Whole, []Problem) {
	checked, problems := e.check(text, vars)
	if problems != nil {
		return nil, problems
	}
	env, err := e.with(vars)
	if err != nil {
		return nil, []Problem{{Line: 1, Col: 1, Summary: err.Error()}}
	}
	prog, err := env.Program(checked, cel.EvalOptions(cel.OptOptimize))
	if err != nil {
		return nil, []Problem{{Line: 1, Col: 1, Summary: err.Error()}}
	}
	return &Whole{prog: prog, vars: vars}, nil
}

// Eval evaluates the condition for things in the order of its variables. Of an open result it also gives the numbers
// of the questions cel-go says it hangs on.
func (w *Whole) Eval(things ...*Thing) (Truth, []int64, error) {
	out, _, err := w.prog.Eval(named{w.vars, things})
	if err != nil {
		return Open, nil, err
	}
	if unknown, ok := out.(*types.Unknown); ok {
		return Open, unknown.IDs(), nil
	}
	return Of(out == types.True), nil, nil
}

// SetFact gives the thing the value of a fact, for [Whole.Eval].
func (t *Thing) SetFact(name string, v Truth, hangsOn int64) {
	slot := t.kind.fields[name].slot
	switch v {
	case Open:
		t.slots[slot] = types.NewUnknown(hangsOn, nil)
	default:
		t.slots[slot] = types.Bool(v == True)
	}
}

type named struct {
	vars   []Var
	things []*Thing
}

// ResolveName finds a thing by the name of its variable.
func (n named) ResolveName(name string) (any, bool) {
	for i, v := range n.vars {
		if v.Name == name {
			return n.things[i], true
		}
	}
	return nil, false
}

// Parent is nil: nothing stands behind the variables.
func (n named) Parent() cel.Activation { return nil }
