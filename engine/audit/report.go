package audit

import (
	"slices"

	"tideline/engine/drift"

	"tideline/engine/evidence"
	"tideline/engine/seal"
	"tideline/rules/vocab"
)

// Result is what an audit comes to.
type Result string

// The results, from the best to the worst.
const (
	Sound     Result = "sound then and now"
	SoundThen Result = "sound then" // what would be decided now was not found out
	Otherwise Result = "sound then, would be decided otherwise now"
	NotJudged Result = "whole, but cannot be judged again by this program"
	NotSound  Result = "not sound then"
	Broken    Result = "broken"
)

// Results lists them, the best first.
var Results = []Result{Sound, SoundThen, Otherwise, NotJudged, NotSound, Broken}

// Worse gives the worse of two results.
func Worse(a, b Result) Result {
	if slices.Index(Results, b) > slices.Index(Results, a) {
		return b
	}
	return a
}

// Report is the audit of one case.
type Report struct {
	Folder, Case string
	Result       Result // the worst of its decisions; broken when the chain is
	Links        []seal.Link
	Trusted      bool // every link is signed with the key to trust
	Witnessed    int  // which link has the number on the owner's sheet; 0: none was given, or none has it
	Decisions    []*Decision
	Unfinished   []string // files that a run left unfinished
}

// Breaks gives all that is wrong with the chain.
func (r *Report) Breaks() []seal.Break {
	var all []seal.Break
	for _, l := range r.Links {
		all = append(all, l.Breaks...)
	}
	return all
}

// Decision is the audit of one sealed decision.
type Decision struct {
	Link      seal.Link
	Result    Result
	Edition   string
	Title, On string
	Decided   bool // a decision of the person was recorded
	Acts      int  // how many steps were decided on or done
	Replay    Replay
	Findings  []Finding // each makes it not sound
	Notes     []Finding // worth knowing, no more
	Now       *Now      // nil: not looked at
}

// Replay is what came of judging the sealed record by the sealed packs again.
type Replay struct {
	Fault   string // why it could not be judged again, "" when it could
	Same    bool   // the same bytes
	Judge   string // the sealed way of judging, where it is not that of this program
	Reading bool   // the record is read otherwise now
	Moved   []Moved
}

// Moved is a verdict that this program, from the same record and packs, gives otherwise than the seal.
type Moved struct {
	Treatment, Name, On string
	Was, Is             string // verdicts; "" where it is not considered
	Then, Today         Check
}

// Erred tells which program gave a proof that does not hold.
func (m Moved) Erred() Side {
	switch {
	case m.Then.Holds && m.Today.Holds:
		return Neither
	case m.Then.Holds:
		return TodaysProgram
	case m.Today.Holds:
		return ThatProgram
	}
	return Both
}

// Side is who erred.
type Side string

// The sides.
const (
	ThatProgram   Side = "that program"
	TodaysProgram Side = "this program"
	Both          Side = "both"
	Neither       Side = "neither"
)

// Check is what the independent checker says of a proof.
type Check struct {
	Holds bool
	Why   string // the first step that does not hold
}

// FindingKind is what was found about the soundness of a decision.
type FindingKind string

// The kinds. Those up to WrongThen make a decision not sound; the others are notes.
const (
	AgainstAdvice FindingKind = "against advice"
	TestSkipped   FindingKind = "test skipped"
	NotCarried    FindingKind = "not carried"
	StaleThen     FindingKind = "stale"
	NotRetested   FindingKind = "not tested again"  // though the plan had the test before the step
	StepSkipped   FindingKind = "step skipped"      // of the plan, and one was done that has to come after it
	OtherOrder    FindingKind = "out of order"      // done before a step that has to come before it
	StoppedUnsaid FindingKind = "stopped, not said" // stopped early, and no reason is given
	WrongThen     FindingKind = "program erred"

	NoConsent    FindingKind = "no consent"
	NotRecorded  FindingKind = "not decided"       // done, and no decision recorded says so
	TestsLeft    FindingKind = "tests left"        // worth doing, but nothing decided hangs on them
	DecidedOther FindingKind = "decided otherwise" // with a reason

	LeftOfPlan     FindingKind = "left of the plan"
	BesidePlan     FindingKind = "beside the plan"
	NotDone        FindingKind = "not done"    // so far
	OtherOrderFree FindingKind = "other order" // than the plan's, where nothing asks for that order
)

// Finding is one thing found.
type Finding struct {
	Kind                FindingKind
	Treatment, Name, On string // the step concerned
	Verdict             string // of that step, as sealed
	Done                string // the day it was done, "" when no later record says so
	Because             string // the reason given, of what was decided otherwise
	Count               int    // of tests left
	Asks                []Asked
	Missing             []string // cautions and stop signs not carried
	Could               []Could
	Before              *Finding // the step that comes first in the plan, of steps done in another order
}

// Asked is a question of a thing, with why its answer does not stand, if it was answered.
type Asked struct {
	Thing    *evidence.Thing
	Question *vocab.Question
	Ask      evidence.Ask
}

// Could is a verdict that could have been another, and which.
type Could struct {
	Treatment, Name, On string
	Was                 string
	To                  []string
}

// Now is what would be decided today.
type Now struct {
	Packs  []string // by whose packs
	Kept   []string // packs taken from the seal, since none of the name was given
	Record bool     // with today's record
	On     string
	Fault  string // why it could not be judged
	Moves  []Could
	Drift  *drift.Report // what made each move; nil: not looked for
}
