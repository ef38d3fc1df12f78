package lesson

import (
	"fmt"
	"slices"

	"tideline/engine/ask"
	"tideline/engine/judge"
	"tideline/engine/suppose"
	"tideline/engine/verify"
	"tideline/rules/vocab"
)

// Said is what an apprentice answered: a word to a verdict, an answer to an answer, numbers of questions to a reason, and
// to all else places in the exercise's list.
type Said struct {
	Word   judge.Word
	Answer vocab.Answer
	Picks  []int
}

// Mark is how an answer came out.
type Mark struct {
	Right bool
	// Case is the book judged with what was said: of a reason, with nothing else known; of an answer, with that one.
	Case    *judge.Judgement
	Verdict *judge.Verdict // what comes of it there
	Fails   *Fails         // the first step that fails, where what was said is wrong

	Enough   []int            // reason: the part of what was named that settles it alone
	Needless []int            // reason: what was named and is not needed for that
	Missed   []*judge.Verdict // out: ruled out, and not said
	Wrong    []Refuted        // out: said, and not ruled out
	Idle     []int            // next: said, and no answer to it decides
	Broken   *Pair            // order: the first pair the wrong way round
	Checked  verify.Count     // how much was replayed by the checker
}

// Refuted is a treatment said to be ruled out that is not.
type Refuted struct {
	Verdict *judge.Verdict
	Fails   *Fails
}

// Lead gives the reason that comes of what was said, nil when no single rule gives it.
func (m *Mark) Lead() *judge.Proof { return lead(m.Case.Prove(m.Verdict)) }

// Mark marks an answer. The error is a fault: of the pack, or of the proofs.
func (e *Exercise) Mark(s Said) (*Mark, error) {
	switch e.Kind {
	case Verdict:
		m := &Mark{Right: s.Word == e.Verdict.Word, Case: e.Judgement, Verdict: e.Verdict}
		if !m.Right {
			m.Fails = failsWord(e.Judgement.Prove(e.Verdict), s.Word)
		}
		return m, nil
	case Reason:
		return e.markReason(s.Picks)
	case Answer:
		return e.markAnswer(s.Answer)
	case Out:
		return e.markOut(s.Picks), nil
	case Next:
		return e.markNext(s.Picks), nil
	case Order:
		return e.markOrder(s.Picks), nil
	}
	return &Mark{Right: len(s.Picks) == 1 && e.Principles[s.Picks[0]].ID == e.Lead.Rule.Principle}, nil
}

// markReason judges the book with only the named answers known besides what is given, and replays the proof.
func (e *Exercise) markReason(named []int) (*Mark, error) {
	var forget []suppose.Answer
	for n, a := range e.Judgement.Case.Asks {
		if Nameable(a) && a.Answer.Known && !slices.Contains(named, n) {
			forget = append(forget, suppose.Answer{Thing: a.Thing.Record, Question: a.Question})
		}
	}
	m, err := e.judged(forget)
	if err != nil {
		return nil, err
	}
	if m.Verdict == nil || m.Verdict.Word != judge.RuledOut {
		m.Fails = &Fails{Kind: Unread}
		if m.Verdict != nil {
			m.Fails = shouldHold(m.Case.Prove(m.Verdict).RulesOut, named, NoRule)
		}
		return m, nil
	}
	m.Right = true
	h, err := hold(e.Judgement, e.Verdict, anything)
	if err != nil {
		return nil, err
	}
	m.Enough = h.least(slices.Sorted(slices.Values(named)))
	for _, n := range named {
		if !slices.Contains(m.Enough, n) {
			m.Needless = append(m.Needless, n)
		}
	}
	return m, nil
}

// judged judges the exercise's book with some answers otherwise, and has the proof of its verdict there checked.
func (e *Exercise) judged(answers []suppose.Answer) (*Mark, error) {
	g, err := e.with(answers)
	if err != nil {
		return nil, err
	}
	m := &Mark{Case: g, Verdict: g.Of(e.Verdict.Treatment.ID, e.Verdict.Target.Path)}
	if m.Verdict == nil {
		return m, nil
	}
	if m.Checked, err = verify.New(g).Check(g.Prove(m.Verdict)); err != nil {
		return nil, fmt.Errorf("a proof does not hold: %w", err)
	}
	return m, nil
}

func (e *Exercise) markAnswer(a vocab.Answer) (*Mark, error) {
	ask := e.Judgement.Case.Asks[e.Hidden]
	m, err := e.judged([]suppose.Answer{{Thing: ask.Thing.Record, Question: ask.Question, Answer: a}})
	if err != nil {
		return nil, err
	}
	m.Right = m.Verdict != nil && m.Verdict.Word == judge.RuledOut
	switch {
	case m.Right:
	case m.Verdict == nil:
		m.Fails = &Fails{Kind: NoRule}
	default:
		m.Fails = shouldHold(m.Case.Prove(m.Verdict).RulesOut, []int{e.Hidden}, NoRule)
	}
	return m, nil
}

// Accepted gives the answers to the hidden question by which the treatment is ruled out, one of each stretch or all words.
func (e *Exercise) Accepted() ([]vocab.Answer, error) {
	var list []vocab.Answer
	cells, _ := e.Judgement.Case.Pack.Env.Cells(e.Judgement.Case.Asks[e.Hidden].Question)
	for _, c := range cells {
		m, err := e.markAnswer(c.Some())
		if err != nil {
			return nil, err
		}
		if m.Right {
			list = append(list, c.Answers...)
		}
	}
	return list, nil
}

func (e *Exercise) markOut(picks []int) *Mark {
	m := &Mark{}
	for i, v := range e.Verdicts {
		out, said := v.Word == judge.RuledOut, slices.Contains(picks, i)
		switch {
		case out && !said:
			m.Missed = append(m.Missed, v)
		case said && !out:
			m.Wrong = append(m.Wrong, Refuted{v, failsWord(e.Judgement.Prove(v), judge.RuledOut)})
		}
	}
	m.Right = len(m.Missed)+len(m.Wrong) == 0
	return m
}

// Deciding gives those of the exercise's questions that decide whether its treatment is ruled out, by number.
func (e *Exercise) Deciding() []int {
	c := e.Judgement.Case
	var list []int
	for _, a := range e.Judgement.Missing(e.Verdict) {
		if n := c.Number(a.Thing, a.Question); slices.Contains(e.Asks, n) {
			list = append(list, n)
		}
	}
	return list
}

func (e *Exercise) markNext(picks []int) *Mark {
	m := &Mark{}
	deciding := e.Deciding()
	for _, i := range picks {
		if !slices.Contains(deciding, e.Asks[i]) {
			m.Idle = append(m.Idle, e.Asks[i])
		}
	}
	m.Right = len(picks) > 0 && len(m.Idle) == 0
	return m
}

// Asked gives the test that the whole book asks for first, nil when none is worth what it costs.
func (e *Exercise) Asked() *ask.Proposal {
	if r := ask.Next(e.Judgement, ask.Options{}); len(r.Proposals) > 0 {
		return &r.Proposals[0]
	}
	return nil
}
