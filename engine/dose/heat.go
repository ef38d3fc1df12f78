package dose

import (
	"math"

	"tideline/engine/dose/climate"
	"tideline/engine/dose/paper"
)

var heats = []Computation{
	{Name: "press", Says: "pressure of a weight on an area, or the weight for a pressure", Run: runPress, Params: []Param{
		{Name: "mass", Says: "weight laid on, with its board (or give pressure)", Unit: unit(Mass, "kg"), From: 0.001, To: 5000, Source: ownID},
		{Name: "pressure", Says: "pressure wanted", Unit: unit(VapourUnit, "kPa"), From: 0.01, To: 5000, Source: ownID},
		{Name: "area", Says: "area that carries it", Unit: unit(Area, "mm²"), From: 1, To: 4e6, Source: ownID},
		{Name: "width", Says: "width of that area, with height, instead", Unit: unit(Length, "mm"), From: 1, To: 2000, Source: ownID},
		{Name: "height", Says: "height of that area", Unit: unit(Length, "mm"), From: 1, To: 2000, Source: ownID},
	}},
	{Name: "ageing", Says: "how many times faster paper ages in one climate than in another", Run: runAgeing, Params: []Param{
		{Name: "from", Says: "temperature to compare with", Unit: unit(Temperature, "°C"), From: -10, To: 110, Default: "20 °C", Source: "strang-2009"},
		{Name: "to", Says: "temperature of the treatment or store", Unit: unit(Temperature, "°C"), From: -10, To: 110, Required: true, Source: "strang-2009"},
		{Name: "from_humidity", Says: "relative humidity to compare with", Unit: unit(Humidity, "% RH"), From: 30, To: 65, Source: "sebera-1994"},
		{Name: "to_humidity", Says: "relative humidity there", Unit: unit(Humidity, "% RH"), From: 30, To: 65, Source: "sebera-1994"},
		{Name: "time", Says: "time spent there, to learn what it equals", Unit: unit(Time, "min"), From: 0.01, To: 1e7, Source: ownID},
	}},
	{Name: "cooling", Says: "time to cool under weight, from one reading on the way", Run: runCooling, Params: []Param{
		{Name: "start", Says: "temperature when the heat goes off", Unit: unit(Temperature, "°C"), From: 0, To: 150, Required: true, Source: ownID},
		{Name: "reading", Says: "temperature read a while later", Unit: unit(Temperature, "°C"), From: 0, To: 150, Required: true, Source: ownID},
		{Name: "after", Says: "how much later", Unit: unit(Time, "min"), From: 0.1, To: 600, Required: true, Source: ownID},
		{Name: "room", Says: "temperature of the room", Unit: unit(Temperature, "°C"), From: -10, To: 45, Required: true, Source: ownID},
		{Name: "target", Says: "temperature at which the weight comes off", Unit: unit(Temperature, "°C"), From: 0, To: 100, Required: true, Source: ownID},
	}},
}

// runPress is p = m·g/A (arithmetic; g = 9.80665 m/s²).
func runPress(a Args) (Result, error) {
	var r Result
	area := a.In("area", Area, "mm²")
	if a.Has("width") && a.Has("height") {
		if a.Has("area") {
			return r, &Refusal{What: Missing, Input: "area", Why: "area is given twice over", Help: "Give area, or width and height."}
		}
		area = a.In("width", Length, "mm") * a.In("height", Length, "mm")
	}
	if area <= 0 || a.Has("mass") == a.Has("pressure") {
		return r, &Refusal{What: Missing, Input: "mass or pressure, and the area", Why: "one of mass and pressure is needed, and the area", Help: `Such as "mass=10 kg" "width=170 mm" "height=260 mm".`}
	}
	r.Range = "weight spread evenly by a stiff board"
	if a.Has("mass") {
		p := paper.Pressure(a.In("mass", Mass, "kg"), area)
		r.line("arithmetic", "p = m·9.80665/A", of(p, VapourUnit, "kPa"), "", "%s kg·9.80665/%s mm²", num(a.In("mass", Mass, "kg")), num(area))
		r.value("pressure", "pressure", of(p, VapourUnit, "kPa"), Arithmetic)
	} else {
		m := paper.MassFor(a.In("pressure", VapourUnit, "kPa"), area)
		r.line("arithmetic", "m = p·A/9.80665", of(m, Mass, "kg"), "", "%s kPa·%s mm²/9.80665", num(a.In("pressure", VapourUnit, "kPa")), num(area))
		r.value("mass", "weight to lay on, with its board", of(m, Mass, "kg"), Arithmetic)
	}
	r.caution("Staples, folds and the spine carry more than the mean: press leaves open, the spine apart, soft layers between. Damp coated leaves fuse, and soft inks set off, under little pressure.")
	r.caution("A rub test's finger, 9 N on 16 mm across, presses 44.8 kPa: far more than a hand does. Lift heavy weights with two people.")
	r.source("iso105-x12")
	return r, nil
}

// ageBand are activation energies in kJ/mol; the middle two are Sebera's 25 and
// 35 kcal/mol, which were read.
var ageBand = []float64{80, 104.6, 120, 146.44}

// runAgeing gives a band over activation energies and, with humidity, over
// Sebera's two powers: never one figure.
func runAgeing(a Args) (Result, error) {
	var r Result
	t1, t2 := a.In("from", Temperature, "°C"), a.In("to", Temperature, "°C")
	r.Range = "-10 to 110 °C, one mechanism throughout; humidity 30 to 65 % (power 1.4: to 60 %)"
	if a.Has("from_humidity") != a.Has("to_humidity") {
		return r, &Refusal{What: Missing, Input: "from_humidity and to_humidity", Why: "humidity is given on one side only", Help: "Give both, or neither."}
	}
	h1, h2 := a.In("from_humidity", Humidity, "% RH"), a.In("to_humidity", Humidity, "% RH")
	wet := a.Has("from_humidity")
	lo, hi := math.Inf(1), 0.0
	for _, kcal := range []float64{25, 35} {
		k := climate.Arrhenius(kcal*4.184, t1, t2)
		src, formula, class := "strang-2009", "exp(Ea/R·(1/T1 - 1/T2))", Arithmetic
		if wet {
			k = climate.Isoperm(kcal, t1, h1, t2, h2, 1)
			src, formula, class = "sebera-1994", "(RH2/RH1)·(T2/T1)·exp(dH/R·(1/T1 - 1/T2))", Mixed
		}
		r.line(src, formula, Quantity{Value: k, Unit: plain}, "", "%s kcal/mol (%s kJ/mol), %s to %s °C", num(kcal), num(kcal*4.184), num(t1), num(t2))
		r.value("ratio_"+num(kcal), "rate there over rate here, "+num(kcal)+" kcal/mol", Quantity{Value: k, Unit: plain}, class)
		lo, hi = math.Min(lo, k), math.Max(hi, k)
		if wet && math.Max(h1, h2) <= 60 {
			k := climate.Isoperm(kcal, t1, h1, t2, h2, 1.4)
			r.line(src, "the same with (RH2/RH1)^1.4", Quantity{Value: k, Unit: plain}, "", "%s kcal/mol", num(kcal))
			lo, hi = math.Min(lo, k), math.Max(hi, k)
		}
	}
	class := Arithmetic
	if wet {
		class = Mixed
	}
	r.value("ratio_low", "lowest of the band", Quantity{Value: lo, Unit: plain}, class)
	r.value("ratio_high", "highest of the band", Quantity{Value: hi, Unit: plain}, class)
	if a.Has("time") {
		m := a.In("time", Time, "min")
		r.line("arithmetic", "equals time·ratio", of(m*hi/60, Time, "h"), "", "%s min·%s to %s", num(m), num(lo), num(hi))
		r.value("equals_low", "time at the first climate it equals, at least", of(m*lo/60, Time, "h"), class)
		r.value("equals_high", "time at the first climate it equals, at most", of(m*hi/60, Time, "h"), class)
	}
	r.caution("A band, not a figure: activation energies of paper differ, and a review finds that data can't choose between the humidity laws. Remembered for paper, without a source: 80 to 120 kJ/mol, ratio %s to %s.", num(math.Min(climate.Arrhenius(ageBand[0], t1, t2), climate.Arrhenius(ageBand[2], t1, t2))), num(math.Max(climate.Arrhenius(ageBand[0], t1, t2), climate.Arrhenius(ageBand[2], t1, t2))))
	r.caution("The middle of a closed book takes months to follow the room. Moisture under heat does more harm than heat alone: dry first.")
	return r, nil
}

// runCooling is Newton's law: T - room falls by one factor in equal times
// (arithmetic on one reading; no heat constants are taken from memory).
func runCooling(a Args) (Result, error) {
	var r Result
	s, v, room, target := a.In("start", Temperature, "°C"), a.In("reading", Temperature, "°C"), a.In("room", Temperature, "°C"), a.In("target", Temperature, "°C")
	if !(s > v && v > room && target > room && target <= s) {
		return r, impossible("start, reading, room, target", "They must fall: start above reading above room, and target between room and start. It never quite reaches the room; aim 2 or 3 °C above.", "these temperatures don't describe cooling")
	}
	k := climate.CoolingConstant(s, v, room, a.In("after", Time, "min"))
	t := climate.CoolingTime(s, target, room, k)
	r.Range = "one body cooling in still air; the reading on the same spot"
	r.line("arithmetic", "constant = t/ln((start-room)/(reading-room))", of(k, Time, "min"), "", "%s/ln((%s-%s)/(%s-%s))", num(a.In("after", Time, "min")), num(s), num(room), num(v), num(room))
	r.line("arithmetic", "time = constant·ln((start-room)/(target-room))", of(t, Time, "min"), "", "%s·ln((%s-%s)/(%s-%s))", num(k), num(s), num(room), num(target), num(room))
	r.value("constant", "time constant", of(k, Time, "min"), Arithmetic)
	r.value("time", "time from heat off to the target", of(t, Time, "min"), Arithmetic)
	r.caution("From one reading: take a second on the way. Paper that leaves the weight warm or damp curls; leave it longer rather than shorter.")
	r.caution("A hot press burns: gloves, no loose sleeves, and never leave it alone.")
	return r, nil
}
