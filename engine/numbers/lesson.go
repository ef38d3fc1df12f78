package numbers

import (
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/lesson"
	"tideline/engine/suppose"
	"tideline/rules/vocab"
)

// grading measures how answers of an apprentice are marked: sets of results drawn at random are named as the reason of a
// ruling-out. What is accepted must rule out in completions of all else, drawn at random too; what is refused must have a
// first step that fails. The tests of tideline/engine/lesson go through all completions instead.
func (m *measure) grading() error {
	accepted, refused, wrong := 0, 0, 0
	for _, s := range m.small[:min(len(m.small), 200)] {
		for _, v := range s.g.Verdicts {
			if v.Word != judge.RuledOut {
				continue
			}
			named, others := m.draw(s.g)
			mark, err := lesson.ReasonFor(s.g, v).Mark(lesson.Said{Picks: named})
			if err != nil {
				return err
			}
			stays, err := m.holdsAnyhow(s, v, others)
			if err != nil {
				return err
			}
			switch {
			case mark.Right && stays:
				accepted++
			case !mark.Right && mark.Fails != nil:
				refused++
			default:
				wrong++
			}
		}
	}
	m.row("lesson grading", "sets of results drawn on worlds; accepted ones in drawn completions of all else", "100 %", is(wrong == 0),
		"%d accepted and %d refused rightly, of %d", accepted, refused, accepted+refused+wrong)
	return nil
}

// draw splits the answers that can be named into those named and the others.
func (m *measure) draw(g *judge.Judgement) (named, others []int) {
	for n, a := range g.Case.Asks {
		switch {
		case !lesson.Nameable(a):
		case a.Answer.Known && m.rnd.IntN(3) == 0:
			named = append(named, n)
		default:
			others = append(others, n)
		}
	}
	return named, others
}

// drawnCompletions is in how many completions an accepted set is tried.
const drawnCompletions = 6

// holdsAnyhow tells whether a verdict stays ruled out whatever is drawn for the other answers.
func (m *measure) holdsAnyhow(s small, v *judge.Verdict, others []int) (bool, error) {
	for range drawnCompletions {
		var answers []suppose.Answer
		for _, n := range others {
			a := s.g.Case.Asks[n]
			answers = append(answers, suppose.Answer{Thing: a.Thing.Record, Question: a.Question, Answer: m.any(s, a)})
		}
		g, err := suppose.Judge(s.g, answers)
		if err != nil {
			return false, err
		}
		if len(g.Contradictions) > 0 {
			continue // no completion
		}
		if w := g.Of(v.Treatment.ID, v.Target.Path); w == nil || w.Word != judge.RuledOut {
			return false, nil
		}
	}
	return true, nil
}

func (m *measure) any(s small, a evidence.Ask) vocab.Answer {
	cells, _ := s.world.Pack.Env.Cells(a.Question)
	return cells[m.rnd.IntN(len(cells))].Some()
}
