package lesson

import "slices"

// Outcome is how an exercise ended.
type Outcome string

// The outcomes.
const (
	Right    Outcome = "right"           // the first time, without a hint
	Helped   Outcome = "right with help" // after a hint or a wrong answer
	NotFound Outcome = "not found"       // wrong as often as may be
	Passed   Outcome = "passed"          // given up
	Told     Outcome = "told"            // the last hint was asked for, which tells the answer
)

// Points are what an outcome counts.
func (o Outcome) Points() float64 {
	return map[Outcome]float64{Right: 1, Helped: 0.5}[o]
}

// Row is one exercise as it was done.
type Row struct {
	Exercise *Exercise
	Said     string // the first answer, as typed
	Outcome  Outcome
	Tries    int
	Hints    int
	Needless int // reason: how many results were named that were not needed
}

// Sheet is a run of exercises as it was done.
type Sheet struct {
	Title string // of the book
	Seed  uint64
	Rows  []Row
}

// Points adds the sheet up.
func (s *Sheet) Points() (sum float64) {
	for _, r := range s.Rows {
		sum += r.Outcome.Points()
	}
	return sum
}

// Note takes what an exercise showed into notes. first is the mark of the first answer, nil when there was none. Of several
// treatments only what was missed, or all if all was right, is noted: what was named without ground tells of no rule.
func (e *Exercise) Note(n *Notes, first *Mark, o Outcome) {
	if e.Kind != Out || o == Right || first == nil {
		for _, t := range e.Topics() {
			n.Took(t, o == Right)
		}
		return
	}
	var missed []Topic
	for _, v := range first.Missed {
		if t := topic(v, lead(e.Judgement.Prove(v))); !slices.Contains(missed, t) {
			missed = append(missed, t)
			n.Took(t, false)
		}
	}
}
