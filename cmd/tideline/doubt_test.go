package main

import (
	"testing"

	"tideline/engine/change"
	"tideline/engine/firm"
	"tideline/engine/judge"
	"tideline/engine/suppose"
	"tideline/engine/whynot"
	"tideline/explain/data"
	"tideline/rules/vocab"
)

// TestDoubtJSON holds what whynot, suppose, decide --firm and decide --since print of every book against the schemas.
func TestDoubtJSON(t *testing.T) {
	turns, supposed := strictly(t, say(t, exitDone, "schema", "whynot")), strictly(t, say(t, exitDone, "schema", "suppose"))
	firmness, since := strictly(t, say(t, exitDone, "schema", "firm")), strictly(t, say(t, exitDone, "schema", "since"))
	exited := 0
	for _, book := range books(t) {
		g := judged(t, book)
		var results []*whynot.Result
		for _, w := range allVerdicts {
			if v := first(g, func(v *judge.Verdict) bool { return v.Word == w }); v != nil {
				r, err := whynot.Find(g, v, whynot.To(v))
				if err != nil {
					t.Fatal(err)
				}
				results = append(results, r)
			}
		}
		validate(t, turns, encode(t, data.WhyNot(g, results)))
		validate(t, firmness, encode(t, data.Firm(g, firm.Of(g))))
		answers := otherwise(g)
		r, err := suppose.Suppose(g, answers)
		if err != nil {
			t.Fatal(err)
		}
		validate(t, supposed, encode(t, data.Suppose(r, answers)))
		exits, err := change.Between(g, r.After)
		if err != nil {
			t.Fatal(err)
		}
		exited += len(exits)
		validate(t, since, encode(t, data.Since(r.After, exits)))
	}
	if exited == 0 {
		t.Error("no settled verdict was left by any book: the schema of --since was held against nothing")
	}
}

// otherwise supposes the worst grade of every ink that was tested with water.
func otherwise(g *judge.Judgement) (answers []suppose.Answer) {
	for _, ask := range g.Case.Asks {
		if ask.Question != nil && ask.Question.Type == vocab.Grade && ask.Answer.Known && len(answers) < 3 {
			answers = append(answers, suppose.Answer{Thing: ask.Thing.Record, Question: ask.Question, Answer: vocab.Num(1)})
		}
	}
	return answers
}
