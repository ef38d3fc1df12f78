package acidbase

import (
	"errors"
	"math"
)

// A Model says how activity is treated.
type Model int

// Ideal takes activity as concentration. Davies corrects it by the Davies
// equation with slope 0.509, held to serve up to about 0.5 mol/L ionic
// strength (that bound is from memory).
const (
	Ideal Model = iota
	Davies
)

// String names the model as the working prints it.
func (m Model) String() string {
	if m == Davies {
		return "Davies activities"
	}
	return "ideal solution"
}

// A Share is one acid and its total concentration in mol/L, in all its forms.
type Share struct {
	Acid Acid
	Conc float64
}

// A Solution is what was put into water. Cations and Anions are strong single
// charges (Na+, K+; Cl-) in mol/L.
type Solution struct {
	Shares          []Share
	Cations, Anions float64
}

// An Answer is a solved solution.
type Answer struct {
	PH            float64 // -log10 of the activity of H+
	IonicStrength float64 // mol/L
	BufferValue   float64 // mol/L of strong base per pH unit, activities held
}

// ErrNoBalance says that no pH from -2 to 16 balances the charges.
var ErrNoBalance = errors.New("no pH balances the charges")

// Solve finds the pH by charge balance.
func Solve(s Solution, m Model) (Answer, error) {
	var strength float64
	var ph float64
	for range 200 {
		g := gammas(strength, m)
		p, err := balance(func(ph float64) float64 { return s.charge(ph, g) })
		if err != nil {
			return Answer{}, err
		}
		next := s.strength(p, g)
		settled := math.Abs(next-strength) < 1e-13 && math.Abs(p-ph) < 1e-12
		ph, strength = p, next
		if settled {
			break
		}
	}
	return Answer{ph, strength, s.bufferValue(ph, gammas(strength, m))}, nil
}

// BaseFor finds the strong base (negative: strong acid) in mol/L that brings
// the shares to the wanted pH, counting base already in Cations and Anions.
func BaseFor(s Solution, ph float64, m Model) (base float64, a Answer) {
	t := s
	for range 200 {
		g := gammas(a.IonicStrength, m)
		t.Cations, t.Anions = s.Cations, s.Anions
		next := -t.charge(ph, g)
		if next >= 0 {
			t.Cations += next
		} else {
			t.Anions -= next
		}
		strength := t.strength(ph, g)
		settled := math.Abs(next-base) < 1e-14 && math.Abs(strength-a.IonicStrength) < 1e-13
		base, a.IonicStrength = next, strength
		if settled {
			break
		}
	}
	a.PH, a.BufferValue = ph, t.bufferValue(ph, gammas(a.IonicStrength, m))
	return base, a
}

// Gamma is the activity coefficient of an ion of charge z.
func Gamma(z int, strength float64, m Model) float64 {
	if m == Ideal || z == 0 {
		return 1
	}
	r := math.Sqrt(strength)
	return math.Pow(10, -DaviesA*float64(z*z)*(r/(1+r)-0.3*strength))
}

// gammas lists the coefficients by size of charge, 0 to 5.
func gammas(strength float64, m Model) [6]float64 {
	var g [6]float64
	for z := range g {
		g[z] = Gamma(z, strength, m)
	}
	return g
}

func size(z int) int { return min(max(z, -z), 5) }

// forms gives the part of an acid in each form at a pH, most protonated first.
func (a Acid) forms(ph float64, g [6]float64) []float64 {
	logs := make([]float64, len(a.PKa)+1)
	top := 0.0
	for i, pk := range a.PKa {
		z := a.Top - i
		logs[i+1] = logs[i] + ph - pk + math.Log10(g[size(z)]/g[size(z-1)])
		top = math.Max(top, logs[i+1])
	}
	var sum float64
	for i := range logs {
		logs[i] = math.Pow(10, logs[i]-top)
		sum += logs[i]
	}
	for i := range logs {
		logs[i] /= sum
	}
	return logs
}

// Forms gives the part of an acid in each form at a pH and ionic strength,
// most protonated first; the parts sum to 1.
func (a Acid) Forms(ph, strength float64, m Model) []float64 {
	return a.forms(ph, gammas(strength, m))
}

func waterIons(ph float64, g [6]float64) (h, oh float64) {
	return math.Pow(10, -ph) / g[1], math.Pow(10, LogKw+ph) / g[1]
}

func (s Solution) charge(ph float64, g [6]float64) float64 {
	h, oh := waterIons(ph, g)
	sum := h - oh + s.Cations - s.Anions
	for _, sh := range s.Shares {
		for i, f := range sh.Acid.forms(ph, g) {
			sum += sh.Conc * f * float64(sh.Acid.Top-i)
		}
	}
	return sum
}

func (s Solution) strength(ph float64, g [6]float64) float64 {
	h, oh := waterIons(ph, g)
	sum := h + oh + s.Cations + s.Anions
	for _, sh := range s.Shares {
		for i, f := range sh.Acid.forms(ph, g) {
			z := float64(sh.Acid.Top - i)
			sum += sh.Conc * f * z * z
		}
	}
	return sum / 2
}

// bufferValue is d(base)/d(pH): ln 10 times the free H+ and OH- and, for each
// acid, the spread of its proton number.
func (s Solution) bufferValue(ph float64, g [6]float64) float64 {
	h, oh := waterIons(ph, g)
	sum := h + oh
	for _, sh := range s.Shares {
		var mean, square float64
		for i, f := range sh.Acid.forms(ph, g) {
			mean += f * float64(i)
			square += f * float64(i*i)
		}
		sum += sh.Conc * (square - mean*mean)
	}
	return math.Ln10 * sum
}

// balance finds where a charge that falls with pH crosses zero.
func balance(charge func(ph float64) float64) (float64, error) {
	lo, hi := -2.0, 16.0
	if !(charge(lo) >= 0) || !(charge(hi) <= 0) {
		return 0, ErrNoBalance
	}
	for range 100 {
		mid := (lo + hi) / 2
		if charge(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2, nil
}
