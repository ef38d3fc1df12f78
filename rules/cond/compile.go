package cond

import (
	"fmt"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/types"

	"tideline/rules/vocab"
)

// Problem is something wrong with a condition, with its place in the text: Line and Col from 1, Col in characters.
type Problem struct {
	Line, Col, Width int
	Summary, Help    string
	Nearest          string
}

// Compile turns the text of a condition into a formula, or says everything that is wrong with it.
// The text "always" is a condition that is always true.
func (e *Env) Compile(text string, vars []Var) (*Cond, []Problem) {
	return e.compile(text, vars, quickParse(text))
}

// compile is Compile of a text that was read quickly, if it could be.
func (e *Env) compile(text string, vars []Var, quick ast.Expr) (*Cond, []Problem) {
	if strings.TrimSpace(text) == "always" {
		return &Cond{Text: "always", Vars: vars, Root: &Node{Op: OpConst, Value: true, Text: "always"}}, nil
	}
	if c := e.quick(text, vars, quick); c != nil {
		return c, nil
	}
	checked, problems := e.check(text, vars)
	return e.build(text, vars, checked, problems)
}

// Source is a condition to compile: its text, and the names it may use.
type Source struct {
	Text string
	Vars []Var
}

// CompileAll compiles conditions like [Env.Compile], those that cel-go must read on all processors at once.
func (e *Env) CompileAll(sources []Source) ([]*Cond, [][]Problem) {
	type result struct {
		quick    ast.Expr
		ast      *cel.Ast
		problems []Problem
	}
	checked := make([]result, len(sources))
	var next atomic.Int64
	var workers sync.WaitGroup
	for range min(len(sources), runtime.GOMAXPROCS(0)) {
		workers.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(sources); i = int(next.Add(1)) - 1 {
				if checked[i].quick = quickParse(sources[i].Text); checked[i].quick == nil {
					checked[i].ast, checked[i].problems = e.check(sources[i].Text, sources[i].Vars)
				}
			}
		})
	}
	workers.Wait()
	conds, problems := make([]*Cond, len(sources)), make([][]Problem, len(sources))
	for i, s := range sources { // in order, so that atoms are numbered the same way every time
		if r := checked[i]; r.quick != nil {
			conds[i], problems[i] = e.compile(s.Text, s.Vars, r.quick)
		} else {
			conds[i], problems[i] = e.build(s.Text, s.Vars, r.ast, r.problems)
		}
	}
	return conds, problems
}

// build makes a formula of a checked condition.
func (e *Env) build(text string, vars []Var, checked *cel.Ast, problems []Problem) (*Cond, []Problem) {
	if problems != nil {
		return nil, problems
	}
	b := newBuilder(e, checked.NativeRep(), vars)
	root := b.formula(b.ast.Expr(), 0)
	if len(b.problems) > 0 {
		return nil, b.problems
	}
	return &Cond{Text: strings.TrimSpace(text), Vars: b.vars, Root: root}, nil
}

// parsed is a condition read but not yet checked against the names it uses.
type parsed struct {
	once   sync.Once
	ast    *cel.Ast
	issues *cel.Issues
	// problems are those of its form, whatever its names stand for.
	problems []Problem
	checking sync.Mutex // the checker of cel-go writes to what it checks
}

// parse reads a condition, once for all the kinds of target it is checked for: reading is the dearer half.
func (e *Env) parse(text string) *parsed {
	e.mu.Lock()
	p := e.parsed[text]
	if p == nil {
		p = &parsed{}
		e.parsed[text] = p
	}
	e.mu.Unlock()
	p.once.Do(func() {
		if p.ast, p.issues = e.base.Parse(text); p.issues.Err() != nil {
			return
		}
		if n := widen(p.ast.NativeRep().Expr()); n > maxNodes {
			p.problems = []Problem{{
				Line: 1, Col: 1, Width: 1, Summary: fmt.Sprintf("condition too large: %d parts", n),
				Help: fmt.Sprintf("At most %d are read. Name a part of it as a fact and use the fact.", maxNodes),
			}}
			return
		}
		p.problems = banned(p.ast.NativeRep())
	})
	return p
}

// check parses and type-checks a condition.
func (e *Env) check(text string, vars []Var) (*cel.Ast, []Problem) {
	checked, problems := e.typed(text, vars)
	if problems == nil && checked.OutputType() != cel.BoolType {
		return nil, []Problem{{
			Line: 1, Col: 1, Width: len([]rune(text)), Summary: "this is not a yes-or-no condition",
			Help: "Compare it with something, for example ink.wet < 4.",
		}}
	}
	return checked, problems
}

// typed parses and type-checks.
func (e *Env) typed(text string, vars []Var) (*cel.Ast, []Problem) {
	p := e.parse(text)
	if p.issues.Err() != nil {
		return nil, e.explain(text, vars, p.issues)
	}
	if p.problems != nil {
		return nil, p.problems
	}
	env, err := e.with(vars)
	if err != nil {
		return nil, []Problem{{Line: 1, Col: 1, Width: 1, Summary: err.Error()}}
	}
	p.checking.Lock()
	checked, issues := env.Check(p.ast)
	p.checking.Unlock()
	if issues.Err() != nil {
		return nil, e.explain(text, vars, issues)
	}
	return checked, nil
}

// banned refuses the functions that CEL has and conditions do not, before cel-go has its say about their arguments.
func banned(parsed *ast.AST) []Problem {
	b := &builder{ast: parsed}
	ast.PostOrderVisit(parsed.Expr(), ast.NewExprVisitor(func(e ast.Expr) {
		if e.Kind() != ast.CallKind {
			return
		}
		name := e.AsCall().FunctionName()
		if help, known := notOffered[name]; known {
			b.problem(e, strings.Trim(name, "_]")+" is not offered in conditions", help)
		}
	}))
	return b.problems
}

// widen makes every whole number a decimal one, so that ink.wet < 4 is not a comparison of two types, and counts nodes.
func widen(e ast.Expr) (nodes int) {
	factory := ast.NewExprFactory()
	ast.PostOrderVisit(e, ast.NewExprVisitor(func(e ast.Expr) {
		nodes++
		if e.Kind() != ast.LiteralKind {
			return
		}
		if n, whole := e.AsLiteral().(types.Int); whole {
			e.SetKindCase(factory.NewLiteral(e.ID(), types.Double(n)))
		}
	}))
	return nodes
}

// builder splits a checked condition into a formula.
type builder struct {
	env      *Env
	ast      *ast.AST
	vars     []Var
	bound    map[string]int // name to slot
	problems []Problem
}

func newBuilder(e *Env, checked *ast.AST, vars []Var) *builder {
	b := &builder{env: e, ast: checked, vars: slices.Clone(vars), bound: map[string]int{}}
	for i, v := range vars {
		b.bound[v.Name] = i
	}
	return b
}

func (b *builder) problem(e ast.Expr, summary, help string) {
	p := Problem{Line: 1, Col: 1, Width: 1, Summary: summary, Help: help}
	if loc := b.ast.SourceInfo().GetStartLocation(e.ID()); loc.Line() > 0 {
		p.Line, p.Col = loc.Line(), loc.Column()+1
	}
	b.problems = append(b.problems, p)
}

func (b *builder) formula(e ast.Expr, nesting int) *Node {
	node := func(op Op, kids ...*Node) *Node { return &Node{Op: op, Text: b.text(e), Kids: kids} }
	switch e.Kind() {
	case ast.LiteralKind:
		if v, ok := e.AsLiteral().(types.Bool); ok {
			return &Node{Op: OpConst, Value: bool(v), Text: b.text(e)}
		}
	case ast.SelectKind:
		if path, f, ok := b.path(e); ok && f.fact != "" {
			return &Node{Op: OpFact, Text: b.text(e), Fact: f.fact, Of: path}
		}
	case ast.ComprehensionKind:
		return b.quantifier(e, nesting)
	case ast.CallKind:
		call := e.AsCall()
		args := call.Args()
		switch call.FunctionName() {
		case operators.LogicalAnd:
			return node(OpAnd, b.flat(e, operators.LogicalAnd, nesting)...)
		case operators.LogicalOr:
			return node(OpOr, b.flat(e, operators.LogicalOr, nesting)...)
		case operators.LogicalNot:
			return node(OpNot, b.formula(args[0], nesting))
		case operators.Conditional:
			if b.ast.GetType(e.ID()) == types.BoolType {
				yes, then, other := b.formula(args[0], nesting), b.formula(args[1], nesting), b.formula(args[2], nesting)
				no := &Node{Op: OpNot, Text: "!(" + yes.Text + ")", Kids: []*Node{yes}}
				return node(OpOr, &Node{Op: OpAnd, Text: yes.Text + " && " + then.Text, Kids: []*Node{yes, then}},
					&Node{Op: OpAnd, Text: no.Text + " && " + other.Text, Kids: []*Node{no, other}})
			}
		}
	}
	return b.atom(e)
}

// flat gives the operands of nested && or || side by side.
func (b *builder) flat(e ast.Expr, op string, nesting int) []*Node {
	var kids []*Node
	for _, arg := range e.AsCall().Args() {
		if arg.Kind() == ast.CallKind && arg.AsCall().FunctionName() == op {
			kids = append(kids, b.flat(arg, op, nesting)...)
		} else {
			kids = append(kids, b.formula(arg, nesting))
		}
	}
	return kids
}

// quantifier reads exists, all and atLeast back from the comprehensions they expand to.
func (b *builder) quantifier(e ast.Expr, nesting int) *Node {
	c := e.AsComprehension()
	n := &Node{Text: b.text(e)}
	if nesting++; nesting > maxNesting {
		b.problem(e, "exists, all and atLeast nested too deep", fmt.Sprintf("At most %d inside one another. Name the inner one as a fact.", maxNesting))
		return n
	}
	path, f, ok := b.path(c.IterRange())
	if !ok || f.link == nil || !f.link.Many {
		b.problem(c.IterRange(), "exists, all and atLeast look through a list of things", "For example part.inks or book.findings.")
		return n
	}
	n.Of = path
	step := c.LoopStep().AsCall()
	body := step.Args()[1]
	switch step.FunctionName() {
	case operators.LogicalOr:
		n.Op = OpExists
	case operators.LogicalAnd:
		n.Op = OpAll
	default:
		n.Op, body = OpCount, body.AsCall().Args()[0]
		n.Count = b.count(c.Result().AsCall().Args()[1])
	}
	if _, taken := b.bound[c.IterVar()]; taken {
		b.problem(e, fmt.Sprintf("the name %q is already in use", c.IterVar()), "Give the things of the list another name.")
		return n
	}
	n.Bind = len(b.vars)
	b.vars = append(b.vars, Var{Name: c.IterVar(), Kind: f.link.To, From: Bound})
	b.bound[c.IterVar()] = n.Bind
	n.Kids = []*Node{b.formula(body, nesting)}
	delete(b.bound, c.IterVar())
	return n
}

func (b *builder) count(e ast.Expr) int {
	if e.Kind() == ast.LiteralKind {
		if v, ok := e.AsLiteral().(types.Double); ok && v >= 1 && v <= 1000 && float64(v) == float64(int(v)) {
			return int(v)
		}
	}
	b.problem(e, "atLeast takes a whole number from 1 up", "For example part.findings.atLeast(2, f, f.kind == \"tear\").")
	return 1
}

// path reads a chain of names: where it starts, the links it follows, and the last field; f.link is set for a chain of
// links only, f is empty for a name alone.
func (b *builder) path(e ast.Expr) (p Path, f field, ok bool) {
	switch e.Kind() {
	case ast.IdentKind:
		slot, known := b.bound[e.AsIdent()]
		return Path{Slot: slot}, field{}, known
	case ast.SelectKind:
		sel := e.AsSelect()
		before, last, ok := b.path(sel.Operand())
		if !ok || last.question != nil || last.fact != "" {
			return p, f, false
		}
		kind := b.vars[before.Slot].Kind
		if n := len(before.Links); n > 0 {
			if before.Links[n-1].Many {
				return p, f, false
			}
			kind = before.Links[n-1].To
		}
		f, ok = b.env.kinds[kind].fields[sel.FieldName()]
		if ok && f.link != nil {
			before.Links = append(append([]vocab.Link(nil), before.Links...), *f.link)
		}
		return before, f, ok
	}
	return p, f, false
}
