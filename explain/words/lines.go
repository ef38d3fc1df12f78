package words

import (
	"fmt"
	"slices"
	"strings"

	"tideline/engine/record"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Phrases of the list of verdicts, each for one state.
const (
	SeeWhy             = "`tideline why BOOK TREATMENT [TARGET]` shows the whole chain of any of these."
	ListOpen           = "Not said, so something unlisted may be there."
	TiedTogether       = "Answers that cannot go together, and tie this verdict"
	TakenAsWhole       = "Lists it rests on being complete"
	SeeGuide           = "`tideline pack guide` tells each of these rules whole, under its name."
	NoAimsGiven        = "No aims are given: everything the packs know as an aim counts."
	NothingRecommended = "Nothing can be recommended on what is known."
	NothingCallsEither = "Ruled out too, though nothing found calls for it"
	AllOfThem          = "all of them"
)

// JudgedFor heads a list of verdicts.
func JudgedFor(day string, packs []string) string {
	if len(packs) == 1 {
		return fmt.Sprintf("Judged for %s by the pack %s.", day, packs[0])
	}
	return fmt.Sprintf("Judged for %s by the pack %s, with %s laid over it.", day, packs[0], strings.Join(packs[1:], ", "))
}

// Aims names the owner's aims.
func Aims(list []string) string {
	if len(list) == 0 {
		return "The owner has no aims."
	}
	return "Aims: " + strings.Join(list, ", ") + "."
}

// Counted puts a number behind a phrase.
func Counted(phrase string, n int) string { return fmt.Sprintf("%s (%d)", phrase, n) }

// Labelled puts a phrase before what it is about.
func Labelled(phrase, what string) string { return phrase + ": " + what }

// Of says something of a thing.
func Of(thing, what string) string { return thing + ": " + what }

// On joins a treatment and its target.
func On(treatment, target string) string { return treatment + " on " + target }

// Rank writes a place, marked when it is shared.
func Rank(n int, shared bool) string {
	if shared {
		return fmt.Sprintf("%d =", n)
	}
	return fmt.Sprint(n)
}

// AlreadyDone says that a step was done before.
func AlreadyDone(path string, d *record.Done) string {
	return fmt.Sprintf("already done on %s: %s", path, Aside(Day(d.Date)+byWhom(d.By)+noted(d.Note)))
}

func byWhom(who string) string {
	if who == "" {
		return ""
	}
	return ", by " + who
}

func noted(note string) string {
	if note == "" {
		return ""
	}
	return ": " + note
}

// RestsOn says how well a verdict is founded, where nobody could look it up.
func RestsOn(standing string) string { return "rests on " + standing }

// More counts what is not shown.
func More(n int, one, many string) string { return "and " + Count(n, "more "+one, "more "+many) }

// MoreCautions counts the cautions not shown.
func MoreCautions(n int) string {
	return fmt.Sprintf("and %s; --all shows them here, `tideline why` with the treatment.", Count(n, "more caution", "more cautions"))
}

// Asked puts a question with the things it is asked of.
func Asked(asks, things string) string { return fmt.Sprintf("%s (%s)", asks, things) }

// RulesOutAt says which answer would rule out by itself.
func RulesOutAt(answers string) string { return "Ruled out if the answer is " + answers + "." }

// Either joins answers any of which would do.
func Either(answers []string) string { return strings.Join(answers, ", or ") }

// HoldsOf says of which things a reason holds.
func HoldsOf(things string) string { return "So it is with " + things + "." }

// InCase opens one way a question could turn out.
func InCase(q *vocab.Question, thing string, cells, all []vocab.Answer) string {
	return fmt.Sprintf("%s (%s) If the answer is %s:", q.Asks, thing, Cells(q, cells, all))
}

// Cells writes the answers that a case stands for. all is every answer the question was cut at, rising: of a number, by
// turns a value some rule compares it with and one between; none, where only points of its range were tried.
func Cells(q *vocab.Question, cells, all []vocab.Answer) string {
	first, last := cells[0], cells[len(cells)-1]
	switch {
	case q.Type == vocab.Number && all == nil:
		return Tried(q, cells)
	case q.Type == vocab.Number:
		return span(q, slices.Index(all, first), slices.Index(all, last), all)
	case len(cells) == 1:
		return q.Text(first)
	case q.Type == vocab.Grade:
		return q.Text(first) + " to " + q.Text(last)
	}
	var list []string
	for _, c := range cells {
		list = append(list, q.Text(c))
	}
	return strings.Join(list, " or ")
}

// mostTried is up to how many points tried are named one by one.
const mostTried = 4

// Tried writes answers that are points of a range, with nothing said of what lies between them.
func Tried(q *vocab.Question, points []vocab.Answer) string {
	var list []string
	for _, p := range points {
		list = append(list, q.Text(p))
	}
	if len(list) > mostTried {
		return fmt.Sprintf("at %d of the points tried between %s and %s", len(list), list[0], list[len(list)-1])
	}
	return strings.Join(list, " or ") + " " + Aside("only points were tried")
}

// span writes the stretch of a number from one place in the list of values to another. Values at even places are those it
// is compared with; those at odd places stand for all between their neighbours.
func span(q *vocab.Question, from, to int, all []vocab.Answer) string {
	var low, high string
	switch {
	case from <= 0:
	case from%2 == 1:
		low = "above " + q.Text(all[from-1])
	case from == to:
		return q.Text(all[from])
	default:
		low = q.Text(all[from]) + " or above"
	}
	switch {
	case to < 0 || to == len(all)-1:
	case to%2 == 1:
		high = "below " + q.Text(all[to+1])
	default:
		high = q.Text(all[to]) + " or below"
	}
	switch {
	case low == "" && high == "":
		return "anything"
	case low == "" || high == "":
		return low + high
	}
	return low + " and " + high
}

// Caution writes something to watch for. One that may not apply says so.
func Caution(say, protect string, hazard, open bool) string {
	s := say
	if hazard {
		s = "Danger: " + s
	}
	if open {
		s = "Until it is tested, take it that this applies. " + s
	}
	if protect != "" {
		s += " " + protect
	}
	return s
}

// Protect says how to be safe from a hazard, when to stop, and when to hand over.
func Protect(h *pack.Hazard) string {
	s := "Protection: " + h.Protect
	if h.Stop != "" {
		s += " Stop at: " + h.Stop
	}
	if h.HandOver != "" {
		s += " Hand over: " + h.HandOver
	}
	return s
}

// Aside sets off what a line goes with.
func Aside(s string) string { return "[" + s + "]" }

// Answered puts a question of a thing with its answer.
func Answered(thing, asks, answer string) string {
	return fmt.Sprintf("%s: %s %s", thing, asks, answer)
}

// Read counts what a record holds.
func Read(parts, inks, findings, answers int) string {
	return fmt.Sprintf("%s, %s, %s, %s; no faults", Count(parts, "part", "parts"), Count(inks, "ink", "inks"),
		Count(findings, "finding", "findings"), Count(answers, "answer", "answers"))
}
