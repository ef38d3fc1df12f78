// Package vocab is what can be said of a book: the kinds of thing it is made of, how they hang together, the
// questions they can answer, and the answers.
//
// It holds the shape only. Which questions there are, and which words answer them, is declared in packs.
package vocab

import (
	"fmt"
	"sort"
	"strings"

	"tideline/rules/nearest"
)

// Kind is a kind of thing: one of the constants below.
type Kind string

// The kinds of thing. A book has one of each of the first three.
const (
	Book     Kind = "book"
	Owner    Kind = "owner"
	Bench    Kind = "bench"
	Part     Kind = "part"
	Side     Kind = "side"
	Ink      Kind = "ink"
	Finding  Kind = "finding"
	Fastener Kind = "fastener"
)

// Kinds lists all kinds in the order in which a book is described.
var Kinds = []Kind{Book, Owner, Bench, Part, Side, Ink, Finding, Fastener}

// Singular tells whether a book has exactly one thing of the kind.
func (k Kind) Singular() bool { return k == Book || k == Owner || k == Bench }

// Link leads from a thing to one other thing, or to a list of things.
type Link struct {
	Name string
	To   Kind
	Many bool
	// Listed names the yes/no question that tells whether the list is complete; "" when it always is.
	Listed string
}

// Links gives what each kind leads to.
var Links = map[Kind][]Link{
	Book: {
		{Name: "parts", To: Part, Many: true},
		{Name: "sides", To: Side, Many: true},
		{Name: "inks", To: Ink, Many: true},
		{Name: "findings", To: Finding, Many: true},
		{Name: "fasteners", To: Fastener, Many: true},
	},
	Part: {
		{Name: "sides", To: Side, Many: true},
		{Name: "inks", To: Ink, Many: true},
		{Name: "findings", To: Finding, Many: true},
		{Name: "fasteners", To: Fastener, Many: true},
	},
	Side:     {{Name: "part", To: Part}, {Name: "inks", To: Ink, Many: true}, {Name: "findings", To: Finding, Many: true}},
	Ink:      {{Name: "part", To: Part}, {Name: "side", To: Side}},
	Finding:  {{Name: "part", To: Part}, {Name: "side", To: Side}, {Name: "inks", To: Ink, Many: true}},
	Fastener: {{Name: "parts", To: Part, Many: true}, {Name: "findings", To: Finding, Many: true}},
}

// LinkOf gives the link of that name.
func LinkOf(k Kind, name string) (Link, bool) {
	for _, l := range Links[k] {
		if l.Name == name {
			return l, true
		}
	}
	return Link{}, false
}

// Type is how a question is answered.
type Type int

// The types of answer.
const (
	YesNo  Type = iota
	Grade       // 1 (heavy) to 5 (none) in half steps
	Words       // one of a list, without order
	Number      // with a unit and a range
)

// Nature tells how an answer could come to be another.
type Nature string

// The natures of a question.
const (
	Fixed     Nature = "fixed"     // given with the paper
	Treatable Nature = "treatable" // could be seen to first
	Testable  Nature = "testable"  // only a new test could tell
)

// Question is something a thing of one kind can answer.
type Question struct {
	ID     string // kind.name, as conditions write it
	Kind   Kind
	Name   string
	Asks   string
	Type   Type
	Words  []string // for Words
	Unit   string   // for Number: one of Units
	From   float64  // for Number and Grade, inclusive
	To     float64
	Nature Nature
	// Limit marks a question about what the owner does not want; `limits: none` in a record answers all of them with no.
	Limit bool
	// Measured marks the few that follow from the record itself and cannot be answered as a test.
	Measured bool
}

// Units are the units a Number may have, with how they are written after a number.
var Units = map[string]string{
	"mm": " mm", "mm2": " mm²", "s": " s", "degC": " °C", "pH": "", "gsm": " g/m²", "percent": " %", "year": "", "count": "",
	"g": " g", "mL": " mL", "kPa": " kPa", "mN": " mN", "lx": " lx", "lx_h": " lx h", "W": " W", "W_m2": " W/m²", "J_cm2": " J/cm²", "nm": " nm", "deg": "°",
	"mmol_L": " mmol/L", "mmol_kg": " mmol/kg", "mL_g": " mL/g", "g_m3": " g/m³", "w_v": " % w/v", "w_w": " % w/w", "volumes": " volumes", "ppm": " ppm",
	"mN_m": " mN/m", "mN_m2_g": " mN m²/g",
}

// UnitNames lists the units in alphabetical order.
func UnitNames() []string {
	names := make([]string, 0, len(Units))
	for n := range Units {
		names = append(names, n)
	}
	sort.Strings(names)
	return names
}

// Listed gives the question whether a thing's list (inks, findings, fasteners) is complete.
func Listed(k Kind, list string) Question {
	where := map[Kind]string{Book: "in the book", Side: "on this side"}[k]
	return Question{
		ID: string(k) + "." + list + "_listed", Kind: k, Name: list + "_listed", Type: YesNo, Nature: Testable,
		Asks: fmt.Sprintf("Is every one of the %s %s listed?", list, where),
	}
}

// Measured gives the questions that the record's geometry answers, and those about its lists being complete.
func Measured() []Question {
	return []Question{
		Listed(Book, "fasteners"), Listed(Side, "inks"), Listed(Side, "findings"),
		{ID: "side.name", Kind: Side, Name: "name", Type: Words, Words: []string{"outside", "inside"}, Nature: Fixed, Measured: true, Asks: "Which side is it?"},
		{ID: "part.width", Kind: Part, Name: "width", Type: Number, Unit: "mm", From: 0, To: 5000, Nature: Fixed, Measured: true, Asks: "How wide is it, laid open?"},
		{ID: "part.height", Kind: Part, Name: "height", Type: Number, Unit: "mm", From: 0, To: 5000, Nature: Fixed, Measured: true, Asks: "How high is it?"},
		{ID: "finding.length", Kind: Finding, Name: "length", Type: Number, Unit: "mm", From: 0, To: 1e5, Nature: Fixed, Measured: true, Asks: "How long is it, along its line?"},
		{ID: "finding.area", Kind: Finding, Name: "area", Type: Number, Unit: "mm2", From: 0, To: 1e9, Nature: Fixed, Measured: true, Asks: "How large an area does it cover?"},
	}
}

// Answer is the answer to a question; the zero value is "not known".
type Answer struct {
	Known bool
	Num   float64 // Grade, Number
	Word  string  // Words
	Yes   bool    // YesNo
}

// Yes, Num and Word make known answers.
func Yes(yes bool) Answer     { return Answer{Known: true, Yes: yes} }
func Num(v float64) Answer    { return Answer{Known: true, Num: v} }
func Word(word string) Answer { return Answer{Known: true, Word: word} }
func half(v float64) bool     { return v*2 == float64(int(v*2)) }
func trim(v float64) string   { return fmt.Sprintf("%g", v) }

// Text writes an answer as a person would: yes, 4-5, groundwood, 12 mm, not known.
func (q *Question) Text(a Answer) string {
	switch {
	case !a.Known:
		return "not known"
	case q.Type == YesNo && a.Yes:
		return "yes"
	case q.Type == YesNo:
		return "no"
	case q.Type == Words:
		return a.Word
	case q.Type == Grade && a.Num != float64(int(a.Num)):
		return fmt.Sprintf("%d-%d", int(a.Num), int(a.Num)+1)
	case q.Type == Grade:
		return trim(a.Num)
	}
	return measured(a.Num) + Units[q.Unit]
}

// measured writes a number to four figures, or to the unit where it has more before the point.
func measured(v float64) string {
	if v >= 1000 || v <= -1000 {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.4g", v)
}

// Expected says what kind of answer the question takes.
func (q *Question) Expected() string {
	switch q.Type {
	case YesNo:
		return "yes or no"
	case Grade:
		return "a grade from 1 (heavy) to 5 (none) in half steps, such as 3 or 4-5"
	case Words:
		return "one of " + strings.Join(q.Words, ", ")
	}
	return fmt.Sprintf("a number from %s to %s%s", trim(q.From), trim(q.To), Units[q.Unit])
}

// Parse reads an answer as a person writes it. The error says what was expected; near is the word probably meant.
func (q *Question) Parse(text string) (a Answer, near string, err error) {
	text = strings.TrimSpace(text)
	switch q.Type {
	case YesNo:
		switch text {
		case "yes", "true":
			return Yes(true), "", nil
		case "no", "false":
			return Yes(false), "", nil
		}
	case Words:
		for _, w := range q.Words {
			if w == text {
				return Word(w), "", nil
			}
		}
		return a, nearest.Word(text, q.Words), q.unfit(text)
	case Grade:
		if v, ok := parseGrade(text); ok {
			return Num(v), "", nil
		}
	case Number:
		v, unit, ok := splitUnit(text)
		if !ok {
			return a, "", q.unfit(text)
		}
		v, ok = convert(v, unit, q.Unit)
		if !ok {
			return a, "", fmt.Errorf("%s is in %q, but %s is given %s", text, unit, q.ID, given(q.Unit))
		}
		if v >= q.From && v <= q.To {
			return Num(v), "", nil
		}
		return a, "", fmt.Errorf("%s is outside the range of %s, which is %s to %s%s", text, q.ID, trim(q.From), trim(q.To), Units[q.Unit])
	}
	return a, "", q.unfit(text)
}

func (q *Question) unfit(text string) error {
	return fmt.Errorf("%q does not answer %s, which takes %s", text, q.ID, q.Expected())
}

func parseGrade(text string) (float64, bool) {
	if len(text) == 3 && text[1] == '-' && text[2] == text[0]+1 && text[0] >= '1' && text[0] <= '4' {
		return float64(text[0]-'0') + 0.5, true
	}
	v, unit, ok := splitUnit(text)
	return v, ok && unit == "" && v >= 1 && v <= 5 && half(v)
}

func splitUnit(text string) (v float64, unit string, ok bool) {
	n := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune("0123456789.+-eE", r) })
	number := text
	if n >= 0 {
		number, unit = text[:n], strings.TrimSpace(text[n:])
	}
	var rest string
	if got, _ := fmt.Sscanf(number, "%g%s", &v, &rest); got != 1 || v-v != 0 {
		return 0, "", false
	}
	return v, unit, true
}

func given(unit string) string {
	if says := strings.TrimSpace(Units[unit]); says != "" {
		return "in " + says
	}
	return "as a plain number"
}

// written maps how people write units to the unit and the factor and offset that bring a value to it.
var written = map[string]struct {
	unit           string
	factor, offset float64
}{
	"mm": {"mm", 1, 0}, "cm": {"mm", 10, 0}, "m": {"mm", 1000, 0}, "in": {"mm", 25.4, 0},
	"mm²": {"mm2", 1, 0}, "mm2": {"mm2", 1, 0}, "cm²": {"mm2", 100, 0}, "cm2": {"mm2", 100, 0},
	"s": {"s", 1, 0}, "min": {"s", 60, 0}, "h": {"s", 3600, 0},
	"°C": {"degC", 1, 0}, "C": {"degC", 1, 0}, "degC": {"degC", 1, 0},
	"°F": {"degC", 5.0 / 9, -32 * 5.0 / 9}, "F": {"degC", 5.0 / 9, -32 * 5.0 / 9}, "degF": {"degC", 5.0 / 9, -32 * 5.0 / 9},
	"g/m²": {"gsm", 1, 0}, "g/m2": {"gsm", 1, 0}, "gsm": {"gsm", 1, 0},
	"%": {"percent", 1, 0}, "percent": {"percent", 1, 0}, "pH": {"pH", 1, 0},
	"g": {"g", 1, 0}, "kg": {"g", 1000, 0}, "mg": {"g", 0.001, 0}, "mL": {"mL", 1, 0}, "L": {"mL", 1000, 0}, "kPa": {"kPa", 1, 0}, "mN": {"mN", 1, 0},
	"N": {"mN", 1000, 0}, "lx": {"lx", 1, 0}, "klx": {"lx", 1000, 0}, "lx h": {"lx_h", 1, 0}, "W": {"W", 1, 0}, "W/m²": {"W_m2", 1, 0}, "W/m2": {"W_m2", 1, 0},
	"mW/cm²": {"W_m2", 10, 0}, "J/cm²": {"J_cm2", 1, 0}, "J/cm2": {"J_cm2", 1, 0}, "nm": {"nm", 1, 0}, "°": {"deg", 1, 0}, "deg": {"deg", 1, 0},
	"mmol/L": {"mmol_L", 1, 0}, "mol/L": {"mmol_L", 1000, 0}, "mmol/kg": {"mmol_kg", 1, 0}, "mol/kg": {"mmol_kg", 1000, 0}, "mL/g": {"mL_g", 1, 0},
	"g/m³": {"g_m3", 1, 0}, "% w/v": {"w_v", 1, 0}, "% w/w": {"w_w", 1, 0}, "volumes": {"volumes", 1, 0}, "ppm": {"ppm", 1, 0}, "mN/m": {"mN_m", 1, 0},
	"mN m²/g": {"mN_m2_g", 1, 0},
}

func convert(v float64, from, to string) (float64, bool) {
	if from == "" {
		return v, true
	}
	w, ok := written[from]
	return v*w.factor + w.offset, ok && w.unit == to
}
