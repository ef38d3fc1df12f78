package cond

import (
	"fmt"
	"slices"

	"github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/types"

	"tideline/rules/nearest"
	"tideline/rules/vocab"
)

// vetter goes through an atom: it refuses what would be unsafe with unknown answers, checks units and words, and notes
// which questions are read and with what they are compared.
type vetter struct {
	*builder
	slots []int // variables in order of first appearance
	reads []Read
	test  *Test
	calls []*Call
	limit *limit
}

// measure is what a value inside an atom is: a yes/no, a word, or a number with its unit.
type measure struct {
	typ      vocab.Type
	unit     string          // of a number; "" for a bare one
	question *vocab.Question // when the value is an answer as it stands
	literal  *vocab.Answer   // when the value is written in the condition
	call     *Call           // when the value is what a function gives, as it stands
	bad      bool            // already refused
}

const (
	grade = "grade" // the unit of grades
	bare  = ""
)

// truth vets a whole atom.
func (v *vetter) truth(e ast.Expr) {
	if e.Kind() == ast.CallKind {
		call := e.AsCall()
		if op := infix[call.FunctionName()]; op != "" && len(call.Args()) == 2 {
			v.comparison(e, op, call.Args()[0], call.Args()[1])
			if len(v.calls) > 0 && len(v.reads) == 0 && len(v.problems) == 0 {
				v.problem(e, "only written values are reckoned with", "Give the function an answer, or write down what comes of it.")
			}
			return
		}
	}
	if m := v.value(e); !m.bad {
		if m.call != nil {
			v.problem(e, m.call.Function.Name+" gives a number, not yes or no", "Compare it with something.")
			return
		}
		if m.question == nil || m.typ != vocab.YesNo {
			v.problem(e, "this part is not a yes-or-no condition", "")
			return
		}
		v.test = &Test{Op: "==", Values: []vocab.Answer{vocab.Yes(true)}}
	}
}

var mirrored = map[string]string{"<": ">", "<=": ">=", ">": "<", ">=": "<=", "==": "==", "!=": "!="}

func (v *vetter) comparison(e ast.Expr, op string, left, right ast.Expr) {
	if op == "in" {
		v.membership(e, left, right)
		return
	}
	if mirrored[op] == "" {
		v.problem(e, fmt.Sprintf("%s gives a number, not yes or no", op), "Compare it with something.")
		return
	}
	a, b := v.value(left), v.value(right)
	switch {
	case a.bad || b.bad:
		return
	case a.literal != nil && b.literal != nil:
		v.problem(e, "two written values are compared", "Compare an answer, for example ink.wet < 4.")
		return
	case a.literal != nil:
		a, b, op = b, a, mirrored[op]
		left, right = right, left
	}
	if !v.comparable(e, op, a, b) {
		return
	}
	if a.call != nil && b.literal != nil {
		v.limit = &limit{a.call, op, b.literal.Num}
	}
	if a.question == nil || b.literal == nil {
		return
	}
	if v.fits(right, a.question, *b.literal) {
		v.test = &Test{Op: op, Values: []vocab.Answer{*b.literal}}
	}
}

func (v *vetter) comparable(e ast.Expr, op string, a, b measure) bool {
	switch {
	case a.typ != b.typ && (a.typ != vocab.Number || b.typ != vocab.Number):
		v.problem(e, "different kinds of answer are compared", fmt.Sprintf("On the left stands %s, on the right %s.", a.says(), b.says()))
		return false
	case a.typ != vocab.Number && op != "==" && op != "!=":
		v.problem(e, a.says()+" has no order", "Compare it with ==, != or in. Only grades and numbers are less or more.")
		return false
	case a.typ == vocab.Number && a.unit != b.unit && !(plain(a.unit) && b.unit == bare && b.literal != nil):
		v.problem(e, fmt.Sprintf("%s is compared with %s", a.says(), b.says()), unitHelp(a.unit))
		return false
	case a.typ == vocab.Words && b.literal == nil && (a.question == nil || b.question == nil || !slices.Equal(a.question.Words, b.question.Words)):
		v.problem(e, "two answers with different words are compared", "Compare each with the words it can have.")
		return false
	}
	return true
}

// plain tells whether numbers of the unit are written bare in conditions.
func plain(unit string) bool {
	return unit == grade || unit == "pH" || unit == "year" || unit == "count" || unit == bare
}

func unitHelp(unit string) string {
	for name, u := range units {
		if u.unit == unit && u.factor == 1 {
			return fmt.Sprintf("Write the unit: %s(5).", name)
		}
	}
	return "They measure different things."
}

func (m measure) says() string {
	switch {
	case m.typ == vocab.YesNo:
		return "a yes or no"
	case m.typ == vocab.Words:
		return "a word"
	case m.unit == grade:
		return "a grade"
	case m.unit == bare:
		return "a bare number"
	}
	return "a number in " + m.unit
}

// fits refuses a written value that the question can never have.
func (v *vetter) fits(e ast.Expr, q *vocab.Question, a vocab.Answer) bool {
	switch q.Type {
	case vocab.Words:
		if !slices.Contains(q.Words, a.Word) {
			v.problem(e, fmt.Sprintf("%q is not an answer of %s", a.Word, q.ID), fmt.Sprintf("It has %s.", list(q.Words)))
			v.problems[len(v.problems)-1].Nearest = nearest.Word(a.Word, q.Words)
			v.problems[len(v.problems)-1].Width = len([]rune(a.Word)) + 2
			return false
		}
	case vocab.Grade:
		if a.Num < 1 || a.Num > 5 || a.Num*2 != float64(int(a.Num*2)) {
			v.problem(e, fmt.Sprintf("%g is not a grade", a.Num), "Grades are 1 (heavy) to 5 (none) in half steps.")
			return false
		}
	case vocab.Number:
		if a.Num < q.From || a.Num > q.To {
			v.problem(e, fmt.Sprintf("%g is outside the range of %s", a.Num, q.ID), "It takes "+q.Expected()+".")
			return false
		}
	}
	return true
}

func list(words []string) string {
	s := ""
	for i, w := range words {
		if i > 0 {
			s += ", "
		}
		s += w
	}
	return s
}

// membership vets `answer in ["a", "b"]`: the list must be written out.
func (v *vetter) membership(e, left, right ast.Expr) {
	m := v.value(left)
	if m.bad {
		return
	}
	if m.question == nil || right.Kind() != ast.ListKind || len(right.AsList().Elements()) == 0 {
		v.problem(e, "`in` looks for one answer in a written list", `For example ink.kind in ["stamp", "ballpoint"].`)
		return
	}
	test := &Test{Op: "in"}
	for _, item := range right.AsList().Elements() {
		b := v.value(item)
		if b.bad {
			return
		}
		if b.literal == nil {
			v.problem(item, "the list after `in` holds an answer", "Only written values can stand in it.")
			return
		}
		if !v.comparable(e, "==", m, b) || !v.fits(item, m.question, *b.literal) {
			return
		}
		test.Values = append(test.Values, *b.literal)
	}
	v.test = test
}

// value vets a value inside an atom.
func (v *vetter) value(e ast.Expr) measure {
	switch e.Kind() {
	case ast.LiteralKind:
		switch lit := e.AsLiteral().(type) {
		case types.Double:
			a := vocab.Num(float64(lit))
			return measure{typ: vocab.Number, literal: &a}
		case types.String:
			a := vocab.Word(string(lit))
			return measure{typ: vocab.Words, literal: &a}
		case types.Bool:
			a := vocab.Yes(bool(lit))
			return measure{typ: vocab.YesNo, literal: &a}
		}
	case ast.IdentKind, ast.SelectKind:
		return v.answer(e)
	case ast.CallKind:
		return v.call(e)
	}
	v.problem(e, fmt.Sprintf("%s cannot stand here", write(e, nil)), "A condition compares single answers with single values.")
	return measure{bad: true}
}

// answer vets a chain of names that must end in a question.
func (v *vetter) answer(e ast.Expr) measure {
	path, f, ok := v.path(e)
	switch {
	case !ok:
		v.problem(e, fmt.Sprintf("%s cannot be read", write(e, nil)), "A list is looked through with exists, all or atLeast.")
		return measure{bad: true}
	case f.fact != "":
		v.problem(e, fmt.Sprintf("%s is a fact, true or false", write(e, nil)), "Write it alone, or with ! before it.")
		return measure{bad: true}
	case f.question == nil:
		v.problem(e, "whole things are compared", "Compare one answer of each, for example a.kind == b.kind.")
		return measure{bad: true}
	}
	arg := slices.Index(v.slots, path.Slot)
	if arg < 0 {
		arg = len(v.slots)
		v.slots = append(v.slots, path.Slot)
	}
	v.reads = append(v.reads, Read{Arg: arg, Links: path.Links, Question: f.question, Slot: f.slot})
	m := measure{typ: f.question.Type, unit: f.question.Unit, question: f.question}
	if m.typ == vocab.Grade {
		m.typ, m.unit = vocab.Number, grade
	}
	return m
}

func (v *vetter) call(e ast.Expr) measure {
	call := e.AsCall()
	name, args := call.FunctionName(), call.Args()
	if u, ok := units[name]; ok {
		if m := v.value(args[0]); m.literal == nil || m.typ != vocab.Number {
			v.problem(e, name+"() takes a written number", fmt.Sprintf("For example %s(5).", name))
			return measure{bad: true}
		} else {
			a := vocab.Num(m.literal.Num*u.factor + u.offset)
			return measure{typ: vocab.Number, unit: u.unit, literal: &a}
		}
	}
	if f := v.env.functions[name]; f != nil {
		return v.called(e, f)
	}
	switch name {
	case operators.Negate:
		m := v.value(args[0])
		if m.literal != nil {
			a := vocab.Num(-m.literal.Num)
			return measure{typ: m.typ, unit: m.unit, literal: &a}
		}
		return measure{typ: m.typ, unit: m.unit, bad: m.bad}
	case operators.Add, operators.Subtract, operators.Multiply, operators.Divide:
		return v.arithmetic(e, infix[name], args[0], args[1])
	}
	v.problem(e, fmt.Sprintf("%s is not offered in conditions", write(e, nil)), "")
	return measure{bad: true}
}

func (v *vetter) arithmetic(e ast.Expr, op string, left, right ast.Expr) measure {
	a, b := v.value(left), v.value(right)
	refuse := func(summary, help string) measure {
		v.problem(e, summary, help)
		return measure{bad: true}
	}
	switch {
	case a.bad || b.bad:
		return measure{bad: true}
	case a.typ != vocab.Number || b.typ != vocab.Number:
		return refuse(fmt.Sprintf("%s reckons with numbers", op), "")
	case (op == "+" || op == "-") && a.unit != b.unit:
		return refuse(fmt.Sprintf("%s and %s cannot be put together", a.says(), b.says()), "Both sides need the same unit.")
	case op == "/" && (b.literal == nil || b.literal.Num == 0 || b.unit != bare):
		return refuse("an answer cannot be divided by", "Divide by a written number other than 0, or multiply the other side.")
	case op == "*" && a.unit != bare && b.unit != bare:
		return refuse(fmt.Sprintf("%s times %s has no meaning here", a.says(), b.says()), "Multiply by a bare number.")
	case op == "*" && a.unit == bare:
		return measure{typ: vocab.Number, unit: b.unit}
	}
	return measure{typ: vocab.Number, unit: a.unit}
}
