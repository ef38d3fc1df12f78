package plancheck

import (
	"maps"
	"slices"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// State is a book as it is foreseen at one moment of a plan: the things that are there, and what is known of them. It holds no
// steps done: what they leave is worked out here, not by the reading of the record.
type State struct {
	c       *evidence.Case // of the book as it is
	things  []*record.Thing
	answers map[ask]vocab.Answer
	stale   map[ask]expected // answers that steps of the plan have opened again

	gathered *evidence.Case
}

type ask struct {
	thing    *record.Thing
	question *vocab.Question
}

// expected is an answer that was known before, and what it is held to be now.
type expected struct{ before, now vocab.Answer }

// start takes the state from a judgement of the book as it is.
func start(g *judge.Judgement) *State {
	s := &State{c: g.Case, answers: map[ask]vocab.Answer{}, stale: map[ask]expected{}}
	for _, t := range g.Case.Things {
		if t.Record != nil {
			s.things = append(s.things, t.Record)
		}
	}
	for _, a := range g.Case.Asks {
		if a.Question != nil && a.Thing.Record != nil && a.Answer.Known {
			s.answers[ask{a.Thing.Record, a.Question}] = a.Answer
		}
	}
	return s
}

func (s *State) clone() *State {
	return &State{c: s.c, things: slices.Clone(s.things), answers: maps.Clone(s.answers), stale: maps.Clone(s.stale)}
}

// At gives the thing of that path, nil when it is not there.
func (s *State) At(path string) *record.Thing {
	for _, t := range s.things {
		if t.Path == path {
			return t
		}
	}
	return nil
}

// gather makes a case of the state: a record without steps done, all its answers given on the day of judging.
func (s *State) gather() *evidence.Case {
	if s.gathered != nil {
		return s.gathered
	}
	b := *s.c.Book
	b.Things, b.Done, b.Results, b.Examined = s.things, nil, nil, time.Time{}
	for a, answer := range s.answers {
		b.Results = append(b.Results, record.Result{Question: a.question, Thing: a.thing, Answer: answer, Date: s.c.On})
	}
	s.gathered = evidence.Gather(s.c.Pack, &b, s.c.On)
	return s.gathered
}

// judge decides one treatment in this state; nil when it is no candidate there.
func (s *State) judge(treatment, path string) (*judge.Judgement, *judge.Verdict, error) {
	return judge.One(s.gather(), treatment, path)
}

// kind gives the word that a finding is called by.
func (s *State) kind(f *record.Thing) string {
	if q := s.c.Pack.Vocabulary.Question("finding.kind"); q != nil {
		return s.answers[ask{f, q}].Word
	}
	return ""
}

// findings gives the findings of some kinds in the reach of a thing.
func (s *State) findings(target *record.Thing, kinds []string) (list []*record.Thing) {
	if len(kinds) == 0 {
		return nil
	}
	for _, f := range s.reach(target, vocab.Finding) {
		if slices.Contains(kinds, s.kind(f)) {
			list = append(list, f)
		}
	}
	return list
}

// finding is one that a step brings.
type finding struct {
	thing *record.Thing
	kind  string
}

// after gives the state that a treatment leaves when it goes as planned, with what it brings.
func (s *State) after(t *pack.Treatment, target *record.Thing, brought []finding) *State {
	n := s.clone()
	for _, id := range t.MakesStale {
		q := s.c.Pack.Vocabulary.Question(id)
		for _, m := range s.reach(target, q.Kind) {
			n.stales(ask{m, q})
		}
	}
	for _, set := range t.Sets {
		for _, m := range s.reach(target, set.Question.Kind) {
			a := ask{m, set.Question}
			if slices.Contains(t.MakesStale, set.Question.ID) { // only expected
				n.stale[a] = expected{n.stale[a].before, set.Answer}
				continue
			}
			n.answers[a] = set.Answer
			delete(n.stale, a)
		}
	}
	for _, f := range s.findings(target, t.Clears) {
		n.things = slices.DeleteFunc(n.things, func(m *record.Thing) bool { return m == f })
		maps.DeleteFunc(n.answers, func(a ask, _ vocab.Answer) bool { return a.thing == f })
		maps.DeleteFunc(n.stale, func(a ask, _ expected) bool { return a.thing == f })
	}
	for _, f := range brought {
		if !slices.Contains(n.things, f.thing) {
			n.things = append(n.things, f.thing)
		}
		n.answers[ask{f.thing, s.c.Pack.Vocabulary.Question("finding.kind")}] = vocab.Word(f.kind)
	}
	return n
}

// stales makes an answer stale; one that is stale already stays what it was.
func (s *State) stales(a ask) {
	if answer, known := s.answers[a]; known {
		s.stale[a] = expected{answer, answer}
		delete(s.answers, a)
	}
}

// tested gives the state in which the tests are done again and turn out as expected.
func (s *State) tested(list ...ask) *State {
	if len(list) == 0 {
		return s
	}
	n := s.clone()
	for _, a := range list {
		if e, stale := n.stale[a]; stale && e.now.Known {
			n.answers[a] = e.now
			delete(n.stale, a)
		}
	}
	return n
}

// reach gives the things of a kind that something done to t touches: see rules/README.md on reach.
func (s *State) reach(t *record.Thing, k vocab.Kind) (list []*record.Thing) {
	for _, m := range s.things {
		if m.Kind == k && touches(t, m) {
			list = append(list, m)
		}
	}
	return list
}

// touches tells whether something done to t touches m.
func touches(t, m *record.Thing) bool {
	switch {
	case t.Kind == m.Kind:
		return t == m
	case t.Kind.Singular(), m.Kind.Singular():
		return true
	case m.Kind == vocab.Fastener:
		return through(m, partOf(t))
	case t.Kind == vocab.Fastener && m.Kind == vocab.Finding && m.Fastener != nil && m.Fastener != t:
		return false
	case t.Kind == vocab.Fastener:
		return through(t, partOf(m))
	case t.Kind == vocab.Finding && m.Kind == vocab.Ink && t.Near != nil:
		return slices.Contains(t.Near, m)
	case m.Kind == vocab.Part, t.Kind == vocab.Part, t.Kind == vocab.Finding && m.Kind == vocab.Ink:
		return partOf(t) == partOf(m)
	}
	return sideOf(t) == sideOf(m) // a side with what is on it, an ink with the findings beside it
}

func partOf(t *record.Thing) *record.Thing {
	if t.Kind == vocab.Part {
		return t
	}
	return t.Part
}

func sideOf(t *record.Thing) *record.Thing {
	if t.Kind == vocab.Side {
		return t
	}
	return t.Side
}

// through tells whether a fastener goes through a part; one of which it is not said goes through all.
func through(f, part *record.Thing) bool {
	return f.Holds == nil || slices.Contains(f.Holds, part)
}
