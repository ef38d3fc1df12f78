package dose

import (
	"regexp"
	"slices"
	"strings"

	"tideline/rules/nearest"
)

// A Subject is a field of the work with its computations.
type Subject struct {
	Name         string
	Danger       bool // its work can hurt people: local rules and data sheets go before any figure
	Computations []Computation
}

// Subjects lists every computation once, in the order of [All].
func Subjects() []Subject {
	out := []Subject{
		{"Solutions and baths", true, slices.Concat(dilutions, recipes, limes, waters)},
		{"Alkali and paper", true, slices.Concat(reserves, papers)},
		{"Solvents", true, solvents},
		{"Light", true, slices.Concat(lights, hazards)},
		{"Humidity, heat and pressure", true, slices.Concat(airs, heats)},
		{"Colour and grades", false, colours},
		{"Tears", false, tears},
	}
	for i := range out {
		out[i].Computations = slices.Clone(out[i].Computations)
		for j, c := range out[i].Computations {
			out[i].Computations[j], _ = Lookup(c.Name) // the guarded one
		}
	}
	return out
}

// Danger says whether the work that a computation is for can hurt people.
func (c Computation) Danger() bool {
	for _, s := range Subjects() {
		for _, other := range s.Computations {
			if other.Name == c.Name {
				return s.Danger
			}
		}
	}
	return true
}

// Find is [Lookup] with a refusal for a name that is not there.
func Find(name string) (Computation, error) {
	if c, ok := Lookup(name); ok {
		return c, nil
	}
	return Computation{}, &Refusal{What: Unknown, Given: name, Why: "there is no such computation", Help: "Use one of the known ones.", Known: Names()}
}

// Units lists the units an input may be given in, its own first; none for a word or text.
func (p Param) Units() []string {
	if p.Unit.Kind == "" {
		return nil
	}
	out := []string{}
	if p.Unit.Symbol != "" {
		out = append(out, p.Unit.Symbol)
	}
	for _, k := range append([]Kind{p.Unit.Kind}, p.Also...) {
		for _, s := range Symbols(k) {
			if s != "" && !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// leadingNumber is what stands before the unit of a quantity.
var leadingNumber = regexp.MustCompile(`^[-+]?[0-9.]+([eE][-+]?[0-9]+)?`)

// Nearest is the known word, or the unit, that was probably meant; "" if none is near.
func (r *Refusal) Nearest() string {
	if len(r.Known) > 0 {
		return nearest.Word(r.Given, r.Known)
	}
	c, ok := Lookup(r.Computation)
	if !ok || r.What != WrongUnit {
		return ""
	}
	p, ok := c.param(r.Input)
	if !ok {
		return ""
	}
	symbol := strings.TrimSpace(leadingNumber.ReplaceAllString(strings.TrimSpace(r.Given), ""))
	if symbol == "" || len(unitsBySymbol[symbol]) > 0 { // none given, or a real one of another kind
		return ""
	}
	units := p.Units()
	small := make([]string, len(units))
	for i, u := range units {
		small[i] = strings.ToLower(u)
		if small[i] == strings.ToLower(symbol) {
			return u
		}
	}
	if i := slices.Index(small, nearest.Word(strings.ToLower(symbol), small)); i >= 0 {
		return units[i]
	}
	return ""
}
