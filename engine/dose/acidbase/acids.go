package acidbase

import "sort"

// An Acid is a weak acid with its constants at 25 °C and zero ionic strength.
type Acid struct {
	Name   string
	Top    int       // charge with all protons on
	PKa    []float64 // in the order in which protons leave
	Seen   bool      // false: constants are from memory and must not be used
	Origin string
}

// acids is the table read in minteq.v4.dat; DTPA alone is from memory.
var acids = map[string]Acid{
	"citric":     {"citric", 0, []float64{3.128, 4.761, 6.396}, true, "phreeqc"},
	"edta":       {"edta", 0, []float64{2.16, 3.119, 6.273, 10.948}, true, "phreeqc"},
	"carbonic":   {"carbonic", 0, []float64{6.352, 10.329}, true, "phreeqc"},
	"phosphoric": {"phosphoric", 0, []float64{2.148, 7.198, 12.375}, true, "phreeqc"},
	"boric":      {"boric", 0, []float64{9.236}, true, "phreeqc"},
	"acetic":     {"acetic", 0, []float64{4.757}, true, "phreeqc"},
	"ammonium":   {"ammonium", 1, []float64{9.244}, true, "phreeqc"},
	"dtpa":       {"dtpa", 0, []float64{1.8, 2.6, 4.3, 8.5, 10.5}, false, "memory"},
}

// ByName finds an acid of the table.
func ByName(name string) (Acid, bool) {
	a, ok := acids[name]
	return a, ok
}

// Names lists the acids whose constants were seen, sorted.
func Names() []string {
	var out []string
	for n, a := range acids {
		if a.Seen {
			out = append(out, n)
		}
	}
	sort.Strings(out)
	return out
}

// Other constants at 25 °C, as log10.
const (
	LogKw      = -14.0  // water, the figure the worked values use (NIST 46: -13.997)
	LogHenry   = -1.468 // CO2 gas to water, mol/L per atm
	LogCalcite = -8.48  // solubility product of calcite
	LogCaOH    = 1.22   // Ca2+ + OH- = CaOH+
	DaviesA    = 0.509  // Debye-Hückel slope of water
)

// SaturatedLimewater is the calcium hydroxide in saturated limewater at 25 °C,
// mol/L (Bates, Bower, Smith 1956).
const SaturatedLimewater = 0.0203

// A Chelate holds the log stability constants of one metal: at zero ionic
// strength for citrate and EDTA, at 0.1 mol/L for EDTA and DTPA. 0 means that
// the source gives none.
type Chelate struct {
	Metal                           string
	Citrate0, EDTA0, EDTA01, DTPA01 float64
}

// Chelates is the table of stability constants; the 0.1 mol/L columns were
// seen second hand.
var Chelates = []Chelate{
	{"Fe(III)", 13.1, 27.7, 25.1, 28.6},
	{"Fe(II)", 6.1, 16.0, 14.3, 16.5},
	{"Ca", 4.87, 12.42, 10.96, 10.74},
	{"Mg", 0, 0, 8.69, 9.3},
	{"Mn(II)", 0, 0, 14.04, 15.6},
	{"Zn", 0, 0, 16.5, 18.75},
}
