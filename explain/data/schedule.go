package data

import (
	"time"

	"tideline/engine/schedule"
)

// Scheduled is a plan in time. Times are those of the bench's clock, without a zone, as a record writes them (ISO 8601).
type Scheduled struct {
	Hours   WorkingHours    `json:"working_hours"`
	From    string          `json:"from"` // "" when there is no step
	To      string          `json:"to"`
	Hands   int             `json:"minutes_hands_on"`
	Tests   int             `json:"minutes_tests"` // of those hands-on
	Elapsed int             `json:"minutes_elapsed"`
	Days    []string        `json:"days"` // on which there is something to do by hand
	Steps   []ScheduledStep `json:"steps"`
}

// WorkingHours is when someone is at the bench.
type WorkingHours struct {
	Begin   string   `json:"begin"`
	Minutes int      `json:"minutes"`
	Days    []string `json:"days"`
}

// ScheduledStep is a step of the plan in time.
type ScheduledStep struct {
	Number    int      `json:"number"` // in the plan, from 1
	Treatment string   `json:"treatment"`
	On        string   `json:"on"`
	Tests     []Time   `json:"tests"` // before it: one for each day they are broken over
	Work      []Time   `json:"work"`
	Waiting   *Time    `json:"waiting"` // null when it does not wait
	Equipment []string `json:"equipment"`
	Occupies  []string `json:"occupies"` // parts and fasteners
	Follows   []int    `json:"follows"`  // numbers of the steps that had to be over
}

// Time is a stretch of time.
type Time struct {
	From string `json:"from"`
	To   string `json:"to"`
}

// Schedule gives a plan in time.
func Schedule(s *schedule.Schedule) *Scheduled {
	w := &Scheduled{
		Hours: WorkingHours{Begin: clock(s.Begin), Minutes: s.PerDay, Days: []string{}}, Hands: s.Hands, Tests: s.Tests, Elapsed: s.Elapsed,
		Days: []string{}, Steps: []ScheduledStep{},
	}
	if len(s.Steps) > 0 {
		w.From, w.To = moment(s.From), moment(s.To)
	}
	for n := range 7 {
		if d := time.Weekday((n + 1) % 7); s.Options.Days[d] {
			w.Hours.Days = append(w.Hours.Days, d.String())
		}
	}
	for _, d := range s.Days() {
		w.Days = append(w.Days, d.Format(time.DateOnly))
	}
	for _, step := range s.Steps {
		one := ScheduledStep{
			Number: step.Number, Treatment: step.Treatment.ID, On: step.Path, Tests: times(step.Tests), Work: times(step.Work),
			Equipment: list(step.Treatment.Equipment), Occupies: list(step.Keeps), Follows: append([]int{}, step.Follow...),
		}
		if step.Wait.Minutes() > 0 {
			one.Waiting = &Time{moment(step.Wait.From), moment(step.Wait.To)}
		}
		w.Steps = append(w.Steps, one)
	}
	return w
}

func times(spans []schedule.Span) []Time {
	list := []Time{}
	for _, s := range spans {
		list = append(list, Time{moment(s.From), moment(s.To)})
	}
	return list
}

func moment(t time.Time) string { return t.Format("2006-01-02T15:04") }

// clock writes a minute of the day.
func clock(minute int) string {
	return time.Time{}.Add(time.Duration(minute) * time.Minute).Format("15:04")
}
