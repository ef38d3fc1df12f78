package lesson

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/suppose"
	"tideline/engine/verify"
	"tideline/engine/whynot"
)

// Limits of an exercise, so that it fits a page.
const (
	mostShown      = 12
	mostVerdicts   = 6
	mostAsks       = 6
	mostSteps      = 4
	mostPrinciples = 4
	mostDraws      = 100 // of books and verdicts, until one fits
	mostTries      = 6   // of verdicts, until one can be turned by one answer
)

// ErrContradiction tells that the answers of a book cannot all be true, so that nothing can be taught from it.
var ErrContradiction = errors.New("the answers of this book cannot all be true; `tideline decide` names them")

// Maker makes the exercises of one run.
type Maker struct {
	g      *judge.Judgement
	rnd    *rand.Rand
	notes  *Notes
	used   map[string]bool
	flips  map[*judge.Verdict][]whynot.Change
	books  map[string]*judge.Judgement // changed books, by the change
	then   *Exercise                   // what follows the exercise given last
	topics map[*judge.Verdict]Topic    // of every verdict of the book as recorded
}

// NewMaker makes a maker. The same book, seed and notes give the same exercises.
func NewMaker(g *judge.Judgement, seed uint64, notes *Notes) (*Maker, error) {
	if len(g.Contradictions) > 0 {
		return nil, ErrContradiction
	}
	m := &Maker{
		g: g, rnd: rand.New(rand.NewPCG(seed, 0)), notes: notes, used: map[string]bool{},
		flips: map[*judge.Verdict][]whynot.Change{}, books: map[string]*judge.Judgement{}, topics: map[*judge.Verdict]Topic{},
	}
	for _, v := range g.Verdicts {
		m.topics[v] = topic(v, lead(g.Prove(v)))
	}
	return m, nil
}

// Next makes another exercise, unlike all before; nil when the book gives no more. Each has a proof that was checked.
func (m *Maker) Next() (*Exercise, error) {
	if e := m.then; e != nil {
		m.then = nil
		return e, nil
	}
	var spare *Exercise // one that fits but is asked for less than others might be
	for range mostDraws {
		e, err := m.draw()
		if err != nil {
			return nil, err
		}
		if e == nil || m.used[alike(e)] {
			continue
		}
		if m.rnd.IntN(mostNeed) < m.notes.need(e.Topics()) {
			return m.give(e)
		}
		spare = e
	}
	if spare == nil {
		return nil, nil
	}
	return m.give(spare)
}

// alike is the same for exercises that ask the same of the same proof.
func alike(e *Exercise) string {
	key := fmt.Sprint(e.Kind, "|")
	switch {
	case e.Changed != nil && e.Kind == Out: // it asks of several verdicts, which the class tells nothing of
		key += fmt.Sprint(e.Changed.Thing.Path, e.Changed.Question.ID, e.Changed.Answer)
	case e.Changed != nil:
		key += fmt.Sprint(e.Changed.Thing.Path, e.Changed.Question.ID, e.class)
	}
	switch e.Kind {
	case Out:
		for _, v := range e.Verdicts {
			key += "|" + v.Treatment.ID + " " + v.Target.Path
		}
	case Order:
		key = fmt.Sprint(e.Kind, e.Topics())
	case Next:
		key += fmt.Sprint("|", e.Deciding())
	case Principle:
		key = fmt.Sprint(e.Kind, "|", e.Lead.Rule.Principle, e.Lead.Rule.ID)
	default:
		key += fmt.Sprint("|", e.Hidden)
		if e.Lead != nil {
			return key + "|" + e.Lead.Rule.ID + " " + e.Lead.Thing.Path
		}
		key += "|" + e.Verdict.Treatment.ID + " " + e.Verdict.Target.Path
	}
	return key
}

// give has the proofs of an exercise checked and remembers it. After one about a rule the principle behind the rule
// follows.
func (m *Maker) give(e *Exercise) (*Exercise, error) {
	list := e.Verdicts
	if e.Verdict != nil {
		list = append(slices.Clip(list), e.Verdict)
	}
	checker := verify.New(e.Judgement)
	for _, v := range list {
		if _, err := checker.Check(e.Judgement.Prove(v)); err != nil {
			return nil, fmt.Errorf("a proof does not hold: %w", err)
		}
	}
	m.used[alike(e)] = true
	if next := m.principle(e); next != nil && !m.used[alike(next)] {
		m.used[alike(next)] = true
		m.then, e.PrincipleNext = next, true
	}
	return e, nil
}

// draw draws an exercise, nil where what was drawn gives none.
func (m *Maker) draw() (*Exercise, error) {
	v := m.verdict()
	if v == nil {
		return nil, nil
	}
	e := &Exercise{Judgement: m.g, base: m.g, Hidden: -1}
	if m.rnd.IntN(3) > 0 {
		for tries := 0; e.Changed == nil && tries < mostTries; tries++ {
			if tries > 0 {
				v = m.verdict()
			}
			if v == nil {
				continue
			}
			if err := m.change(e, v); err != nil {
				return nil, err
			}
		}
		if e.Changed == nil {
			return nil, nil
		}
		if v = e.Judgement.Of(v.Treatment.ID, v.Target.Path); v == nil || v.Unproven {
			return nil, nil
		}
	}
	switch m.rnd.IntN(11) {
	case 0:
		return m.order(e), nil
	case 1, 2:
		return m.next(e, v), nil
	case 3, 4:
		return m.out(e, v)
	}
	return m.about(e, v)
}

// shares are how often each verdict is drawn, in twelfths.
var shares = []struct {
	word  judge.Word
	share int
}{{judge.RuledOut, 5}, {judge.TestFirst, 3}, {judge.Recommended, 2}, {judge.Possible, 1}, {judge.NoNeed, 1}}

// verdict draws a verdict: one in two of those whose topic an apprentice has begun, else those that teach most more often.
func (m *Maker) verdict() *judge.Verdict {
	if begun := m.begun(); len(begun) > 0 && m.rnd.IntN(2) == 0 {
		return m.one(begun)
	}
	n := m.rnd.IntN(12)
	for _, s := range shares {
		if n -= s.share; n < 0 {
			return m.one(of(m.g, s.word))
		}
	}
	return nil
}

// begun gives the verdicts whose topic went wrong last, or of which more is to be hidden.
func (m *Maker) begun() (list []*judge.Verdict) {
	for _, v := range m.g.Verdicts {
		note := m.notes.Of(m.topics[v])
		further := v.Word == judge.RuledOut && note.Stage > 0 && note.Stage < MaxStage
		if !v.Unproven && (note.Lapsed || further) {
			list = append(list, v)
		}
	}
	return list
}

// one draws one of a list, nil when it is empty.
func (m *Maker) one(list []*judge.Verdict) *judge.Verdict {
	if len(list) == 0 {
		return nil
	}
	return list[m.rnd.IntN(len(list))]
}

// of gives the verdicts of a word whose search was finished.
func of(g *judge.Judgement, word judge.Word) (list []*judge.Verdict) {
	for _, v := range g.Verdicts {
		if v.Word == word && !v.Unproven {
			list = append(list, v)
		}
	}
	return list
}

// change takes one answer that decides a verdict as another, where there is such an answer.
func (m *Maker) change(e *Exercise, v *judge.Verdict) error {
	list, known := m.flips[v]
	if !known {
		r, err := whynot.Find(m.g, v, whynot.To(v))
		if err != nil {
			return err
		}
		for _, s := range r.Sets {
			if len(s.Changes) == 1 && Nameable(s.Changes[0].Ask) {
				list = append(list, s.Changes[0])
			}
		}
		m.flips[v] = list
	}
	if len(list) == 0 {
		return nil
	}
	c := list[m.rnd.IntN(len(list))]
	answer := &suppose.Answer{Thing: c.Ask.Thing.Record, Question: c.Ask.Question, Answer: c.Does[m.rnd.IntN(len(c.Does))]}
	key := fmt.Sprint(c.Number, answer.Answer)
	g := m.books[key]
	if g == nil {
		var err error
		if g, err = suppose.Judge(m.g, []suppose.Answer{*answer}); err != nil {
			return err
		}
		m.books[key] = g
	}
	// An answer that a step since done has made stale cannot be read back from the record: the checker would not agree.
	stands := evidence.Gather(g.Case.Pack, g.Case.Book, g.Case.On).Asks[c.Number].Answer == answer.Answer
	if len(g.Contradictions) == 0 && stands {
		e.Judgement, e.Changed, e.class = g, answer, c.To
	}
	return nil
}
