package data

import (
	"math"

	"tideline/engine/dose"
)

// Dosing is what dose and measure give: one of the four, as Kind says.
type Dosing struct {
	Format      int           `json:"format"`
	Kind        string        `json:"kind"` // subjects, computation, result or refusal
	Subjects    []DoseSubject `json:"subjects,omitempty"`
	Computation *DoseInputs   `json:"computation,omitempty"`
	Result      *DoseResult   `json:"result,omitempty"`
	TestLine    string        `json:"test_line,omitempty"` // of measure: for the record's tests
	Refusal     *DoseRefusal  `json:"refusal,omitempty"`
}

// DoseSubject is a field of the work.
type DoseSubject struct {
	Name         string     `json:"name"`
	Danger       bool       `json:"danger"` // to people
	Computations []DoseName `json:"computations"`
}

// DoseName is one computation.
type DoseName struct {
	Name string `json:"name"`
	Says string `json:"says"`
}

// DoseInputs is what a computation needs.
type DoseInputs struct {
	DoseName
	Danger  bool        `json:"danger"`
	Inputs  []DoseInput `json:"inputs"`
	Example []string    `json:"example"`
}

// DoseInput is one input.
type DoseInput struct {
	Name     string     `json:"name"`
	Says     string     `json:"says"`
	Units    []string   `json:"units"` // its own first; none for words, text and plain numbers
	Number   bool       `json:"number"`
	Range    *DoseRange `json:"range,omitempty"`
	Words    []string   `json:"words,omitempty"`
	Default  string     `json:"default,omitempty"`
	Required bool       `json:"required"`
}

// DoseRange is what an input must lie in, both ends in it.
type DoseRange struct {
	From   float64     `json:"from"`
	To     float64     `json:"to"`
	Unit   string      `json:"unit"`
	Source dose.Source `json:"source"`
}

// DoseQuantity is a number with its unit.
type DoseQuantity struct {
	Value     *float64 `json:"value"` // null: without limit
	Unit      string   `json:"unit"`
	PlusMinus float64  `json:"plus_minus,omitempty"`
	Shown     string   `json:"shown"` // as printed, rounded
}

// DoseValue is one value of a result.
type DoseValue struct {
	Name     string        `json:"name"`
	Says     string        `json:"says"`
	Quantity *DoseQuantity `json:"quantity,omitempty"`
	Text     string        `json:"text,omitempty"`
	Class    dose.Class    `json:"class"`
	Settled  bool          `json:"settled"` // a number that a rule may rest on
}

// DoseLine is one line of working.
type DoseLine struct {
	Formula  string        `json:"formula"`
	Put      string        `json:"put"`
	Result   *DoseQuantity `json:"result,omitempty"`
	Text     string        `json:"text,omitempty"`
	Rounding string        `json:"rounding,omitempty"`
	Source   string        `json:"source,omitempty"`
}

// DoseResult is a computation done.
type DoseResult struct {
	DoseName
	Danger   bool           `json:"danger"`
	Cautions []string       `json:"cautions"`
	Values   []DoseValue    `json:"values"`
	Working  []DoseLine     `json:"working"`
	Tables   []dose.Table   `json:"tables"`
	Range    string         `json:"range"`
	Sources  []dose.Source  `json:"sources"`
	Pictures []dose.Picture `json:"pictures"` // data in base64
}

// DoseRefusal is a computation refused.
type DoseRefusal struct {
	*dose.Refusal
	Nearest string `json:"nearest,omitempty"`
}

// Doses lists the computations.
func Doses() Dosing {
	d := Dosing{Format: 1, Kind: "subjects"}
	for _, s := range dose.Subjects() {
		w := DoseSubject{s.Name, s.Danger, []DoseName{}}
		for _, c := range s.Computations {
			w.Computations = append(w.Computations, DoseName{c.Name, c.Says})
		}
		d.Subjects = append(d.Subjects, w)
	}
	return d
}

// Dose tells what a computation needs.
func Dose(c dose.Computation) Dosing {
	w := &DoseInputs{DoseName{c.Name, c.Says}, c.Danger(), []DoseInput{}, c.Example()}
	for _, p := range c.Params {
		in := DoseInput{Name: p.Name, Says: p.Says, Units: listed(p.Units()), Number: p.Unit.Kind != "", Words: p.Words, Default: p.Default, Required: p.Required}
		if p.From != p.To {
			in.Range = &DoseRange{p.From, p.To, p.Unit.Symbol, dose.SourceByID(p.Source)}
		}
		w.Inputs = append(w.Inputs, in)
	}
	return Dosing{Format: 1, Kind: "computation", Computation: w}
}

// Dosed gives a result; testLine is of measure, or "".
func Dosed(r dose.Result, danger bool, testLine string) Dosing {
	w := &DoseResult{
		DoseName: DoseName{r.Name, r.Says}, Danger: danger, Cautions: listed(r.Cautions), Values: []DoseValue{}, Working: []DoseLine{},
		Tables: listed(r.Tables), Range: r.Range, Sources: listed(r.Sources), Pictures: listed(r.Pictures),
	}
	for _, v := range r.Values {
		_, settled := r.Settled(v.Name)
		value := DoseValue{Name: v.Name, Says: v.Says, Text: v.Text, Class: v.Class, Settled: settled}
		if v.Text == "" {
			value.Quantity = quantity(v.Quantity)
		}
		w.Values = append(w.Values, value)
	}
	for _, l := range r.Working {
		line := DoseLine{Formula: l.Formula, Put: l.Put, Text: l.Text, Rounding: l.Rounding, Source: l.Source}
		if l.Text == "" {
			line.Result = quantity(l.Result)
		}
		w.Working = append(w.Working, line)
	}
	return Dosing{Format: 1, Kind: "result", Result: w, TestLine: testLine}
}

// DoseRefused gives a refusal.
func DoseRefused(r *dose.Refusal) Dosing {
	return Dosing{Format: 1, Kind: "refusal", Refusal: &DoseRefusal{r, r.Nearest()}}
}

func quantity(q dose.Quantity) *DoseQuantity {
	w := &DoseQuantity{Unit: q.Unit.Symbol, PlusMinus: q.PlusMinus, Shown: q.String()}
	if !math.IsInf(q.Value, 0) && !math.IsNaN(q.Value) {
		w.Value = &q.Value
	}
	if math.IsInf(w.PlusMinus, 0) || math.IsNaN(w.PlusMinus) {
		w.PlusMinus = 0
	}
	return w
}

// listed makes a list that is never null.
func listed[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}
