package cond

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/types"

	"tideline/rules/vocab"
)

// quick compiles a condition in the plainest forms, which most are in, without cel-go: names, written values, comparisons,
// in, !, &&, ||, brackets, units, exists, all and atLeast. It gives nil for anything else, and for whatever has a problem,
// and cel-go reads it and tells. What it does compile is the formula that comes of cel-go's reading: see TestQuick.
func (e *Env) quick(text string, vars []Var, x ast.Expr) *Cond {
	if x == nil {
		return nil
	}
	known := len(e.atoms)
	b := newBuilder(e, ast.NewAST(x, ast.NewSourceInfo(nil)), vars)
	if root := b.formula(x, 0); len(b.problems) == 0 {
		return &Cond{Text: strings.TrimSpace(text), Vars: b.vars, Root: root}
	}
	for key, a := range e.byKey {
		if a.ID >= known {
			delete(e.byKey, key)
		}
	}
	e.atoms = e.atoms[:known]
	return nil
}

// planText makes an atom that was not checked by cel-go a program when it is first evaluated: cel-go reads and checks its
// text, in which its names are put as v0, v1 ...
func (e *Env) planText(text string, kinds []vocab.Kind) func() (cel.Program, error) {
	return sync.OnceValues(func() (cel.Program, error) {
		vars := make([]Var, 0, len(kinds))
		for i, k := range kinds {
			vars = append(vars, Var{Name: fmt.Sprintf("v%d", i), Kind: k})
		}
		checked, problems := e.check(text, vars)
		if problems != nil {
			return nil, fmt.Errorf("%s: %s", text, problems[0].Summary)
		}
		env, err := e.with(vars)
		if err != nil {
			return nil, err
		}
		return env.Program(checked, cel.EvalOptions(cel.OptOptimize))
	})
}

// Limits on what is read quickly, well within those on conditions.
const (
	quickChars    = 1000
	quickParts    = 300
	quickBrackets = 10
)

// quickParse reads a condition in the plainest forms, nil when it is in no such form.
func quickParse(text string) ast.Expr {
	if len(text) > quickChars {
		return nil
	}
	p := &quickParser{text: text, ExprFactory: ast.NewExprFactory()}
	x := p.or()
	if p.blanks(); p.failed || p.at < len(text) || p.parts > quickParts {
		return nil
	}
	return x
}

// quickParser stands at the byte at of a condition. What it cannot read makes it fail for good.
type quickParser struct {
	ast.ExprFactory
	text     string
	at       int
	parts    int
	brackets int
	failed   bool
}

func (p *quickParser) fail() ast.Expr {
	p.failed, p.at = true, len(p.text)
	return p.NewIdent(0, "")
}

func (p *quickParser) call(name string, args ...ast.Expr) ast.Expr {
	p.parts++
	return p.NewCall(0, name, args...)
}

func (p *quickParser) blanks() {
	for p.at < len(p.text) && (p.text[p.at] == ' ' || p.text[p.at] == '\n') {
		p.at++
	}
}

// sign goes past blanks and a sign, if it is the next.
func (p *quickParser) sign(sign string) bool {
	p.blanks()
	if !strings.HasPrefix(p.text[p.at:], sign) {
		return false
	}
	p.at += len(sign)
	return true
}

// need goes past a sign that must be the next.
func (p *quickParser) need(sign string) {
	if !p.sign(sign) {
		p.fail()
	}
}

func (p *quickParser) or() ast.Expr {
	x := p.and()
	for p.sign("||") {
		x = p.call(operators.LogicalOr, x, p.and())
	}
	return x
}

func (p *quickParser) and() ast.Expr {
	x := p.relation()
	for p.sign("&&") {
		x = p.call(operators.LogicalAnd, x, p.relation())
	}
	return x
}

// comparisons are the signs of comparison, the longer before those they start with.
var comparisons = []struct{ sign, operator string }{
	{"==", operators.Equals},
	{"!=", operators.NotEquals},
	{"<=", operators.LessEquals},
	{">=", operators.GreaterEquals},
	{"<", operators.Less},
	{">", operators.Greater},
}

func (p *quickParser) relation() ast.Expr {
	x, comparable := p.operand()
	for _, c := range comparisons {
		if !p.sign(c.sign) {
			continue
		}
		y, too := p.operand()
		if !comparable || !too {
			return p.fail()
		}
		return p.call(c.operator, x, y)
	}
	if p.blanks(); strings.HasPrefix(p.text[p.at:], "in ") {
		p.at += len("in ")
		if !comparable {
			return p.fail()
		}
		return p.call(operators.In, x, p.list())
	}
	return x
}

// list reads a written list.
func (p *quickParser) list() ast.Expr {
	p.need("[")
	var items []ast.Expr
	for more := true; more && !p.failed; more = p.sign(",") {
		item, comparable := p.operand()
		if !comparable {
			p.fail()
		}
		items = append(items, item)
	}
	p.need("]")
	p.parts++
	return p.NewList(0, items, nil)
}

// operand reads one side of a comparison, or what stands alone. Only a value is comparable.
func (p *quickParser) operand() (x ast.Expr, comparable bool) {
	p.blanks()
	if p.parts++; p.at == len(p.text) || p.parts > quickParts {
		return p.fail(), false
	}
	switch c := p.text[p.at]; {
	case c == '(':
		p.at++
		return p.inBrackets(), false
	case c == '!':
		p.at++
		if p.sign("!") { // cel-go takes two for none
			return p.fail(), false
		}
		x, _ := p.operand()
		return p.call(operators.LogicalNot, x), false
	case c == '"' || c == '\'':
		return p.quoted(c), true
	case c >= '0' && c <= '9':
		return p.number(), true
	}
	return p.name()
}

func (p *quickParser) inBrackets() ast.Expr {
	if p.brackets++; p.brackets > quickBrackets {
		return p.fail()
	}
	x := p.or()
	p.need(")")
	p.brackets--
	return x
}

// quoted reads a word in quotes, without escapes.
func (p *quickParser) quoted(mark byte) ast.Expr {
	length := strings.IndexByte(p.text[p.at+1:], mark)
	if length <= 0 {
		return p.fail()
	}
	word := p.text[p.at+1 : p.at+1+length]
	if strings.ContainsFunc(word, func(r rune) bool { return r == '"' || r == '\\' || r == utf8.RuneError || !strconv.IsPrint(r) }) {
		return p.fail()
	}
	p.at += length + 2
	return p.NewLiteral(0, types.String(word))
}

// number reads digits, with a point for decimals.
func (p *quickParser) number() ast.Expr {
	from := p.at
	digits := func() int {
		start := p.at
		for p.at < len(p.text) && p.text[p.at] >= '0' && p.text[p.at] <= '9' {
			p.at++
		}
		return p.at - start
	}
	whole := digits()
	if whole > 1 && p.text[from] == '0' || whole > 15 {
		return p.fail()
	}
	if p.at < len(p.text) && p.text[p.at] == '.' {
		p.at++
		if digits() == 0 {
			return p.fail()
		}
	}
	v, err := strconv.ParseFloat(p.text[from:p.at], 64)
	if err != nil || p.at < len(p.text) && (isLetter(p.text[p.at]) || p.text[p.at] == '.') {
		return p.fail()
	}
	return p.NewLiteral(0, types.Double(v))
}

func isLetter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == '_' }

// word reads a name, "" when there is none.
func (p *quickParser) word() string {
	from := p.at
	for p.at < len(p.text) && (isLetter(p.text[p.at]) || p.at > from && p.text[p.at] >= '0' && p.text[p.at] <= '9') {
		p.at++
	}
	return p.text[from:p.at]
}

// reserved are the words that CEL keeps for itself (CEL language definition, grammar).
var reserved = []string{
	"as", "break", "const", "continue", "else", "false", "for", "function", "if", "import", "in", "let", "loop", "namespace", "null", "package", "return",
	"true", "var", "void", "while",
}

// name reads true or false, a chain of names, a number with its unit, or a look through a list.
func (p *quickParser) name() (x ast.Expr, comparable bool) {
	first := p.word()
	switch {
	case first == "true" || first == "false":
		return p.NewLiteral(0, types.Bool(first == "true")), true
	case first == "" || first[0] == '_' || slices.Contains(reserved, first):
		return p.fail(), false
	case strings.HasPrefix(p.text[p.at:], "("):
		return p.unit(first)
	}
	x = p.NewIdent(0, first)
	for strings.HasPrefix(p.text[p.at:], ".") {
		p.at++
		field := p.word()
		if p.parts++; field == "" || slices.Contains(reserved, field) {
			return p.fail(), false
		}
		if strings.HasPrefix(p.text[p.at:], "(") {
			return p.quantifier(x, field), false
		}
		x = p.NewSelect(0, x, field)
	}
	return x, true
}

// unit reads a written number in the brackets of its unit.
func (p *quickParser) unit(name string) (x ast.Expr, comparable bool) {
	if _, known := units[name]; !known {
		return p.fail(), false
	}
	p.at++
	if p.blanks(); p.at == len(p.text) || p.text[p.at] < '0' || p.text[p.at] > '9' {
		return p.fail(), false
	}
	x = p.call(name, p.number())
	p.need(")")
	return x, true
}

// quantifier reads exists, all or atLeast and writes it as cel-go's macros do, as far as a formula is made of it.
func (p *quickParser) quantifier(list ast.Expr, name string) ast.Expr {
	const macroParts = 12 // at most, with the list and the condition counted apart
	p.parts += macroParts
	p.need("(")
	var count ast.Expr
	if name == "atLeast" {
		if p.blanks(); p.at == len(p.text) || p.text[p.at] < '0' || p.text[p.at] > '9' {
			return p.fail()
		}
		count = p.number()
		p.need(",")
	}
	p.blanks()
	bound := p.word()
	if bound == "" || bound[0] == '_' || slices.Contains(reserved, bound) {
		return p.fail()
	}
	p.need(",")
	body := p.inBrackets()
	accumulated := p.NewAccuIdent(0)
	result := accumulated
	var step ast.Expr
	switch name {
	case "exists":
		step = p.call(operators.LogicalOr, accumulated, body)
	case "all":
		step = p.call(operators.LogicalAnd, accumulated, body)
	case "atLeast":
		one, none := p.NewLiteral(0, types.Double(1)), p.NewLiteral(0, types.Double(0))
		step = p.call(operators.Add, accumulated, p.call(operators.Conditional, body, one, none))
		result = p.call(operators.GreaterEquals, accumulated, count)
	default:
		return p.fail()
	}
	return p.NewComprehension(0, list, bound, p.AccuIdentName(), p.NewLiteral(0, types.False), p.NewLiteral(0, types.True), step, result)
}
