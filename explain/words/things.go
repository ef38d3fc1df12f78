package words

import (
	"fmt"
	"strings"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/record"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Thing names a thing in a sentence: "the ink cover/outside/red".
func Thing(t *evidence.Thing) string {
	switch {
	case t.Unlisted:
		holder, _, _ := strings.Cut(t.Path, "/unlisted ")
		return fmt.Sprintf("any %s not listed on %s", t.Kind, holder)
	case t.Kind.Singular():
		return "the " + string(t.Kind)
	}
	return fmt.Sprintf("the %s %s", t.Kind, t.Path)
}

// Things names several things by their paths, those of one side together: "cover/outside: red, yellow; upper".
func Things(list []*evidence.Thing) string {
	var groups []string
	holder := ""
	for _, t := range list {
		before, name := "", t.Path
		if i := strings.LastIndex(t.Path, "/"); i >= 0 {
			before, name = t.Path[:i], t.Path[i+1:]
		}
		if n := len(groups); n > 0 && before != "" && before == holder {
			if !strings.Contains(groups[n-1], ": ") {
				groups[n-1] = before + ": " + strings.TrimPrefix(groups[n-1], before+"/")
			}
			groups[n-1] += ", " + name
			continue
		}
		groups = append(groups, t.Path)
		holder = before
	}
	return strings.Join(groups, "; ")
}

// Day writes a date, with the time of day when it has one.
func Day(t time.Time) string {
	switch {
	case t.IsZero():
		return "no date"
	case t.Hour() == 0 && t.Minute() == 0:
		return t.Format("2006-01-02")
	}
	return t.Format("2006-01-02 15:04")
}

// Answer writes the answer that stands for a question, or why none does.
func Answer(a evidence.Ask) string {
	switch {
	case a.Thing.Unlisted:
		return NotListed
	case a.Lapsed != nil && a.Lapsed.Step != nil:
		return fmt.Sprintf("tested before %s (%s); test again", a.Lapsed.Step.Treatment, Day(a.Lapsed.Step.Date))
	case a.Lapsed != nil:
		return fmt.Sprintf("out of date: the result was good for %d days; test again", a.Lapsed.Days)
	case !a.Answer.Known:
		return NotTested
	}
	return a.Question.Text(a.Answer)
}

// From says where an answer comes from: date, hand, place and note of a result.
func From(r *record.Result) string {
	if r.Question.Measured && r.Date.IsZero() {
		return BookAnswers
	}
	parts := []string{Day(r.Date)}
	if r.Step != nil {
		parts = []string{"since the step " + r.Step.Treatment + " on " + r.Step.Target.Path + ", " + Day(r.Date)}
	}
	if r.By != "" {
		parts = append(parts, "by "+r.By)
	}
	if r.At != nil {
		parts = append(parts, fmt.Sprintf("at %g, %g mm", r.At.X, r.At.Y))
	}
	s := strings.Join(parts, ", ")
	if r.Note != "" {
		s += ": " + r.Note
	}
	return s
}

// Earlier tells of a result that a later one replaced, or that no longer stands.
func Earlier(r *record.Result) string {
	return fmt.Sprintf("earlier: %s (%s)", r.Question.Text(r.Answer), From(r))
}

// Range says which answers pass a test, or, when it fails, which do not.
func Range(t *cond.Test, q *vocab.Question, passes bool) string {
	var list []string
	for _, v := range t.Values {
		list = append(list, q.Text(v))
	}
	all := strings.Join(list, ", ")
	if q.Type == vocab.YesNo && len(t.Values) == 1 { // what is not yes is no
		return q.Text(vocab.Yes(t.Values[0].Yes == ((t.Op != "!=") == passes)))
	}
	op := t.Op
	if !passes {
		op = map[string]string{"==": "!=", "!=": "==", "<": ">=", "<=": ">", ">": "<=", ">=": "<", "in": "not in"}[op]
	}
	switch op {
	case "<":
		return "below " + all
	case "<=":
		return all + " or below"
	case ">":
		return "above " + all
	case ">=":
		return all + " or above"
	case "!=", "not in":
		return "anything but " + all
	case "in":
		return "one of " + all
	}
	return all
}

// Support counts the arguments: "for 5, against 2; still open: 1 either way".
func Support(inFavour, against, openFor, openAgainst float64) string {
	s := fmt.Sprintf("for %s, against %s", Number(inFavour), Number(against))
	switch {
	case openFor > 0 && openFor == openAgainst:
		s += fmt.Sprintf("; still open: %s either way", Number(openFor))
	case openFor > 0 && openAgainst > 0:
		s += fmt.Sprintf("; still open: %s for, %s against", Number(openFor), Number(openAgainst))
	case openFor > 0:
		s += fmt.Sprintf("; still open: %s for", Number(openFor))
	case openAgainst > 0:
		s += fmt.Sprintf("; still open: %s against", Number(openAgainst))
	}
	return s
}

// Number writes a weight without needless digits.
func Number(v float64) string {
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.2f", v+0), "0"), ".")
}

// Count writes a number of things: "1 rule", "3 rules".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// Source writes a published source: title, author, year.
func Source(s *pack.Source) string {
	parts := []string{s.Title}
	for _, p := range []string{s.Author, s.Year} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	return strings.Join(parts, ", ")
}

// Withdrawn says by whose word a ruling-out is not followed.
func Withdrawn(w *pack.Withdrawal) string {
	return fmt.Sprintf("rule withdrawn by %s, pack %s, %s: %s", w.By, w.Pack, w.Date, w.Because)
}

// Weighed says what an argument is about and what it weighs: the criterion's weight times the rule's.
func Weighed(c *pack.Criterion, criterion, rule float64) string {
	return fmt.Sprintf("%s, %s times %s = %s", c.ID, Number(criterion), Number(rule), Number(criterion*rule))
}
