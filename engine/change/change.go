// Package change says why a settled verdict no longer stands.
//
// In:  two judgements of one book, an earlier and a later one. Out: for every verdict that was settled and is not the
// same now, the fewest events that, undone, would bring it back. More answers alone never move a settled verdict
// (property V3 of the judge), so that every way out has a name: see [Kind]. What made the difference is found by
// [tideline/engine/drift].
package change

import (
	"slices"

	"tideline/engine/drift"
	"tideline/engine/evidence"
	"tideline/engine/judge"
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
	Moved     Kind = "reach changed"   // what lies near a thing, or what it goes through
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
	// Causes are events that, undone together, bring the old verdict back; with one left out they do not.
	Causes []Event
}

// settled tells whether no further answer can move a verdict of this word.
func settled(w judge.Word) bool { return w == judge.RuledOut || w == judge.Recommended }

// Between explains every exit from a settled verdict. The error is a fault of the pack.
func Between(before, after *judge.Judgement) ([]Exit, error) {
	r, err := drift.Compare(before, after, drift.Options{})
	if err != nil {
		return nil, err
	}
	var exits []Exit
	for _, f := range r.Findings { // by treatment and target
		if settled(f.Was) && f.Was != f.Is {
			exits = append(exits, Exit{f.Treatment, f.Path, f.Was, f.Is, causes(f)})
		}
	}
	return exits, nil
}

// causes gives the smallest set of edits needed that is of withdrawing kinds only: since answers alone never move a settled
// verdict, there is one, unless the search was given up.
func causes(f drift.Finding) []Event {
	for _, set := range f.Needed {
		if events := eventsOf(set); events != nil {
			return events
		}
	}
	return nil
}

// eventsOf tells edits as events, nil where one is no withdrawal. Edits of the packs, and of aims and weights, are one event
// each.
func eventsOf(set drift.Set) []Event {
	var events []Event
	for _, i := range set {
		e := Event{Kind: kinds[i.Kind], Path: i.Path, Question: i.Question, Old: i.Old, New: i.New, Lapse: i.Lapse}
		if e.Kind == "" {
			return nil
		}
		if e.Kind == Rules || e.Kind == Wishes {
			e = Event{Kind: e.Kind}
		}
		if !slices.Contains(events, e) {
			events = append(events, e)
		}
	}
	return events
}

var kinds = map[drift.Kind]Kind{
	drift.Corrected: Corrected, drift.Stale: Stale, drift.Expired: Expired, drift.Forgotten: Forgotten, drift.Relisted: Relisted,
	drift.Seen: Seen, drift.Gone: Gone, drift.Replaced: Seen, drift.Moved: Moved, drift.Edited: Rules, drift.Weighed: Wishes, drift.Aimed: Wishes,
}
