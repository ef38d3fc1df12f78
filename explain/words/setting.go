package words

import (
	"errors"
	"strings"

	"tideline/engine/dose"
	"tideline/engine/judge"
	"tideline/rules/vocab"
)

// Phrases of computed values in verdicts and settings, each for one state.
const (
	ComputedSettings = "Settings computed for this"
	Sampled          = "sampled, not exact: numbers not known were tried at points of their range only"
	CannotCompute    = "one of its conditions cannot be computed with the answers given, and stays open whatever else is tested"
	NoNumberGiven    = "is not computed"
	AsWritten        = "The pack says"
	WaitsForAnswers  = "waits for an answer"
)

// Measure writes a number in a unit of conditions, rounded as answers are.
func Measure(unit string, v float64) string {
	q := vocab.Question{Type: vocab.Number, Unit: unit}
	return q.Text(vocab.Num(v))
}

// Dosed says what a function in a condition gives, or why nothing.
func Dosed(d *judge.Dosed, done bool) string {
	switch {
	case d.Refusal != nil:
		return Of(d.Call.Text, NoNumberGiven+"; "+Refusal(d.Refusal))
	case !done:
		return Of(d.Call.Text, WaitsForAnswers)
	}
	text := d.Call.Text + " = " + Measure(d.Call.Function.Unit, d.Value)
	if d.Call.Function.Memory {
		text += " " + Aside(FromMemory)
	}
	return text
}

// Worked gives the working of a call, a line each, and the sources it stands on; none where it was not computed.
func Worked(d *judge.Dosed, done bool) (working, sources []string) {
	if !done {
		return nil, nil
	}
	r, _, err := dose.Call(d.Call.Function.Name, d.Values)
	if err != nil { // a function of another table
		return nil, nil
	}
	for _, l := range r.Working {
		working = append(working, WorkedOut(l))
	}
	for _, s := range r.Sources {
		sources = append(sources, Aside(s.ID)+" "+DoseSource(s))
	}
	return working, sources
}

// Refusal says in one line why something is not computed.
func Refusal(err error) string {
	var r *dose.Refusal
	if !errors.As(err, &r) {
		return err.Error()
	}
	text := Refused(r)
	if r.Range != "" {
		text += " " + Aside(RangeBy(r.Range, r.By)+whose(r.Source))
	}
	return text
}

func whose(source string) string {
	if source == "" {
		return ""
	}
	return "; " + source
}

// CannotBeComputed says what is missing for a setting.
func CannotBeComputed(questions []string) string {
	return "cannot be computed: " + strings.Join(questions, ", ") + " not known"
}

// TakenAs says which answer is taken for one that the book does not have.
func TakenAs(q *vocab.Question, a vocab.Answer, thing string) string {
	return Of(thing, q.ID) + " taken as " + q.Text(a) + " until measured"
}

// WorkedOut writes a line of working on one line.
func WorkedOut(l dose.Line) string {
	s := l.Formula
	if l.Put != "" {
		s += ": " + l.Put
	}
	return s + " " + Comes(l)
}
