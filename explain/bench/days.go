package bench

import (
	"slices"
	"time"

	"tideline/engine/schedule"
	"tideline/explain/words"
	"tideline/rules/pack"
)

// Day is a day on which there is something to do by hand, in working hours.
type Day struct {
	schedule.Span        // the working hours
	Idle          string // tells the days since the one before on which there was not; "" when there are none
	Rows          []Row  // the person first, then equipment, then what lies waiting without any
	Tasks         []Task // what is done by hand, one after another
}

// Task is what is done by hand in one go, with its time of day.
type Task struct{ Time, What string }

// Row is a row of a day's chart.
type Row struct {
	Label string
	Bars  []Bar // rising
}

// Kind is what goes on in a stretch of the chart.
type Kind string

// The kinds.
const (
	Tests Kind = "tests"
	Work  Kind = "work"
	Wait  Kind = "wait"
)

// Bar is a stretch of a row, cut off at the working hours.
type Bar struct {
	schedule.Span
	Step   int
	Kind   Kind
	Onward bool // it goes on after working hours
}

// Days makes the days of a schedule.
func Days(s *schedule.Schedule) (days []*Day) {
	rows := rowsOf(s)
	last := time.Time{}
	for _, date := range s.Days() {
		begin := date.Add(time.Duration(s.Begin) * time.Minute)
		d := &Day{Span: schedule.Span{From: begin, To: begin.Add(time.Duration(s.PerDay) * time.Minute)}}
		if next := last.AddDate(0, 0, 1); !last.IsZero() && next.Before(date) {
			d.Idle = words.Idle(next, date.AddDate(0, 0, -1), waiting(s, next, date))
		}
		for _, r := range rows {
			if part := r.within(d.Span); len(part.Bars) > 0 {
				d.Rows = append(d.Rows, part)
			}
		}
		d.Tasks = tasks(s, d.Span)
		days, last = append(days, d), date
	}
	return days
}

// waiting tells what waits on days without work by hand.
func waiting(s *schedule.Schedule, from, to time.Time) (list []string) {
	for _, step := range s.Steps {
		if step.Wait.From.Before(to) && step.Wait.To.After(from) {
			list = append(list, words.WaitsUntil(step.Number, step.Wait.To))
		}
	}
	return list
}

// rowsOf makes the rows of the whole schedule.
func rowsOf(s *schedule.Schedule) []Row {
	rows := []Row{{Label: words.You}}
	for _, step := range s.Steps {
		for _, h := range step.Tests {
			rows[0].add(h, step, Tests)
		}
		for _, h := range step.Work {
			rows[0].add(h, step, Work)
		}
	}
	for _, name := range pack.Equipment {
		r := Row{Label: name}
		for _, step := range s.Steps {
			if slices.Contains(step.Treatment.Equipment, name) {
				r.hold(step)
			}
		}
		rows = append(rows, r)
	}
	rows = append(rows, putBy(s)...)
	for _, r := range rows {
		slices.SortFunc(r.Bars, func(a, b Bar) int { return a.From.Compare(b.From) })
	}
	return rows
}

func (r *Row) add(s schedule.Span, step *schedule.Step, k Kind) {
	if s.To.After(s.From) {
		r.Bars = append(r.Bars, Bar{Span: s, Step: step.Number, Kind: k})
	}
}

// hold adds all the time for which a step keeps something occupied: nights between its days too.
func (r *Row) hold(step *schedule.Step) {
	at := step.Held().From
	for _, h := range step.Work {
		r.add(schedule.Span{From: at, To: h.From}, step, Wait)
		r.add(h, step, Work)
		at = h.To
	}
	r.add(schedule.Span{From: at, To: step.To()}, step, Wait)
}

// putBy makes rows for what waits without equipment, as many as wait at once.
func putBy(s *schedule.Schedule) (rows []Row) {
	for _, step := range s.Steps {
		if len(step.Treatment.Equipment) > 0 || step.Wait.Minutes() == 0 {
			continue
		}
		free := func(r Row) bool {
			return !slices.ContainsFunc(r.Bars, func(b Bar) bool { return b.From.Before(step.Wait.To) && step.Wait.From.Before(b.To) })
		}
		i := slices.IndexFunc(rows, free)
		if i < 0 {
			i = len(rows)
			rows = append(rows, Row{Label: words.PutBy})
		}
		rows[i].add(step.Wait, step, Wait)
	}
	return rows
}

// within gives the part of a row that lies in a day's hours.
func (r Row) within(day schedule.Span) Row {
	part := Row{Label: r.Label}
	for _, b := range r.Bars {
		b.Onward = b.To.After(day.To)
		if b.From.Before(day.From) {
			b.From = day.From
		}
		if b.Onward {
			b.To = day.To
		}
		if b.From.Before(b.To) {
			part.Bars = append(part.Bars, b)
		}
	}
	return part
}

// tasks lists what is done by hand on a day.
func tasks(s *schedule.Schedule, day schedule.Span) (list []Task) {
	var bars []Bar
	for _, step := range s.Steps {
		for _, h := range step.Tests {
			bars = append(bars, Bar{Span: h, Step: step.Number, Kind: Tests})
		}
		for _, h := range step.Work {
			bars = append(bars, Bar{Span: h, Step: step.Number, Kind: Work})
		}
	}
	slices.SortFunc(bars, func(a, b Bar) int { return a.From.Compare(b.From) })
	for _, b := range bars {
		if b.From.Before(day.From) || !b.From.Before(day.To) {
			continue
		}
		step := s.Steps[b.Step-1]
		title := words.StepOn(step.Number, step.Treatment.Name, step.Path)
		if b.Kind == Tests {
			title = words.TestsBefore(title)
		}
		list = append(list, Task{words.ClockSpan(b.Span), title})
	}
	return list
}
