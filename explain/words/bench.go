package words

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tideline/engine/plan"
	"tideline/engine/record"
	"tideline/engine/schedule"
	"tideline/engine/setting"
	"tideline/rules/vocab"
)

// Phrases of the bench sheet and the time chart, each for one state.
const (
	BenchSheet      = "Bench sheet"
	TimeChart       = "Time chart"
	StepsOfPlan     = "Steps"
	BeforeBegin     = "Before you begin: what to watch for"
	BeforeBeginHow  = "Dangers to people, and what steps have no room to tell in full. Steps name each by its number."
	Reading         = "How to read it"
	DoAsBefore      = "as told at step"
	IfOtherwise     = "If an answer is other than the plan counts on, do not go on: enter it in the record and plan again."
	IfItComes       = "If one of these comes, enter it in the record as a finding and plan again."
	Equipment       = "Equipment"
	HowItWent       = "How it went"
	OutcomeOf       = "Result"
	ReadingsOf      = "Readings"
	BeforeStep      = "before"
	AfterStep       = "after"
	MinutesAtBench  = "Minutes at the bench"
	DoneOn          = "Date and time"
	DoneBy          = "By"
	NotesOf         = "What came of it"
	AnswerNow       = "now"
	ForTheBook      = "For the record, when steps are done"
	MaterialsAll    = "Materials for the whole plan"
	MaterialOf      = "Material"
	ForSteps        = "For steps"
	AmountOf        = "Amount"
	DangersWithIt   = "Dangers told with these steps"
	ComputedHere    = "Computed settings"
	You             = "you"
	PutBy           = "lies waiting"
	NoSteps         = "There is no step to do; `tideline plan BOOK` says why."
	HandsOn         = "hands-on"
	TestsAgain      = "tests first"
	Waits           = "waiting"
	GoesOn          = "goes on after hours"
	NumbersAreSteps = "numbers: steps"
	WorkOrder       = "In the order of work; the numbers are those of the plan."
	SkipToSteps     = "Skip to the steps"
	TimesOfPack     = "Times are the packs'; setting up, clearing away and your own pace are not in them. Parts that a fastener still holds together are one."
	NotesHowTo      = "Put these into the record. Fill in the date of each step done (without one the record is not taken), and leave out the others."
	EntriesBelow    = "to go below the steps that stand under done: already"
	EnterFirst      = "enter this finding in the record first, then put its path here"
	NothingByHand   = "nothing to do by hand"
)

// SubjectIn names what calls for care in a plan, with the answers it rests on: its own, and those of the book, the owner and
// the bench.
func SubjectIn(p *plan.Plan, s *plan.Subject) string {
	c := p.Judgement.Case
	t := c.At(s.Path)
	var asks []*vocab.Question
	var answers []string
	for _, q := range s.Asks {
		of := t
		if q.Kind.Singular() {
			of = c.Of(q.Kind)[0]
		}
		if of.Kind == q.Kind {
			asks, answers = append(asks, q), append(answers, Answer(c.Asks[c.Number(of, q)]))
		}
	}
	kind := ""
	if q := c.Pack.Vocabulary.Question(string(t.Kind) + ".kind"); q != nil && len(s.Asks) == 0 {
		kind = c.Asks[c.Number(t, q)].Answer.Word
	}
	return SubjectOf(kind, s.Path, asks, answers)
}

// Computed writes a computed setting in a line.
func Computed(c setting.Computed) string {
	switch {
	case c.Done:
		line := Of(c.Setting.What, c.Value.String()+" "+Aside(c.Value.Says)) + Doubt(c.Value.Class)
		for _, t := range c.Taken {
			line += "; " + TakenAs(t.Ask.Question, t.Answer, Thing(t.Ask.Thing))
		}
		return line
	case c.Refusal != nil:
		return Of(c.Setting.What, NoNumberGiven+"; "+Refusal(c.Refusal))
	}
	var missing []string
	for _, ask := range c.Missing {
		missing = append(missing, Of(Thing(ask.Thing), ask.Question.ID))
	}
	return Of(c.Setting.What, CannotBeComputed(missing))
}

// Steps names steps by their numbers, rising: "step 3", "steps 3, 5 and 9".
func Steps(list []int) string {
	list = slices.Clone(list)
	slices.Sort(list)
	if len(list) == 1 {
		return StepNumber(list[0])
	}
	return "steps " + listed(numbers(list))
}

// numbers lists numbers, runs of three and more by their ends.
func numbers(list []int) (parts []string) {
	for len(list) > 0 {
		run := 1
		for run < len(list) && list[run] == list[0]+run {
			run++
		}
		if run < 3 {
			run = 1
			parts = append(parts, fmt.Sprint(list[0]))
		} else {
			parts = append(parts, fmt.Sprintf("%d to %d", list[0], list[run-1]))
		}
		list = list[run:]
	}
	return parts
}

// listed joins with commas and a last "and".
func listed(parts []string) string {
	if n := len(parts); n > 1 {
		return strings.Join(parts[:n-1], ", ") + " and " + parts[n-1]
	}
	return strings.Join(parts, "")
}

// NumberOf gives the number of a caution, with what it is about.
func NumberOf(n int, things string) string { return fmt.Sprintf("%d %s", n, Aside(things)) }

// AlsoCautions points at cautions told in full elsewhere: by their numbers, and those with what they are about.
func AlsoCautions(plain []int, about []string, step int) string {
	return "Also " + listed(append(numbers(plain), about...)) + ": " + ToldAt(step)
}

// ToldAt says where a caution is told in full: at a step, or before all of them.
func ToldAt(step int) string {
	if step == 0 {
		return "in full in the list before the steps"
	}
	return "in full at " + StepNumber(step)
}

// StepOn names a step of the sheet: "3. blotter wash on cover".
func StepOn(number int, treatment, target string) string {
	return fmt.Sprintf("%d. %s", number, On(treatment, target))
}

// Expectation says what a step is expected to bring, and what then.
func Expectation(b *plan.Brought, then string) string {
	return fmt.Sprintf("%s on %s %s", b.Kind, b.On, Aside(then))
}

// ForWhat says what a step is there for, with the reason of the rule that calls for it.
func ForWhat(subject, because string) string {
	if because == "" {
		return subject
	}
	return subject + ". " + because
}

// OfSteps says which earlier steps bring what a step meets.
func OfSteps(b *plan.Brought, steps []int) string {
	return fmt.Sprintf("%s on %s, from %s", b.Kind, b.On, Steps(steps))
}

// ReadingLine names what to measure before and after a step, with the number known before.
func ReadingLine(q *vocab.Question, on string) string { return q.ID + " of " + on }

// OutcomeWords lists the ways a step can go, as the record writes them.
func OutcomeWords() []string {
	return []string{string(record.AsPlanned), string(record.Partly), string(record.Stopped)}
}

// Weekday writes a day with its name.
func Weekday(t time.Time) string { return t.Format("Mon 2006-01-02") }

// Clock writes a time of day.
func Clock(t time.Time) string { return t.Format("15:04") }

// fromTo writes a stretch of time, the day once where it is one.
func fromTo(from, to time.Time) string {
	if from.Format(time.DateOnly) == to.Format(time.DateOnly) {
		return fmt.Sprintf("%s %s to %s", Weekday(from), Clock(from), Clock(to))
	}
	return fmt.Sprintf("%s %s to %s %s", Weekday(from), Clock(from), Weekday(to), Clock(to))
}

// Planned says when a step is to be done: its hands-on time, then how long it waits.
func Planned(s *schedule.Step) string {
	var parts []string
	for _, h := range joined(s.Hands()) {
		parts = append(parts, fromTo(h.From, h.To))
	}
	line := strings.Join(parts, "; ")
	if s.Wait.Minutes() > 0 {
		if line != "" {
			line += "; then "
		}
		line += "waits until " + Weekday(s.Wait.To) + " " + Clock(s.Wait.To)
	}
	if line == "" { // it takes no time
		line = Weekday(s.From()) + " " + Clock(s.From())
	}
	return line
}

// joined makes one of spans that follow one another without a break.
func joined(list []schedule.Span) (out []schedule.Span) {
	for _, s := range list {
		if n := len(out); n > 0 && out[n-1].To.Equal(s.From) {
			out[n-1].To = s.To
			continue
		}
		out = append(out, s)
	}
	return out
}

// Calendar sums a time chart up: how much by hand, from when to when, on how many days.
func Calendar(s *schedule.Schedule) string {
	if len(s.Steps) == 0 {
		return NoSteps
	}
	hands := Minutes(s.Hands)
	if s.Tests > 0 {
		hands += fmt.Sprintf(", %s of it for tests done again", Minutes(s.Tests))
	}
	return fmt.Sprintf("Hands-on %s, on %s; in all %s, %s.", hands, Count(len(s.Days()), "day", "days"), Minutes(s.Elapsed), fromTo(s.From, s.To))
}

// Hours says when someone is at the bench.
func Hours(o schedule.Options) string {
	var days []string
	for n := range 7 {
		d := time.Weekday((n + 1) % 7) // a week begins on Monday (ISO 8601)
		if o.Days[d] {
			days = append(days, d.String()[:3])
		}
	}
	return fmt.Sprintf("Reckoned with one person, %s a day from %02d:%02d, %s.", Minutes(o.PerDay), o.Begin/60, o.Begin%60, strings.Join(days, " "))
}

// Idle says which days pass without work by hand, and what waits.
func Idle(from, to time.Time, waits []string) string {
	day := Weekday(from)
	if !from.Equal(to) {
		day += " to " + Weekday(to)
	}
	line := day + ": " + NothingByHand
	if len(waits) > 0 {
		line += "; " + strings.Join(waits, ", ")
	}
	return line
}

// WaitsUntil says until when a step waits.
func WaitsUntil(step int, to time.Time) string {
	return fmt.Sprintf("%d waits until %s %s", step, Weekday(to), Clock(to))
}

// ClockSpan writes a stretch of a day.
func ClockSpan(s schedule.Span) string { return Clock(s.From) + "-" + Clock(s.To) }

// TestsBefore names the tests done again before a step.
func TestsBefore(step string) string { return TestsAgain + ": " + step }

// ChartText tells of a strip of the time chart what its picture shows.
func ChartText(day time.Time, rows int) string {
	return fmt.Sprintf("%s: %s. The list below says the same in words.", Weekday(day), Count(rows, "row", "rows"))
}

// DangersNumbered points at dangers by their numbers.
func DangersNumbered(list []int) string { return DangersWithIt + ": " + listed(numbers(list)) }

// EntryTitle names the step of an entry for the record.
func EntryTitle(s *schedule.Step) string { return StepOn(s.Number, s.Treatment.Name, s.Path) }

// EntryReadings says how readings are entered.
const EntryReadings = "before and after; leave the list out if nothing was measured"

// EntryDate says how the date of a step is entered. A time of day tells which results of that day are older.
func EntryDate(planned time.Time) string {
	return "day and time it was done; planned for " + planned.Format("2006-01-02T15:04")
}

// EntryResult says how the outcome of a step is entered.
func EntryResult() string { return strings.Join(OutcomeWords(), ", or ") }

// EntryMinutes says how the time of a step is entered.
func EntryMinutes(planned int) string { return fmt.Sprintf("at the bench; planned: %d", planned) }

// GradeUnit is the unit of a reading that is a grade.
const GradeUnit = "grade"

// ChartKey tells what the marks of a chart stand for; numbers are those of the steps.
func ChartKey(work, tests, wait, onward string) string {
	return strings.Join([]string{work + " " + HandsOn, tests + " " + TestsAgain, wait + " " + Waits, onward + " " + GoesOn, NumbersAreSteps}, "; ")
}
