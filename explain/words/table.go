package words

import (
	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// headings name the verdicts.
var headings = map[judge.Word]string{
	judge.Recommended: "Recommended",
	judge.Possible:    "Possible",
	judge.TestFirst:   "Test first",
	judge.RuledOut:    "Ruled out",
	judge.NoNeed:      "No need",
}

// Heading is a verdict as a heading.
func Heading(w judge.Word) string { return headings[w] }

type effectState struct {
	effect pack.Effect
	value  cond.Truth
}

var effects = map[effectState]string{
	{pack.RulesOut, cond.True}:   "rules it out",
	{pack.RulesOut, cond.Open}:   "may rule it out",
	{pack.RulesOut, cond.False}:  "does not rule it out",
	{pack.CalledFor, cond.True}:  "calls for it",
	{pack.CalledFor, cond.Open}:  "may call for it",
	{pack.CalledFor, cond.False}: "does not call for it",
	{pack.Needs, cond.True}:      "needs another step first",
	{pack.Needs, cond.Open}:      "may need another step first",
	{pack.Needs, cond.False}:     "needs no other step",
	{pack.For, cond.True}:        "speaks for it",
	{pack.For, cond.Open}:        "may speak for it",
	{pack.For, cond.False}:       "does not speak for it",
	{pack.Against, cond.True}:    "speaks against it",
	{pack.Against, cond.Open}:    "may speak against it",
	{pack.Against, cond.False}:   "does not speak against it",
	{pack.Caution, cond.True}:    "warns",
	{pack.Caution, cond.Open}:    "may have to warn",
	{pack.Caution, cond.False}:   "has nothing to warn of",
}

// Effect says what a rule does here.
func Effect(e pack.Effect, v cond.Truth) string { return effects[effectState{e, v}] }

type stepState struct {
	step  judge.Step
	value cond.Truth
}

// steps are the phrases for the inner nodes of a proof. What they speak of stands below them.
var steps = map[stepState]string{
	{judge.StepAnd, cond.True}:     "all of these hold",
	{judge.StepAnd, cond.False}:    "not all hold; this is enough against it",
	{judge.StepAnd, cond.Open}:     "all would have to hold; not settled yet",
	{judge.StepOr, cond.True}:      "one of several is enough, and this holds",
	{judge.StepOr, cond.False}:     "one would be enough; none of these holds",
	{judge.StepOr, cond.Open}:      "one would be enough; not settled yet",
	{judge.StepNot, cond.True}:     "asked for is that this does not hold, and it does not",
	{judge.StepNot, cond.False}:    "asked for is that this does not hold, but it does",
	{judge.StepNot, cond.Open}:     "asked for is that this does not hold; still open",
	{judge.StepAll, cond.True}:     "holds for every one of them",
	{judge.StepAll, cond.False}:    "should hold for every one, and fails here",
	{judge.StepAll, cond.Open}:     "should hold for every one; not known of all",
	{judge.StepExists, cond.True}:  "one of them is enough, and it holds here",
	{judge.StepExists, cond.False}: "one of them would be enough; it holds for none",
	{judge.StepExists, cond.Open}:  "one of them would be enough; not known of all",
	{judge.StepCount, cond.True}:   "holds for at least %d of them",
	{judge.StepCount, cond.False}:  "should hold for at least %d of them, and cannot",
	{judge.StepCount, cond.Open}:   "should hold for at least %d of them; not known yet",
	{judge.StepAtom, cond.True}:    "yes",
	{judge.StepAtom, cond.False}:   "no",
	{judge.StepAtom, cond.Open}:    "open",
	{judge.StepFact, cond.True}:    "so it is",
	{judge.StepFact, cond.False}:   "so it is not",
	{judge.StepFact, cond.Open}:    "not known whether",
	{judge.StepAlways, cond.True}:  "this rule always applies",
	{judge.StepAlways, cond.False}: "this rule never applies",
}

// Step is the phrase for an inner node of a proof, with %d where a number belongs.
func Step(s judge.Step, v cond.Truth) string { return steps[stepState{s, v}] }

// Empty is the phrase for a statement about the things of a list that holds none.
func Empty(v cond.Truth) string {
	return map[cond.Truth]string{
		cond.True:  "there is none, so it holds",
		cond.False: "there is none, so it does not hold",
		cond.Open:  "none is known",
	}[v]
}

// The phrases that stand alone, each for one state.
const (
	SettlesAlone    = "This alone settles it"
	EitherWay       = "Ruled out either way"
	AlsoRulesOut    = "Also rules it out"
	HangsOn         = "Hangs on"
	WouldRuleOut    = "What may rule it out"
	Calls           = "What calls for it"
	MayCall         = "What may call for it"
	NoCall          = "What could call for it, and does not"
	NeedsFirst      = "What must come first"
	NeededBy        = "Needed by"
	SpeaksFor       = "Speaks for it"
	SpeaksAgainst   = "Speaks against it"
	StillOpen       = "Arguments still open"
	WatchFor        = "Watch for"
	NoLongerStands  = "No longer stands"
	DoNotApply      = "Asked, and does not apply"
	ToTest          = "To be tested"
	CannotBothBe    = "These answers cannot all be true"
	NothingCalls    = "nothing found calls for it"
	NoRuleCalls     = "no rule of the packs could call for it"
	OnlyForRuledOut = "it would be needed only by a step that is ruled out"
	ServesNoAim     = "it serves none of the aims"
	NotOutweighed   = "what speaks for it does not outweigh what speaks against it"
	NoTestHelps     = "no test left that would change it"
	Tie             = "a tie"
	NoOrder         = "no order between these two"
	Unproven        = "not searched to the end; it errs to caution"
	NotTested       = "not tested"
	NotListed       = "the list is not said to be complete"
	SameAsAbove     = "as shown above"
	BookAnswers     = "from the record itself"
	LocalRules      = "Follow the local safety rules and the supplier's safety data sheets; where a danger cannot be controlled, hand over to a licensed or specialist practice."
	PersonDecides   = "Tideline recommends; a person decides."
)
