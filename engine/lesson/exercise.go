package lesson

import (
	"slices"
	"strings"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/suppose"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Kind is what an exercise asks for.
type Kind string

// The kinds. The first three hide one node each of the same proof, from its root to its leaves.
const (
	Verdict   Kind = "verdict"   // the verdict, with the evidence shown
	Reason    Kind = "reason"    // the results that rule a treatment out
	Answer    Kind = "answer"    // the answer to look for: what one result must be for the treatment to be ruled out
	Out       Kind = "out"       // which of several treatments are ruled out
	Next      Kind = "next"      // what to test next
	Order     Kind = "order"     // in what order the recommended steps come
	Principle Kind = "principle" // the mechanism behind a rule
)

// Kinds lists all kinds.
var Kinds = []Kind{Verdict, Reason, Answer, Out, Next, Order, Principle}

// Exercise is one question to an apprentice. Which lists are filled depends on its kind.
type Exercise struct {
	Kind      Kind
	Judgement *judge.Judgement // of the book as it is to be taken
	// Changed is the answer that is taken as another than the record says; nil when the book is as recorded.
	Changed *suppose.Answer
	Verdict *judge.Verdict // what it is about; nil for out and order
	Lead    *judge.Proof   // the leading reason of that verdict; nil when no single rule gives it
	Shown   []int          // the questions whose answers are told, by number
	Given   []int          // questions that bear on it and nobody tests: what a thing is, its measures, whether a list is complete
	Left    int            // how many more answers of the record bear on it
	Hidden  int            // answer: the question whose answer is asked for

	Verdicts   []*judge.Verdict  // out, order: what to choose from or to put in order
	Asks       []int             // next: the questions to choose from
	Principles []*pack.Principle // principle: the principles to choose from
	// PrincipleNext tells that the principle behind the leading rule is asked next, and so must not be told before.
	PrincipleNext bool

	base  *judge.Judgement
	class vocab.Answer // of the changed answer: the same for all that turn the verdict alike
}

// Words are the verdicts in the order in which they are decided: the first that fits.
var Words = []judge.Word{judge.RuledOut, judge.NoNeed, judge.TestFirst, judge.Recommended, judge.Possible}

// Nameable tells whether an apprentice can name the answer to a question as evidence. What a thing is, what its geometry
// measures and whether a list is complete are given.
func Nameable(a evidence.Ask) bool {
	q := a.Question
	return q != nil && !q.Measured && q.Name != "kind" && !strings.HasSuffix(q.Name, "_listed") && !a.Thing.Unlisted
}

// give notes a question that nobody tests; of a thing not listed it is whether the list is complete.
func (e *Exercise) give(n int) {
	asks := e.Judgement.Case.Asks
	if asks[n].Thing.Unlisted {
		n = asks[n].Thing.Listed
	}
	if asks[n].Question != nil && !slices.Contains(e.Given, n) {
		e.Given = append(e.Given, n)
	}
}

// lead gives the reason that a verdict rests on first, nil when no single rule gives it.
func lead(p *judge.VerdictProof) *judge.Proof {
	switch p.Verdict.Word {
	case judge.RuledOut:
		return first(p.RulesOut, cond.True)
	case judge.TestFirst:
		return first(p.RulesOut, cond.Open)
	case judge.NoNeed:
		return nil
	}
	for _, list := range [][]*judge.Proof{p.CalledFor, p.For} {
		for _, value := range []cond.Truth{cond.True, cond.Open} {
			if r := first(list, value); r != nil {
				return r
			}
		}
	}
	return nil
}

// first gives the first reason of that value; a ruling-out that was withdrawn is none.
func first(list []*judge.Proof, value cond.Truth) *judge.Proof {
	for _, r := range list {
		if r.Value == value && !withdrawn(r) {
			return r
		}
	}
	return nil
}

func withdrawn(r *judge.Proof) bool { return r.Rule.Effect == pack.RulesOut && r.Rule.Withdrawn != nil }

// topic is what an answer to an exercise about a verdict tells of: its leading rule, else the treatment.
func topic(v *judge.Verdict, lead *judge.Proof) Topic {
	if lead == nil {
		return Topic{AboutTreatment, v.Treatment.ID}
	}
	return Topic{AboutRule, lead.Rule.ID}
}

// Topics gives what the exercise is about, as notes are kept by.
func (e *Exercise) Topics() []Topic {
	switch e.Kind {
	case Out:
		var list []Topic
		for _, v := range e.Verdicts {
			if t := topic(v, lead(e.Judgement.Prove(v))); v.Word == judge.RuledOut && !slices.Contains(list, t) {
				list = append(list, t)
			}
		}
		return list
	case Next:
		return []Topic{{AboutTest, e.Judgement.Case.Asks[e.Deciding()[0]].Question.ID}}
	case Order:
		var list []Topic
		for _, p := range e.Pairs() {
			if t := (Topic{AboutOrder, p.First.Treatment.ID + " " + p.Then.Treatment.ID}); !slices.Contains(list, t) {
				list = append(list, t)
			}
		}
		return list
	case Principle:
		return []Topic{{AboutPrinciple, e.Lead.Rule.Principle}}
	}
	return []Topic{topic(e.Verdict, e.Lead)}
}

// with judges the exercise's book with some answers taken as others or as not known.
func (e *Exercise) with(answers []suppose.Answer) (*judge.Judgement, error) {
	if c := e.Changed; c != nil && !slices.ContainsFunc(answers, func(a suppose.Answer) bool { return a.Thing == c.Thing && a.Question == c.Question }) {
		answers = append(slices.Clip(answers), *c)
	}
	return suppose.Judge(e.base, answers)
}

// Recorded gives the changed question as the record answers it.
func (e *Exercise) Recorded() evidence.Ask { return e.base.Case.Asks[e.Number()] }

// Number gives the number of the question that was changed, -1 when none was.
func (e *Exercise) Number() int {
	if e.Changed == nil {
		return -1
	}
	c := e.Judgement.Case
	return c.Number(c.At(e.Changed.Thing.Path), e.Changed.Question)
}

// ReasonFor makes the exercise that asks for the results by which a verdict of a judgement is ruled out.
func ReasonFor(g *judge.Judgement, v *judge.Verdict) *Exercise {
	return &Exercise{Kind: Reason, Judgement: g, base: g, Verdict: v, Lead: lead(g.Prove(v)), Hidden: -1}
}
