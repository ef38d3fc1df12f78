package audit

import (
	"slices"
	"strings"
	"time"

	"tideline/engine/ask"
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/seal/edition1"
)

// act is a step that was decided on, or done.
type act struct {
	step, on string
	accepted bool
	because  string    // the reason, of a departure
	cautions bool      // they stand in the working notes
	done     time.Time // zero when no later record says it was
	wasDone  bool
	outcome  record.Outcome // how it went, "" when not said
	note     string         // what the record says of it
}

// sound judges a decision on what was known when it was taken. next is the next decision of the case, nil for none: from it,
// or else from today's record, comes what was done.
func (a *Auditor) sound(w *waiting, next *edition1.Body) {
	s := &soundness{a: a, waiting: w, next: next, verdicts: map[place]edition1.Verdict{}}
	for _, v := range w.body.Verdicts {
		s.verdicts[place{v.Treatment, v.On}] = v
	}
	s.after = s.afterwards()
	s.acts = s.all()
	w.d.Acts = len(s.acts)
	s.program()
	for _, act := range s.acts {
		s.advice(act)
		s.carried(act)
		s.stale(act)
	}
	s.planned()
	s.tests()
	if d := w.body.Decision; d != nil && d.Consent == nil && len(d.Accepted)+len(did(d)) > 0 {
		s.note(Finding{Kind: NoConsent})
	}
}

type soundness struct {
	*waiting
	a        *Auditor
	next     *edition1.Body
	after    *record.Book // as recorded later, nil when that is not at hand
	verdicts map[place]edition1.Verdict
	acts     []*act
}

func (s *soundness) found(f Finding) { s.d.Findings = append(s.d.Findings, f) }
func (s *soundness) note(f Finding)  { s.d.Notes = append(s.d.Notes, f) }

// did gives the departures by which a step is done.
func did(d *edition1.Decision) []edition1.Departure {
	return slices.DeleteFunc(slices.Clone(d.Departures), func(p edition1.Departure) bool { return p.Step == "" || p.Did == "" })
}

// all gathers what was decided on, then what a later record says was done since.
func (s *soundness) all() []*act {
	var acts []*act
	if d := s.body.Decision; d != nil {
		for _, x := range d.Accepted {
			acts = append(acts, &act{step: x.Step, on: x.On, accepted: true, cautions: x.Cautions})
		}
		for _, x := range did(d) {
			acts = append(acts, &act{step: x.Step, on: x.On, because: x.Because, cautions: x.Cautions})
		}
	}
	for _, done := range s.deeds() {
		at := slices.IndexFunc(acts, func(a *act) bool { return a.step == done.step && a.on == done.on })
		if at < 0 {
			later := s.saidLater(done)
			acts = append(acts, &act{step: done.step, on: done.on, because: later.Because, cautions: later.Cautions})
			at = len(acts) - 1
		}
		acts[at].wasDone, acts[at].done, acts[at].outcome, acts[at].note = true, done.date, done.outcome, done.note
	}
	return acts
}

// saidLater gives what the next decision says of a step done since, the zero departure when it says nothing.
func (s *soundness) saidLater(done deed) edition1.Departure {
	if s.next == nil || s.next.Decision == nil {
		return edition1.Departure{}
	}
	for _, p := range did(s.next.Decision) {
		if p.Step == done.step && p.On == done.on {
			return p
		}
	}
	return edition1.Departure{}
}

func parseMoment(text string) (time.Time, error) {
	if t, err := time.Parse(time.DateOnly, text); err == nil {
		return t, nil
	}
	return time.Parse("2006-01-02T15:04:05", text)
}

// of starts a finding about a step.
func (s *soundness) of(kind FindingKind, a *act) Finding {
	v := s.verdicts[place{a.step, a.on}]
	f := Finding{Kind: kind, Treatment: a.step, Name: v.Name, On: a.on, Verdict: v.Verdict, Because: a.because}
	if a.wasDone {
		f.Done = "on a day not given"
		if !a.done.IsZero() {
			f.Done = a.done.Format(time.DateOnly)
		}
	}
	if t := s.g.Case.Pack.Treatment(a.step); f.Name == "" && t != nil {
		f.Name = t.Name
	}
	if f.Name == "" {
		f.Name = a.step
	}
	return f
}

// program finds sealed verdicts whose proofs did not hold.
func (s *soundness) program() {
	for _, m := range s.d.Replay.Moved {
		if m.Erred() == ThatProgram && m.Was != "" {
			s.found(Finding{Kind: WrongThen, Treatment: m.Treatment, Name: m.Name, On: m.On, Verdict: m.Was, Could: []Could{
				{m.Treatment, m.Name, m.On, m.Was, []string{m.Is}},
			}})
		}
	}
}

// advised tells whether a step may be done as advised.
func advised(verdict string) bool {
	return verdict == string(judge.Recommended) || verdict == string(judge.Possible)
}

// advice finds what was done, or decided on, against the advice.
func (s *soundness) advice(a *act) {
	v := s.verdicts[place{a.step, a.on}]
	switch {
	case advised(v.Verdict), a.accepted && s.planStep(a.step, a.on) != nil:
		if a.because != "" {
			s.note(s.of(DecidedOther, a))
		} else if !a.accepted {
			s.note(s.of(NotRecorded, a))
		}
	case strings.TrimSpace(a.because) == "":
		f := s.of(AgainstAdvice, a)
		f.Asks = s.asked(v.HangsOn)
		s.found(f)
	default:
		s.note(s.of(DecidedOther, a))
	}
}

// asked looks questions up in the case.
func (s *soundness) asked(list []edition1.Ask) []Asked {
	var all []Asked
	for _, x := range list {
		i := slices.IndexFunc(s.g.Case.Asks, func(k evidence.Ask) bool {
			return k.Question != nil && k.Question.ID == x.Question && k.Thing.Path == x.On
		})
		if i < 0 {
			continue
		}
		k := s.g.Case.Asks[i]
		if k.Thing.Unlisted {
			k = s.g.Case.Asks[k.Thing.Listed]
		}
		if !slices.ContainsFunc(all, func(o Asked) bool { return o.Thing == k.Thing && o.Question == k.Question }) {
			all = append(all, Asked{k.Thing, k.Question, k})
		}
	}
	return all
}

// carried finds cautions and stop signs of a step decided on that neither the plan nor the working notes carry.
func (s *soundness) carried(a *act) {
	if a.cautions || !a.accepted && a.because == "" {
		return
	}
	v := s.g.Of(a.step, a.on)
	if v == nil {
		return
	}
	var carried []string
	if p := s.planStep(a.step, a.on); p != nil {
		carried = append(slices.Clone(p.Cautions), p.StopSigns...)
	}
	f := s.of(NotCarried, a)
	cautions, stopSigns := v.AtHand()
	for _, text := range append(cautions, stopSigns...) {
		if !slices.Contains(carried, text) {
			f.Missing = append(f.Missing, text)
		}
	}
	if len(f.Missing) > 0 {
		s.found(f)
	}
}

// stale finds answers that a verdict rests on and that no longer stood when it was acted on: when the step was done, or,
// where no later record says that it was, when the decision was sealed.
func (s *soundness) stale(a *act) {
	v := s.g.Of(a.step, a.on)
	if v == nil || s.retested(a) {
		return
	}
	day, done := a.done, []deed(nil)
	if a.wasDone {
		done = s.before(a)
	} else if at, err := time.Parse(time.RFC3339, s.body.At); err == nil {
		day = at.UTC().Truncate(24 * time.Hour)
	}
	if day.IsZero() || day.Before(s.g.Case.On) {
		day = s.g.Case.On
	}
	if day.Equal(s.g.Case.On) && len(done) == 0 {
		return
	}
	later, err := s.a.judge(evidence.Gather(s.g.Case.Pack, s.asOf(day, done), day))
	if err != nil {
		return
	}
	f := s.of(StaleThen, a)
	for _, number := range s.leaves(v) {
		if was, is := s.g.Case.Asks[number], later.Case.Asks[number]; was.Answer.Known && is.Lapsed != nil {
			f.Asks = append(f.Asks, Asked{is.Thing, is.Question, is})
		}
	}
	is := ""
	if w := later.Of(a.step, a.on); w != nil {
		is = string(w.Word)
	}
	if len(f.Asks) > 0 && is != f.Verdict {
		f.Could = []Could{{a.step, f.Name, a.on, f.Verdict, []string{is}}}
		s.found(f)
	}
}

// before lists the steps done since the decision and before a step.
func (s *soundness) before(a *act) (list []deed) {
	for _, d := range s.deeds() {
		if !d.date.IsZero() && !a.done.IsZero() && d.date.Before(a.done) {
			list = append(list, d)
		}
	}
	return list
}

// leaves lists the questions that the proof of a verdict reads.
func (s *soundness) leaves(v *judge.Verdict) []int {
	var list []int
	for _, i := range v.Instances {
		for _, l := range s.g.Reason(i).Answers() {
			list = append(list, l.Ask)
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// tests finds tests that were worth doing, were not done, and could have changed the verdict of a step acted on without a
// reason. Those that touch no such step are counted.
func (s *soundness) tests() {
	relied := s.relied()
	if len(relied) == 0 {
		return
	}
	left := 0
	for _, p := range ask.Next(s.g, ask.Options{}).Proposals {
		var could []Could
		for _, m := range p.Moves {
			if relied[m.Verdict] {
				could = append(could, Could{m.Verdict.Treatment.ID, m.Verdict.Treatment.Name, m.Verdict.Target.Path, string(m.Verdict.Word), texts(m.To)})
			}
		}
		f := Finding{Kind: TestSkipped, Could: could}
		for _, t := range p.Tests {
			if !s.excused(t.Ask) {
				f.Asks = append(f.Asks, Asked{t.Ask.Thing, t.Ask.Question, t.Ask})
			}
		}
		switch {
		case len(f.Asks) == 0:
		case len(could) > 0:
			s.found(f)
		default:
			left++
		}
	}
	if left > 0 {
		s.note(Finding{Kind: TestsLeft, Count: left})
	}
}

// relied gives the verdicts that were acted on without a reason and that an answer could still move.
func (s *soundness) relied() map[*judge.Verdict]bool {
	list := map[*judge.Verdict]bool{}
	for _, a := range s.acts {
		if v := s.g.Of(a.step, a.on); v != nil && a.because == "" && len(v.Open) > 0 {
			list[v] = true
		}
	}
	return list
}

// excused tells whether the decision says why a test was left.
func (s *soundness) excused(k evidence.Ask) bool {
	return s.body.Decision != nil && slices.ContainsFunc(s.body.Decision.Departures, func(d edition1.Departure) bool {
		return d.Test == k.Question.ID && d.On == k.Thing.Path && strings.TrimSpace(d.Because) != ""
	})
}

func texts(words []judge.Word) []string {
	var list []string
	for _, w := range words {
		list = append(list, string(w))
	}
	return list
}
