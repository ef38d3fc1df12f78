package cond

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/types"

	"tideline/rules/vocab"
)

// Atom is a part of a condition between connectives: a question compared with something, usually. Conditions that say
// the same of things of the same kinds share one atom.
type Atom struct {
	ID    int
	Text  string       // as first written
	Kinds []vocab.Kind // of the things it is evaluated for
	Reads []Read
	// Test is set when the atom compares one question with written values; nil otherwise.
	Test *Test
	// Calls are the functions it calls.
	Calls []*Call

	limit *limit           // set when it compares what one function gives with a written value
	turns func() []float64 // of a steady atom: see [Atom.Marks]
	plan  func() (cel.Program, error)
}

// Read is a question that an atom reads, of the thing that the links lead to from its argument Arg. Slot is the place of
// the question among those of its kind.
type Read struct {
	Arg      int
	Links    []vocab.Link
	Question *vocab.Question
	Slot     int
}

// Test is a comparison of a question with written values.
type Test struct {
	Op     string // ==, !=, <, <=, >, >=, in
	Values []vocab.Answer
}

// Holds tells whether a known answer passes the test. It says the same as cel-go of the same comparison: see
// TestTestAgreesWithCEL.
func (t *Test) Holds(q *vocab.Question, a vocab.Answer) bool {
	if q.Type == vocab.Words {
		return t.holdsWord(a.Word)
	}
	switch t.Op {
	case "in":
		return slices.Contains(t.Values, a)
	case "==":
		return a == t.Values[0]
	case "!=":
		return a != t.Values[0]
	case "<":
		return a.Num < t.Values[0].Num
	case "<=":
		return a.Num <= t.Values[0].Num
	case ">":
		return a.Num > t.Values[0].Num
	}
	return a.Num >= t.Values[0].Num
}

func (t *Test) holdsWord(word string) bool {
	for i := range t.Values {
		if t.Values[i].Word == word {
			return t.Op != "!="
		}
	}
	return t.Op == "!="
}

// Atoms lists all atoms compiled so far, by ID.
func (e *Env) Atoms() []*Atom { return e.atoms }

// Eval evaluates the atom with cel-go for things of its kinds. An error is a fault of the pack: no connective hides it.
func (a *Atom) Eval(things ...*Thing) (Truth, error) {
	prog, err := a.plan()
	if err != nil {
		return Open, fmt.Errorf("condition %q: %w", a.Text, err)
	}
	out, _, err := prog.Eval(bindings(things))
	switch {
	case err != nil:
		return Open, fmt.Errorf("condition %q: %w", a.Text, err)
	case types.IsUnknown(out):
		return Open, nil
	case types.IsError(out):
		return Open, fmt.Errorf("condition %q: %v", a.Text, out)
	}
	return Of(out == types.True), nil
}

// bindings gives cel-go the arguments of an atom under the names v0, v1 ...
type bindings []*Thing

// ResolveName finds an argument by its name.
func (b bindings) ResolveName(name string) (any, bool) {
	if len(name) != 2 || name[0] != 'v' || int(name[1]-'0') >= len(b) {
		return nil, false
	}
	return b[name[1]-'0'], true
}

// Parent is nil: nothing stands behind the arguments.
func (b bindings) Parent() cel.Activation { return nil }

// atom makes e an atom, or finds the one that says the same.
func (b *builder) atom(e ast.Expr) *Node {
	v := &vetter{builder: b}
	v.truth(e)
	var args []int
	names := map[string]string{}
	for _, slot := range v.slots {
		names[b.vars[slot].Name] = fmt.Sprintf("v%d", len(args))
		args = append(args, slot)
	}
	node := &Node{Op: OpAtom, Text: b.text(e), Args: args}
	most, what := maxReads, ""
	if len(v.calls) > 0 {
		most, what = maxCalled, " that calls a function"
	}
	if len(v.reads) > most {
		b.problem(e, "too many answers compared at once", fmt.Sprintf("At most %d in one comparison%s.", most, what))
		return node
	}
	var kinds []vocab.Kind
	for _, slot := range args {
		kinds = append(kinds, b.vars[slot].Kind)
	}
	key := fmt.Sprint(kinds, write(e, names))
	if node.Atom = b.env.byKey[key]; node.Atom == nil && len(b.problems) == 0 {
		node.Atom = &Atom{ID: len(b.env.atoms), Text: node.Text, Kinds: kinds, Reads: v.reads, Test: v.test, Calls: v.calls, limit: v.limit, plan: b.planner(e, names, kinds)}
		node.Atom.turns = sync.OnceValue(node.Atom.findTurns)
		b.env.atoms = append(b.env.atoms, node.Atom)
		b.env.byKey[key] = node.Atom
	}
	return node
}

// planner makes the atom a program of its own when it is first evaluated, with its names put as v0, v1 ...
func (b *builder) planner(e ast.Expr, names map[string]string, kinds []vocab.Kind) func() (cel.Program, error) {
	if !b.ast.IsChecked() {
		return b.env.planText(write(e, names), kinds)
	}
	sub := ast.NewExprFactory().CopyExpr(e)
	checked, env := b.ast, b.env.base
	return sync.OnceValues(func() (cel.Program, error) {
		refs := map[int64]*ast.ReferenceInfo{}
		for id, r := range checked.ReferenceMap() {
			refs[id] = r
		}
		factory := ast.NewExprFactory()
		ast.PostOrderVisit(sub, ast.NewExprVisitor(func(e ast.Expr) {
			if e.Kind() == ast.IdentKind && names[e.AsIdent()] != "" {
				name := names[e.AsIdent()]
				e.SetKindCase(factory.NewIdent(e.ID(), name))
				refs[e.ID()] = ast.NewIdentReference(name, nil)
			}
		}))
		alone := ast.NewCheckedAST(ast.NewAST(sub, checked.SourceInfo()), checked.TypeMap(), refs)
		return env.PlanProgram(alone, cel.EvalOptions(cel.OptOptimize))
	})
}

// text writes an expression in its normal form.
func (b *builder) text(e ast.Expr) string { return write(e, nil) }

var infix = map[string]string{
	operators.Equals: "==", operators.NotEquals: "!=", operators.Less: "<", operators.LessEquals: "<=",
	operators.Greater: ">", operators.GreaterEquals: ">=", operators.In: "in", operators.OldIn: "in", operators.Add: "+", operators.Subtract: "-",
	operators.Multiply: "*", operators.Divide: "/", operators.LogicalAnd: "&&", operators.LogicalOr: "||",
}

// write writes an expression in its normal form, with names replaced.
func write(e ast.Expr, names map[string]string) string {
	each := func(list []ast.Expr) []string {
		var texts []string
		for _, x := range list {
			texts = append(texts, write(x, names))
		}
		return texts
	}
	switch e.Kind() {
	case ast.LiteralKind:
		if s, ok := e.AsLiteral().(types.String); ok {
			return fmt.Sprintf("%q", string(s))
		}
		return fmt.Sprint(e.AsLiteral().Value())
	case ast.IdentKind:
		if name := names[e.AsIdent()]; name != "" {
			return name
		}
		return e.AsIdent()
	case ast.SelectKind:
		return write(e.AsSelect().Operand(), names) + "." + e.AsSelect().FieldName()
	case ast.ListKind:
		return "[" + strings.Join(each(e.AsList().Elements()), ", ") + "]"
	case ast.ComprehensionKind:
		return writeQuantifier(e.AsComprehension(), names)
	case ast.CallKind:
		return writeCall(e.AsCall(), each(e.AsCall().Args()))
	}
	return "..."
}

func writeCall(call ast.CallExpr, args []string) string {
	name := call.FunctionName()
	for i, arg := range call.Args() {
		if infix[name] != "" && arg.Kind() == ast.CallKind && infix[arg.AsCall().FunctionName()] != "" && arg.AsCall().FunctionName() != name {
			args[i] = "(" + args[i] + ")"
		}
	}
	switch {
	case infix[name] != "":
		return args[0] + " " + infix[name] + " " + args[1]
	case name == operators.LogicalNot:
		if arg := call.Args()[0]; arg.Kind() == ast.CallKind && infix[arg.AsCall().FunctionName()] != "" {
			return "!(" + args[0] + ")"
		}
		return "!" + args[0]
	case name == operators.Negate:
		return "-" + args[0]
	case name == operators.Conditional:
		return args[0] + " ? " + args[1] + " : " + args[2]
	}
	return name + "(" + strings.Join(args, ", ") + ")"
}

func writeQuantifier(c ast.ComprehensionExpr, names map[string]string) string {
	list, step := write(c.IterRange(), names), c.LoopStep().AsCall()
	body := step.Args()[1]
	switch step.FunctionName() {
	case operators.LogicalOr:
		return fmt.Sprintf("%s.exists(%s, %s)", list, c.IterVar(), write(body, names))
	case operators.LogicalAnd:
		return fmt.Sprintf("%s.all(%s, %s)", list, c.IterVar(), write(body, names))
	}
	n := c.Result().AsCall().Args()[1]
	return fmt.Sprintf("%s.atLeast(%s, %s, %s)", list, write(n, names), c.IterVar(), write(body.AsCall().Args()[0], names))
}
