package dose

import (
	"math"

	"tideline/engine/dose/paper"
)

var carbonateWords = []string{"calcium carbonate", "magnesium carbonate"}

var reserves = []Computation{
	{Name: "alkali-reserve", Says: "alkali reserve between per cent of carbonate and mol/kg", Run: runReserve, Params: []Param{
		{Name: "reserve", Says: "the reserve, in per cent of the paper or mol of acid per kg", Unit: unit(Fraction, "%"), Also: []Kind{MolPerMass}, From: 0, To: 30, Required: true, Source: "iso10716"},
		{Name: "carbonate", Says: "which carbonate", Words: carbonateWords, Default: "calcium carbonate"},
	}},
	{Name: "reserve-titration", Says: "alkali reserve from a back-titration", Run: runTitration, Params: []Param{
		{Name: "blank", Says: "base used for the blank", Unit: unit(Volume, "mL"), From: 0.1, To: 100, Required: true, Source: "iso10716"},
		{Name: "sample", Says: "base used for the sample", Unit: unit(Volume, "mL"), From: 0, To: 100, Required: true, Source: "iso10716"},
		{Name: "base", Says: "strength of the base", Unit: unit(Molar, "mol/L"), From: 0.001, To: 1, Default: "0.1 mol/L", Source: "iso10716"},
		{Name: "paper", Says: "dry paper", Unit: unit(Mass, "g"), From: 0.05, To: 20, Required: true, Source: "iso10716"},
	}},
	{Name: "reserve-from-bath", Says: "how much alkali a bath can leave in a sheet at most", Run: runBathReserve, Params: []Param{
		{Name: "strength", Says: "alkali in the bath", Unit: unit(Molar, "mmol/L"), From: 0.001, To: 500, Required: true, Source: ownID},
		{Name: "alkali", Says: "what is dissolved", Words: []string{"calcium hydroxide", "calcium bicarbonate", "magnesium bicarbonate"}, Default: "calcium hydroxide"},
		{Name: "uptake", Says: "water that the drained sheet holds, per dry mass: weigh it dry and drained", Unit: unit(Uptake, "mL/g"), From: 0.1, To: 10, Required: true, Source: ownID},
		{Name: "reserve", Says: "reserve aimed at, to learn the strength that would bring it", Unit: unit(Fraction, "%"), From: 0.01, To: 5, Source: "loc-permanence"},
	}},
	{Name: "bath-volume", Says: "bath volume from the sheets and a ratio, or from a tray", Run: runBath, Params: []Param{
		{Name: "width", Says: "width of a sheet, open", Unit: unit(Length, "mm"), From: 5, To: 3000, Required: true, Source: ownID},
		{Name: "height", Says: "height of a sheet", Unit: unit(Length, "mm"), From: 5, To: 3000, Required: true, Source: ownID},
		{Name: "sheets", Says: "number of sheets", Unit: plain, From: 1, To: 500, Default: "1", Source: ownID},
		{Name: "grammage", Says: "mass per area of the paper", Unit: unit(Grammage, "g/m²"), From: 10, To: 500, Required: true, Source: ownID},
		{Name: "ratio", Says: "bath per dry paper (or give a tray)", Unit: unit(Uptake, "mL/g"), From: 1, To: 1000, Source: ownID},
		{Name: "tray_width", Says: "inner width of the tray", Unit: unit(Length, "mm"), From: 20, To: 3000, Source: ownID},
		{Name: "tray_length", Says: "inner length of the tray", Unit: unit(Length, "mm"), From: 20, To: 3000, Source: ownID},
		{Name: "depth", Says: "depth of the bath", Unit: unit(Length, "mm"), From: 1, To: 300, Source: ownID},
	}},
}

func carbonateMass(name string) float64 {
	if name == "magnesium carbonate" {
		return paper.MagnesiumCarbonate
	}
	return paper.CalciumCarbonate
}

const reserveMark = "2 % (20 g/kg) of calcium carbonate is what the permanence standards ask of new, unprinted paper; it is a mark to compare with, not a target for an old booklet."

// runReserve is mol/kg = 2·10·percent/M (arithmetic; scope of ISO 10716).
func runReserve(a Args) (Result, error) {
	var r Result
	m := carbonateMass(a.Text("carbonate"))
	percent, moles := a.In("reserve", Fraction, "%"), a.In("reserve", MolPerMass, "mol/kg")
	if a.Quantity("reserve").Unit.Kind == MolPerMass {
		percent = paper.ReservePercent(moles, m)
	} else {
		moles = paper.ReserveMoles(percent, m)
	}
	if percent < 0 || percent > 30 {
		return r, outside("reserve", of(percent, Fraction, "%"), 0, 30, "iso10716", "Check the unit.")
	}
	r.Range = "0 to 30 % of the dry paper"
	r.line("iso10716", "mol/kg = 2·(10·percent)/M", of(moles, MolPerMass, "mol/kg"), "", "2·10·%s/%s", num(percent), num(m))
	r.value("percent", a.Text("carbonate")+", of dry paper", of(percent, Fraction, "%"), Arithmetic)
	r.value("per_mass", "acid it can meet", of(moles, MolPerMass, "mol/kg"), Arithmetic)
	r.caution("The figure counts alkaline coating and filler too. %s", reserveMark)
	return r, nil
}

// runTitration is (blank - sample)·c/m (arithmetic).
func runTitration(a Args) (Result, error) {
	var r Result
	b, s := a.In("blank", Volume, "mL"), a.In("sample", Volume, "mL")
	c, m := a.In("base", Molar, "mol/L"), a.In("paper", Mass, "g")
	if s > b {
		return r, impossible("sample", "If it is so, the paper is acid and has no reserve; check that blank and sample aren't exchanged.", "the sample took more base than the blank")
	}
	moles := paper.Titrated(b, s, c, m)
	r.Range = "paper that falls apart in water; not laminated or varnished grades"
	r.line("iso10716", "(V0 - V)·c/m", of(moles, MolPerMass, "mol/kg"), "", "(%s - %s)·%s/%s", num(b), num(s), num(c), num(m))
	r.value("per_mass", "acid it can meet", of(moles, MolPerMass, "mol/kg"), Arithmetic)
	r.value("percent", "as calcium carbonate, of dry paper", of(paper.ReservePercent(moles, paper.CalciumCarbonate), Fraction, "%"), Arithmetic)
	r.caution("The test uses up paper. %s", reserveMark)
	return r, nil
}

// runBathReserve takes all that the held water carries as carbonate left in the
// sheet: an upper bound (arithmetic).
func runBathReserve(a Args) (Result, error) {
	var r Result
	c, up := a.In("strength", Molar, "mol/L"), a.In("uptake", Uptake, "mL/g")
	m, name := paper.CalciumCarbonate, "calcium carbonate"
	if a.Text("alkali") == "magnesium bicarbonate" {
		m, name = paper.MagnesiumCarbonate, "magnesium carbonate"
	}
	if limit := map[string]float64{"calcium hydroxide": 0.0203}[a.Text("alkali")]; limit > 0 && c > limit*1.0001 {
		return r, outside("strength", of(c*1000, Molar, "mmol/L"), 0, 20.3, "bates-1956", "Saturated limewater holds no more at 25 °C.")
	}
	percent := c * up * m / 10
	r.Range = "water held 0.1 to 10 mL/g; calcium hydroxide to saturation"
	r.line("arithmetic", "percent = c·uptake·M/10", of(percent, Fraction, "%"), "", "%s mol/L·%s mL/g·%s/10", num(c), num(up), num(m))
	r.value("percent", name+" left at most, of dry paper", of(percent, Fraction, "%"), Arithmetic)
	r.value("per_mass", "acid it can meet at most", of(paper.ReserveMoles(percent, m), MolPerMass, "mol/kg"), Arithmetic)
	if a.Has("reserve") {
		need := a.In("reserve", Fraction, "%") * 10 / (up * m)
		r.line("arithmetic", "c = percent·10/(uptake·M)", of(need*1000, Molar, "mmol/L"), "", "%s·10/(%s·%s)", num(a.In("reserve", Fraction, "%")), num(up), num(m))
		r.value("strength_needed", "bath that would leave the reserve aimed at", of(need*1000, Molar, "mmol/L"), Arithmetic)
		if name == "calcium carbonate" && need > 0.0203 {
			r.caution("That is stronger than saturated limewater: one bath can't leave that much from calcium hydroxide.")
		}
	}
	r.caution("An upper bound: it takes everything in the held water as carbonate left in the sheet. Acid in the paper uses some up, blotters draw some off, and what crystallises on the surface can bloom. %s", reserveMark)
	r.source("loc-permanence")
	return r, nil
}

// runBath is sheet mass times ratio, or tray area times depth (arithmetic).
func runBath(a Args) (Result, error) {
	var r Result
	n := a.In("sheets", Plain, "")
	if n != math.Trunc(n) {
		return r, impossible("sheets", "Count whole sheets.", num(n)+" is not a whole number of sheets")
	}
	w, h, g := a.In("width", Length, "mm"), a.In("height", Length, "mm"), a.In("grammage", Grammage, "g/m²")
	area := w * h / 1e6 * n
	mass := area * g
	r.Range = "sheets to 3 x 3 m, 10 to 500 g/m²"
	r.line("arithmetic", "mass = width·height·sheets·grammage", of(mass, Mass, "g"), "", "%s·%s mm²·%s·%s g/m²", num(w), num(h), num(n), num(g))
	r.value("area", "one side of all sheets", of(area, Area, "m²"), Arithmetic)
	r.value("paper", "dry mass of all sheets", of(mass, Mass, "g"), Arithmetic)
	tray := a.Has("tray_width") && a.Has("tray_length") && a.Has("depth")
	switch {
	case a.Has("ratio") == tray:
		return r, &Refusal{What: Missing, Input: "ratio or tray", Why: "exactly one of the two is needed", Help: `Give "ratio=50 mL/g", or the three sizes tray_width, tray_length and depth. No published ratio was found: what serves is that the sheet lies free and the bath stays as it was.`}
	case tray:
		tw, tl, d := a.In("tray_width", Length, "mm"), a.In("tray_length", Length, "mm"), a.In("depth", Length, "mm")
		if math.Max(w, h) > math.Max(tw, tl) || math.Min(w, h) > math.Min(tw, tl) {
			return r, impossible("tray_width and tray_length", "Take a larger tray; a wet sheet grows too.", "the sheet doesn't lie flat in the tray")
		}
		v := tw * tl * d / 1000
		r.line("arithmetic", "V = width·length·depth", of(v, Volume, "mL"), "", "%s·%s·%s mm³", num(tw), num(tl), num(d))
		r.value("volume", "bath", of(v, Volume, "mL"), Arithmetic)
		r.value("ratio", "bath per dry paper", of(v/mass, Uptake, "mL/g"), Arithmetic)
	default:
		v := mass * a.In("ratio", Uptake, "mL/g")
		r.line("arithmetic", "V = mass·ratio", of(v, Volume, "mL"), "", "%s g·%s mL/g", num(mass), num(a.In("ratio", Uptake, "mL/g")))
		r.value("volume", "bath", of(v, Volume, "mL"), Arithmetic)
	}
	return r, nil
}
