package judge

import (
	"fmt"
	"slices"
)

// Step is what a node of a proof is.
type Step uint8

// The steps.
const (
	StepReason Step = iota // a rule asked of a thing
	StepAnd
	StepOr
	StepNot
	StepAll    // for all things of a list
	StepExists // for some thing of a list
	StepCount  // for at least Count things of a list
	StepEach   // one thing of such a list
	StepAtom
	StepFact
	StepAnswer
	StepDose // what a function that an atom calls gives: true when computed, open when not
	StepAlways
	StepCases // either way: the question, then one kid for each way it could turn out
	StepCase
)

// stepNames are the steps as files and programs name them.
var stepNames = [...]string{
	StepReason: "reason", StepAnd: "and", StepOr: "or", StepNot: "not", StepAll: "all", StepExists: "exists", StepCount: "at least", StepEach: "each",
	StepAtom: "atom", StepFact: "fact", StepAnswer: "answer", StepDose: "dose", StepAlways: "always", StepCases: "cases", StepCase: "case",
}

// String gives the name of a step.
func (s Step) String() string { return stepNames[s] }

// MarshalText gives the name of a step.
func (s Step) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the name of a step.
func (s *Step) UnmarshalText(name []byte) error {
	at := slices.Index(stepNames[:], string(name))
	if at < 0 {
		return fmt.Errorf("%q is no step of a proof", name)
	}
	*s = Step(at)
	return nil
}
