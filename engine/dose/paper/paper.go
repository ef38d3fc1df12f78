package paper

import "math"

// Molar masses in g/mol of the two carbonates that make up an alkali reserve.
const (
	CalciumCarbonate   = 100.0869
	MagnesiumCarbonate = 84.314
)

// ReserveMoles turns a reserve in per cent of a carbonate into mol of acid it
// can meet, per kg of paper: each mole of carbonate meets two.
func ReserveMoles(percent, molarMass float64) float64 { return 2 * percent * 10 / molarMass }

// ReservePercent is the inverse of [ReserveMoles].
func ReservePercent(moles, molarMass float64) float64 { return moles * molarMass / 20 }

// Titrated is the alkali reserve in mol/kg from a back-titration: mL of base
// for the blank and the sample, base in mol/L, dry paper in g.
func Titrated(blank, sample, base, dry float64) float64 { return (blank - sample) * base / dry }

// A Band is a low and a high figure.
type Band struct{ Low, High float64 }

// Growth is by how much, in per cent, one kind of paper grows.
type Growth struct {
	Kind         string
	Along, Cross Band // along and across the grain
	Wet          bool // soaked through; else a humidity step the sources don't state
}

// Growths is the table read in paper-making notes and a bookbinders' list.
var Growths = []Growth{
	{"wetted through", Band{0.2, 0.3}, Band{2, 3}, true},
	{"bond", Band{0.10, 0.20}, Band{0.20, 0.40}, false},
	{"coated art", Band{0.09, 0.15}, Band{0.15, 0.35}, false},
	{"carbonless", Band{0.05, 0.15}, Band{0.20, 0.40}, false},
	{"gasket", Band{0.40, 1.00}, Band{0.50, 1.10}, false},
}

// Grow is the change of a length in mm for a growth in per cent.
func Grow(length, percent float64) float64 { return length * percent / 100 }

// TearIndex is tear force in mN over grammage in g/m², in mN m²/g.
func TearIndex(force, grammage float64) float64 { return force / grammage }

// TearMinimum is the tear in mN that ISO 9706 asks at a grammage in g/m²; ok is
// false below 25 g/m², where it says nothing.
func TearMinimum(grammage float64) (mN float64, ok bool) {
	switch {
	case grammage >= 70:
		return 350, true
	case grammage >= 25:
		return 6*grammage - 70, true
	default:
		return 0, false
	}
}

// DoubleFolds turns folding endurance, a logarithm, into double folds.
func DoubleFolds(endurance float64) float64 { return math.Pow(10, endurance) }

// A Method is a way to measure the pH of paper.
type Method struct {
	Name       string
	Hot        bool
	Surface    bool
	Unfiltered bool
}

// Methods is the list read in previews of the standards.
var Methods = []Method{
	{"ISO 6588-1 cold extract", false, false, false},
	{"ASTM D778 cold extract", false, false, true},
	{"TAPPI T 509 cold extract", false, false, true},
	{"TAPPI T 435 hot extract", true, false, false},
	{"TAPPI T 529 surface", false, true, false},
}

// Comparable says whether pH values by two methods may be compared: only by
// one and the same method.
func Comparable(a, b Method) bool { return a == b }

// Gravity is the standard acceleration in m/s².
const Gravity = 9.80665

// Pressure in kPa of a mass in kg on an area in mm².
func Pressure(mass, area float64) float64 { return mass * Gravity / area * 1000 }

// MassFor is the inverse of [Pressure].
func MassFor(kPa, area float64) float64 { return kPa * area / 1000 / Gravity }
