package plancheck

import (
	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/rules/vocab"
)

// Kind is what is wrong with a plan.
type Kind string

// The kinds of fault, those of a step first.
const (
	NoTarget     Kind = "no target"     // what the step is done to is not there then
	NotOfPack    Kind = "not of pack"   // the treatment told is not the pack's: its hazards and stop signs would go untold
	DoesNothing  Kind = "does nothing"  // leaving alone is no step
	Repeated     Kind = "repeated"      // done before, in the record or in the plan
	Order        Kind = "order"         // the pack has it before a step that stands before it
	InPlace      Kind = "in place"      // it does the work of a step that stands before it, or that one its own
	Need         Kind = "need"          // what it needs is not done by then
	Verdict      Kind = "verdict"       // it may not be done in the state that it meets
	Unneeded     Kind = "unneeded"      // possible only, and neither needed nor meeting anything that is there
	RetestAbsent Kind = "retest absent" // it hangs on an answer gone stale that is not listed to be tested again
	RetestIdle   Kind = "retest idle"   // the test listed has no need to be done again
	RetestWrong  Kind = "retest wrong"  // the answer before, or the one expected, is another
	Told         Kind = "told verdict"  // the verdict told with the step is not the one it gets
	ForWrong     Kind = "for wrong"     // said to deal with what it does not deal with
	ForAbsent    Kind = "for absent"    // deals with something and does not say so
	NeededWrong  Kind = "needed wrong"  // said to be needed by a step that does not need it
	BringsAbsent Kind = "brings absent" // what it is expected to bring is not told
	BringsWrong  Kind = "brings wrong"  // told to bring what it does not bring
	MeetsWrong   Kind = "meets wrong"   // said to meet what it does not meet, or what is not there then
	Idle         Kind = "idle"          // nothing would be lost without it

	// The kinds of the plan as a whole.
	MetWrong    Kind = "met wrong"    // a finding brought is not met by the step named, or is met though said to be accepted
	LeftAbsent  Kind = "left absent"  // what calls for care is neither dealt with nor listed
	LeftWrong   Kind = "left wrong"   // listed as left though it is dealt with, or as lessened though it is not
	LeftNoWhy   Kind = "left no why"  // listed without a verdict that says why
	CostsDiffer Kind = "costs differ" // the costs do not add up
)

// Kinds lists all kinds.
var Kinds = []Kind{
	NoTarget, NotOfPack, DoesNothing, Repeated, Order, InPlace, Need, Verdict, Unneeded, RetestAbsent, RetestIdle, RetestWrong, Told, ForWrong,
	ForAbsent, NeededWrong, BringsAbsent, BringsWrong, MeetsWrong, Idle, MetWrong, LeftAbsent, LeftWrong, LeftNoWhy, CostsDiffer,
}

// Whole is the place of a fault that no single step has.
const Whole = -1

// Fault is one thing that does not hold together. What is not told of its kind is zero.
type Fault struct {
	Kind     Kind
	Step     int             // place among the steps, from 0; Whole when it is none's
	Key      plan.Key        // of the step
	Other    plan.Key        // of the step, or the treatment needed, that takes part
	Path     string          // the thing it is about
	Finding  string          // the kind of a finding brought
	Question *vocab.Question // of a retest
	Asks     []string        // questions of a subject that is no finding
	Answer   vocab.Answer    // what is right, of a retest
	Word     judge.Word      // the verdict it gets
	Claimed  judge.Word      // the verdict that the plan tells
	Verdict  *judge.Verdict  // in the state that the step meets
	Cost     string          // which part of the costs
	Got      int64           // what the plan says the cost is
	Want     int64           // what it adds up to
}

// Report is what a plan was found to be.
type Report struct {
	Faults []*Fault // by step, those of the whole plan last; of one step in the order of the kinds
	States []*State // the book as each step meets it, and as the last one leaves it
}

// First is the first fault of the first step that has one; nil when the plan holds together.
func (r *Report) First() *Fault {
	if len(r.Faults) == 0 {
		return nil
	}
	return r.Faults[0]
}
