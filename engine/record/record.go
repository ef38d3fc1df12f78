package record

import (
	"time"

	"tideline/rules/fault"
	"tideline/rules/vocab"
)

// Edition is the newest edition of the record format that this program reads and the one it describes.
const Edition = 1

// Book is a book record as a person wrote it: what the book is made of, what was asked of it, what was done to it.
// Things stand in the order of the file: book, owner, bench, then each part with its sides, inks and findings, then
// the fasteners.
type Book struct {
	Edition  int
	Title    string
	Examined time.Time // the date of the answers under `seen`; zero when not given
	By       string
	Aims     []string           // the owner's aims; nil when not given
	Weights  map[string]float64 // the owner's weights for criteria
	NoLimits bool               // the owner is said to have no limits: that answers every question about one with no
	Things   []*Thing
	Results  []Result // every answer ever given, in the order of the file
	Done     []Done   // steps already done, in the order of the file
}

// Thing is one thing of the book.
type Thing struct {
	Kind vocab.Kind
	Name string // its own name: red, tear-1, upper, outside
	Path string // its name in the whole book: cover/outside/red, upper, book

	Part *Thing // the part of a side, ink or finding
	Side *Thing // the side of an ink or finding

	Size  *Size    // of a part, mm
	Shape Shape    // of a finding or fastener
	Near  []*Thing // inks in a finding's reach; nil when not given
	Holds []*Thing // parts a fastener goes through; nil when not given

	Fastener *Thing    // the fastener a finding belongs to, nil when none
	Found    time.Time // of a finding: when it was found; zero when it was there before any step

	Place fault.Place
}

// Size is the width and height of a side laid open, in mm.
type Size struct{ Width, Height float64 }

// Point is a place on a side, in mm from its top left corner.
type Point struct{ X, Y float64 }

// Shape is where a thing is: one of a line (two points or more), an area (three points or more), or one point.
// The zero Shape is "not mapped".
type Shape struct {
	Line, Area []Point
	At         *Point
}

// Result is one answer to one question.
type Result struct {
	Question *vocab.Question
	Thing    *Thing
	Answer   vocab.Answer
	Date     time.Time // zero when neither the result nor the examination is dated
	By       string
	At       *Point
	Note     string
	Place    fault.Place
	// Step is the step done that gives the answer by itself: a staple taken out is out. Nil for what a person answered.
	Step *Done
}

// Done is a step already carried out.
type Done struct {
	Treatment string
	Target    *Thing
	Date      time.Time
	By, Note  string
	Outcome   Outcome
	Minutes   float64 // at the bench; 0 when not said
	Readings  []Reading
	Place     fault.Place
}

// Outcome is how a step went; "" when it was not said.
type Outcome string

// The outcomes.
const (
	AsPlanned Outcome = "as planned"
	Partly    Outcome = "partly"
	Stopped   Outcome = "stopped early"
)

var outcomes = []string{string(AsPlanned), string(Partly), string(Stopped)}

// Reading is what was measured before and after a step.
type Reading struct {
	What          string
	Before, After float64
	Unit          string
}

// Words is what a record may say, taken from a pack.
type Words struct {
	Vocabulary *vocab.Vocabulary
	Aims       []string
	Criteria   map[string]Bounds     // by criterion
	Treatments map[string]vocab.Kind // the kind each treatment is done to
}

// Bounds are the least and the most a record may weigh a criterion.
type Bounds struct{ From, To float64 }
