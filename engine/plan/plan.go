package plan

import (
	"cmp"
	"slices"
	"strings"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Key names a treatment and the thing it is done to.
type Key struct{ Treatment, Path string }

// Compare orders keys by name.
func (k Key) Compare(o Key) int {
	return cmp.Or(cmp.Compare(k.Treatment, o.Treatment), cmp.Compare(k.Path, o.Path))
}

// Plan is what to do to a book, in order.
type Plan struct {
	Judgement *judge.Judgement // of the book as it is
	Steps     []*Step
	Brought   []*Brought // what the steps are expected to bring
	Left      []*Left    // what calls for care and gets none
	Cost      Cost
	// Next are the next best valid plans without idle steps, the best first.
	Next []*Alternative
	// Ties are changes after which the plan would be as good. Those that change different steps can be made together.
	Ties []*Alternative
	// Rest is the verdict of leaving the book alone where that is recommended: steps less supported are not worth their while.
	Rest *judge.Verdict
	// Proven tells that no better plan exists. False when the search was stopped: the plan is then the best found, and Bound
	// what no plan can fall below.
	Proven bool
	Bound  Cost
}

// Step is a treatment in a plan.
type Step struct {
	Key
	Treatment *pack.Treatment
	// State is the judgement of the book that the step will meet, Verdict its verdict there, with Retests done and passed.
	State   *judge.Judgement
	Verdict *judge.Verdict
	For     []*Subject // what it deals with
	Meets   []*Brought // what it meets that earlier steps bring
	Needed  []Key      // the later steps that need it
	Brings  []*Brought // what it is expected to bring
	Retests []Retest   // tests that earlier steps make stale: to be done again just before
	// Must marks a step without which no valid plan leaves as little undone. It is found when it is asked for.
	Must bool
}

// Retest is a question to be answered again before a step.
type Retest struct {
	Path     string
	Question *vocab.Question
	Before   vocab.Answer // the answer that earlier steps made stale; not known for a finding that a step brings
	Expected vocab.Answer // what it is expected to be now; what follows in the plan rests on it
}

// Subject is something that calls for care: a finding, or answers of another thing.
type Subject struct {
	Path  string
	Asks  []*vocab.Question // empty for a finding
	Calls []*judge.Instance // the rule instances that call
	Aims  []string          // of the owner's, what dealing with it serves

	rule      string // that calls whatever the answers
	clearable bool   // there is a treatment that clears it
}

// Brought is a finding that steps of a plan are expected to bring.
type Brought struct {
	Path, Kind string
	On         string // the side it will be on
	By         []Key
	Met        *Key // the step that clears or lessens it; nil when it is accepted

	n      int // what stands for accepting it, among the numbers of a set
	record *record.Thing
	thing  *evidence.Thing // in the full case
}

// Left is a subject that the plan does not deal with, or only lessens, and the verdicts of the treatments that could.
type Left struct {
	Subject  *Subject
	Lessened bool // dealt with, though not cleared, by a step of the plan
	Verdicts []*judge.Verdict
	Done     *record.Done // the step already done for it whose outcome was not said
}

// Alternative is a next best plan: the steps it has instead of others, and what it costs.
type Alternative struct {
	With, Without []Key
	Cost          Cost
}

// Cost is what plans are compared by, the weightiest first.
type Cost struct {
	Undone   int    // subjects that no step deals with
	Unmet    int    // findings brought that no step meets
	Lessened int    // subjects only lessened, though a step could clear them
	Classes  [5]int // steps by intervention, the gravest (5) first
	Steps    int
	Support  int64 // of all steps at its lowest, in millionths; the more the better
	Active   int   // minutes at the bench
	Waiting  int   // minutes
}

// Compare orders costs: -1 when c is the better.
func (c Cost) Compare(o Cost) int {
	return cmp.Or(
		cmp.Compare(c.Undone, o.Undone), cmp.Compare(c.Unmet, o.Unmet), cmp.Compare(c.Lessened, o.Lessened),
		slices.Compare(c.Classes[:], o.Classes[:]), cmp.Compare(c.Steps, o.Steps), cmp.Compare(o.Support, c.Support),
		cmp.Compare(c.Active, o.Active), cmp.Compare(c.Waiting, o.Waiting),
	)
}

// plus adds the costs of two sets of steps that have nothing to do with each other.
func (c Cost) plus(o Cost) Cost {
	for i := range c.Classes {
		c.Classes[i] += o.Classes[i]
	}
	return Cost{
		c.Undone + o.Undone, c.Unmet + o.Unmet, c.Lessened + o.Lessened, c.Classes, c.Steps + o.Steps, c.Support + o.Support,
		c.Active + o.Active, c.Waiting + o.Waiting,
	}
}

// Refusal tells why there is no plan with the steps asked for.
type Refusal struct {
	Reason Reason
	Keys   []Key
}

// Reason is why steps asked for cannot be had.
type Reason string

// The reasons.
const (
	NoCandidate   Reason = "no treatment of this thing"
	DoneAlready   Reason = "done already"
	BothWays      Reason = "asked for and not wanted"
	NeverTogether Reason = "in no plan that holds together"
)

func (r *Refusal) Error() string {
	var list []string
	for _, k := range r.Keys {
		list = append(list, k.Treatment+" on "+k.Path)
	}
	return strings.Join(list, " and ") + ": " + string(r.Reason)
}
