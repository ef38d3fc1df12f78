package cond

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"sort"
	"strings"

	"github.com/google/cel-go/cel"

	"tideline/rules/nearest"
)

// explain turns what cel-go says of a condition into plain words.
func (e *Env) explain(text string, vars []Var, issues *cel.Issues) []Problem {
	var problems []Problem
	for _, err := range issues.Errors() {
		p := Problem{Line: max(1, err.Location.Line()), Col: max(1, err.Location.Column()+1), Width: 1, Summary: err.Message}
		e.plain(&p, vars, err.Message)
		problems = append(problems, p)
		if strings.HasPrefix(err.Message, "Syntax error") {
			p := &problems[len(problems)-1]
			p.Summary, p.Help = "this cannot be read as a condition", slipOf(text, err.Message)
			if strings.TrimSpace(text) == "" {
				p.Summary, p.Help = "this condition is empty", "Compare an answer with something, for example ink.wet < 4; `always` is always true."
			}
			return problems // what follows a syntax error is noise
		}
	}
	return problems
}

var (
	undeclared   = regexp.MustCompile(`undeclared reference to '([^']+)'`)
	undefined    = regexp.MustCompile(`undefined field '([^']+)'`)
	noOverload   = regexp.MustCompile(`found no matching overload for '([^']+)' applied to '([^']+)'`)
	wordOperator = regexp.MustCompile(`(^|[^a-zA-Z_."])(and|or|not|is)([^a-zA-Z_."]|$)`)
	singleEquals = regexp.MustCompile(`[^=!<>]=[^=]`)
)

var notOffered = map[string]string{
	"has":         "An answer that is not known is unknown by itself: never ask whether it was tested.",
	"filter":      "Use exists, all or atLeast(n, name, condition).",
	"map":         "Use exists, all or atLeast(n, name, condition).",
	"exists_one":  "Use atLeast(2, name, condition) to tell one from more.",
	"existsOne":   "Use atLeast(2, name, condition) to tell one from more.",
	"size":        "Use atLeast(n, name, condition).",
	"matches":     "Compare with the words the question can have.",
	"startsWith":  "Compare with the words the question can have.",
	"contains":    "Use `in` with a written list.",
	"endsWith":    "Compare with the words the question can have.",
	"_[_]":        "Look through a list with exists, all or atLeast.",
	"orValue":     "An answer that is not known is unknown by itself.",
	"optional.of": "An answer that is not known is unknown by itself.",
}

func (e *Env) plain(p *Problem, vars []Var, message string) {
	if m := undeclared.FindStringSubmatch(message); m != nil {
		name := m[1]
		p.Width = len([]rune(name))
		var names []string
		for _, v := range vars {
			names = append(names, v.Name)
		}
		p.Summary = fmt.Sprintf("unknown name %q", name)
		p.Help = "This condition can speak of " + strings.Join(names, ", ") + "."
		p.Nearest = nearest.Word(name, append(append(names, "always"), slices.Sorted(maps.Keys(e.functions))...))
	} else if m := undefined.FindStringSubmatch(message); m != nil {
		p.Col++
		p.Width = len([]rune(m[1]))
		p.Summary = fmt.Sprintf("no such question or fact: %q", m[1])
		p.Help = "`tideline pack guide` lists what each kind of thing can answer."
		p.Nearest = nearest.Word(m[1], e.allNames())
	} else if m := noOverload.FindStringSubmatch(message); m != nil && !e.calling(p, m[1]) {
		p.Summary = fmt.Sprintf("%s does not go with %s", operatorOf(m[1]), kindsOf(m[2]))
		p.Help = "A grade or number is compared with a number, a word with a quoted word, a yes/no with true or false."
	} else if strings.Contains(message, "code point size exceeds limit") {
		p.Line, p.Col = 1, 1
		p.Summary, p.Help = "condition too long", fmt.Sprintf("At most %d characters are read. Name a part of it as a fact and use the fact.", maxChars)
	} else if strings.Contains(message, "recursion") {
		p.Line, p.Col = 1, 1
		p.Summary, p.Help = "condition nested too deep", "Name a part of it as a fact and use the fact."
	}
}

func (e *Env) allNames() []string {
	var names []string
	for _, k := range e.kinds {
		names = append(names, k.names...)
	}
	sort.Strings(names)
	return names
}

func operatorOf(function string) string {
	if op := infix[function]; op != "" {
		return op
	}
	return strings.Trim(function, "_!")
}

var typeWords = strings.NewReplacer("double", "a number", "string", "a word", "bool", "a yes/no", "int", "a whole number",
	"tideline.", "", "list(", "a list (", "(", "", ")", "", ", ", " and ")

func kindsOf(types string) string { return typeWords.Replace(types) }

// slipOf guesses what a writer who knows no CEL meant.
func slipOf(text, message string) string {
	if m := wordOperator.FindStringSubmatch(unquoted(text)); m != nil {
		sign := map[string]string{"and": "&&", "or": "||", "not": "!", "is": "=="}[m[2]]
		return fmt.Sprintf("Write %s where %q stands.", sign, m[2])
	}
	if singleEquals.MatchString(unquoted(text)) {
		return "Write == to compare."
	}
	return "A bracket, quote or sign may be missing. " + strings.TrimPrefix(message, "Syntax error: ") + "."
}

var quoted = regexp.MustCompile(`"[^"]*"|'[^']*'`)

func unquoted(text string) string { return quoted.ReplaceAllString(text, `""`) }
