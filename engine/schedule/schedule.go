package schedule

import (
	"fmt"
	"slices"
	"time"

	"tideline/engine/plan"
)

// Options say when someone is at the bench.
type Options struct {
	Start  time.Time // the first day that could be used
	Begin  int       // when work begins, in minutes of the day
	PerDay int       // minutes at the bench in a day
	Days   [7]bool   // the days worked, by time.Weekday
}

// Usual gives the hours of someone who says nothing else: six at the bench from nine, Monday to Friday (common practice, no
// source).
func Usual(start time.Time) Options {
	return Options{Start: start, Begin: 9 * 60, PerDay: 6 * 60, Days: [7]bool{false, true, true, true, true, true, false}}
}

// check tells what is wrong with options, in words for whoever gave them.
func (o Options) check() error {
	switch {
	case o.Start.IsZero():
		return fmt.Errorf("there is no first day to begin with")
	case o.PerDay < 1:
		return fmt.Errorf("a day at the bench has at least one minute, not %d", o.PerDay)
	case o.Begin < 0 || o.Begin+o.PerDay > day:
		return fmt.Errorf("%d minutes at the bench from %02d:%02d go beyond the end of the day", o.PerDay, o.Begin/60, o.Begin%60)
	case o.Days == [7]bool{}:
		return fmt.Errorf("no day of the week is worked on")
	}
	return nil
}

// Span is a stretch of time, its end excluded. It has the clock of the bench, whatever its zone.
type Span struct{ From, To time.Time }

// Minutes is how long a span is.
func (s Span) Minutes() int { return int(s.To.Sub(s.From) / time.Minute) }

// Step is a step of the plan in time.
type Step struct {
	*plan.Step
	Number int      // in the plan, from 1
	Keeps  []string // parts and fasteners that it keeps occupied, sorted
	Tests  []Span   // for the tests before it: none, one, or one for each day
	Work   []Span   // for the step itself, likewise
	Wait   Span     // the zero span when it does not wait
	Follow []int    // numbers of the steps it had to wait for, by the order of the plan
}

// From is when a step begins, with its tests.
func (s *Step) From() time.Time {
	if hands := s.Hands(); len(hands) > 0 {
		return hands[0].From
	}
	return s.Wait.From
}

// To is when a step is over, waiting included.
func (s *Step) To() time.Time {
	if hands := s.Hands(); s.Wait.To.IsZero() && len(hands) > 0 {
		return hands[len(hands)-1].To
	}
	return s.Wait.To
}

// Hands gives all spans in which the step keeps a person busy.
func (s *Step) Hands() []Span { return append(slices.Clone(s.Tests), s.Work...) }

// Held gives the span in which its equipment is occupied; from and to are equal when it never is.
func (s *Step) Held() Span {
	if len(s.Work) > 0 {
		return Span{s.Work[0].From, s.To()}
	}
	return s.Wait
}

// Schedule is a plan in time.
type Schedule struct {
	Options
	Steps []*Step // in the order of the plan
	// Hands are the minutes a person is busy, Tests those of them for tests done again. Elapsed are all from the first
	// beginning to the last end.
	Hands, Tests, Elapsed int
	From, To              time.Time // both zero when there is no step
}

// Make lays a plan out. The error tells what is wrong with the options.
func Make(p *plan.Plan, o Options) (*Schedule, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	var steps []*touch
	var jobs []job
	for i, s := range p.Steps {
		steps = append(steps, touched(s))
		jobs = append(jobs, jobOf(steps, i))
	}
	y, m, d := o.Start.Date()
	midnight := time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
	c := calendar{o, int(midnight.Weekday())}
	at := func(minute int) time.Time { return midnight.Add(time.Duration(minute) * time.Minute) }
	spans := func(list []span) (out []Span) {
		for _, s := range list {
			out = append(out, Span{at(s.from), at(s.to)})
		}
		return out
	}
	s := &Schedule{Options: o}
	s.Start = midnight
	for i, pl := range c.lay(jobs) {
		step := &Step{Step: p.Steps[i], Number: i + 1, Keeps: steps[i].keeps, Tests: spans(pl.tests), Work: spans(pl.work)}
		if pl.wait.to > pl.wait.from {
			step.Wait = spans([]span{pl.wait})[0]
		} else if len(step.Hands()) == 0 { // it takes no time: it is over when it begins
			step.Wait = Span{at(pl.wait.from), at(pl.wait.from)}
		}
		for _, n := range jobs[i].after {
			step.Follow = append(step.Follow, n+1)
		}
		s.add(step, jobs[i])
	}
	return s, nil
}

// add adds a step and what it takes.
func (s *Schedule) add(step *Step, j job) {
	s.Steps = append(s.Steps, step)
	s.Hands += j.tests + j.active
	s.Tests += j.tests
	if from := step.From(); s.From.IsZero() || from.Before(s.From) {
		s.From = from
	}
	if to := step.To(); to.After(s.To) {
		s.To = to
	}
	s.Elapsed = Span{s.From, s.To}.Minutes()
}

// Days gives the days on which there is something to do by hand, rising.
func (s *Schedule) Days() (days []time.Time) {
	for _, step := range s.Steps {
		for _, h := range step.Hands() {
			days = append(days, h.From.Truncate(24*time.Hour))
		}
	}
	slices.SortFunc(days, time.Time.Compare)
	return slices.CompactFunc(days, time.Time.Equal)
}
