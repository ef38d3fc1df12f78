package dose

import (
	"fmt"
	"math"
	"sort"

	"tideline/engine/dose/climate"
	"tideline/engine/dose/paper"
)

var airs = []Computation{
	{Name: "temperature", Says: "°F, °C and K, as a temperature or as a difference", Run: runTemperature, Params: []Param{
		{Name: "value", Says: "a temperature", Unit: unit(Temperature, "°C"), From: -100, To: 1000, Source: "arithmetic"},
		{Name: "difference", Says: "a difference of temperatures, instead", Unit: unit(Warming, "°C"), From: -1000, To: 1000, Source: "arithmetic"},
	}},
	{Name: "dew-point", Says: "dew point and water in the air", Run: runDewPoint, Params: []Param{
		{Name: "temperature", Says: "air", Unit: unit(Temperature, "°C"), From: 0, To: 50, Required: true, Source: "wmo-magnus"},
		{Name: "humidity", Says: "relative humidity (or give dew_point)", Unit: unit(Humidity, "% RH"), From: 0.1, To: 100, Source: "wmo-magnus"},
		{Name: "dew_point", Says: "dew point, to learn the relative humidity", Unit: unit(Temperature, "°C"), From: -40, To: 50, Source: "wmo-magnus"},
		{Name: "surface", Says: "a cold surface, to learn whether it sweats", Unit: unit(Temperature, "°C"), From: -20, To: 50, Source: ownID},
	}},
	{Name: "salt-chamber", Says: "relative humidity over a saturated salt, or the salts for a wanted one", Run: runSalt, Params: []Param{
		{Name: "temperature", Says: "of the closed chamber", Unit: unit(Temperature, "°C"), From: 0, To: 65, Required: true, Source: "wexler-salts"},
		{Name: "salt", Says: "which salt (or give humidity)", Words: climate.SaltNames()},
		{Name: "humidity", Says: "relative humidity wanted", Unit: unit(Humidity, "% RH"), From: 5, To: 99, Source: "wexler-salts"},
	}},
	{Name: "moisture", Says: "moisture content of paper, from weights or as a band", Run: runMoisture, Params: []Param{
		{Name: "now", Says: "mass of the sheet as it is", Unit: unit(Mass, "g"), From: 0.01, To: 10000, Source: ownID},
		{Name: "dry", Says: "mass of the same sheet dried", Unit: unit(Mass, "g"), From: 0.01, To: 10000, Source: ownID},
		{Name: "sheet", Says: "mass of a sheet at room climate, for the band of water in it", Unit: unit(Mass, "g"), From: 0.01, To: 10000, Source: ownID},
	}},
	{Name: "expansion", Says: "how much a wetted or damped sheet grows, across and along the grain", Run: runExpansion, Params: []Param{
		{Name: "across", Says: "size across the grain", Unit: unit(Length, "mm"), From: 1, To: 3000, Required: true, Source: ownID},
		{Name: "along", Says: "size along the grain", Unit: unit(Length, "mm"), From: 1, To: 3000, Required: true, Source: ownID},
		{Name: "paper", Says: "what is done to which paper", Words: growthNames(), Default: "wetted through"},
		{Name: "measured", Says: "growth across the grain measured on an offcut, instead of the band", Unit: unit(Fraction, "%"), From: 0, To: 6, Source: ownID},
	}},
}

func growthNames() []string {
	var out []string
	for _, g := range paper.Growths {
		out = append(out, g.Kind)
	}
	return out
}

// runTemperature is C = (F-32)·5/9; a difference has no 32 (arithmetic).
func runTemperature(a Args) (Result, error) {
	var r Result
	if a.Has("value") == a.Has("difference") {
		return r, &Refusal{What: Missing, Input: "value or difference", Why: "exactly one of the two is needed", Help: `Write "value=155 °F" for a temperature, "difference=18 °F" for a rise or fall.`}
	}
	r.Range = "above absolute zero"
	name, kind := "value", Temperature
	if a.Has("difference") {
		name, kind = "difference", Warming
		r.caution("A difference: 18 °F are 10 °C, without the 32.")
	}
	q := a.Quantity(name)
	for _, u := range []struct{ key, symbol string }{{"celsius", "°C"}, {"fahrenheit", "°F"}, {"kelvin", "K"}} {
		v, _ := q.In(unit(kind, u.symbol))
		r.line("arithmetic", map[Kind]string{Temperature: "C = (F-32)·5/9; K = C+273.15", Warming: "C = K = F·5/9"}[kind], v, "", "%s", q)
		r.value(u.key, "in "+u.symbol, v, Arithmetic)
	}
	return r, nil
}

// runDewPoint uses the Magnus form of WMO No. 8 over water.
func runDewPoint(a Args) (Result, error) {
	var r Result
	t := a.In("temperature", Temperature, "°C")
	if a.Has("humidity") == a.Has("dew_point") {
		return r, &Refusal{What: Missing, Input: "humidity or dew_point", Why: "exactly one of the two is needed", Help: `Give "humidity=50 % RH" or "dew_point=9 °C".`}
	}
	r.Range = "0 to 50 °C over liquid water; Magnus form good to 0.4 %"
	td, rh := a.In("dew_point", Temperature, "°C"), a.In("humidity", Humidity, "% RH")
	if a.Has("humidity") {
		td = climate.WMO.DewPoint(t, rh)
		r.line("wmo-magnus", "g = ln(RH/100) + 17.62·t/(243.12+t); Td = 243.12·g/(17.62-g)", of(td, Temperature, "°C"), "0.1", "t = %s, RH = %s", num(t), num(rh))
	} else {
		if td > t {
			return r, impossible("dew_point", "Check the two readings.", "a dew point can't lie above the temperature of the air")
		}
		rh = climate.WMO.Humidity(t, td)
		r.line("wmo-magnus", "RH = 100·e(Td)/e(t)", of(rh, Humidity, "% RH"), "1", "t = %s, Td = %s", num(t), num(td))
	}
	e := climate.WMO.Pressure(t)
	r.line("wmo-magnus", "e = 611.2·exp(17.62·t/(243.12+t))", of(e, VapourUnit, "Pa"), "", "t = %s", num(t))
	r.value("dew_point", "temperature at which water settles", of(td, Temperature, "°C"), Computed)
	r.value("humidity", "relative humidity", of(rh, Humidity, "% RH"), Computed)
	r.value("vapour_pressure", "of the air", of(e*rh/100, VapourUnit, "Pa"), Computed)
	r.value("water", "water in the air", of(climate.WMO.Absolute(t, rh), MassPerVol, "g/m³"), Computed)
	if a.Has("surface") {
		s := a.In("surface", Temperature, "°C")
		text := "stays dry"
		if s <= td {
			text = "water settles on it"
		}
		r.say("wmo-magnus", "surface at or below the dew point sweats", text, "%s against %s °C", num(s), num(td))
		r.words("surface", "a surface at "+num(s)+" °C", text, Computed)
	}
	if rh > 65 {
		r.caution("Above 65 %% relative humidity mould can grow within days (common practice, no source): don't leave paper so without watching.")
	}
	return r, nil
}

// runSalt is RH = A·exp(B/T) (Wexler), beside Padfield's table.
func runSalt(a Args) (Result, error) {
	var r Result
	t := a.In("temperature", Temperature, "°C")
	if a.Has("salt") == a.Has("humidity") {
		return r, &Refusal{What: Missing, Input: "salt or humidity", Why: "exactly one of the two is needed", Help: "Name a salt, or the relative humidity wanted."}
	}
	r.Range = "each salt in its own range; excess solid present, closed chamber, one temperature throughout; good to 2 % of the value"
	r.caution("Excess solid must show; let it stand for hours with the air stirred. Keep the salt from the paper: no splash, no wick. Some of these salts are toxic or feed fire. %s", dataSheet)
	if a.Has("salt") {
		s, _ := climate.SaltByName(a.Text("salt"))
		if t < s.From || t > s.To {
			return r, outside("temperature", of(t, Temperature, "°C"), s.From, s.To, "wexler-salts", "Choose another temperature or salt.")
		}
		rh := s.Humidity(t)
		r.line("wexler-salts", "RH = A·exp(B/T)", Quantity{rh, unit(Humidity, "% RH"), 0.02 * rh}, "", "%s·exp(%s/%s K)", num(s.A), num(s.B), num(t+climate.Kelvin))
		r.value("humidity", "over saturated "+s.Name, Quantity{rh, unit(Humidity, "% RH"), 0.02 * rh}, Seen)
		if v, ok := climate.FromSaltTable(s.Name, t); ok {
			r.line("padfield-salts", "table, straight line between temperatures", of(v, Humidity, "% RH"), "0.1", "%s at %s °C", s.Name, num(t))
			r.value("humidity_table", "the same from a second table", of(v, Humidity, "% RH"), Seen)
		}
		return r, nil
	}
	want := a.In("humidity", Humidity, "% RH")
	type fit struct {
		name string
		rh   float64
	}
	var fits []fit
	for _, s := range climate.Salts {
		if t >= s.From && t <= s.To {
			fits = append(fits, fit{s.Name, s.Humidity(t)})
		}
	}
	if len(fits) == 0 {
		return r, outside("temperature", of(t, Temperature, "°C"), 0, 65, "wexler-salts", "No salt of the table serves there.")
	}
	sort.SliceStable(fits, func(i, j int) bool { return math.Abs(fits[i].rh-want) < math.Abs(fits[j].rh-want) })
	tab := Table{Title: "salts, nearest first", Columns: []string{"salt", "relative humidity"}}
	for _, f := range fits[:min(4, len(fits))] {
		tab.Rows = append(tab.Rows, []string{f.name, of(f.rh, Humidity, "% RH").String()})
	}
	r.Tables = append(r.Tables, tab)
	r.line("wexler-salts", "RH = A·exp(B/T) for each salt", of(fits[0].rh, Humidity, "% RH"), "", "%s at %s °C", fits[0].name, num(t))
	r.words("salt", "nearest salt", fits[0].name, Seen)
	r.value("humidity", "over it", Quantity{fits[0].rh, unit(Humidity, "% RH"), 0.02 * fits[0].rh}, Seen)
	return r, nil
}

// runMoisture is (now - dry)/now; without weights only bands are known.
func runMoisture(a Args) (Result, error) {
	var r Result
	r.Range = "no sorption curve of newsprint was found, so no figure is given from humidity alone"
	switch {
	case a.Has("now") && a.Has("dry"):
		now, dry := a.In("now", Mass, "g"), a.In("dry", Mass, "g")
		if dry > now {
			return r, impossible("dry", "Check which weight is which.", "the dried sheet weighs more than the sheet as it is")
		}
		p := 100 * (now - dry) / now
		r.line("arithmetic", "100·(now - dry)/now", of(p, Fraction, "%"), "", "100·(%s - %s)/%s", num(now), num(dry), num(now))
		r.value("moisture", "water, of the sheet as it is", of(p, Fraction, "%"), Arithmetic)
		r.value("water", "water in it", of(now-dry, Mass, "g"), Arithmetic)
		if p > 13 {
			r.caution("More than 13 %%, the extreme reported for air-dry paper: this sheet is wet.")
		}
	case a.Has("sheet"):
		m := a.In("sheet", Mass, "g")
		r.line("paper-moisture", "water = sheet·(2 to 10 %)", Quantity{0.06 * m, unit(Mass, "g"), 0.04 * m}, "", "%s·0.02 to %s·0.10", num(m), num(m))
		r.value("low", "water in it at 2 %, the usual low", of(0.02*m, Mass, "g"), Seen)
		r.value("high", "water in it at 10 %, the usual high", of(0.10*m, Mass, "g"), Seen)
	default:
		return r, &Refusal{What: Missing, Input: "now and dry, or sheet", Why: "nothing is weighed", Help: "Give the mass now and dried; or the mass of the sheet, for a band."}
	}
	r.source("paper-moisture")
	r.caution("Reported for paper in general: usually 2 to 10 %%, extremes 0.5 to 13 %%, matured paper about 7 %%. Remembered for mechanical papers, without a source: 5 %% at 30, 7 to 8 at 50, 11 to 12 at 80 %% RH.")
	return r, nil
}

// runExpansion is L·percent/100 over the published band.
func runExpansion(a Args) (Result, error) {
	var r Result
	var g paper.Growth
	for _, x := range paper.Growths {
		if x.Kind == a.Text("paper") {
			g = x
		}
	}
	class := Seen
	if a.Has("measured") {
		p := a.In("measured", Fraction, "%")
		g.Cross, class = paper.Band{Low: p, High: p}, Arithmetic
		if !g.Wet {
			return r, impossible("measured", "Leave out paper, or measure both ways.", "a measured growth goes with a wetted sheet")
		}
		g.Along = paper.Band{Low: p / 10, High: p / 10}
		r.caution("Along the grain a tenth of the measured growth is taken, as reported for wetted paper.")
	}
	r.Range = "bands for machine-made paper; plausibility, not a measurement of this sheet"
	put := func(name, says string, length float64, b paper.Band) {
		lo, hi := paper.Grow(length, b.Low), paper.Grow(length, b.High)
		r.line("paper-growth", "growth = length·percent/100", Quantity{(lo + hi) / 2, unit(Length, "mm"), (hi - lo) / 2}, "0.01 mm", "%s mm·(%s to %s %%)", num(length), num(b.Low), num(b.High))
		r.value(name+"_low", says+", at least", of(lo, Length, "mm"), class)
		r.value(name+"_high", says+", at most", of(hi, Length, "mm"), class)
	}
	put("across", "growth across the grain", a.In("across", Length, "mm"), g.Cross)
	put("along", "growth along the grain", a.In("along", Length, "mm"), g.Along)
	r.caution("Part of the change can stay after drying, as growth or, along the grain, as shrinkage. Nested wraps of other paper or grain change differently: their staple holes may then miss one another.")
	if !g.Wet {
		r.caution("The source doesn't state the step of humidity behind these typical figures.")
	}
	if a.Given("paper") || a.Has("measured") {
		return r, nil
	}
	r.caution("%s", fmt.Sprintf("Measure an offcut for a figure of your own: wet it, lay it flat, measure both ways, and give measured=... instead of the band of %s to %s %%.", num(g.Cross.Low), num(g.Cross.High)))
	return r, nil
}
