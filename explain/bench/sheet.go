package bench

import (
	"fmt"
	"slices"

	"tideline/engine/plan"
	"tideline/engine/schedule"
	"tideline/explain/words"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Sheet is what is printed of a plan for the bench.
type Sheet struct {
	Title    string // the book's
	Unproven bool   // a better plan may exist
	Summary  string
	Hours    string
	Cautions []*Caution // all, by number
	Steps    []*Step    // in the order of work, by the numbers of the plan
	Days     []*Day
	Supplies
	Entries string // for the record
}

// Step is one step of the sheet. Lists are in the order in which they are told.
type Step struct {
	Number    int
	Name, On  string
	Says      string // what is done
	When      string
	For       []string
	Dangers   []Told // to people
	Watch     []Told // to the book, in full
	Again     []*Again
	Tests     []*Test
	Settings  []Setting
	SetAt     int // the step that tells the settings that are not computed; 0 when this one does or there are none
	Materials []string
	Equipment []string
	StopSigns []string
	Expect    []string // what it is expected to bring, and what then
	Mishaps   []string // what it can bring, and what then
	Readings  []Reading
	Planned   int // minutes at the bench, tests excluded
}

// Title names a step with its number.
func (s *Step) Title() string { return words.StepOn(s.Number, s.Name, s.On) }

// Test is a test to be done again before a step, of one thing or several.
type Test struct {
	ID, Asks string
	Of       []Asked
	How      []string // as the pack tells it; empty when an earlier step tells it
	ToldAt   int      // that step
	Question *vocab.Question
}

// Asked is one thing a test is asked of.
type Asked struct{ Path, Line string }

// Setting is how something is set: as the pack says, or computed for what the step is done to.
type Setting struct {
	Line, Because, Standing string
	Range                   string // of a computed one: what it holds for
	Computed                bool
}

// Reading is something to measure before and after a step.
type Reading struct {
	What, Unit string
	Before     string // as known, "" when not
}

// maker makes a sheet.
type maker struct {
	plan  *plan.Plan
	sheet *Sheet
	told  map[*vocab.Question]int // tests told, with the step
	set   map[*pack.Treatment]int // settings told, with the step
	by    map[string]*Caution
}

// New makes the sheet of a plan. The error is a fault of the pack.
func New(p *plan.Plan, s *schedule.Schedule) (*Sheet, error) {
	c := p.Judgement.Case
	m := &maker{plan: p, told: map[*vocab.Question]int{}, set: map[*pack.Treatment]int{}, by: map[string]*Caution{}, sheet: &Sheet{
		Title: c.Book.Title, Unproven: !p.Proven, Summary: words.Calendar(s), Hours: words.Hours(s.Options),
	}}
	for _, step := range InOrderOfWork(s) {
		if err := m.step(step); err != nil {
			return nil, err
		}
	}
	if len(s.Steps) == 0 {
		m.sheet.Summary = nothing(p)
	}
	m.sheet.Days = Days(s)
	m.sheet.Supplies = m.supplies()
	m.sheet.Entries = Entries(p, s)
	return m.sheet, nil
}

// nothing says why there is no step.
func nothing(p *plan.Plan) string {
	switch {
	case !p.Proven:
		return words.PlanUnproven
	case p.Waiting():
		return words.TestsFirst
	}
	return words.StopHere
}

// InOrderOfWork gives the steps as they begin: what is told once is then told before it is referred to.
func InOrderOfWork(s *schedule.Schedule) []*schedule.Step {
	steps := slices.Clone(s.Steps)
	slices.SortStableFunc(steps, func(a, b *schedule.Step) int { return a.From().Compare(b.From()) })
	return steps
}

// step tells a step.
func (m *maker) step(s *schedule.Step) error {
	t := s.Treatment
	w := &Step{
		Number: s.Number, Name: t.Name, On: s.Path, Says: t.Says, When: words.Planned(s), For: m.purposes(s.Step), Materials: t.Materials,
		Equipment: t.Equipment, StopSigns: t.StopSigns, Planned: t.Active, Readings: readings(s.Step),
	}
	m.tests(w, s.Step)
	m.cautions(w, s.Step)
	m.settings(w, s.Step)
	for _, b := range s.Brings {
		then := words.AcceptedBrings
		if b.Met != nil {
			then = words.StepNumber(m.number(*b.Met))
		}
		w.Expect = append(w.Expect, words.Expectation(b, then))
	}
	mishaps, err := s.Mishaps()
	for _, i := range mishaps {
		var then []string
		for _, v := range i.Then[:min(2, len(i.Then))] {
			then = append(then, v.Treatment.Name+" "+words.Aside(string(v.Word)))
		}
		w.Mishaps = append(w.Mishaps, words.Mishap(i.Kind, i.On, then))
	}
	m.sheet.Steps = append(m.sheet.Steps, w)
	return err
}

// number gives the place of a step in the plan, from 1.
func (m *maker) number(k plan.Key) int {
	return 1 + slices.IndexFunc(m.plan.Steps, func(s *plan.Step) bool { return s.Key == k })
}

func (m *maker) numbers(keys []plan.Key) (list []int) {
	for _, k := range keys {
		list = append(list, m.number(k))
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// purposes says what a step is there for, in the words of the rules that call for it.
func (m *maker) purposes(s *plan.Step) (list []string) {
	for _, sub := range s.For {
		because := ""
		for _, i := range sub.Calls {
			if slices.Contains(i.Rule.Treatments, s.Treatment) {
				because = i.Rule.Because
				break
			}
		}
		list = append(list, words.ForWhat(words.SubjectIn(m.plan, sub), because))
	}
	for _, b := range s.Meets {
		list = append(list, words.OfSteps(b, m.numbers(b.By)))
	}
	if len(s.Needed) > 0 {
		list = append(list, words.NeededFor+" "+words.Steps(m.numbers(s.Needed)))
	}
	return list
}

// tests tells the tests to be done again, each once for all the things it is asked of.
func (m *maker) tests(w *Step, s *plan.Step) {
	for _, r := range s.Retests {
		i := slices.IndexFunc(w.Tests, func(t *Test) bool { return t.Question == r.Question })
		if i < 0 {
			i = len(w.Tests)
			w.Tests = append(w.Tests, m.test(w.Number, r.Question))
		}
		w.Tests[i].Of = append(w.Tests[i].Of, Asked{r.Path, words.RetestLine(r)})
	}
}

func (m *maker) test(step int, q *vocab.Question) *Test {
	t := &Test{ID: q.ID, Asks: q.Asks, Question: q}
	if t.ToldAt = m.told[q]; t.ToldAt > 0 {
		return t
	}
	m.told[q] = step
	if how := m.plan.Judgement.Case.Pack.Test(q.ID); how != nil {
		t.How = words.How(how)
	}
	return t
}

// readings gives what can be measured before and after: the numbers and grades that the step is there for. What is known
// before is known when the step is reached: not what an earlier one made stale.
func readings(s *plan.Step) (list []Reading) {
	c := s.State.Case
	for _, sub := range s.For {
		for _, q := range sub.Asks {
			t := c.At(sub.Path)
			if !isNumber(q) || t == nil || t.Kind != q.Kind {
				continue
			}
			r := Reading{What: words.ReadingLine(q, sub.Path), Unit: q.Unit}
			if q.Type == vocab.Grade {
				r.Unit = words.GradeUnit
			}
			if a := c.Asks[c.Number(t, q)].Answer; a.Known {
				r.Before = fmt.Sprint(a.Num)
			}
			list = append(list, r)
		}
	}
	return list
}

// Before gives the cautions of the list before the steps: dangers to people, and what no step tells in full.
func (s *Sheet) Before() (list []*Caution) {
	for _, c := range s.Cautions {
		if c.People || c.At == 0 {
			list = append(list, c)
		}
	}
	return list
}
