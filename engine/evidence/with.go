package evidence

import (
	"maps"
	"slices"
	"strings"

	"tideline/engine/record"
	"tideline/rules/vocab"
)

// Change is an answer to a question, by its number, in place of the one that stands; one not known opens the question,
// unless a step done answers it by itself.
type Change struct {
	Number int
	Answer vocab.Answer
}

// With gives the case as it would be with other answers, each as if given on the day the case is for, whatever was done
// since. The earlier answers to those questions are left out of it. c stays as it is; the two share their things, unless
// the changes bear on what things there are, or open what a step answers: then all is gathered anew, and things and numbers
// of questions may be others.
func (c *Case) With(changes ...Change) *Case {
	others, put := map[asked]bool{}, map[asked]bool{}
	maps.Copy(put, c.put)
	for _, x := range changes {
		if a := &c.Asks[x.Number]; !a.Thing.Unlisted {
			q := asked{a.Question, a.Thing.Record}
			others[q], put[q] = true, x.Answer.Known
		}
	}
	b := *c.Book
	b.Results = make([]record.Result, 0, len(c.Book.Results)+len(changes))
	moved := make(map[*record.Result]*record.Result, len(c.Book.Results))
	for i := range c.Book.Results {
		if r := &c.Book.Results[i]; !others[asked{r.Question, r.Thing}] {
			b.Results = append(b.Results, *r)
			moved[r] = &b.Results[len(b.Results)-1]
		}
	}
	given := len(b.Results)
	for _, x := range changes {
		if a := &c.Asks[x.Number]; x.Answer.Known && !a.Thing.Unlisted {
			b.Results = append(b.Results, record.Result{Question: a.Question, Thing: a.Thing.Record, Answer: x.Answer, Date: c.On})
		}
	}
	if slices.ContainsFunc(changes, c.gathersAnew) {
		return assemble(c.Pack, &b, c.On, put)
	}
	next := &Case{
		Pack: c.Pack, Book: &b, On: c.On, Things: c.Things, Asks: slices.Clone(c.Asks), Cleared: c.Cleared, byPath: c.byPath, byKind: c.byKind,
		given: c.given, turn: c.turn, put: put,
	}
	for i := range next.Asks {
		next.Asks[i].move(moved)
	}
	for _, x := range changes {
		a := &next.Asks[x.Number]
		a.Answer, a.Result, a.Earlier, a.Lapsed = x.Answer, nil, nil, nil
	}
	for i := given; i < len(b.Results); i++ {
		r := &b.Results[i]
		a := &next.Asks[c.Number(c.byPath[r.Thing.Path], r.Question)]
		a.Answer, a.Result = r.Answer, r
	}
	return next
}

// move puts results in the place of those they are copies of; what a step gave is in no book and stays.
func (a *Ask) move(moved map[*record.Result]*record.Result) {
	if r := moved[a.Result]; r != nil {
		a.Result = r
	}
	if len(a.Earlier) == 0 {
		return
	}
	a.Earlier = slices.Clone(a.Earlier)
	for i, e := range a.Earlier {
		if r := moved[e]; r != nil {
			a.Earlier[i] = r
		}
	}
}

// gathersAnew tells whether a change bears on what things a case has (whether a list is complete; of what kind a finding is
// where steps were done, which clear findings of some kinds), or opens what a step answers by itself.
func (c *Case) gathersAnew(x Change) bool {
	a := &c.Asks[x.Number]
	q := a.Question
	return strings.HasSuffix(q.Name, Listed) || q.Kind == vocab.Finding && q.Name == "kind" && len(c.Book.Done) > 0 ||
		!x.Answer.Known && slices.ContainsFunc(c.given, func(r *record.Result) bool { return r.Question == q && r.Thing == a.Thing.Record })
}
