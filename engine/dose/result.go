package dose

import "fmt"

// A Class says how well a number is known.
type Class string

// The classes, as the table of check values has them. Memory never allows and
// never rules out.
const (
	Seen       Class = "seen"       // read in the named source
	Computed   Class = "computed"   // formula or constants read, number computed
	Arithmetic Class = "arithmetic" // mathematics or unit algebra
	Mixed      Class = "mixed"      // part seen, part not; the standing says which
	Memory     Class = "memory"     // in no source that was opened
)

// A Source is where a formula or number comes from.
type Source struct {
	ID       string `json:"id"`
	Title    string `json:"title"`
	Author   string `json:"author,omitempty"`
	Year     string `json:"year,omitempty"`
	URL      string `json:"url,omitempty"`
	Class    Class  `json:"class"`
	Standing string `json:"standing"`
}

// A Named is one value of a result.
type Named struct {
	Name     string   `json:"name"`
	Says     string   `json:"says"`
	Quantity Quantity `json:"quantity,omitzero"`
	Text     string   `json:"text,omitempty"` // a value in words
	Class    Class    `json:"class"`
}

// String is the value as printed.
func (n Named) String() string {
	if n.Text != "" {
		return n.Text
	}
	return n.Quantity.String()
}

// A Line is one line of the working.
type Line struct {
	Formula  string   `json:"formula"`
	Put      string   `json:"put"` // the formula with numbers
	Result   Quantity `json:"result,omitzero"`
	Text     string   `json:"text,omitempty"` // a result in words
	Rounding string   `json:"rounding,omitempty"`
	Source   string   `json:"source,omitempty"` // id
}

// A Table is a list that belongs to a result.
type Table struct {
	Title   string     `json:"title"`
	Columns []string   `json:"columns"`
	Rows    [][]string `json:"rows"`
}

// A Picture is a drawing that belongs to a result.
type Picture struct {
	Name string `json:"name"`
	Type string `json:"type"` // image/svg+xml or image/png
	Data []byte `json:"data"`
}

// A Result is a computation done.
type Result struct {
	Name     string    `json:"name"`
	Says     string    `json:"says"`
	Values   []Named   `json:"values"`
	Working  []Line    `json:"working"`
	Tables   []Table   `json:"tables,omitempty"`
	Range    string    `json:"range"`
	Cautions []string  `json:"cautions"`
	Sources  []Source  `json:"sources"`
	Pictures []Picture `json:"pictures,omitempty"`
}

// Value finds a value by name.
func (r Result) Value(name string) (Named, bool) {
	for _, n := range r.Values {
		if n.Name == name {
			return n, true
		}
	}
	return Named{}, false
}

// Settled finds a quantity that a rule may rest on: one whose class isn't
// [Memory] and that isn't in words.
func (r Result) Settled(name string) (Quantity, bool) {
	n, ok := r.Value(name)
	if !ok || n.Class == Memory || n.Text != "" {
		return Quantity{}, false
	}
	return n.Quantity, true
}

func (r *Result) value(name, says string, q Quantity, c Class) {
	r.Values = append(r.Values, Named{Name: name, Says: says, Quantity: q, Class: c})
}

func (r *Result) words(name, says, text string, c Class) {
	r.Values = append(r.Values, Named{Name: name, Says: says, Text: text, Class: c})
}

// line adds a line of working; put is a format.
func (r *Result) line(src, formula string, result Quantity, rounding, put string, args ...any) {
	r.Working = append(r.Working, Line{Formula: formula, Put: fmt.Sprintf(put, args...), Result: result, Rounding: rounding, Source: src})
	r.source(src)
}

func (r *Result) say(src, formula, text, put string, args ...any) {
	r.Working = append(r.Working, Line{Formula: formula, Put: fmt.Sprintf(put, args...), Text: text, Source: src})
	r.source(src)
}

func (r *Result) caution(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	for _, c := range r.Cautions {
		if c == text {
			return
		}
	}
	r.Cautions = append(r.Cautions, text)
}

// source cites a source of the table once; "" cites none.
func (r *Result) source(ids ...string) {
next:
	for _, id := range ids {
		if id == "" {
			continue
		}
		for _, s := range r.Sources {
			if s.ID == id {
				continue next
			}
		}
		r.Sources = append(r.Sources, SourceByID(id))
	}
}
