package words

import (
	"fmt"
	"strings"

	"tideline/engine/judge"
)

// Phrases of the list of tests to do next, each for one state.
const (
	NextTests      = "Next tests"
	NoTestLeft     = "No test left that would change anything."
	NoTestWorth    = "No test left that is worth what it costs."
	CouldSettle    = "What it could settle"
	OnlyTogether   = "Only together"
	BehindRanking  = "Behind the ranking"
	SameVerdict    = "How open they are"
	NotProposed    = "Open too, and not asked for"
	NotAllowed     = "not allowed on this book by the packs"
	EquallyLikely  = "answers taken as equally likely: no source"
	ChancesHeld    = "chances as the pack holds them"
	ExactPolicy    = "The best order of all open tests was found exactly."
	LookedAhead    = "Looked ahead exactly over what each verdict hangs on, up to six tests; beyond that, test after test in one order."
	CutShort       = "Some sequences were too long to be looked through."
	CannotReckon   = "The answers given cannot all be true: there is nothing to reckon with until one is corrected."
	NothingChanges = "nothing changes"
)

// AskUnit says what the figures of the list of tests are.
func AskUnit(minute float64, harms string) string {
	return fmt.Sprintf("Figures are in units of support: a criterion's weight times a rule's. A minute counts %s; harm: %s.", Figure(minute), harms)
}

// Figure writes a figure of the table to three places.
func Figure(v float64) string {
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.3f", v+0), "0"), ".")
}

// Percent writes a chance.
func Percent(v float64) string { return fmt.Sprintf("%.0f %%", v*100) }

// IfTurns opens one way in which a test could turn out.
func IfTurns(answers string, chance float64) string {
	return fmt.Sprintf("if it is %s (%s):", answers, Percent(chance))
}

// Becomes says which verdict a treatment would have.
func Becomes(treatment string, to []judge.Word) string {
	list := make([]string, 0, len(to))
	for _, w := range to {
		list = append(list, string(w))
	}
	return treatment + ": " + strings.Join(list, " or ")
}

// Outcomes says in how many of the possible outcomes a verdict is the same.
func Outcomes(word string, n, all float64) string {
	return fmt.Sprintf("most often %s: in %.0f of %.0f possible outcomes", word, n, all)
}

// Firmness says under how many draws a proposal leads.
func Firmness(share float64, draws int) string {
	return fmt.Sprintf("first under %s of %d other choices of how likely the answers are", Percent(share), draws)
}

// Replayed says what the check of a proof went through.
func Replayed(leaves, steps, proofs int) string {
	return fmt.Sprintf("Checked: replayed %s, %s of %s; all agree.", Count(leaves, "leaf", "leaves"), Count(steps, "step", "steps"), Count(proofs, "proof", "proofs"))
}

// NotGoneThrough counts claims about all outcomes that the check did not search to the end.
func NotGoneThrough(n int) string {
	return fmt.Sprintf("%s of all outcomes %s too large to go through again.", Count(n, "claim", "claims"), map[bool]string{true: "was", false: "were"}[n == 1])
}

// Measured puts a figure with what it should be.
func Measured(name, figure, target, met string) string {
	s := name + ": " + figure
	switch {
	case met == "yes":
		s += " (should be " + target + ": met)"
	case met == "no":
		s += " (should be " + target + ": MISSED)"
	case target != "" && target != "shown":
		s += " (should be " + target + ")"
	}
	return s
}
