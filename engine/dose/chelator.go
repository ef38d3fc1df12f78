package dose

import (
	"math"

	"tideline/engine/dose/acidbase"
)

type agent struct {
	reagent
	acid string
}

var agents = []agent{
	{reagent{"citric acid", "C6H8O7.H2O", 0}, "citric"},
	{reagent{"trisodium citrate", "Na3C6H5O7.2H2O", 3}, "citric"},
	{reagent{"disodium EDTA", "C10H14N2Na2O8.2H2O", 2}, "edta"},
	{reagent{"tetrasodium EDTA", "C10H12N2Na4O8.4H2O", 4}, "edta"},
	{reagent{"DTPA", "C14H23N3O10", 0}, "dtpa"},
}

func agentNames() []string {
	var out []string
	for _, a := range agents {
		out = append(out, a.name)
	}
	return out
}

// runChelator solves the pH of the bath and the conditional constants
// log K' = log K + log10(share of the bare anion); iron hydrolysis is left out.
func runChelator(a Args) (Result, error) {
	var r Result
	var ag agent
	for _, x := range agents {
		if x.name == a.Text("agent") {
			ag = x
		}
	}
	mm, _ := acidbase.MolarMass(ag.formula)
	c := a.In("strength", Molar, "mol/L")
	if a.Quantity("strength").Unit.Kind == MassPerVol {
		c = a.In("strength", MassPerVol, "g/L") / mm
		if !(c >= 1e-4 && c <= 1) {
			return r, outside("strength", of(c, Molar, "mol/L"), 1e-4, 1, ownID, "No bath for paper is so strong or so weak.")
		}
	}
	litres := a.In("volume", Volume, "L")
	r.Range = "25 °C; 0.0001 to 1 mol/L; pH and hold only to an ionic strength of 0.5 mol/L; no metal in the bath yet"
	r.line("arithmetic", "m = c·V·M", of(c*litres*mm, Mass, "g"), "", "%s mol/L·%s L·%s g/mol (%s)", num(c), num(litres), num(mm), ag.formula)
	r.value("strength", "amount per volume", of(c, Molar, "mol/L"), Arithmetic)
	r.value("mass_per_volume", "reagent per volume", of(c*mm/10, MassPerVol, "% w/v"), Arithmetic)
	r.weigh("mass", ag.name+" to weigh", c*litres*mm, a, litres*1000, Arithmetic)
	r.caution("Chelators take calcium as well as iron: they strip an alkali reserve and etch carbonate coatings, and hinder its return in the next bath. Rinse with pure water before any alkaline bath.")
	r.caution(dataSheet)
	acid, _ := acidbase.ByName(ag.acid)
	if !acid.Seen {
		r.caution("The acid constants of %s were found in no opened source, so its pH and its hold on metals are not computed: measure the pH.", ag.name)
		return r, nil
	}
	return r, r.chelate(a, ag, acid, c)
}

func (r *Result) chelate(a Args, ag agent, acid acidbase.Acid, c float64) error {
	s := acidbase.Solution{Shares: []acidbase.Share{{Acid: acid, Conc: c}}, Cations: ag.brings * c}
	ideal, err := acidbase.Solve(s, acidbase.Ideal)
	if err != nil {
		return impossible("strength", "Check the strength.", err.Error())
	}
	own, err := acidbase.Solve(s, acidbase.Davies)
	if err != nil {
		return impossible("strength", "Check the strength.", err.Error())
	}
	if own.IonicStrength > 0.5 {
		r.caution("The ionic strength is %s mol/L, beyond the 0.5 of the activity model: pH and hold on metals are not computed. Measure the pH.", num(own.IonicStrength))
		return nil
	}
	r.line("phreeqc", "charge balance, "+acidbase.Ideal.String(), of(ideal.PH, PHKind, "pH"), "two decimals", "%s mol/L %s", num(c), ag.name)
	r.line("davies", "charge balance, "+acidbase.Davies.String(), of(own.PH, PHKind, "pH"), "two decimals", "ionic strength %s mol/L", num(own.IonicStrength))
	r.value("ph_ideal", "pH as dissolved, ideal solution", of(ideal.PH, PHKind, "pH"), Computed)
	r.value("ph", "pH as dissolved, with activities", of(own.PH, PHKind, "pH"), Computed)
	r.caution(measured)
	at := own
	if a.Has("ph") {
		base, ans := acidbase.BaseFor(s, a.In("ph", PHKind, "pH"), acidbase.Davies)
		at = ans
		r.line("davies", "strong base for the wanted pH", of(base, Molar, "mol/L"), "", "pH %s", num(ans.PH))
		r.value("base", "strong base to add (below 0: strong acid)", of(base, Molar, "mol/L"), Computed)
	}
	if at.IonicStrength > 0.5 {
		return outside("strength", of(at.IonicStrength, Molar, "mol/L"), 0, 0.5, "davies", "The ionic strength is too high for the activity model: use a weaker bath.")
	}
	forms := acid.Forms(at.PH, at.IonicStrength, acidbase.Davies)
	bare := forms[len(forms)-1]
	r.value("ionic_strength", "ionic strength", of(at.IonicStrength, Molar, "mol/L"), Computed)
	r.value("bare", "share of the fully bare anion", of(100*bare, Fraction, "%"), Computed)
	for _, k := range acidbase.Chelates {
		log := k.EDTA0
		if acid.Name == "citric" {
			log = k.Citrate0
		}
		if log == 0 {
			continue
		}
		r.line("phreeqc", "log K' = log K + log10(bare share)", Quantity{Value: log + math.Log10(bare), Unit: plain}, "", "%s: %s + log10(%s)", k.Metal, num(log), num(bare))
		r.value("hold_"+metalKey(k.Metal), "log of the conditional constant for "+k.Metal, Quantity{Value: log + math.Log10(bare), Unit: plain}, Computed)
	}
	r.source("chelates-01")
	r.caution("The constants hold for zero ionic strength; at 0.1 mol/L they are 2 to 3 lower for iron. Rust is iron(III) hydroxide, and its own poor solubility, which grows worse as pH rises, isn't in these figures: a high hold doesn't mean that rust dissolves.")
	return nil
}

func metalKey(metal string) string {
	switch metal {
	case "Fe(III)":
		return "iron3"
	case "Fe(II)":
		return "iron2"
	default:
		return map[string]string{"Ca": "calcium", "Mg": "magnesium", "Mn(II)": "manganese", "Zn": "zinc"}[metal]
	}
}
