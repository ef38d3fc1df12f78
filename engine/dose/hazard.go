package dose

import (
	"math"

	"tideline/engine/dose/lamp"
)

var hazards = []Computation{
	{Name: "blue-limit", Says: "how long eyes may look, unprotected, at a lit sheet or into a lamp", Run: runBlueLimit, Params: append([]Param{
		{Name: "look", Says: "what is looked at", Words: []string{"sheet", "lamp"}, Required: true},
		{Name: "irradiance", Says: "at the sheet (look=sheet) or at the eye (look=lamp)", Unit: unit(Irradiance, "W/m²"), From: 1e-4, To: 1e6, Required: true, Source: ownID},
		{Name: "reflectance", Says: "of the sheet or the wet bath", Unit: unit(Fraction, "%"), From: 1, To: 100, Default: "100 %", Source: ownID},
		{Name: "source", Says: "width of the lamp's shining face", Unit: unit(Length, "mm"), From: 0.01, To: 5000, Source: ownID},
		{Name: "distance", Says: "eye to lamp", Unit: unit(Length, "mm"), From: 100, To: 20000, Source: ownID},
		{Name: "time", Says: "a look to be judged", Unit: unit(Time, "min"), From: 0.001, To: 1440, Source: ownID},
	}, lampParams...)},
	{Name: "uv-limit", Says: "how long skin and eyes may be under ultraviolet in 8 h", Run: runUVLimit, Params: []Param{
		{Name: "actinic", Says: "200 to 400 nm, weighted, from the lamp's report", Unit: unit(Irradiance, "W/m²"), From: 1e-6, To: 1e4, Source: "iec62471-uv"},
		{Name: "uva", Says: "315 to 400 nm at the eye", Unit: unit(Irradiance, "W/m²"), From: 1e-6, To: 1e4, Source: "iec62471-uv"},
	}},
}

const eyeNote = "The limits are for healthy adults. Without a natural lens (after an older cataract operation), with light-sensitising drugs, and for children they don't hold. They allow; they don't make it wise: enclose the tray, wear goggles rated for the lamp's wavelengths (clear goggles don't stop blue), switch off to look. Local law and a licensed safety adviser decide."

// runBlueLimit weighs the radiance by B(lambda) and applies the limits for
// extended sources (IEC 62471 section 4.3.3). Small sources get no time: their
// limits are known from memory only.
func runBlueLimit(a Args) (Result, error) {
	var r Result
	w, name, err := spectrum(a)
	if err != nil {
		return r, err
	}
	if a.Has("black_body") || a.Text("white") == "CIE A" || a.Text("white") == "CIE D65" {
		r.caution("Only 380 nm and above is counted: a source with ultraviolet needs uv-limit as well.")
	}
	if a.Has("peak") {
		w.Blue = worstBlue(a.In("peak", Wavelength, "nm"), a.In("width", Wavelength, "nm"))
		name += ", worst within 5 nm of the peak"
	}
	e := a.In("irradiance", Irradiance, "W/m²")
	r.Range = "380 to 700 nm; sources that fill 0.011 rad or more; no ultraviolet"
	r.line("luxpy", "B = sum(S·B)/sum(S)", Quantity{Value: w.Blue, Unit: plain}, "", "%s", name)
	r.value("blue_part", "blue-hazard part of the light, 0 to 1", Quantity{Value: w.Blue, Unit: plain}, Computed)
	r.caution(eyeNote)
	r.caution("The model of the lamp stands in for its own spectrum; keep a margin.")
	if a.Text("look") == "sheet" {
		rho := a.In("reflectance", Fraction, "%") / 100
		l := lamp.SheetRadiance(e, rho) * w.Blue
		r.line("iec62471", "L_B = E·reflectance/pi·B", of(l, Radiance, "W/(m² sr)"), "", "%s·%s/pi·%s", num(e), num(rho), num(w.Blue))
		r.caution("For a matt sheet. A wet sheet, a glossy cover and the tray mirror the lamp itself: then judge the lamp (look=lamp).")
		return r, r.blueTime(a, l)
	}
	if !a.Has("source") || !a.Has("distance") {
		return r, &Refusal{What: Missing, Input: "source and distance", Why: "the angle the lamp fills decides which limit holds", Help: "Give the width of its shining face and the distance of the eye."}
	}
	src, d := a.In("source", Length, "mm"), a.In("distance", Length, "mm")
	angle := lamp.Subtense(src, d)
	r.line("arithmetic", "angle = 2·atan(width/(2·distance))", of(angle, Angle, "rad"), "", "%s mm at %s mm", num(src), num(d))
	r.value("angle", "angle the lamp fills", of(angle, Angle, "rad"), Arithmetic)
	if angle < lamp.SmallSource {
		eb := e * w.Blue
		info := math.Inf(1)
		if eb > 1 {
			info = 100 / eb
		}
		r.say("iec62471-small", "E_B·t <= 100 J/m² to 100 s, then E_B <= 1 W/m² (from memory)", "not allowed by this", "%s W/m²", num(eb))
		r.value("remembered_time", "what the limit from memory would give: information, not an allowance", of(info, Time, "s"), Memory)
		r.words("allowed", "time allowed without protection", "none: no source for small lamps was read", Seen)
		r.caution("The lamp fills less than 0.011 rad, and the limits for such small sources were found in no opened source. Don't look into it at all.")
		return r, nil
	}
	l := lamp.SourceRadiance(e, angle) * w.Blue
	r.line("iec62471", "L_B = E/(pi·sin²(angle/2))·B", of(l, Radiance, "W/(m² sr)"), "", "%s W/m², %s rad", num(e), num(angle))
	r.caution("The radiance is the mean over the lamp's face: single bright diodes behind it can be many times as bright. Never look at the array.")
	return r, r.blueTime(a, l)
}

// worstBlue is the largest blue-hazard part of a diode whose peak is off by up
// to 5 nm: data sheets give peaks no better.
func worstBlue(peak, width float64) float64 {
	var worst float64
	for d := -5.0; d <= 5; d++ {
		worst = math.Max(worst, lamp.Weigh(lamp.Diode(peak+d, width)).Blue)
	}
	return worst
}

// blueTime adds the time that a weighted radiance allows.
func (r *Result) blueTime(a Args, l float64) error {
	t, limited := lamp.BlueTime(l)
	r.value("radiance", "blue-weighted radiance", of(l, Radiance, "W/(m² sr)"), Computed)
	r.line("iec62471", "t = 1e6/L_B where L_B > 100; else no limit of time", of(t, Time, "s"), "", "L_B = %s", num(l))
	if limited {
		r.value("time", "longest time of looking in all, in 10 000 s, without protection", of(t/60, Time, "min"), Computed)
		r.words("allowed", "time allowed without protection", num(math.Floor(t/60))+" min in all, glances added up (rounded down)", Computed)
	} else {
		r.words("allowed", "time allowed without protection", "no limit of time from blue light (L_B is 100 W/(m² sr) or less)", Computed)
	}
	if a.Has("time") {
		s := a.In("time", Time, "s")
		text := "over the limit"
		if lamp.BlueWithin(l, s) {
			text = "within the limit"
		}
		r.say("iec62471", "L_B·t <= 1e6 to 10 000 s; beyond, L_B <= 100", text, "%s·%s", num(l), num(s))
		r.words("look", "the look of "+num(s/60)+" min", text, Computed)
	}
	return nil
}

// runUVLimit applies IEC 62471 sections 4.3.1 and 4.3.2.
func runUVLimit(a Args) (Result, error) {
	var r Result
	if !a.Has("actinic") && !a.Has("uva") {
		return r, &Refusal{What: Missing, Input: "actinic or uva", Why: "at least one reading is needed", Help: `Give "uva=8 W/m²" from an ultraviolet meter, or the weighted actinic irradiance of the lamp's report.`}
	}
	r.Range = "200 to 400 nm weighted, and 315 to 400 nm at the eye, in 8 h"
	least := math.Inf(1)
	if a.Has("actinic") {
		e := a.In("actinic", Irradiance, "W/m²")
		t := lamp.UVTime(e)
		least = math.Min(least, t)
		r.line("iec62471-uv", "t = 30 J/m²/E_s", of(t, Time, "s"), "", "30/%s", num(e))
		r.value("actinic_time", "time in 8 h, skin and eyes", of(t, Time, "s"), Seen)
	}
	if a.Has("uva") {
		e := a.In("uva", Irradiance, "W/m²")
		t, limited := lamp.UVATime(e)
		least = math.Min(least, t)
		r.line("iec62471-uv", "t = 10 000 J/m²/E above 10 W/m²", of(t, Time, "s"), "", "10000/%s", num(e))
		if limited {
			r.value("uva_time", "time in 8 h, eyes", of(t, Time, "s"), Seen)
		} else {
			r.words("uva_time", "time in 8 h, eyes", "without limit (10 W/m² or less)", Seen)
		}
	}
	if !math.IsInf(least, 1) {
		r.value("time", "shorter of the two", of(least, Time, "s"), Seen)
	}
	r.caution(eyeNote)
	return r, nil
}
