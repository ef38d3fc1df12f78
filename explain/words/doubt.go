package words

import (
	"fmt"
	"slices"
	"strings"

	"tideline/engine/change"
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Phrases of what would turn a verdict, of what is supposed and of how firm an order is, each for one state.
const (
	NotAToDoList      = "This says what the verdict hangs on. It is no list of things to do: a test that came out badly is not put right by testing again."
	Milder            = "A variant that is not ruled out"
	SameVerdicts      = "No verdict would be another."
	SupportMoves      = "The same verdict, otherwise supported"
	FirmHeading       = "How firm the order is"
	LeadsHeading      = "Comes first"
	AnyWeight         = "keeps its place whatever one criterion weighs"
	NoMove            = "no weight moved between criteria makes a tie"
	OpenTogether      = "its open arguments hang together, so that no range is told"
	StandsAsBefore    = "Everything that the earlier record had recommended or ruled out still is."
	NotRanked         = "Nothing is ranked."
	NoLongerConsider  = "is no longer considered"
	NewlyConsidered   = "is considered only then"
	NeededThen        = "because of what needs it"
	WishesAreOther    = "the owner's aims or weights"
	PackIsOther       = "the packs"
	SharesExact       = "The shares are exact."
	CouldBeSeenTo     = "could be seen to first"
	IsSupposed        = "supposed"
	GivenWithThePaper = "It would take what is given with the paper"
)

// wanted are the verdicts as what something would become.
var wanted = map[judge.Word]string{
	judge.Clear: "clear (recommended or possible)", judge.Recommended: "recommended", judge.Possible: "possible",
	judge.TestFirst: "test first", judge.RuledOut: "ruled out", judge.NoNeed: "no need",
}

// WouldTurn heads the change sets of a verdict.
func WouldTurn(to judge.Word, n int) string {
	return Counted("What would turn it to "+wanted[to], n)
}

// Already says that a verdict is as wanted.
func Already(to judge.Word) string { return "It is " + wanted[to] + " already." }

// NothingWould says that nothing that can change would turn a verdict, which is proved.
func NothingWould(to judge.Word) string {
	return "No answer that can change would turn it to " + wanted[to] + ": all were tried."
}

// NoneFound says that no change set was found as far as the search went.
func NoneFound(to judge.Word, tried int) string {
	if tried == 0 {
		return fmt.Sprintf("There are too many answers to try: whether any would turn it to %s was not found out.", wanted[to])
	}
	return fmt.Sprintf("No %s would turn it to %s; more at once were too many to try.", upTo(tried), wanted[to])
}

// TriedUpTo says how far the search went where it found something.
func TriedUpTo(tried int) string {
	if tried == 0 {
		return "There were too many answers to try; there may be sets that are not listed."
	}
	return fmt.Sprintf("All sets of %s were tried; there may be larger ones that are not listed.", upTo(tried))
}

func upTo(n int) string {
	if n == 1 {
		return "1 answer"
	}
	return fmt.Sprintf("up to %d answers", n)
}

// All opens a change set of several answers.
func All(n int) string {
	if n == 2 {
		return "both of these together"
	}
	return fmt.Sprintf("all %d of these together", n)
}

// Had says how an answer would have to be another: what was tested would have been, what is open is so if it is, what
// can be treated would be if it were first.
func Had(a evidence.Ask, needed string) string {
	thing := Thing(a.Thing)
	switch {
	case !a.Answer.Known:
		return fmt.Sprintf("%s: %s %s; if it is %s.", thing, a.Question.Asks, Upper(Answer(a)), needed)
	case a.Question.Nature == vocab.Fixed:
		return fmt.Sprintf("%s: %s It is %s, given with the paper; asked for is %s.", thing, a.Question.Asks, Answer(a), needed)
	case a.Question.Nature == vocab.Treatable:
		return fmt.Sprintf("%s: %s It is %s; if it were %s first. %s", thing, a.Question.Asks, Answer(a), needed, Aside(CouldBeSeenTo))
	}
	return fmt.Sprintf("%s: %s It was %s; with %s it would have been so.", thing, a.Question.Asks, Answer(a), needed)
}

// Upper makes the first letter a capital.
func Upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// Costs says what finding an answer out takes.
func Costs(t *pack.Test) string {
	parts := []string{t.Question.ID}
	if t.Minutes > 0 {
		parts = append(parts, Count(t.Minutes, "minute", "minutes"))
	}
	if t.Harm != "" {
		parts = append(parts, "harm to the book: "+t.Harm)
	}
	return strings.Join(parts, ", ")
}

// Ranges writes answers to a question as ranges: "4 or above". all is every answer the question was cut at, rising.
func Ranges(q *vocab.Question, answers, all []vocab.Answer) string {
	if len(answers) == len(all) {
		return "anything"
	}
	if q.Type == vocab.YesNo || q.Type == vocab.Words || all == nil {
		return Cells(q, answers, all)
	}
	var runs []string
	for i := 0; i < len(answers); {
		from := slices.Index(all, answers[i])
		n := 1
		for i+n < len(answers) && from+n < len(all) && answers[i+n] == all[from+n] {
			n++
		}
		run := answers[i : i+n]
		last := run[n-1]
		switch {
		case q.Type == vocab.Number || n == 1:
			runs = append(runs, Cells(q, run, all))
		case last.Num == q.To:
			runs = append(runs, q.Text(run[0])+" or above")
		case run[0].Num == q.From:
			runs = append(runs, q.Text(last)+" or below")
		default:
			runs = append(runs, Cells(q, run, all))
		}
		i += n
	}
	return strings.Join(runs, ", or ")
}

// Supposed says which answer is supposed in place of which.
func Supposed(a evidence.Ask, answer vocab.Answer) string {
	to := NotTested
	if answer.Known {
		to = a.Question.Text(answer)
	}
	return fmt.Sprintf("%s: %s Supposed: %s; as it stands: %s.", Thing(a.Thing), a.Question.Asks, to, Answer(a))
}

// WouldBe heads verdicts that go from one to another.
func WouldBe(was, is judge.Word, n int) string {
	return Counted(Heading(was)+" as it stands, "+string(is)+" as supposed", n)
}

// Speaks says what a rule does now, or did and does no more.
func Speaks(effect, because string, gone bool) string {
	if gone {
		return "No longer: " + effect + ". " + because
	}
	return Upper(effect) + ". " + because
}

// ExitWords says what became of a verdict that was settled.
func ExitWords(treatment, path string, was, is judge.Word) string {
	now := "is " + string(is)
	if is == "" {
		now = "has nothing left to be done to"
	}
	return fmt.Sprintf("no longer stands: %s was %s, %s", On(treatment, path), was, now)
}

// Event says what happened to something that a verdict rested on.
func Event(e change.Event) string {
	what := map[change.Kind]string{change.Wishes: WishesAreOther, change.Rules: PackIsOther}[e.Kind]
	switch {
	case what != "":
	case e.Question == nil:
		what = e.Path
	default:
		what = fmt.Sprintf("%s: %s It was %s", e.Path, e.Question.Asks, e.Question.Text(e.Old))
		switch {
		case e.Lapse != nil && e.Lapse.Step != nil:
			what += fmt.Sprintf(", tested before %s; test again", e.Lapse.Step.Treatment)
		case e.Lapse != nil:
			what += fmt.Sprintf(", good for %s; test again", Count(e.Lapse.Days, "day", "days"))
		case e.New.Known:
			what += ", it is " + e.Question.Text(e.New)
		}
	}
	return fmt.Sprintf("%s: %s", e.Kind, what)
}

// Before says which of two places stands first.
func Before(a, b string) string { return a + ", before " + b }

// Keeps says within which share of the whole weight of a criterion a place is kept.
func Keeps(first bool, criterion string, least, most float64) string {
	place := "keeps its place"
	if first {
		place = "keeps first place"
	}
	switch {
	case least == 0:
		return fmt.Sprintf("%s while %s counts for less than %s of the whole weight", place, criterion, Number(most))
	case most == 1:
		return fmt.Sprintf("%s while %s counts for more than %s of the whole weight", place, criterion, Number(least))
	}
	return fmt.Sprintf("%s while %s counts between %s and %s of the whole weight", place, criterion, Number(least), Number(most))
}

// Moves says how little weight, moved from one criterion to another, makes a tie.
func Moves(move float64, from, to string) string {
	return fmt.Sprintf("a tie when %s of the whole weight moves from %s to %s", Number(move), from, to)
}

// Leads says under which share of the weights that the packs admit something comes first.
func Leads(what string, share float64) string {
	return fmt.Sprintf("%s: under %.1f %% of the weights that the packs admit", what, 100*share)
}

// SharesDrawn says how well shares are known that were found by drawing weights.
func SharesDrawn(draws int, err float64) string {
	return fmt.Sprintf("The shares are from %d draws of weights, each right to %.1f %% with 95 %% confidence.", draws, 100*err)
}
