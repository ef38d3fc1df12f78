package dose

import (
	"fmt"
	"math"

	"tideline/engine/dose/acidbase"
)

// aired is the carbon dioxide in water that stands in air, mol/L (400 ppm).
const aired = 1.4e-5

var limes = []Computation{
	{Name: "limewater", Says: "saturated limewater for a bath of a wanted pH or strength", Run: runLimewater, Params: []Param{
		{Name: "ph", Says: "pH wanted (or give strength)", Unit: unit(PHKind, "pH"), From: 8.5, To: 12, Source: "bates-1956"},
		{Name: "strength", Says: "calcium hydroxide wanted in the bath (or give ph)", Unit: unit(Molar, "mmol/L"), From: 0.05, To: 20.3, Source: "bates-1956"},
		{Name: "degassed", Says: "is the water freed of carbon dioxide (boiled and cooled shut)?", Words: []string{"no", "yes"}, Default: "no"},
		{Name: "temperature", Says: "temperature", Unit: unit(Temperature, "°C"), From: 20, To: 25, Default: "25 °C", Source: "bates-1956"},
		volumeParam, cylinderParam,
	}},
	{Name: "limewater-ph", Says: "pH of diluted limewater, by three models, beside what was measured", Run: runLimePH, Params: []Param{
		{Name: "strength", Says: "calcium hydroxide", Unit: unit(Molar, "mmol/L"), Also: []Kind{MassPerVol}, From: 0.005, To: 20.3, Required: true, Source: "bates-1956"},
		{Name: "temperature", Says: "temperature", Unit: unit(Temperature, "°C"), From: 20, To: 25, Default: "25 °C", Source: "bates-1956"},
	}},
}

var limeCautions = []string{
	"Limewater is strongly alkaline and burns eyes: goggles, gloves, apron, eye wash at hand; the sediment is worse than the clear liquor. Pour off the clear part without stirring up.",
	"Carbon dioxide from the air lowers the pH within minutes to hours: measure at the moment of use and adjust. This is arithmetic, not a reading.",
	"Alkali can change inks and yellow lignin papers: test every colour at the pH of the bath.",
}

// runLimewater inverts the pH of calcium hydroxide under three models: naive,
// Davies activities, and with the CaOH+ pair; then adds what the carbon dioxide
// in the water eats. Strength of saturated limewater: Bates, Bower, Smith 1956.
func runLimewater(a Args) (Result, error) {
	var r Result
	if a.Has("ph") == a.Has("strength") {
		return r, &Refusal{What: Missing, Input: "ph or strength", Why: "exactly one of the two is needed", Help: "Give the pH wanted, or the calcium hydroxide wanted in mmol/L."}
	}
	litres := a.In("volume", Volume, "L")
	r.Range = "pH 8.5 to 12, or 0.05 to 20.3 mmol/L; constants at 25 °C"
	r.source("bates-1956", "phreeqc", "davies")
	for _, c := range limeCautions {
		r.caution("%s", c)
	}
	if a.In("temperature", Temperature, "°C") != 25 {
		r.caution("The constants hold at 25 °C; saturated limewater reads 0.033 pH more for each degree below.")
	}
	if a.Has("strength") {
		c := a.In("strength", Molar, "mol/L")
		r.limeModels(c)
		r.line("bates-1956", "V = c·V(bath)/0.0203 mol/L", of(1000*litres*c/acidbase.SaturatedLimewater, Volume, "mL"), "", "%s·%s L/0.0203", num(c), num(litres))
		r.pour("limewater", "clear saturated limewater to take", 1000*litres*c/acidbase.SaturatedLimewater, a, Computed)
		r.value("alkalinity", "alkali, as mol/L of OH-", of(2*c, Molar, "mol/L"), Arithmetic)
		return r, nil
	}
	ph := a.In("ph", PHKind, "pH")
	naive, best := acidbase.LimeFor(ph, acidbase.LimeNaive), acidbase.LimeFor(ph, acidbase.LimePair)
	eaten := acidbase.LimeForAired(ph, aired) - acidbase.LimeForAired(ph, 0)
	ml := func(c float64) float64 { return 1000 * litres * c / acidbase.SaturatedLimewater }
	r.line("arithmetic", "C = 10^(pH-14)/2, naive", of(naive, Molar, "mol/L"), "", "10^(%s-14)/2", num(ph))
	r.line("davies", "C with Davies activities and CaOH+", of(best, Molar, "mol/L"), "", "solved for pH %s", num(ph))
	r.line("phreeqc", "calcium hydroxide met by the CO2 of water in air", of(eaten, Molar, "mol/L"), "", "1.4e-5 mol/L CO2 at pH %s", num(ph))
	r.value("naive", "limewater in water free of CO2, naive model", of(ml(naive), Volume, "mL"), Computed)
	r.value("free", "limewater in water free of CO2, best model", of(ml(best), Volume, "mL"), Computed)
	if a.Text("degassed") == "yes" {
		r.pour("limewater", "clear saturated limewater to take", ml(best), a, Computed)
		return r, nil
	}
	r.pour("limewater", "clear saturated limewater to take, CO2 of the water included", ml(best+eaten), a, Computed)
	r.value("most", "limewater if all that carbon dioxide takes one Ca(OH)2 each and falls as chalk", of(ml(best+aired), Volume, "mL"), Computed)
	r.value("short_least", "how much more than the plain sum, carbonate staying dissolved", of(100*eaten/naive, Fraction, "%"), Computed)
	r.value("short_most", "how much more than the plain sum, all of it falling as chalk", of(100*aired/naive, Fraction, "%"), Computed)
	r.caution("Water that stands in air already holds about 1.4e-5 mol/L of carbon dioxide: at this pH the plain sum is short by %s to %s %% of itself (carbonate staying dissolved, or all of it falling as chalk). That is for 400 ppm and full balance; your water may hold more or less.", num(math.Round(100*eaten/naive)), num(math.Round(100*aired/naive)))
	if ph < 9.5 {
		r.caution("Below about pH 9.5 the dose is smaller than what the carbon dioxide alone can eat, so no sum can be trusted: add clear limewater drop by drop under the meter, or degas the water.")
	}
	return r, nil
}

// limeModels adds the pH of a strength under each model.
func (r *Result) limeModels(c float64) {
	for _, m := range []struct {
		name  string
		model acidbase.LimeModel
	}{{"ph_naive", acidbase.LimeNaive}, {"ph_davies", acidbase.LimeDavies}, {"ph", acidbase.LimePair}} {
		ph := acidbase.LimePH(c, m.model)
		r.line("phreeqc", "pH = 14 + log10 of the activity of OH-", of(ph, PHKind, "pH"), "two decimals", "%s mol/L Ca(OH)2, %s", num(c), m.model)
		r.value(m.name, "pH in water free of CO2: "+m.model.String(), of(ph, PHKind, "pH"), Computed)
	}
}

// runLimePH is [acidbase.LimePH] beside the measured reference.
func runLimePH(a Args) (Result, error) {
	var r Result
	c := a.In("strength", Molar, "mol/L")
	if a.Quantity("strength").Unit.Kind == MassPerVol {
		c = a.In("strength", MassPerVol, "g/L") / 74.093
	}
	if !(c >= 5e-6*(1-1e-9) && c <= acidbase.SaturatedLimewater*1.0001) {
		return r, outside("strength", of(c*1000, Molar, "mmol/L"), 0.005, 20.3, "bates-1956", "Saturated limewater at 25 °C holds 20.3 mmol/L; more stays as sediment.")
	}
	t := a.In("temperature", Temperature, "°C")
	r.Range = "0.005 to 20.3 mmol/L, 20 to 25 °C, no carbon dioxide"
	r.source("bates-1956")
	r.limeModels(c)
	r.value("mass_per_volume", "calcium hydroxide per volume", of(c*74.093, MassPerVol, "g/L"), Arithmetic)
	at := 12.45 - 0.033*(t-25)
	r.line("bates-1956", "measured at saturation: 12.45 - 0.033·(t - 25)", of(at, PHKind, "pH"), "two decimals", "12.45 - 0.033·(%s - 25)", num(t))
	r.value("measured_saturated", "what saturated limewater reads at this temperature", of(at, PHKind, "pH"), Seen)
	r.caution("The naive model reads 0.16 too high at saturation; diluting 1:1 lowers a measured pH by 0.28. The model used is named with each figure.")
	for _, s := range limeCautions {
		r.caution("%s", s)
	}
	return r, nil
}

// mostVolumes is the strongest peroxide of the check values, 30 % w/w.
const mostVolumes = 110

// peroxideMass is the molar mass of hydrogen peroxide, g/mol.
const peroxideMass = 34.0147

// perVolume is mol/L of peroxide for one volume of oxygen (22.414 L/mol at
// 0 °C and 1 atm; two peroxide give one oxygen).
const perVolume = 2 / 22.414

// peroxideMolar turns a strength of any kind into mol/L.
func peroxideMolar(q Quantity, density float64, input string) (float64, error) {
	switch q.Unit.Kind {
	case Molar:
		v, _ := q.In(unit(Molar, "mol/L"))
		return v.Value, nil
	case MassPerVol:
		v, _ := q.In(unit(MassPerVol, "g/L"))
		return v.Value / peroxideMass, nil
	case Oxygen:
		return q.Value * perVolume, nil
	case MassFraction:
		if density <= 0 {
			return 0, &Refusal{What: Missing, Input: "density", Why: fmt.Sprintf("%s = %s is by mass, so the density is needed", input, q), Help: "Read it off the data sheet or weigh 100 mL: density=1.01 g/mL. No table of densities was found in a source."}
		}
		return 10 * q.Value * density / peroxideMass, nil
	}
	return 0, &Refusal{What: WrongUnit, Input: input, Given: q.String(), Why: "it is not a strength of peroxide", Help: "Use % w/w, % w/v, mol/L, g/L or volumes."}
}
