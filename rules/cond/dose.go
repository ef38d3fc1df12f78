package cond

import (
	"fmt"
	"strings"

	"github.com/google/cel-go/common/types"
)

// Dose is one call of a function by which a setting is computed.
type Dose struct {
	Text  string
	Vars  []Var
	Args  []int // slots of the things that the reads start from
	Reads []Read
	Call  *Call
}

// CompileDose turns the text of a call into a dose, or says everything that is wrong with it. Its arguments are vetted
// like those of a call in a condition.
func (e *Env) CompileDose(text string, vars []Var) (*Dose, []Problem) {
	checked, problems := e.typed(text, vars)
	if problems != nil {
		return nil, problems
	}
	b := newBuilder(e, checked.NativeRep(), vars)
	v := &vetter{builder: b}
	root := b.ast.Expr()
	if b.ast.GetType(root.ID()) == types.BoolType {
		v.problem(root, "this is a condition, not a dose", e.CallHelp())
		return nil, b.problems
	}
	m := v.value(root)
	if !m.bad && m.call == nil {
		v.problem(root, "this is no call of a function", e.CallHelp())
	}
	if len(v.reads) > maxDose {
		v.problem(root, "too many answers", fmt.Sprintf("At most %d in one call.", maxDose))
	}
	if len(b.problems) > 0 {
		return nil, b.problems
	}
	return &Dose{Text: strings.TrimSpace(text), Vars: b.vars, Args: v.slots, Reads: v.reads, Call: m.call}, nil
}

// CallHelp says how a function is called, where there is one.
func (e *Env) CallHelp() string {
	if list := e.Functions(); len(list) > 0 {
		return "Call one function, for example " + list[0].Signature() + "."
	}
	return "No functions are offered here."
}
