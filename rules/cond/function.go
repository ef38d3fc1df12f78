package cond

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"tideline/rules/nearest"
	"tideline/rules/vocab"
)

// Function is a computation that conditions may call: written values and answers in, one number out. This package knows
// none; whoever loads a pack gives them.
type Function struct {
	Name   string
	Says   string
	Params []Param
	Unit   string // of what it gives; "" for a bare number
	// Memory marks a function whose values stand in no source that was opened: it may not rule out.
	Memory bool
	// Do computes. It is given one value for each parameter, in the parameter's unit, or as a word. The error is a
	// refusal: the values lie outside what the computation supports, so that what it would give is not known.
	Do func(values []vocab.Answer) (float64, error)
	// Allow refuses a value that the parameter of that place does not support, whatever the others are.
	Allow func(place int, value vocab.Answer) error
}

// Param is one parameter of a function.
type Param struct {
	Name     string
	Says     string
	Unit     string   // "" for a bare number
	Words    []string // a written word in place of a number
	From, To float64  // both ends in it; From == To: no range of its own
	// Steady says that what the function gives never turns while this parameter alone rises through its range, and that
	// nothing there is refused. A comparison with a written value then changes at one place, which can be found exactly.
	Steady bool
}

// Signature tells how the function is called.
func (f *Function) Signature() string {
	var list []string
	for _, p := range f.Params {
		list = append(list, p.String())
	}
	return f.Name + "(" + strings.Join(list, ", ") + ")"
}

// String names a parameter with its unit.
func (p Param) String() string {
	switch {
	case len(p.Words) > 0:
		return p.Name + " as a word"
	case p.Unit == bare:
		return p.Name
	}
	return p.Name + " in " + p.Unit
}

// Call is a call of a function in a condition, or one that a setting is computed by.
type Call struct {
	Function *Function
	Text     string
	Args     []Arg
}

// Arg is one value given to a function: a written one, or the answer to a question.
type Arg struct {
	Value vocab.Answer
	Read  int // place of the question among the reads of the atom; -1 for a written value
}

// written marks an argument that reads no question.
const written = -1

// Do makes the call with the answers to its questions; read gives that of the nth read. known is false while an answer is
// not known. The error is a refusal: it holds whatever the answers not known turn out to be.
func (c *Call) Do(read func(n int) vocab.Answer) (v float64, known bool, err error) {
	values := make([]vocab.Answer, len(c.Args))
	known = true
	for i, a := range c.Args {
		if values[i] = a.Value; a.Read != written {
			values[i] = read(a.Read)
		}
		if !values[i].Known {
			known = false
		} else if err := c.Function.Allow(i, values[i]); err != nil {
			return 0, false, err
		}
	}
	if !known {
		return 0, false, nil
	}
	v, err = c.Function.Do(values)
	return v, err == nil, err
}

// refused is the number that an unknown carries where a function refused: no question has it.
const refused = -1

// declare tells cel-go a function. An argument not known makes the result unknown, with the numbers of all of them; a
// refusal makes it an unknown that no answer can settle.
func (f *Function) declare() cel.EnvOption {
	var params []*cel.Type
	for _, p := range f.Params {
		if len(p.Words) > 0 {
			params = append(params, cel.StringType)
		} else {
			params = append(params, cel.DoubleType)
		}
	}
	return cel.Function(f.Name, cel.Overload(f.Name+"_values", params, cel.DoubleType, cel.OverloadIsNonStrict(), cel.FunctionBinding(f.eval)))
}

func (f *Function) eval(args ...ref.Val) ref.Val {
	var unknown *types.Unknown
	values := make([]vocab.Answer, len(args))
	for i, a := range args {
		switch v := a.(type) {
		case *types.Unknown:
			unknown = types.MergeUnknowns(unknown, v)
			continue
		case types.Double:
			values[i] = vocab.Num(float64(v))
		case types.String:
			values[i] = vocab.Word(string(v))
		default:
			return a // an error
		}
		if f.Allow(i, values[i]) != nil {
			unknown = types.MergeUnknowns(unknown, types.NewUnknown(refused, nil))
		}
	}
	if unknown != nil {
		return unknown
	}
	v, err := f.Do(values)
	if err != nil {
		return types.NewUnknown(refused, nil)
	}
	return types.Double(v)
}

// Functions lists the functions that conditions may call, by name.
func (e *Env) Functions() []*Function {
	return slices.SortedFunc(maps.Values(e.functions), func(a, b *Function) int { return strings.Compare(a.Name, b.Name) })
}

// called vets a call of a function: what its parameters take, in which units, and that written values are within range.
func (v *vetter) called(e ast.Expr, f *Function) measure {
	args := e.AsCall().Args()
	c := &Call{Function: f, Text: v.text(e)}
	bad := false
	for i, p := range f.Params {
		a, ok := v.argument(args[i], f, p, i)
		c.Args, bad = append(c.Args, a), bad || !ok
	}
	if bad {
		return measure{bad: true}
	}
	v.calls = append(v.calls, c)
	return measure{typ: vocab.Number, unit: f.Unit, call: c}
}

// argument vets one argument of a call.
func (v *vetter) argument(e ast.Expr, f *Function, p Param, place int) (Arg, bool) {
	before := len(v.reads)
	m := v.value(e)
	refuse := func(summary, help string) (Arg, bool) {
		v.problem(e, summary, help)
		return Arg{}, false
	}
	switch {
	case m.bad:
		return Arg{}, false
	case len(p.Words) > 0:
		if m.literal == nil || m.typ != vocab.Words {
			return refuse(fmt.Sprintf("%s of %s is a written word", p.Name, f.Name), "One of "+list(p.Words)+".")
		}
		if !slices.Contains(p.Words, m.literal.Word) {
			arg, _ := refuse(fmt.Sprintf("%q is no %s of %s", m.literal.Word, p.Name, f.Name), "One of "+list(p.Words)+".")
			last := &v.problems[len(v.problems)-1]
			last.Nearest, last.Width = nearest.Word(m.literal.Word, p.Words), len([]rune(m.literal.Word))+2
			return arg, false
		}
		return Arg{*m.literal, written}, true
	case m.typ != vocab.Number || m.unit != p.Unit && !(plain(p.Unit) && plain(m.unit) && (m.unit == bare && m.literal != nil || p.Unit == bare && m.unit == "count")):
		return refuse(fmt.Sprintf("%s of %s takes %s, and this is %s", p.Name, f.Name, measure{typ: vocab.Number, unit: p.Unit}.says(), m.says()), unitHelp(p.Unit))
	case m.literal != nil:
		if err := f.Allow(place, *m.literal); err != nil {
			return refuse(fmt.Sprintf("%s refuses this %s", f.Name, p.Name), err.Error())
		}
		return Arg{*m.literal, written}, true
	case m.question == nil:
		return refuse(fmt.Sprintf("%s of %s is reckoned with", p.Name, f.Name), "A function takes written values and answers as they stand.")
	}
	return Arg{Read: before}, true
}

// calling says of a call with the wrong number or kinds of arguments what the function takes.
func (e *Env) calling(p *Problem, name string) bool {
	f := e.functions[name]
	if f == nil {
		return false
	}
	p.Summary, p.Help = fmt.Sprintf("%s is not called like this", name), "It is "+f.Signature()+"."
	return true
}
