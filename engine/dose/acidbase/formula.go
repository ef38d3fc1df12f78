package acidbase

import (
	"fmt"
	"math"
	"strings"
)

// weights are IUPAC conventional atomic weights, from memory. Those of H, C, O,
// Ca and Mg are borne out by the published molar masses in the tests, those of
// Na, K, P and B by the published buffer recipes; N, Al, S, Cl, Fe and Zn are
// not checked against a source.
var weights = map[string]float64{
	"H": 1.008, "B": 10.81, "C": 12.011, "N": 14.007, "O": 15.999, "Na": 22.98977,
	"Mg": 24.305, "Al": 26.98154, "P": 30.97376, "S": 32.06, "Cl": 35.45,
	"K": 39.0983, "Ca": 40.078, "Fe": 55.845, "Zn": 65.38,
}

// MolarMass reads a chemical formula such as "Ca(OH)2" or "C6H8O7.H2O" (a dot
// or "·" joins the water of a hydrate) and gives g/mol.
func MolarMass(formula string) (float64, error) {
	text := strings.ReplaceAll(strings.TrimSpace(formula), "·", ".")
	if text == "" || len(text) > 80 {
		return 0, fmt.Errorf("a formula has 1 to 80 signs, such as Ca(OH)2")
	}
	var total float64
	for piece := range strings.SplitSeq(text, ".") {
		p := &formulaReader{text: piece}
		times := p.number()
		mass, err := p.group(0)
		if err != nil {
			return 0, err
		}
		if p.at < len(p.text) {
			return 0, fmt.Errorf("%q has %q where an element or a bracket was expected", formula, p.text[p.at:])
		}
		total += times * mass
	}
	if total <= 0 || total > 1e5 || math.IsNaN(total) {
		return 0, fmt.Errorf("%q gives no sensible molar mass", formula)
	}
	return total, nil
}

type formulaReader struct {
	text string
	at   int
}

func (p *formulaReader) number() float64 {
	n, start := 0, p.at
	for p.at < len(p.text) && p.at-start < 3 && p.text[p.at] >= '0' && p.text[p.at] <= '9' {
		n = n*10 + int(p.text[p.at]-'0')
		p.at++
	}
	if p.at == start {
		return 1
	}
	return float64(n)
}

func (p *formulaReader) group(depth int) (float64, error) {
	if depth > 5 {
		return 0, fmt.Errorf("%q has more than five brackets in one another", p.text)
	}
	var sum float64
	for p.at < len(p.text) && p.text[p.at] != ')' {
		var one float64
		if p.text[p.at] == '(' {
			p.at++
			inner, err := p.group(depth + 1)
			if err != nil {
				return 0, err
			}
			if p.at >= len(p.text) {
				return 0, fmt.Errorf("%q has a bracket that isn't closed", p.text)
			}
			p.at++
			one = inner
		} else {
			w, err := p.element()
			if err != nil {
				return 0, err
			}
			one = w
		}
		sum += one * p.number()
	}
	if sum == 0 {
		return 0, fmt.Errorf("%q has an empty part", p.text)
	}
	return sum, nil
}

func (p *formulaReader) element() (float64, error) {
	end := p.at + 1
	if end < len(p.text) && p.text[end] >= 'a' && p.text[end] <= 'z' {
		end++
	}
	name := p.text[p.at:end]
	w, ok := weights[name]
	if !ok {
		return 0, fmt.Errorf("no element %q in the table; it holds H B C N O Na Mg Al P S Cl K Ca Fe Zn", name)
	}
	p.at = end
	return w, nil
}
