package words

import (
	"fmt"
	"strings"

	"tideline/engine/plan"
	"tideline/rules/vocab"
)

// Phrases of plans, each for one state.
const (
	NoPlanBetter   = "No plan leaves less undone, or does it by milder or fewer steps."
	PlanUnproven   = "The search was stopped: this is the best plan found so far, and a better one may exist."
	NotPlanned     = "Nothing is planned until one of these answers is corrected."
	TestsFirst     = "No step can be planned yet: what could be done waits for tests."
	StopHere       = "Stop here: no further step would gain anything."
	BetterLeft     = "Leaving it alone is better supported than any step; what it is ranked above is not worth its while."
	WhatFor        = "For"
	NeededFor      = "Needed before"
	MeetsWhat      = "Takes out what comes of earlier steps"
	TestAgain      = "Test again first"
	HazardsFirst   = "Dangers first"
	BooksCautions  = "Watch"
	SetTo          = "Settings"
	StopWhen       = "Stop when"
	ComesOf        = "Expect"
	IfItGoesWrong  = "If it goes wrong"
	AsInStep       = "as in step"
	NotEnough      = "If that is not enough"
	LeftUndone     = "Left as it is"
	OnlyLessened   = "Only lessened"
	AcceptedBrings = "Brought, and left"
	NextBest       = "Next best"
	IfTestsTell    = "If a test tells more"
	SamePlan       = "the plan stays as it is"
	HoldsTogether  = "The plan holds together."
	NoSuchPlan     = "No plan holds together with that."
	LeftNoAim      = "nothing that serves the owner's aims eases it"
	ChangedPlan    = "What changes in the plan"
	PlanDropped    = "No longer in it"
	PlanAdded      = "New in it"
	PlanMoved      = "In another place"
	DoneSince      = "done since"
	WentWithOthers = "its verdict is as it was; it went with other steps"
	CameWithOthers = "its verdict is as it was; it came with other steps"
	NoPlanChange   = "The plan is as it was."
	Materials      = "Materials"
	MustStand      = "no plan does as much without it"
	EquallyGood    = "as good"
	OutcomeNotSaid = "A step was done for it, and it was not said how it went"
)

// PlanHead sums a plan up: "7 steps: hands-on 3 h 20 min, waiting 27 h."
func PlanHead(c plan.Cost) string {
	return fmt.Sprintf("%s: hands-on %s, waiting %s.", Count(c.Steps, "step", "steps"), Minutes(c.Active), Minutes(c.Waiting))
}

// Minutes writes a time in minutes, hours or days.
func Minutes(n int) string {
	switch d, h, m := n/1440, n%1440/60, n%60; {
	case n == 0:
		return "none"
	case d > 0 && h+m == 0:
		return Count(d, "day", "days")
	case d > 0:
		return fmt.Sprintf("%s %d h", Count(d, "day", "days"), h+(m+30)/60)
	case h > 0 && m > 0:
		return fmt.Sprintf("%d h %d min", h, m)
	case h > 0:
		return fmt.Sprintf("%d h", h)
	}
	return fmt.Sprintf("%d min", n)
}

// SubjectOf names what calls for care: a finding, or answers of another thing.
func SubjectOf(kind, path string, asks []*vocab.Question, answers []string) string {
	if len(asks) == 0 {
		return strings.TrimSpace(kind + " " + path)
	}
	list := make([]string, len(asks))
	for i, q := range asks {
		list[i] = strings.TrimSuffix(q.Asks, "?") + ": " + answers[i]
	}
	return path + " (" + strings.Join(list, "; ") + ")"
}

// RetestLine says which test to do again, what it said, and what the plan counts on.
func RetestLine(r plan.Retest) string {
	s := fmt.Sprintf("%s of %s", r.Question.ID, r.Path)
	switch {
	case !r.Expected.Known:
		return s + ": asked when it is there"
	case r.Before != r.Expected:
		return fmt.Sprintf("%s: was %s, expected now %s", s, r.Question.Text(r.Before), r.Question.Text(r.Expected))
	}
	return fmt.Sprintf("%s: was %s; the plan counts on that", s, r.Question.Text(r.Before))
}

// Mishap says what a step can bring, and what then.
func Mishap(kind, side string, then []string) string {
	if len(then) == 0 {
		return fmt.Sprintf("%s on %s: nothing in the packs eases it without a ruling-out; stop and think again", kind, side)
	}
	return fmt.Sprintf("%s on %s: %s", kind, side, strings.Join(then, ", or "))
}

// Instead says how a next best plan differs.
func Instead(with, without []string) string {
	switch {
	case len(without) == 0:
		return "also " + strings.Join(with, " and ")
	case len(with) == 0:
		return "without " + strings.Join(without, " and ")
	}
	return strings.Join(with, " and ") + " instead of " + strings.Join(without, " and ")
}

// Loses says in the first place where they differ what a plan costs more than another.
func Loses(best, other plan.Cost) string {
	for i := range best.Classes {
		if i == 0 {
			switch {
			case other.Undone != best.Undone:
				return fmt.Sprintf("leaves %d more undone", other.Undone-best.Undone)
			case other.Unmet != best.Unmet:
				return fmt.Sprintf("leaves %d more of what the steps bring", other.Unmet-best.Unmet)
			case other.Lessened != best.Lessened:
				return fmt.Sprintf("only lessens %d more", other.Lessened-best.Lessened)
			}
		}
		if d := other.Classes[i] - best.Classes[i]; d != 0 {
			return fmt.Sprintf("%s of intervention %d more", Count(d, "step", "steps"), 5-i)
		}
	}
	switch {
	case other.Steps != best.Steps:
		return Count(other.Steps-best.Steps, "step", "steps") + " more"
	case other.Support != best.Support:
		return fmt.Sprintf("less support by %.3g", float64(best.Support-other.Support)/1e6)
	case other.Active != best.Active:
		return Minutes(other.Active-best.Active) + " more at the bench"
	case other.Waiting != best.Waiting:
		return Minutes(other.Waiting-best.Waiting) + " more of waiting"
	}
	return EquallyGood
}

// StepNumber names a step by its number.
func StepNumber(n int) string { return fmt.Sprintf("step %d", n) }

// AgainstFree says what a plan asked for costs against the best one.
func AgainstFree(best, asked plan.Cost) string {
	return "Against the best plan: it " + Loses(best, asked) + "."
}
