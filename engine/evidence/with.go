package evidence

import (
	"slices"
	"strings"

	"tideline/engine/record"
	"tideline/rules/vocab"
)

// Change is an answer to a question, by its number, in place of the one that stands; one not known opens the question.
type Change struct {
	Number int
	Answer vocab.Answer
}

// With gives the case as it would be with other answers, each as if given on the day the case is for, whatever was done
// since. The earlier answers to those questions are left out of it. c stays as it is; the two share their things, unless
// the changes say of a list whether it is complete: then the things are others, and so are the numbers of questions.
func (c *Case) With(changes ...Change) *Case {
	b := *c.Book
	b.Results = make([]record.Result, 0, len(c.Book.Results)+len(changes))
	for _, r := range c.Book.Results {
		if !slices.ContainsFunc(changes, func(x Change) bool {
			a := &c.Asks[x.Number]
			return a.Question == r.Question && a.Thing.Record == r.Thing
		}) {
			b.Results = append(b.Results, r)
		}
	}
	given := len(b.Results)
	for _, x := range changes {
		if a := &c.Asks[x.Number]; x.Answer.Known && !a.Thing.Unlisted {
			b.Results = append(b.Results, record.Result{Question: a.Question, Thing: a.Thing.Record, Answer: x.Answer, Date: c.On})
		}
	}
	if slices.ContainsFunc(changes, func(x Change) bool { return strings.HasSuffix(c.Asks[x.Number].Question.Name, Listed) }) {
		next := Gather(c.Pack, &b, c.On)
		for i := range b.Results[given:] {
			next.stand(next.At(b.Results[given+i].Thing.Path), &b.Results[given+i])
		}
		return next
	}
	next := &Case{Pack: c.Pack, Book: &b, On: c.On, Things: c.Things, Asks: slices.Clone(c.Asks), byPath: c.byPath, byKind: c.byKind}
	for _, x := range changes {
		a := &next.Asks[x.Number]
		a.Answer, a.Result, a.Earlier, a.Lapsed = x.Answer, nil, nil, nil
	}
	for i := given; i < len(b.Results); i++ {
		next.stand(c.byPath[b.Results[i].Thing.Path], &b.Results[i])
	}
	return next
}

// stand makes a result the one that stands.
func (c *Case) stand(t *Thing, r *record.Result) {
	n := c.Number(t, r.Question)
	c.Asks[n].Result, c.Asks[n].Lapsed = r, nil
	c.Answer(n, r.Answer)
}
