package lesson

import (
	"strings"

	"tideline/engine/judge"
	"tideline/engine/lesson"
	"tideline/explain/account"
	"tideline/explain/text"
	"tideline/explain/words"
	"tideline/rules/cond"
	"tideline/rules/vocab"
)

// Hints gives the hints to an exercise, from a nod to the answer itself: only the last tells it.
func Hints(e *lesson.Exercise) ([]string, error) {
	switch e.Kind {
	case lesson.Verdict:
		return verdictHints(e), nil
	case lesson.Reason:
		return reasonHints(e)
	case lesson.Answer:
		return answerHints(e)
	case lesson.Order:
		return orderHints(e), nil
	case lesson.Principle:
		return principleHints(e), nil
	}
	return listHints(e), nil
}

func verdictHints(e *lesson.Exercise) []string {
	rules := len(e.Judgement.Prove(e.Verdict).RulesOut)
	list := []string{words.HintRules(rules)}
	if e.Lead != nil {
		list = append(list, words.HintKind(e.Lead.Thing.Kind))
	}
	return append(list, words.Labelled(words.TheAnswer, string(e.Verdict.Word)))
}

func reasonHints(e *lesson.Exercise) ([]string, error) {
	sets, _, err := e.Enough()
	if err != nil || len(sets) == 0 {
		return nil, err
	}
	asks := e.Judgement.Case.Asks
	var names []string
	for _, n := range sets[0] {
		names = append(names, words.Path(asks[n]))
	}
	return []string{
		words.HintSize(len(sets[0])), words.HintKind(asks[sets[0][0]].Thing.Kind),
		words.Labelled(words.TheAnswer, strings.Join(names, ", ")),
	}, nil
}

func answerHints(e *lesson.Exercise) ([]string, error) {
	accepted, err := e.Accepted()
	if err != nil {
		return nil, err
	}
	g := e.Judgement
	q := g.Case.Asks[e.Hidden].Question
	cells, _ := g.Case.Pack.Env.Cells(q)
	right := 0
	var not []vocab.Answer
	for _, c := range cells {
		if contains(accepted, c) {
			right++
		} else if not == nil {
			not = c.Answers
		}
	}
	all := account.Points(g.Case, q)
	return []string{
		words.HintShare(right, len(cells)), words.HintNotAnswer(words.Ranges(q, not, all)),
		words.Labelled(words.TheAnswer, words.Ranges(q, accepted, all)),
	}, nil
}

func contains(accepted []vocab.Answer, c cond.Cell) bool {
	for _, a := range accepted {
		if a == c.Answers[0] {
			return true
		}
	}
	return false
}

func orderHints(e *lesson.Exercise) []string {
	pairs := e.Pairs()
	var names []string
	for _, i := range e.Orders()[0] {
		names = append(names, text.Choices(e)[i])
	}
	return []string{words.HintPairs(len(pairs)), words.Labelled(words.TheAnswer, strings.Join(names, ", "))}
}

// principleHints leaves out one wrong principle after the other, as long as two are left to choose from.
func principleHints(e *lesson.Exercise) (list []string) {
	answer := ""
	for _, p := range e.Principles {
		if p.ID == e.Lead.Rule.Principle {
			answer = words.Labelled(words.TheAnswer, words.PrincipleSays(p))
		} else if len(list) < len(e.Principles)-2 {
			list = append(list, words.HintNot(words.PrincipleSays(p)))
		}
	}
	return append(list, answer)
}

// listHints counts what is asked for, then leaves out one that is not.
func listHints(e *lesson.Exercise) []string {
	asked := map[int]bool{}
	for i, v := range e.Verdicts {
		asked[i] = v.Word == judge.RuledOut
	}
	for i, n := range e.Asks {
		for _, d := range e.Deciding() {
			asked[i] = asked[i] || d == n
		}
	}
	var names []string
	not := ""
	for i, name := range text.Choices(e) {
		if asked[i] {
			names = append(names, name)
		} else if not == "" {
			not = name
		}
	}
	return []string{words.HintCount(len(names)), words.HintNot(not), words.Labelled(words.TheAnswer, strings.Join(names, "; "))}
}
