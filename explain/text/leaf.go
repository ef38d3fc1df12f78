package text

import (
	"tideline/engine/evidence"
	"tideline/explain/words"
)

// answerLine tells a question of a thing, its answer, and where the answer comes from.
func answerLine(a evidence.Ask) string {
	s := words.Answered(words.Thing(a.Thing), a.Question.Asks, words.Answer(a))
	if a.Result != nil && a.Lapsed == nil {
		s += " " + words.Aside(words.From(a.Result))
	}
	return s
}
