package audit

import (
	"slices"
	"strings"
	"time"

	"tideline/engine/decision"
	"tideline/engine/evidence"
	"tideline/engine/record"
	"tideline/engine/seal/edition1"
	"tideline/rules/fault"
	"tideline/rules/vocab"
)

// deed is a step done since the decision.
type deed struct {
	step, on, note string
	date           time.Time // zero when not given
	outcome        record.Outcome
}

// afterwards gives the book as it was recorded later: in the next decision of the case, or else in today's record, where
// that is given; nil when neither can be read by the words of the sealed packs.
func (s *soundness) afterwards() *record.Book {
	if s.next == nil {
		return s.today
	}
	return record.Parse(s.next.Record.Name, []byte(s.next.Record.Text), record.WordsOf(s.g.Case.Pack), time.Time{}, &fault.List{})
}

// deeds lists what was done since the decision, in the order of the record.
func (s *soundness) deeds() (list []deed) {
	if s.next != nil {
		for _, d := range s.next.Record.Done {
			if slices.Contains(s.body.Record.Done, d) {
				continue
			}
			one := deed{step: d.Step, on: d.On, note: d.Note}
			one.date, _ = parseMoment(d.Date)
			list = append(list, one)
		}
	} else if s.after != nil {
		for _, d := range s.after.Done {
			if !slices.ContainsFunc(s.g.Case.Book.Done, func(o record.Done) bool {
				return o.Treatment == d.Treatment && o.Target.Path == d.Target.Path && o.Date.Equal(d.Date)
			}) {
				list = append(list, deed{step: d.Treatment, on: d.Target.Path, note: d.Note, date: d.Date})
			}
		}
	}
	if s.after == nil {
		return list
	}
	for i := range list {
		for _, d := range s.after.Done {
			if d.Treatment == list[i].step && d.Target.Path == list[i].on && d.Date.Equal(list[i].date) {
				list[i].outcome = d.Outcome
			}
		}
	}
	return list
}

// asOf gives the book as it was when a step was come to: what was done before it, and what had been found out by that day.
func (s *soundness) asOf(day time.Time, done []deed) *record.Book {
	b := *s.g.Case.Book
	b.Done, b.Results = slices.Clone(b.Done), slices.Clone(b.Results)
	for _, d := range done {
		if target := s.g.Case.At(d.on); target != nil && target.Record != nil {
			b.Done = append(b.Done, record.Done{Treatment: d.step, Target: target.Record, Date: d.date, Outcome: d.outcome})
		}
	}
	if s.after == nil {
		return &b
	}
	for i := range s.after.Results {
		r := s.after.Results[i]
		q, thing := s.g.Case.Pack.Vocabulary.Question(r.Question.ID), s.g.Case.At(r.Thing.Path)
		if q == nil || q.Type != r.Question.Type || thing == nil || thing.Record == nil || q.Kind != thing.Kind || r.Step != nil || !r.Date.After(s.g.Case.On) || r.Date.After(day) {
			continue
		}
		r.Question, r.Thing = q, thing.Record
		b.Results = append(b.Results, r)
	}
	return &b
}

// planStep gives the step of the sealed plan that an act is, nil when it is none.
func (s *soundness) planStep(step, on string) *edition1.PlanStep {
	if s.body.Plan == nil {
		return nil
	}
	for i := range s.body.Plan.Steps {
		if p := &s.body.Plan.Steps[i]; p.Treatment == step && slices.Contains(p.Targets, on) {
			return p
		}
	}
	return nil
}

// retested finds tests that the plan has before a step and that were not done again when it was done. It tells whether there
// are any in the plan.
func (s *soundness) retested(a *act) bool {
	p := s.planStep(a.step, a.on)
	if p == nil || len(p.Retests) == 0 {
		return false
	}
	if !a.wasDone || a.done.IsZero() || s.after == nil {
		return true
	}
	then := evidence.Gather(s.g.Case.Pack, s.asOf(a.done, s.before(a)), a.done)
	f := s.of(NotRetested, a)
	for _, r := range p.Retests {
		thing, q := then.At(r.On), s.g.Case.Pack.Vocabulary.Question(r.Question)
		if thing == nil || q == nil || thing.Kind != q.Kind {
			continue
		}
		if ask := then.Asks[then.Number(thing, q)]; !ask.Answer.Known {
			f.Asks = append(f.Asks, Asked{ask.Thing, ask.Question, ask})
		}
	}
	if len(f.Asks) > 0 && strings.TrimSpace(a.because) == "" {
		s.found(f)
	}
	return true
}

// planned compares what was decided with the plan, and what was done with both.
func (s *soundness) planned() {
	if s.body.Plan == nil {
		return
	}
	against := decision.Against(s.body.Plan, s.body.Decision)
	for _, at := range against.Left {
		f := s.of(LeftOfPlan, &act{step: at.Step, on: at.On})
		f.Because = s.left(s.body, at)
		s.note(f)
	}
	for _, at := range against.Added {
		if a := s.act(at.Step, at.On); a != nil && a.accepted {
			s.note(s.of(BesidePlan, a))
		}
	}
	s.skipped()
	s.turned()
	for _, a := range s.acts {
		if a.outcome == record.Stopped && strings.TrimSpace(a.note+a.because) == "" {
			s.found(s.of(StoppedUnsaid, a))
		}
	}
}

func (s *soundness) act(step, on string) *act {
	for _, a := range s.acts {
		if a.step == step && a.on == on {
			return a
		}
	}
	return nil
}

// left gives the reason that a decision has for leaving a step.
func (s *soundness) left(b *edition1.Body, at decision.Place) string {
	if b == nil || b.Decision == nil {
		return ""
	}
	for _, d := range b.Decision.Departures {
		if d.Step == at.Step && d.On == at.On && d.Left != "" {
			return d.Because
		}
	}
	return ""
}

// inPlan lists the acts that are steps of the plan, in its order.
func (s *soundness) inPlan() (list []*act) {
	for _, p := range s.body.Plan.Steps {
		for _, on := range p.Targets {
			if a := s.act(p.Treatment, on); a != nil {
				list = append(list, a)
			}
		}
	}
	return list
}

// skipped finds steps accepted of the plan that were passed over: a step was done that has to come after them. Those that can
// still be done are noted, once anything was done at all.
func (s *soundness) skipped() {
	list := s.inPlan()
	if !slices.ContainsFunc(list, func(a *act) bool { return a.wasDone }) {
		return
	}
	for _, a := range list {
		switch {
		case !a.accepted || a.wasDone || strings.TrimSpace(s.left(s.next, decision.Place{Step: a.step, On: a.on})) != "":
		case slices.ContainsFunc(list, func(o *act) bool { return o.wasDone && s.ordered(a, o) }):
			s.found(s.of(StepSkipped, a))
		default:
			s.note(s.of(NotDone, a))
		}
	}
}

// turned finds steps done in another order than that of the plan. It is unsound where the packs give the order, or a step
// needs the other before it.
func (s *soundness) turned() {
	list := s.inPlan()
	for j, later := range list {
		for _, earlier := range list[:j] {
			if !earlier.wasDone || !later.wasDone || earlier.done.IsZero() || later.done.IsZero() || !later.done.Before(earlier.done) {
				continue
			}
			f := s.of(OtherOrder, later)
			e := s.of(OtherOrder, earlier)
			f.Before = &e
			if s.ordered(earlier, later) {
				s.found(f)
			} else {
				f.Kind = OtherOrderFree
				s.note(f)
			}
		}
	}
}

// ordered tells whether one step has to come before the other: by the packs, on the same part, or because the other needs it.
func (s *soundness) ordered(first, then *act) bool {
	if p := s.planStep(first.step, first.on); p != nil && slices.Contains(p.For, then.step+"@"+then.on) {
		return true
	}
	a, b := s.g.Case.Pack.Treatment(first.step), s.g.Case.Pack.Treatment(then.step)
	if a == nil || b == nil || !slices.Contains(a.Before, b.ID) && !slices.Contains(b.After, a.ID) {
		return false
	}
	return s.sharePart(first.on, then.on)
}

// sharePart tells whether two things have a part in common: a book has them all.
func (s *soundness) sharePart(a, b string) bool {
	part := func(path string) string { head, _, _ := strings.Cut(path, "/"); return head }
	book := s.g.Case.Of(vocab.Book)[0].Path
	return part(a) == part(b) || a == book || b == book
}
