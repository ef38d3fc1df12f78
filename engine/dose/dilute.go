package dose

import (
	"strconv"
	"strings"
)

const benchRange = "strengths above 0 and volumes of 1 mL to 200 L; the stock must be the stronger"

var dilutions = []Computation{
	{Name: "dilute", Says: "how much stock makes a weaker solution, by volume (C1·V1 = C2·V2)", Run: runDilute, Params: []Param{
		{Name: "stock", Says: "strength of the stock", Unit: unit(MassPerVol, "% w/v"), Also: []Kind{Molar, VolFraction, Oxygen}, From: 0, To: 200, Required: true, Source: ownID},
		{Name: "wanted", Says: "strength wanted, in a unit of the same kind", Unit: unit(MassPerVol, "% w/v"), Also: []Kind{Molar, VolFraction, Oxygen}, From: 0, To: 200, Required: true, Source: ownID},
		volumeParam, cylinderParam,
	}},
	{Name: "dilute-parts", Says: "strength after diluting one part with some parts of water", Run: runParts, Params: []Param{
		{Name: "stock", Says: "strength of the stock", Unit: unit(Molar, "mol/L"), Also: []Kind{MassPerVol, VolFraction, Oxygen}, Required: true},
		{Name: "parts", Says: "parts of stock and parts of water, such as 1:4", Required: true},
	}},
	{Name: "dilute-mass", Says: "how much of two solutions, or of one and water, makes a strength by mass", Run: runDiluteMass, Params: []Param{
		{Name: "first", Says: "strength of the stronger", Unit: unit(MassFraction, "% w/w"), From: 0, To: 100, Required: true, Source: "arithmetic"},
		{Name: "second", Says: "strength of the weaker; water is 0", Unit: unit(MassFraction, "% w/w"), From: 0, To: 100, Default: "0 % w/w", Source: "arithmetic"},
		{Name: "wanted", Says: "strength wanted", Unit: unit(MassFraction, "% w/w"), From: 0, To: 100, Required: true, Source: "arithmetic"},
		{Name: "mass", Says: "finished mass", Unit: unit(Mass, "g"), From: 0.1, To: 200000, Required: true, Source: ownID},
		balanceParam,
	}},
	{Name: "blend-mass", Says: "strength of two solutions poured together, by mass", Run: runBlend, Params: []Param{
		{Name: "first", Says: "strength of the first", Unit: unit(MassFraction, "% w/w"), From: 0, To: 100, Required: true, Source: "arithmetic"},
		{Name: "first_mass", Says: "mass of the first", Unit: unit(Mass, "g"), From: 0.001, To: 200000, Required: true, Source: ownID},
		{Name: "second", Says: "strength of the second; water is 0", Unit: unit(MassFraction, "% w/w"), From: 0, To: 100, Default: "0 % w/w", Source: "arithmetic"},
		{Name: "second_mass", Says: "mass of the second", Unit: unit(Mass, "g"), From: 0.001, To: 200000, Required: true, Source: ownID},
	}},
	{Name: "measure-out", Says: "an amount rounded to what a balance or cylinder shows, with the error that brings", Run: runMeasureOut, Params: []Param{
		{Name: "amount", Says: "mass or volume wanted", Unit: unit(Mass, "g"), Also: []Kind{Volume}, From: 1e-6, To: 1e6, Required: true, Source: ownID},
		{Name: "step", Says: "smallest step shown, of the same kind", Unit: unit(Mass, "g"), Also: []Kind{Volume}, From: 1e-6, To: 1e4, Required: true, Source: ownID},
	}},
}

// runDilute is C1·V1 = C2·V2 (arithmetic).
func runDilute(a Args) (Result, error) {
	var r Result
	stock := a.Quantity("stock")
	wanted, ok := a.Quantity("wanted").In(stock.Unit)
	switch {
	case !ok:
		return r, &Refusal{What: WrongUnit, Input: "wanted", Given: a.Quantity("wanted").String(), Why: "it is of another kind than the stock, " + stock.String(), Help: "Give both in one kind of unit; turn one into the other with molarity or peroxide first."}
	case stock.Value <= 0 || wanted.Value <= 0:
		return r, impossible("stock and wanted", "Give strengths above 0.", "a strength of 0 or less can't be diluted")
	case wanted.Value > stock.Value:
		return r, impossible("wanted", "Take a stronger stock.", "diluting can't make "+wanted.String()+" from "+stock.String())
	}
	v := a.In("volume", Volume, "mL")
	need := wanted.Value * v / stock.Value
	r.Range = benchRange
	r.line("arithmetic", "V1 = C2·V2/C1", of(need, Volume, "mL"), "", "%s·%s mL/%s", wanted, num(v), stock)
	r.pour("stock_volume", "stock to take", need, a, Arithmetic)
	r.value("total", "make up to this volume", of(v, Volume, "mL"), Arithmetic)
	r.words("how", "in words", "Take "+num(need)+" mL of stock and make up with water to "+num(v)+" mL.", Arithmetic)
	r.caution("Make up to the volume; don't add a measured volume of water: volumes of alcohol and water don't add up.")
	if stock.Unit.Kind == Oxygen {
		r.caution("Peroxide loses strength on the shelf: the label is what it had when filled.")
	}
	r.caution(dataSheet)
	return r, nil
}

// runParts is C·first/(first+water) (arithmetic).
func runParts(a Args) (Result, error) {
	var r Result
	one, water, ok := readParts(a.Text("parts"))
	if !ok {
		return r, &Refusal{What: NotRead, Input: "parts", Given: a.Text("parts"), Why: "it is not two numbers with a colon", Help: "Write parts of stock, a colon, parts of water: 1:4 is one part in five."}
	}
	stock := a.Quantity("stock")
	if stock.Value <= 0 {
		return r, impossible("stock", "Give a strength above 0.", "a strength of 0 or less can't be diluted")
	}
	q := Quantity{Value: stock.Value * one / (one + water), Unit: stock.Unit}
	r.Range = "parts from 0.001 to 100000"
	r.line("arithmetic", "C·a/(a+b)", q, "", "%s·%s/(%s+%s)", stock, num(one), num(one), num(water))
	r.value("strength", "strength after dilution", q, Arithmetic)
	r.caution("1:4 here is one part of stock and four of water. Some read it as one part in four: say which on the label.")
	return r, nil
}

func readParts(s string) (a, b float64, ok bool) {
	x, y, found := strings.Cut(s, ":")
	a, err1 := strconv.ParseFloat(strings.TrimSpace(x), 64)
	b, err2 := strconv.ParseFloat(strings.TrimSpace(y), 64)
	return a, b, found && err1 == nil && err2 == nil && a >= 1e-3 && a <= 1e5 && b >= 0 && b <= 1e5
}

// runDiluteMass is the mixing cross: parts by mass are the distances of the
// wanted strength from the other solution (arithmetic).
func runDiluteMass(a Args) (Result, error) {
	var r Result
	w1, w2 := a.In("first", MassFraction, "% w/w"), a.In("second", MassFraction, "% w/w")
	w, m := a.In("wanted", MassFraction, "% w/w"), a.In("mass", Mass, "g")
	if w1 <= w2 {
		return r, impossible("first", "Give the stronger solution as first.", "the first solution is not the stronger")
	}
	if w < w2 || w > w1 {
		return r, impossible("wanted", "Choose a strength between the two.", num(w)+" % is not between "+num(w2)+" and "+num(w1)+" %")
	}
	m1 := m * (w - w2) / (w1 - w2)
	r.Range = "0 to 100 % w/w, between the two strengths"
	r.line("arithmetic", "m1 = m·(w - w2)/(w1 - w2)", of(m1, Mass, "g"), "", "%s·(%s - %s)/(%s - %s)", num(m), num(w), num(w2), num(w1), num(w2))
	r.value("first_parts", "parts of the first, by mass", Quantity{Value: w - w2, Unit: plain}, Arithmetic)
	r.value("second_parts", "parts of the second, by mass", Quantity{Value: w1 - w, Unit: plain}, Arithmetic)
	r.weigh("first_mass", "mass of the first", m1, a, 0, Arithmetic)
	r.weigh("second_mass", "mass of the second", m-m1, a, 0, Arithmetic)
	r.caution(dataSheet)
	return r, nil
}

// runBlend is (w1·m1 + w2·m2)/(m1 + m2) (arithmetic).
func runBlend(a Args) (Result, error) {
	var r Result
	w1, w2 := a.In("first", MassFraction, "% w/w"), a.In("second", MassFraction, "% w/w")
	m1, m2 := a.In("first_mass", Mass, "g"), a.In("second_mass", Mass, "g")
	q := of((w1*m1+w2*m2)/(m1+m2), MassFraction, "% w/w")
	r.Range = "0 to 100 % w/w"
	r.line("arithmetic", "w = (w1·m1 + w2·m2)/(m1 + m2)", q, "", "(%s·%s + %s·%s)/(%s + %s)", num(w1), num(m1), num(w2), num(m2), num(m1), num(m2))
	r.value("strength", "strength of the blend", q, Arithmetic)
	return r, nil
}

// runMeasureOut rounds an amount to a step (arithmetic).
func runMeasureOut(a Args) (Result, error) {
	var r Result
	amount := a.Quantity("amount")
	step, ok := a.Quantity("step").In(amount.Unit)
	if !ok {
		return r, &Refusal{What: WrongUnit, Input: "step", Given: a.Quantity("step").String(), Why: "it is of another kind than the amount, " + amount.String(), Help: "Give both as mass or both as volume."}
	}
	if amount.Value <= 0 || step.Value <= 0 {
		return r, impossible("amount and step", "Give numbers above 0.", "an amount or step of 0 or less can't be measured out")
	}
	rounded, e := RoundTo(amount.Value, step.Value)
	q := Quantity{Value: rounded, Unit: amount.Unit, PlusMinus: step.Value / 2}
	r.Range = "amounts above 0"
	r.line("arithmetic", "round(x/step)·step; error = (|rounded - x| + step/2)/x", q, "to the step", "round(%s/%s)", amount, step)
	r.value("measured", "amount as the instrument shows it", q, Arithmetic)
	r.value("error", "error at worst", of(e, Fraction, "%"), Arithmetic)
	if rounded == 0 {
		r.caution("The instrument shows nothing for so little: make a stronger stock and take a part of it.")
	} else if e > coarse {
		r.caution("Up to %s %% off: use a finer instrument, or make a stronger stock and take a part of it.", num(e))
	}
	return r, nil
}
