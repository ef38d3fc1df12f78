package text

import (
	"fmt"

	"tideline/engine/evidence"
	"tideline/engine/lesson"
	"tideline/explain/words"
)

type lessonPage struct {
	page
	tree
	e *lesson.Exercise
}

func lessonPageOf(e *lesson.Exercise, style Style) *lessonPage {
	return &lessonPage{page: page{Style: style}, tree: tree{g: e.Judgement, brief: true, shown: map[shownFact]bool{}}, e: e}
}

// Exercise writes an exercise: what is known, and what is asked for. Nothing in it tells the answer.
func Exercise(e *lesson.Exercise, n, of int, style Style) string {
	p := lessonPageOf(e, style)
	p.heading(words.ExerciseNo(n, of, e.Kind))
	if e.Changed != nil && e.Number() != e.Hidden && e.Kind != lesson.Principle {
		p.line(2, words.Labelled(words.TakenOtherwise, words.Supposed(e.Recorded(), e.Changed.Answer)))
	}
	p.about()
	if e.Kind == lesson.Reason {
		p.evidence("")
	} else if len(e.Shown)+len(e.Given) > 0 {
		p.evidence("-")
	}
	p.question()
	return p.String()
}

// about says which treatment an exercise is about, with what is told of its verdict.
func (p *lessonPage) about() {
	switch v := p.e.Verdict; {
	case p.e.Kind == lesson.Principle:
		r := p.e.Lead.Rule
		p.line(2, words.RuleSays(r.ID, words.Effect(r.Effect, p.e.Lead.Value), words.Thing(p.e.Lead.Thing)))
		p.line(2, words.Because(r.Because))
	case v == nil:
	case p.e.Kind == lesson.Reason:
		p.line(2, words.Judged(v.Treatment.Name, v.Target.Path, string(v.Word)))
		p.line(4, v.Treatment.Says)
	default:
		p.line(2, words.On(v.Treatment.Name, v.Target.Path))
		p.line(4, v.Treatment.Says)
	}
}

// evidence writes the answers that are told, numbered where no label is given.
func (p *lessonPage) evidence(label string) {
	if len(p.e.Shown) > 0 {
		p.line(2, words.KnownOfIt+":")
	}
	for i, n := range p.e.Shown {
		mark := label
		if mark == "" {
			mark = fmt.Sprintf("%d.", i+1)
		}
		p.item(4, mark, p.told(n))
	}
	p.given()
	if p.e.Left > 0 {
		p.line(4, words.MoreBear(p.e.Left))
	}
}

// given tells what nobody tests, the same answers together.
func (p *lessonPage) given() {
	type same struct{ asks, answer string }
	var order []same
	things := map[same][]*evidence.Thing{}
	for _, n := range p.e.Given {
		a := p.g.Case.Asks[n]
		key := same{a.Question.Asks, words.Answer(a)}
		if things[key] == nil {
			order = append(order, key)
		}
		things[key] = append(things[key], a.Thing)
	}
	if len(order) > 0 {
		p.line(2, words.GivenOfIt+":")
	}
	for _, key := range order {
		p.item(4, "-", words.GivenOf(words.Things(things[key]), key.asks, key.answer))
	}
}

// told tells an answer; one that is taken otherwise than recorded says so in place of where it comes from.
func (p *lessonPage) told(n int) string {
	a := p.e.Judgement.Case.Asks[n]
	if n != p.e.Number() {
		return answerLine(a)
	}
	return words.Answered(words.Thing(a.Thing), a.Question.Asks, words.Answer(a)) + " " + words.Aside(words.IsSupposed)
}

// question asks, with the list to choose from.
func (p *lessonPage) question() {
	e := p.e
	for i, choice := range Choices(e) {
		p.item(4, fmt.Sprintf("%d.", i+1), choice)
	}
	switch e.Kind {
	case lesson.Verdict:
		p.line(2, words.WhichVerdict)
	case lesson.Reason:
		p.line(2, words.WhichReason)
	case lesson.Answer:
		ask := p.g.Case.Asks[e.Hidden]
		p.line(2, words.WhichAnswer(words.Thing(ask.Thing), ask.Question))
	case lesson.Out:
		p.line(2, words.WhichOut)
	case lesson.Next:
		p.line(2, words.WhichNext)
	case lesson.Order:
		p.line(2, words.WhichOrder)
	default:
		p.line(2, words.WhichPrinciple)
	}
}

// Choices gives the list an exercise offers, in its order; of a reason and an answer there is none.
func Choices(e *lesson.Exercise) (list []string) {
	switch e.Kind {
	case lesson.Verdict:
		for _, w := range lesson.Words {
			list = append(list, string(w))
		}
	case lesson.Out, lesson.Order:
		for _, v := range e.Verdicts {
			list = append(list, words.On(v.Treatment.Name, v.Target.Path))
		}
	case lesson.Next:
		for _, n := range e.Asks {
			a := e.Judgement.Case.Asks[n]
			list = append(list, words.Asked(a.Question.Asks, words.Thing(a.Thing)))
		}
	case lesson.Principle:
		for _, m := range e.Principles {
			list = append(list, words.PrincipleSays(m))
		}
	}
	return list
}
