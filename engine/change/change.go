// Package change says why a settled verdict no longer stands.
//
// In:  two judgements of one book, an earlier and a later one. Out: for every verdict that was settled and is not the
// same now, the fewest events that, undone, would bring it back. More answers alone never move a settled verdict
// (property V3 of the judge), so that every way out has a name: see [Kind].
package change

import (
	"slices"
	"sort"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Kind is a kind of event that can withdraw what a settled verdict rested on.
type Kind string

// The kinds, as the explanation words them.
const (
	Corrected Kind = "corrected"       // an answer was given anew, and differs
	Stale     Kind = "gone stale"      // a step was done that makes the answer stale
	Expired   Kind = "out of date"     // the answer was good for so many days
	Seen      Kind = "newly seen"      // a thing was added
	Gone      Kind = "taken off"       // a thing is no longer there
	Rules     Kind = "rules changed"   // the packs are not the same
	Wishes    Kind = "aim changed"     // the owner's aims or weights are not the same
	Forgotten Kind = "no longer known" // an answer was deleted from the record
	Relisted  Kind = "list reopened"   // a list that was complete is no longer said to be
)

// Event is one thing that happened between the two judgements.
type Event struct {
	Kind     Kind
	Path     string          // of the thing concerned
	Question *vocab.Question // for answers
	Old, New vocab.Answer    // for answers
	Lapse    *evidence.Lapse // for gone stale and out of date
}

// Exit is a settled verdict that is another now.
type Exit struct {
	Treatment string
	Path      string
	Was, Is   judge.Word // Is is "" when the target is gone
	// Causes are the fewest events that, undone together, bring the old verdict back; with one left out they do not.
	Causes []Event
}

// settled tells whether no further answer can move a verdict of this word.
func settled(w judge.Word) bool { return w == judge.RuledOut || w == judge.Recommended }

// Between explains every exit from a settled verdict. The error is a fault of the pack.
func Between(before, after *judge.Judgement) ([]Exit, error) {
	d := &diff{before: read(before), after: read(after)}
	d.events = d.find(before, after)
	var exits []Exit
	for _, v := range before.Verdicts {
		if !settled(v.Word) {
			continue
		}
		exit := Exit{Treatment: v.Treatment.ID, Path: v.Target.Path, Was: v.Word}
		if now := after.Of(exit.Treatment, exit.Path); now != nil {
			exit.Is = now.Word
		}
		if exit.Is == exit.Was {
			continue
		}
		causes, err := d.causes(exit)
		if err != nil {
			return nil, err
		}
		exit.Causes = causes
		exits = append(exits, exit)
	}
	sort.Slice(exits, func(i, j int) bool {
		a, b := exits[i], exits[j]
		return a.Treatment < b.Treatment || a.Treatment == b.Treatment && a.Path < b.Path
	})
	return exits, nil
}

// state is what a judgement was made from: things by path, the answers that stand, wishes and packs.
type state struct {
	pack    *pack.Pack
	things  []*record.Thing
	answers map[string]map[string]vocab.Answer // by path, then by question
	aims    []string
	weights map[string]float64
}

func read(g *judge.Judgement) state {
	s := state{pack: g.Case.Pack, things: g.Case.Book.Things, answers: map[string]map[string]vocab.Answer{}, aims: g.Aims, weights: g.Weights}
	for _, ask := range g.Case.Asks {
		if ask.Question == nil || !ask.Answer.Known {
			continue
		}
		if s.answers[ask.Thing.Path] == nil {
			s.answers[ask.Thing.Path] = map[string]vocab.Answer{}
		}
		s.answers[ask.Thing.Path][ask.Question.ID] = ask.Answer
	}
	return s
}

type diff struct {
	before, after state
	events        []Event
}

// find lists every event of a withdrawing kind, by path and question.
func (d *diff) find(before, after *judge.Judgement) []Event {
	var events []Event
	old, now := byPath(d.before.things), byPath(d.after.things)
	for path := range old {
		if now[path] == nil {
			events = append(events, Event{Kind: Gone, Path: path})
		}
	}
	for path := range now {
		if old[path] == nil {
			events = append(events, Event{Kind: Seen, Path: path})
		}
	}
	for path, answers := range d.before.answers {
		if now[path] == nil {
			continue
		}
		for id, was := range answers {
			is := d.after.answers[path][id]
			if is == was {
				continue
			}
			q := d.before.pack.Vocabulary.Question(id)
			events = append(events, answerEvent(Event{Path: path, Question: q, Old: was, New: is}, after))
		}
	}
	if !sameWishes(d.before, d.after) {
		events = append(events, Event{Kind: Wishes})
	}
	if d.before.pack != d.after.pack {
		events = append(events, Event{Kind: Rules})
	}
	sort.Slice(events, func(i, j int) bool {
		a, b := events[i], events[j]
		if a.Path != b.Path {
			return a.Path < b.Path
		}
		return a.Question != nil && b.Question != nil && a.Question.ID < b.Question.ID || a.Question == nil && b.Question != nil
	})
	return events
}

// answerEvent says what became of an answer that stood before.
func answerEvent(e Event, after *judge.Judgement) Event {
	c := after.Case
	q := c.Pack.Vocabulary.Question(e.Question.ID)
	var ask evidence.Ask
	if q != nil {
		ask = c.Asks[c.Number(c.At(e.Path), q)]
	}
	switch {
	case ask.Lapsed != nil && ask.Lapsed.Step != nil:
		e.Kind, e.Lapse = Stale, ask.Lapsed
	case ask.Lapsed != nil:
		e.Kind, e.Lapse = Expired, ask.Lapsed
	case !e.New.Known && isList(e.Question):
		e.Kind = Relisted
	case !e.New.Known:
		e.Kind = Forgotten
	default:
		e.Kind = Corrected
	}
	return e
}

func isList(q *vocab.Question) bool {
	const suffix = "_listed"
	return len(q.Name) > len(suffix) && q.Name[len(q.Name)-len(suffix):] == suffix
}

func sameWishes(a, b state) bool {
	if !slices.Equal(a.aims, b.aims) || len(a.weights) != len(b.weights) {
		return false
	}
	for k, w := range a.weights {
		if b.weights[k] != w {
			return false
		}
	}
	return true
}

func byPath(things []*record.Thing) map[string]*record.Thing {
	m := map[string]*record.Thing{}
	for _, t := range things {
		m[t.Path] = t
	}
	return m
}

// causes finds the fewest events that bring the old verdict back when they are undone: one, else two, else a set from
// which none can be left out.
func (d *diff) causes(exit Exit) ([]Event, error) {
	restores := func(undone []Event) (bool, error) {
		g, err := judge.Judge(d.with(undone))
		if err != nil {
			return false, err
		}
		v := g.Of(exit.Treatment, exit.Path)
		return v != nil && v.Word == exit.Was, nil
	}
	for _, a := range d.events {
		if ok, err := restores([]Event{a}); ok || err != nil {
			return []Event{a}, err
		}
	}
	for i, a := range d.events {
		for _, b := range d.events[i+1:] {
			if len(d.events) > pairLimit {
				break
			}
			if ok, err := restores([]Event{a, b}); ok || err != nil {
				return []Event{a, b}, err
			}
		}
	}
	causes := slices.Clone(d.events)
	for i := 0; i < len(causes); {
		fewer := slices.Delete(slices.Clone(causes), i, i+1)
		ok, err := restores(fewer)
		if err != nil {
			return nil, err
		}
		if ok {
			causes = fewer
		} else {
			i++
		}
	}
	return causes, nil
}

// pairLimit is up to how many events all pairs are tried.
const pairLimit = 60

// with makes the later case with some events undone.
func (d *diff) with(undone []Event) *evidence.Case {
	p, aims, weights := d.after.pack, d.after.aims, d.after.weights
	old := map[string]bool{} // things as they were before
	without := map[string]bool{}
	answers := map[string]map[string]vocab.Answer{}
	for _, e := range undone {
		switch e.Kind {
		case Rules:
			p = d.before.pack
		case Wishes:
			aims, weights = d.before.aims, d.before.weights
		case Seen:
			without[e.Path] = true
		case Gone:
			old[e.Path] = true
		default:
			if answers[e.Path] == nil {
				answers[e.Path] = map[string]vocab.Answer{}
			}
			answers[e.Path][e.Question.ID] = e.Old
		}
	}
	b := &record.Book{Aims: aims, Weights: weights}
	add := func(t *record.Thing, given map[string]vocab.Answer) {
		copied := *t
		b.Things = append(b.Things, &copied)
		for id, a := range given {
			if back, undone := answers[t.Path][id]; undone {
				a = back
			}
			b.Results = append(b.Results, record.Result{Question: p.Vocabulary.Question(id), Thing: &copied, Answer: a})
		}
		for id, a := range answers[t.Path] {
			if _, given := given[id]; !given {
				b.Results = append(b.Results, record.Result{Question: p.Vocabulary.Question(id), Thing: &copied, Answer: a})
			}
		}
	}
	for _, t := range d.after.things {
		if !without[t.Path] && !under(without, t) {
			add(t, d.after.answers[t.Path])
		}
	}
	for _, t := range d.before.things {
		if old[t.Path] {
			add(t, d.before.answers[t.Path])
		}
	}
	relink(b)
	b.Results = slices.DeleteFunc(b.Results, func(r record.Result) bool { return r.Question == nil })
	return evidence.Gather(p, b, time.Time{})
}

// under tells whether a thing lies on one that is left out.
func under(without map[string]bool, t *record.Thing) bool {
	return t.Part != nil && without[t.Part.Path] || t.Side != nil && without[t.Side.Path]
}

// relink makes things lead to their copies; what is not there any more is left out.
func relink(b *record.Book) {
	at := byPath(b.Things)
	find := func(t *record.Thing) *record.Thing {
		if t == nil {
			return nil
		}
		return at[t.Path]
	}
	list := func(old []*record.Thing) []*record.Thing {
		if old == nil {
			return nil
		}
		now := []*record.Thing{}
		for _, t := range old {
			if found := find(t); found != nil {
				now = append(now, found)
			}
		}
		return now
	}
	sort.SliceStable(b.Things, func(i, j int) bool { return depth(b.Things[i]) < depth(b.Things[j]) })
	for _, t := range b.Things {
		t.Part, t.Side, t.Fastener = find(t.Part), find(t.Side), find(t.Fastener)
		t.Near, t.Holds = list(t.Near), list(t.Holds)
	}
}

func depth(t *record.Thing) int {
	switch {
	case t.Side != nil:
		return 2
	case t.Part != nil:
		return 1
	}
	return 0
}
