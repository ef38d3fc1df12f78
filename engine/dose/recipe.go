package dose

import (
	"fmt"
	"math"

	"tideline/engine/dose/acidbase"
)

var recipes = []Computation{
	{Name: "molarity", Says: "mol/L from grams in a volume, or grams for a wanted strength", Run: runMolarity, Params: []Param{
		{Name: "formula", Says: "chemical formula, such as C6H8O7.H2O", Required: true},
		{Name: "mass", Says: "mass dissolved (leave out to have it computed)", Unit: unit(Mass, "g"), From: 1e-4, To: 50000, Source: ownID},
		{Name: "wanted", Says: "strength wanted (instead of mass)", Unit: unit(Molar, "mol/L"), Also: []Kind{MassPerVol}, From: 1e-6, To: 20, Source: ownID},
		{Name: "purity", Says: "part of the reagent that is the substance", Unit: unit(Fraction, "%"), From: 1, To: 100, Default: "100 %", Source: ownID},
		volumeParam, balanceParam,
	}},
	{Name: "buffer", Says: "what to weigh for a buffer of a wanted pH", Run: runBuffer, Params: []Param{
		{Name: "acid", Says: "the weak acid", Words: acidbase.Names(), Required: true},
		{Name: "ph", Says: "pH wanted", Unit: unit(PHKind, "pH"), From: 2, To: 12.5, Required: true, Source: "phreeqc"},
		{Name: "total", Says: "all of the acid, in all its forms", Unit: unit(Molar, "mol/L"), From: 0.001, To: 0.3, Required: true, Source: "davies"},
		volumeParam, balanceParam,
	}},
	{Name: "buffer-ph", Says: "pH of a weak acid and its salt, ideal and with activities", Run: runBufferPH, Params: []Param{
		{Name: "acid", Says: "the weak acid", Words: acidbase.Names(), Required: true},
		{Name: "step", Says: "which proton: 1 is the first to leave", Unit: plain, From: 1, To: 4, Default: "1", Source: "phreeqc"},
		{Name: "acid_form", Says: "strength of the form that still has it", Unit: unit(Molar, "mol/L"), From: 1e-4, To: 0.3, Required: true, Source: "davies"},
		{Name: "base_form", Says: "strength of the form that has lost it", Unit: unit(Molar, "mol/L"), From: 1e-4, To: 0.3, Required: true, Source: "davies"},
	}},
	{Name: "chelator", Says: "strength, pH and hold on iron and calcium of a chelating bath", Run: runChelator, Params: []Param{
		{Name: "agent", Says: "the reagent", Words: agentNames(), Required: true},
		{Name: "strength", Says: "strength of the bath", Unit: unit(Molar, "mol/L"), Also: []Kind{MassPerVol}, From: 1e-4, To: 1, Required: true, Source: ownID},
		{Name: "ph", Says: "pH wanted; the base for it is computed", Unit: unit(PHKind, "pH"), From: 2, To: 12.5, Source: "phreeqc"},
		volumeParam, balanceParam,
	}},
	{Name: "ph-standard", Says: "what a pH meter must read in a standard buffer", Run: runStandard, Params: []Param{
		{Name: "buffer", Says: "which standard", Words: standardNames(), Required: true},
		{Name: "temperature", Says: "temperature of the buffer", Unit: unit(Temperature, "°C"), From: 0, To: 60, Default: "25 °C", Source: "nbs-buffers"},
	}},
}

// runMolarity is n = m·purity/M, c = n/V (arithmetic).
func runMolarity(a Args) (Result, error) {
	var r Result
	mm, err := acidbase.MolarMass(a.Text("formula"))
	if err != nil {
		return r, &Refusal{What: NotRead, Input: "formula", Given: a.Text("formula"), Why: err.Error(), Help: "Write it as on the label, with the water of a hydrate after a dot: Na2CO3.10H2O."}
	}
	if a.Has("mass") == a.Has("wanted") {
		return r, &Refusal{What: Missing, Input: "mass or wanted", Why: "exactly one of the two is needed", Help: `Give mass to learn the strength, or wanted to learn the mass.`}
	}
	litres, pure := a.In("volume", Volume, "L"), a.In("purity", Fraction, "%")/100
	r.Range = "1 mL to 200 L; formulas of H B C N O Na Mg Al P S Cl K Ca Fe Zn"
	r.line("arithmetic", "M = sum of atomic weights", Quantity{Value: mm, Unit: plain}, "g/mol", "%s", a.Text("formula"))
	r.value("molar_mass", "g/mol", Quantity{Value: mm, Unit: plain}, Arithmetic)
	if a.Has("mass") {
		c := a.In("mass", Mass, "g") * pure / mm / litres
		r.line("arithmetic", "c = m·purity/(M·V)", of(c, Molar, "mol/L"), "", "%s g·%s/(%s·%s L)", num(a.In("mass", Mass, "g")), num(pure), num(mm), num(litres))
		r.value("strength", "amount per volume", of(c, Molar, "mol/L"), Arithmetic)
		r.value("mass_per_volume", "substance per volume", of(c*mm/10, MassPerVol, "% w/v"), Arithmetic)
		return r, nil
	}
	c := a.In("wanted", Molar, "mol/L")
	if w := a.Quantity("wanted"); w.Unit.Kind == MassPerVol {
		c = a.In("wanted", MassPerVol, "g/L") / mm
	}
	if !(c > 0 && c <= 20) {
		return r, outside("wanted", of(c, Molar, "mol/L"), 1e-6, 20, ownID, "Check the unit.")
	}
	grams := c * litres * mm / pure
	r.line("arithmetic", "m = c·V·M/purity", of(grams, Mass, "g"), "", "%s mol/L·%s L·%s/%s", num(c), num(litres), num(mm), num(pure))
	r.value("strength", "amount per volume", of(c, Molar, "mol/L"), Arithmetic)
	r.weigh("mass", "mass to weigh", grams, a, a.In("volume", Volume, "mL"), Arithmetic)
	r.caution(dataSheet)
	return r, nil
}

// A reagent is what is weighed for an acid: its formula, and the strong charge
// (Na+ or K+; negative: Cl-) that it brings per mole.
type reagent struct {
	name, formula string
	brings        float64
}

var bufferReagents = map[string]reagent{
	"acetic":     {"acetic acid", "C2H4O2", 0},
	"ammonium":   {"ammonium chloride", "NH4Cl", -1},
	"boric":      {"boric acid", "H3BO3", 0},
	"carbonic":   {"sodium hydrogen carbonate", "NaHCO3", 1},
	"citric":     {"citric acid monohydrate", "C6H8O7.H2O", 0},
	"edta":       {"disodium EDTA dihydrate", "C10H14N2Na2O8.2H2O", 2},
	"phosphoric": {"potassium dihydrogen phosphate", "KH2PO4", 1},
}

const measured = "This pH is arithmetic on constants, not a reading. Make it up, read it with a calibrated meter at bath temperature, and adjust with small amounts."

// nearestPKa is the step whose constant is closest to a pH.
func nearestPKa(acid acidbase.Acid, ph float64) (step int, pk float64) {
	for i, p := range acid.PKa {
		if i == 0 || math.Abs(ph-p) < math.Abs(ph-pk) {
			step, pk = i+1, p
		}
	}
	return step, pk
}

// runBuffer solves the charge balance for the base that brings the acid to the
// wanted pH, ideal and with Davies activities (constants: NIST 46 in minteq.v4).
func runBuffer(a Args) (Result, error) {
	var r Result
	acid, ok := acidbase.ByName(a.Text("acid"))
	rg := bufferReagents[acid.Name]
	ph, total, litres := a.In("ph", PHKind, "pH"), a.In("total", Molar, "mol/L"), a.In("volume", Volume, "L")
	step, pk := nearestPKa(acid, ph)
	if !ok || math.Abs(ph-pk) > 1.5 {
		return r, &Refusal{
			What: OutOfRange, Input: "ph", Given: num(ph), Why: "so far from its constant the acid no longer buffers",
			Range: fmt.Sprintf("within 1.5 of a pKa of %s: %v", acid.Name, acid.PKa), By: num(math.Abs(ph-pk) - 1.5), Source: sourceTitle("phreeqc"), Help: "Choose an acid with a pKa near the wanted pH.",
		}
	}
	start := acidbase.Solution{Shares: []acidbase.Share{{Acid: acid, Conc: total}}}
	if rg.brings >= 0 {
		start.Cations = rg.brings * total
	} else {
		start.Anions = -rg.brings * total
	}
	ideal, _ := acidbase.BaseFor(start, ph, acidbase.Ideal)
	base, ans := acidbase.BaseFor(start, ph, acidbase.Davies)
	r.Range = "25 °C; 0.001 to 0.3 mol/L; within 1.5 pH of a pKa"
	if ans.IonicStrength > 0.5 {
		return r, outside("total", of(ans.IonicStrength, Molar, "mol/L"), 0, 0.5, "davies", "Use less acid: the ionic strength is too high for the activity model.")
	}
	mm, _ := acidbase.MolarMass(rg.formula)
	r.line("phreeqc", "pH = pKa + log10(base form/acid form)", Quantity{Value: math.Pow(10, ph-pk), Unit: plain}, "", "%s = %s + log10(ratio), pKa%d", num(ph), num(pk), step)
	r.line("phreeqc", "charge balance, "+acidbase.Ideal.String()+": H + Na = OH + sum of anion charges", of(ideal, Molar, "mol/L"), "", "strong base for pH %s with %s mol/L acid", num(ph), num(total))
	r.line("davies", "the same, "+acidbase.Davies.String(), of(base, Molar, "mol/L"), "", "ionic strength %s mol/L", num(ans.IonicStrength))
	r.value("ratio", "base form to acid form at the nearest pKa", Quantity{Value: math.Pow(10, ph-pk), Unit: plain}, Computed)
	r.value("ionic_strength", "ionic strength of the buffer", of(ans.IonicStrength, Molar, "mol/L"), Computed)
	r.value("buffer_value", "mol/L of strong base per pH unit", Quantity{Value: ans.BufferValue, Unit: plain}, Computed)
	r.value("base_ideal", "strong base to add, ideal solution", of(ideal, Molar, "mol/L"), Computed)
	r.value("base", "strong base to add, with activities (below 0: strong acid)", of(base, Molar, "mol/L"), Computed)
	r.weigh("reagent", rg.name+" to weigh", total*litres*mm, a, litres*1000, Computed)
	if base >= 0 {
		r.weigh("naoh", "sodium hydroxide to weigh", base*litres*39.997, a, litres*1000, Computed)
	} else {
		r.caution("The reagent is more alkaline than the wanted pH: %s mol of a strong acid would be needed; start from the acid form instead.", num(-base*litres))
	}
	if math.Abs(ph-pk) > 1 {
		r.caution("The wanted pH is more than 1 from the pKa: little reserve against acid or base is left.")
	}
	r.caution(measured)
	r.caution("Sodium hydroxide burns skin and eyes: goggles and gloves, solid into water. %s", dataSheet)
	return r, nil
}

// runBufferPH is Henderson and Hasselbalch, then the same with Davies
// activities.
func runBufferPH(a Args) (Result, error) {
	var r Result
	acid, _ := acidbase.ByName(a.Text("acid"))
	step := int(math.Round(a.In("step", Plain, "")))
	if step > len(acid.PKa) {
		return r, outside("step", Quantity{Value: float64(step), Unit: plain}, 1, float64(len(acid.PKa)), "phreeqc", "This acid has fewer protons.")
	}
	ha, b := a.In("acid_form", Molar, "mol/L"), a.In("base_form", Molar, "mol/L")
	pk, z := acid.PKa[step-1], acid.Top-step+1
	ideal := pk + math.Log10(b/ha)
	strength := saltStrength(ha, z) + saltStrength(b, z-1)
	if strength > 0.5 {
		return r, outside("acid_form and base_form", of(strength, Molar, "mol/L"), 0, 0.5, "davies", "Use weaker solutions.")
	}
	shift := math.Log10(acidbase.Gamma(z-1, strength, acidbase.Davies) / acidbase.Gamma(z, strength, acidbase.Davies))
	r.Range = "25 °C; ionic strength to 0.5 mol/L; both forms well above the free H+ and OH-"
	r.line("phreeqc", "pH = pKa + log10(base/acid)", of(ideal, PHKind, "pH"), "two decimals", "%s + log10(%s/%s)", num(pk), num(b), num(ha))
	r.line("davies", "pH = pKa + log10(base·gamma/(acid·gamma))", of(ideal+shift, PHKind, "pH"), "two decimals", "%s + (%s), ionic strength %s mol/L", num(ideal), num(shift), num(strength))
	r.value("ph_ideal", "ideal solution", of(ideal, PHKind, "pH"), Computed)
	r.value("ph", "with Davies activities", of(ideal+shift, PHKind, "pH"), Computed)
	r.value("ionic_strength", "ionic strength", of(strength, Molar, "mol/L"), Computed)
	r.caution(measured)
	if math.Abs(shift) > 0.1 {
		r.caution("The ideal figure is %s pH off the one with activities: never take it for what a meter will read. The phosphate standard computes 7.20 ideal and reads 6.86.", num(math.Abs(shift)))
	}
	if floor := 20 * math.Pow(10, -math.Min(ideal, 14-ideal)); math.Min(ha, b) < floor {
		r.caution("The forms are not far above the free H+ or OH-, so the ratio isn't what was weighed: use buffer instead.")
	}
	return r, nil
}

// saltStrength is the ionic strength that a form of charge z brings with its
// single-charged partners.
func saltStrength(conc float64, z int) float64 {
	q := math.Abs(float64(z))
	return conc * (q*q + q) / 2
}
