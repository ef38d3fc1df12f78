// Package pack reads rule packs: the questions, treatments and rules a studio judges by.
//
// In:  YAML files, the shipped ones first and a house's own laid over them. Out: a compiled [Pack], or faults with
// file, line and column. README.md beside the packs describes the language.
// Everything in a [Pack] is sorted by id, so that the order of files and of their entries cannot matter.
package pack

import (
	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/vocab"
	"tideline/rules/yamlfile"
)

// Pack is all that a judgement may use, compiled and checked.
type Pack struct {
	Layers     []Layer // as loaded, the lowest first
	Sources    []*Source
	Principles []*Principle
	Criteria   []*Criterion
	Aims       []*Aim
	Vocabulary *vocab.Vocabulary
	Tests      []*Test
	Facts      []*Fact // each after the facts it uses
	Never      []*Never
	Treatments []*Treatment
	Rules      []*Rule
	Samples    []*Sample
	Trials     []*Trial
	Asking     Asking
	Env        *cond.Env
	Functions  []*cond.Function // that conditions and settings may call, as given to [Load]

	ids     map[string]any
	layerOf map[any]int // of rules, trials, tests and criteria: their place in Layers
}

// Layer is one pack: a folder of files, or one file.
type Layer struct {
	Name  string // as its files call themselves
	Files []File
}

// File is one file of a layer, as read.
type File struct {
	Name string
	Data []byte
}

// Cite is what something in a pack stands on.
type Cite struct {
	Sources  []string
	Standing string   // one of Standings
	StandsOn []string // ids of the knowledge it was made from
}

// Standings are the words for how well something is founded, the firmest first.
var Standings = []string{"standard", "published", "house", common, "inferred", "from memory"}

const common = "common practice, no source"

// Firm tells whether a standing may rule a treatment out: what is only remembered or inferred may not.
func (c Cite) Firm() bool { return c.Standing != "from memory" && c.Standing != "inferred" }

// Source is a published source.
type Source struct {
	ID, Title, Author, Year, Publisher, URL, Note string
	Place                                         fault.Place
}

// Principle is a mechanism that several rules share.
type Principle struct {
	ID, Says string
	Cite
	Place fault.Place
}

// Criterion is one way in which treatments are better or worse; Weight, From and To lie within 0 to 1.
type Criterion struct {
	ID, Says         string
	Weight, From, To float64
	Place            fault.Place
}

// Aim is something an owner may want.
type Aim struct {
	ID, Says string
	Place    fault.Place
}

// Test is how a question is answered.
type Test struct {
	Question                                    *vocab.Question
	Purpose, How, Read, Dwell, Where, GoesWrong string
	Materials                                   []string
	Spots, Minutes                              int
	Harm                                        string             // one of Harms
	Chance                                      map[string]float64 // how likely each answer is held to be; nil when not said
	GoodFor                                     int                // days; 0 for ever
	Hazards                                     []Hazard
	Cite
	Place fault.Place
}

// Harms are what a test does to the book, the least first.
var Harms = []string{"none", "trace", "spot", "sample"}

// Hazard is a danger to people, with what to do about it.
type Hazard struct {
	Danger, Protect, Stop, HandOver string
	Cite
}

// Fact is a named stepping stone: true, false or open of each thing of its kind.
type Fact struct {
	ID, Says string
	Kind     vocab.Kind
	Is       *cond.Cond
	Cite
	Place fault.Place
}

// Never says that answers cannot go together.
type Never struct {
	ID, Because string
	Each        vocab.Kind
	When        *cond.Cond
	Cite
	Place fault.Place
}

// Set is an answer that holds of everything in reach once a treatment has been done.
type Set struct {
	Question *vocab.Question
	Answer   vocab.Answer
}

// Treatment is a candidate, judged for each thing of its kind that Where lets through.
type Treatment struct {
	ID, Name, Says  string
	Of              vocab.Kind
	Where           *cond.Cond // nil: all
	Families        []string
	VariantOf       string
	Serves          []string // aims
	Intervention    int      // 1 mildest to 5
	Retreatable     string   // yes, partly, no
	Uses            []string
	Active, Waiting int // minutes
	Equipment       []string
	Materials       []string
	Clears, Lessens []string // finding kinds
	Brings          []string // finding kinds it is expected to bring about
	CanBring        []string // finding kinds it may bring about when it goes wrong
	Sets            []Set    // answers it settles by being done
	DoesNothing     bool     // leaving the book as it is: in place of other treatments
	MakesStale      []string // questions
	Before, After   []string // treatments
	InPlaceOf       []string // treatments it does the work of: never both on one thing
	Settings        []Setting
	StopSigns       []string
	Hazards         []Hazard
	Cite
	Place fault.Place
}

// Setting is how something is set in a treatment: as written, computed for the thing it is done to, or both.
type Setting struct {
	What, Value, Because string
	Dose                 *cond.Dose // nil: not computed
	Taken                []Taken
	Cite
}

// Taken is an answer that a setting is computed with until there is one of the book's own. No verdict ever sees it.
type Taken struct {
	Question *vocab.Question
	Answer   vocab.Answer
}

// Effect is what a rule does when its condition holds.
type Effect string

// The effects.
const (
	RulesOut  Effect = "rules out"
	CalledFor Effect = "called for"
	For       Effect = "for"
	Against   Effect = "against"
	Caution   Effect = "caution"
	Needs     Effect = "needs"
)

// Effects lists all effects in the order in which a proof speaks of them.
var Effects = []Effect{RulesOut, CalledFor, Needs, For, Against, Caution}

// Rule says one thing about one or more treatments.
type Rule struct {
	ID         string
	Effect     Effect
	Treatments []*Treatment
	Families   []string                  // those it speaks of as a whole; nil where it names its treatments
	Each       vocab.Kind                // "" for the target itself
	Text       string                    // the condition as written
	When       map[vocab.Kind]*cond.Cond // by the kind of the target
	Because    string
	Principle  string
	Kind       string // one of RuleKinds
	Criterion  *Criterion
	Weight     float64
	Say        string
	Hazard     bool
	Step       *Treatment
	Disagrees  []string // ids of rules
	Withdrawn  *Withdrawal
	Cite
	Place fault.Place
}

// RuleKinds are what a rule is about.
var RuleKinds = []string{"hazard", "need", "preference", "order", "screening"}

// Withdrawal is a house's word that it does not follow a ruling-out of the pack below.
type Withdrawal struct {
	Because, By, Date, Pack string
	Place                   fault.Place
}

// Sample is a small book for trials, as written.
type Sample struct {
	ID   string
	Book *yamlfile.Node
}

// Trial is a sample with some answers changed, and what must come of it.
type Trial struct {
	Name, Like          string
	With                []Change
	Fires, Silent, Open []string // rule ids
	SpeaksFor           []string // ids of rules that fire as arguments for
	SpeaksAgainst       []string // ids of rules that fire as arguments against
	Proves              []string // fact ids
	Verdicts            []Expectation
	Stale               []Aftermath // answers that no longer stand
	Settles             []Aftermath // answers that the treatment gives
	Warns               []Warning
	Place               fault.Place
}

// Change sets an answer in a trial: of every thing of a kind (ink.wet) or of one (cover/outside/red.wet).
type Change struct {
	On     string // a path, or "" for every thing of the question's kind
	Ask    string // the question's id, or its bare name when On is given
	Answer *yamlfile.Node
}

// Expectation is a verdict a trial must get.
type Expectation struct {
	Treatment string
	On        string // a path, "" for every target
	Verdict   string
	Place     fault.Place
}

// Aftermath names questions of whose answers something must become once a treatment has been done to all it can be done to.
type Aftermath struct {
	Treatment string
	Questions []string
	Place     fault.Place
}

// Warning gives words each of which must stand in a danger told with a treatment, or with a test by its question.
type Warning struct {
	Of    string
	Words []string
	Place fault.Place
}

// OnTop tells whether a rule, trial or test is of the layer that lies on top of the others.
func (p *Pack) OnTop(v any) bool { return p.layerOf[v] == len(p.Layers)-1 }

// Source gives the source of that id, nil when there is none.
func (p *Pack) Source(id string) *Source { s, _ := p.ids[id].(*Source); return s }

// Principle gives the principle of that id, nil when there is none.
func (p *Pack) Principle(id string) *Principle { v, _ := p.ids[id].(*Principle); return v }

// Rule gives the rule of that id, nil when there is none.
func (p *Pack) Rule(id string) *Rule { r, _ := p.ids[id].(*Rule); return r }

// Treatment gives the treatment of that id, nil when there is none.
func (p *Pack) Treatment(id string) *Treatment { t, _ := p.ids[id].(*Treatment); return t }

// Test gives how a question is answered, nil for those the record itself answers.
func (p *Pack) Test(question string) *Test { t, _ := p.ids[question].(*Test); return t }

// Fact gives the fact of that id, nil when there is none.
func (p *Pack) Fact(id string) *Fact { f, _ := p.ids[id].(*Fact); return f }
