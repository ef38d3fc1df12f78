package plan

import (
	"cmp"
	"context"
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/vocab"
)

// Wait is a test that treatments for what the plan leaves wait for, and what the plan would be after each way it can turn out.
type Wait struct {
	Ask  evidence.Ask
	For  []Key // the treatments that wait for it
	Ways []*Way
}

// Way is one way in which a test could turn out.
type Way struct {
	Answers []vocab.Answer
	Plan    *Plan // the best plan then
	// With and Without are the steps it has more and less than the plan without the answer.
	With, Without []Key
	Then          *Wait // the next test that the same treatments wait for; nil when there is none, or it is not looked further
}

// Waits works out up to so many tests that could let something more be done, each followed by the next to so many in a row.
func (p *Plan) Waits(ctx context.Context, most, depth int) (list []*Wait, err error) {
	asked := map[int]bool{}
	for range most {
		number, waiting := p.nextAsk(asked, nil)
		if number < 0 || ctx.Err() != nil {
			break
		}
		asked[number] = true
		w, err := p.wait(ctx, number, waiting, depth)
		if err != nil {
			return nil, err
		}
		list = append(list, w)
	}
	return list, nil
}

// nextAsk gives the question that most of the treatments wait for which could deal with what the plan leaves; among is nil for
// any of them.
func (p *Plan) nextAsk(not map[int]bool, among []Key) (number int, waiting []Key) {
	by := map[int][]Key{}
	for _, l := range p.Left {
		for _, v := range l.Verdicts {
			k := Key{v.Treatment.ID, v.Target.Path}
			if v.Word != judge.TestFirst || among != nil && !slices.Contains(among, k) {
				continue
			}
			for _, q := range v.Open {
				a := &p.Judgement.Case.Asks[q]
				if !not[q] && !a.Thing.Unlisted && a.Question != nil && !a.Question.Measured && !slices.Contains(by[q], k) {
					by[q] = append(by[q], k)
				}
			}
		}
	}
	number = -1
	for q, keys := range by {
		if number < 0 || cmp.Or(cmp.Compare(len(by[number]), len(keys)), cmp.Compare(q, number)) < 0 {
			number = q
		}
	}
	if number >= 0 {
		waiting = by[number]
		slices.SortFunc(waiting, Key.Compare)
	}
	return number, waiting
}

// wait works out what follows from each answer to a question.
func (p *Plan) wait(ctx context.Context, number int, waiting []Key, depth int) (*Wait, error) {
	c := p.Judgement.Case
	w := &Wait{Ask: c.Asks[number], For: waiting}
	for _, way := range p.Judgement.Outlook().Ways(number) {
		book := *c.Book
		book.Results = append(slices.Clone(book.Results), record.Result{
			Question: w.Ask.Question, Thing: w.Ask.Thing.Record, Answer: way.Answers[0], Date: c.On.AddDate(0, 0, 1), Note: "supposed",
		})
		g, err := judge.Judge(evidence.Gather(c.Pack, &book, c.On))
		if err != nil {
			return nil, err
		}
		then, err := Make(ctx, g, Options{})
		if err != nil {
			return nil, err
		}
		one := &Way{Answers: way.Answers, Plan: then, With: less(then.keys(), p.keys()), Without: less(p.keys(), then.keys())}
		if next, still := then.nextAsk(nil, waiting); depth > 1 && next >= 0 && ctx.Err() == nil {
			if one.Then, err = then.wait(ctx, next, still, depth-1); err != nil {
				return nil, err
			}
		}
		w.Ways = append(w.Ways, one)
	}
	return w, nil
}

// Waiting tells whether treatments for what the plan leaves wait for tests.
func (p *Plan) Waiting() bool {
	return slices.ContainsFunc(p.Left, func(l *Left) bool {
		return slices.ContainsFunc(l.Verdicts, func(v *judge.Verdict) bool { return v.Word == judge.TestFirst })
	})
}

func (p *Plan) keys() (list []Key) {
	for _, s := range p.Steps {
		list = append(list, s.Key)
	}
	return list
}

// less gives the keys of a list that another does not have.
func less(list, other []Key) []Key {
	return slices.DeleteFunc(slices.Clone(list), func(k Key) bool { return slices.Contains(other, k) })
}
