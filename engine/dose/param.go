package dose

import (
	"fmt"
	"sort"
	"strings"
)

// A Param is one input of a computation.
type Param struct {
	Name     string   `json:"name"`
	Says     string   `json:"says"`
	Unit     Unit     `json:"unit"`             // the zero Unit: a word or text
	Also     []Kind   `json:"also,omitempty"`   // other kinds it may be given in
	From     float64  `json:"from"`             // range in Unit, both ends in it;
	To       float64  `json:"to"`               // From = To: no range of its own
	Source   string   `json:"source,omitempty"` // whose range that is
	Words    []string `json:"words,omitempty"`  // the words it may be
	Default  string   `json:"default,omitempty"`
	Required bool     `json:"required,omitempty"`
}

// A Computation is one sum that can be asked for by name.
type Computation struct {
	Name   string                     `json:"name"`
	Says   string                     `json:"says"`
	Params []Param                    `json:"params"`
	Run    func(Args) (Result, error) `json:"-"`
}

// Args are the inputs of one run, read and checked by [Computation.Parse]. The
// zero Args hold nothing.
type Args struct {
	computation string
	values      map[string]value
}

type value struct {
	quantity Quantity
	text     string
	fallback bool // from Default
}

// Parse reads key=value texts. It reports the first fault as a [*Refusal].
func (c Computation) Parse(pairs []string) (Args, error) {
	a := Args{c.Name, map[string]value{}}
	for _, pair := range pairs {
		key, text, found := strings.Cut(pair, "=")
		key = strings.TrimSpace(key)
		if !found {
			return a, &Refusal{What: NotRead, Computation: c.Name, Given: pair, Why: "it has no =", Help: "Write name=value, such as " + c.example() + "."}
		}
		p, ok := c.param(key)
		if !ok {
			return a, &Refusal{What: Unknown, Computation: c.Name, Given: key, Why: "there is no such input", Help: "Use one of the known ones.", Known: c.ParamNames()}
		}
		if _, twice := a.values[key]; twice {
			return a, &Refusal{What: NotRead, Computation: c.Name, Input: key, Given: strings.TrimSpace(text), Why: "it is given twice", Help: "Give it once."}
		}
		v, err := p.read(text)
		if err != nil {
			return a, c.named(err, key)
		}
		a.values[key] = v
	}
	return a, c.fill(a)
}

// fill adds what is taken for inputs that were not given, and refuses where one is needed.
func (c Computation) fill(a Args) error {
	for _, p := range c.Params {
		if _, ok := a.values[p.Name]; ok {
			continue
		}
		if p.Required {
			return c.missing(p)
		}
		if p.Default != "" {
			v, err := p.read(p.Default)
			if err != nil {
				return c.named(err, p.Name)
			}
			v.fallback = true
			a.values[p.Name] = v
		}
	}
	return nil
}

func (c Computation) missing(p Param) *Refusal {
	return &Refusal{What: Missing, Computation: c.Name, Input: p.Name, Why: "it is needed: " + p.Says, Help: "Add it, such as " + p.example() + "."}
}

func (c Computation) named(err error, key string) error {
	if r, ok := err.(*Refusal); ok {
		r.Computation, r.Input = c.Name, key
	}
	return err
}

func (c Computation) param(name string) (Param, bool) {
	for _, p := range c.Params {
		if p.Name == name {
			return p, true
		}
	}
	return Param{}, false
}

// ParamNames lists the inputs, sorted, for a "did you mean".
func (c Computation) ParamNames() []string {
	var out []string
	for _, p := range c.Params {
		out = append(out, p.Name)
	}
	sort.Strings(out)
	return out
}

func (c Computation) example() string {
	for _, p := range c.Params {
		return p.example()
	}
	return "name=value"
}

func (p Param) example() string {
	switch {
	case p.Default != "":
		return fmt.Sprintf("%q", p.Name+"="+p.Default)
	case len(p.Words) > 0:
		return fmt.Sprintf("%q", p.Name+"="+p.Words[0])
	case p.Unit.Kind == "":
		return fmt.Sprintf("%q", p.Name+"=...")
	case p.From != p.To:
		return fmt.Sprintf("%q", p.Name+"="+Quantity{Value: p.From + (p.To-p.From)/4, Unit: p.Unit}.String())
	default:
		return fmt.Sprintf("%q", p.Name+"="+Quantity{Value: 1, Unit: p.Unit}.String())
	}
}

func (p Param) read(text string) (value, error) {
	text = strings.TrimSpace(text)
	if p.Unit.Kind == "" {
		return p.readWord(text)
	}
	q, err := ParseQuantity(text, append([]Kind{p.Unit.Kind}, p.Also...)...)
	if err != nil {
		return value{}, err
	}
	if own, ok := q.In(p.Unit); ok {
		if err := p.inRange(own.Value, text); err != nil {
			return value{}, err
		}
	}
	return value{quantity: q, text: text}, nil
}

func (p Param) readWord(text string) (value, error) {
	if len(text) > 20000 {
		return value{}, &Refusal{What: NotRead, Why: "it is longer than 20000 signs", Help: "Shorten it."}
	}
	if len(p.Words) == 0 {
		return value{text: text}, nil
	}
	for _, w := range p.Words {
		if strings.EqualFold(w, text) {
			return value{text: w}, nil
		}
	}
	return value{}, &Refusal{What: Unknown, Given: text, Why: "it is not one of the words for this", Help: "Use one of them.", Known: p.Words}
}

func (p Param) inRange(v float64, given string) error {
	if p.From == p.To {
		return nil
	}
	slack := 1e-9 * (p.To - p.From)
	by := 0.0
	switch {
	case v < p.From-slack:
		by = p.From - v
	case v > p.To+slack:
		by = v - p.To
	default:
		return nil
	}
	src := p.Source
	if src == "" {
		src = "what this computation was made for"
	}
	return &Refusal{
		What: OutOfRange, Given: given, Why: "it lies outside what the sum supports",
		Range: num(p.From) + " to " + Quantity{Value: p.To, Unit: p.Unit}.String(),
		By:    strings.TrimSpace(num(by) + " " + p.Unit.Symbol), Source: sourceTitle(src),
		Help: "Nothing is computed beyond the range. Check the number and its unit.",
	}
}

// Has says whether an input was given or has a default.
func (a Args) Has(name string) bool { _, ok := a.values[name]; return ok }

// Given says whether an input was given by hand.
func (a Args) Given(name string) bool { v, ok := a.values[name]; return ok && !v.fallback }

// Quantity is an input as it was given.
func (a Args) Quantity(name string) Quantity { return a.values[name].quantity }

// Text is a word or text input.
func (a Args) Text(name string) string { return a.values[name].text }

// In is an input in a unit; 0 if it is absent or of another kind.
func (a Args) In(name string, k Kind, symbol string) float64 {
	q, _ := a.values[name].quantity.In(unit(k, symbol))
	return q.Value
}
