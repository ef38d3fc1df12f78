package solubility

import (
	"math"
	"sort"
)

// Hansen are the three parameters of a liquid in MPa^0.5 at 25 °C: dispersion,
// polar, hydrogen bonding.
type Hansen struct{ D, P, H float64 }

// Total is sqrt(D²+P²+H²).
func (h Hansen) Total() float64 { return math.Sqrt(h.D*h.D + h.P*h.P + h.H*h.H) }

// Distance is Hansen's Ra: sqrt(4 dD² + dP² + dH²). A liquid dissolves a solute
// of interaction radius R0 when Ra < R0.
func (h Hansen) Distance(o Hansen) float64 {
	d, p, hb := h.D-o.D, h.P-o.P, h.H-o.H
	return math.Sqrt(4*d*d + p*p + hb*hb)
}

// Teas are fractional parameters in per cent; they sum to 100.
type Teas struct{ D, P, H float64 }

// Teas computes the fractions from the Hansen values. They lie some units off
// the hand-adjusted Teas table: never mix the two.
func (h Hansen) Teas() Teas {
	s := h.D + h.P + h.H
	return Teas{100 * h.D / s, 100 * h.P / s, 100 * h.H / s}
}

// Sums says whether the fractions add up to 100 within 0.6, as a printed
// triple must.
func (t Teas) Sums() bool { return math.Abs(t.D+t.P+t.H-100) <= 0.6 }

// A Liquid is one row of the table.
type Liquid struct {
	Name   string
	Hansen Hansen
	Seen   bool // false: parameters from memory, information only
}

// liquids lists Hansen's handbook values as read in an encyclopedia article;
// the last four are from memory.
var liquids = []Liquid{
	{"water", Hansen{15.5, 16.0, 42.3}, true},
	{"methanol", Hansen{15.1, 12.3, 22.3}, true},
	{"ethanol", Hansen{15.8, 8.8, 19.4}, true},
	{"2-propanol", Hansen{15.8, 6.1, 16.4}, true},
	{"1-butanol", Hansen{16.0, 5.7, 15.8}, true},
	{"acetone", Hansen{15.5, 10.4, 7.0}, true},
	{"methyl ethyl ketone", Hansen{16.0, 9.0, 5.1}, true},
	{"ethyl acetate", Hansen{15.8, 5.3, 7.2}, true},
	{"n-butyl acetate", Hansen{15.8, 3.7, 6.3}, true},
	{"toluene", Hansen{18.0, 1.4, 2.0}, true},
	{"o-xylene", Hansen{17.8, 1.0, 3.1}, true},
	{"n-hexane", Hansen{14.9, 0.0, 0.0}, true},
	{"n-heptane", Hansen{15.3, 0.0, 0.0}, true},
	{"cyclohexane", Hansen{16.8, 0.0, 0.2}, true},
	{"dichloromethane", Hansen{18.2, 6.3, 6.1}, true},
	{"tetrahydrofuran", Hansen{16.8, 5.7, 8.0}, true},
	{"dimethylformamide", Hansen{17.4, 13.7, 11.3}, true},
	{"ethylene glycol", Hansen{17.0, 11.0, 26.0}, true},
	{"glycerol", Hansen{17.4, 12.1, 29.3}, true},
	{"benzyl alcohol", Hansen{18.4, 6.3, 13.7}, false},
	{"mineral spirits", Hansen{15.8, 0.1, 0.2}, false},
	{"propylene glycol", Hansen{16.8, 9.4, 23.3}, false},
	{"dimethyl sulfoxide", Hansen{18.4, 16.4, 10.2}, false},
}

// Liquids is a copy of the table.
func Liquids() []Liquid { return append([]Liquid(nil), liquids...) }

// ByName finds a liquid.
func ByName(name string) (Liquid, bool) {
	for _, l := range liquids {
		if l.Name == name {
			return l, true
		}
	}
	return Liquid{}, false
}

// Names lists the liquids, sorted.
func Names() []string {
	var out []string
	for _, l := range liquids {
		out = append(out, l.Name)
	}
	sort.Strings(out)
	return out
}

// Mix is the volume-fraction mean of parameters; parts need not sum to 1 but
// must not sum to 0.
func Mix(of []Hansen, parts []float64) Hansen {
	var m Hansen
	var sum float64
	for i, h := range of {
		m.D, m.P, m.H = m.D+parts[i]*h.D, m.P+parts[i]*h.P, m.H+parts[i]*h.H
		sum += parts[i]
	}
	return Hansen{m.D / sum, m.P / sum, m.H / sum}
}

// MixTeas is the volume-fraction mean of fractional parameters.
func MixTeas(of []Teas, parts []float64) Teas {
	hs := make([]Hansen, len(of))
	for i, t := range of {
		hs[i] = Hansen(t)
	}
	return Teas(Mix(hs, parts))
}

// PublishedTeas holds points of the hand-adjusted Teas table. Three were read;
// ethanol, methanol, n-amyl alcohol and cyclohexanol are from memory but borne
// out by published mixtures; the rest are from memory.
var PublishedTeas = map[string]struct {
	Teas
	Seen bool
}{
	"carbon tetrachloride": {Teas{85, 2, 13}, true},
	"o-xylene":             {Teas{83, 5, 12}, true},
	"ethyl benzene":        {Teas{87, 3, 10}, true},
	"water":                {Teas{18, 28, 54}, false},
	"ethanol":              {Teas{36, 18, 46}, false},
	"methanol":             {Teas{30, 22, 48}, false},
	"2-propanol":           {Teas{38, 17, 45}, false},
	"acetone":              {Teas{47, 32, 21}, false},
	"methyl ethyl ketone":  {Teas{53, 30, 17}, false},
	"ethyl acetate":        {Teas{51, 18, 31}, false},
	"toluene":              {Teas{80, 7, 13}, false},
	"n-heptane":            {Teas{100, 0, 0}, false},
	"mineral spirits":      {Teas{90, 4, 6}, false},
	"cyclohexanol":         {Teas{50, 12, 38}, false},
	"n-amyl alcohol":       {Teas{46, 13, 41}, false},
}
