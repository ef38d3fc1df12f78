package dose

import (
	"fmt"
	"strings"

	"tideline/engine/dose/lamp"
)

// lampParams ask for the light: a diode by its peak, or a named white light, or
// a black body.
var lampParams = []Param{
	{Name: "peak", Says: "peak wavelength of a diode", Unit: unit(Wavelength, "nm"), From: 400, To: 700, Source: "luxpy"},
	{Name: "width", Says: "width of its peak at half height", Unit: unit(Wavelength, "nm"), From: 1, To: 100, Default: "20 nm", Source: "luxpy"},
	{Name: "white", Says: "named white light, instead of a peak", Words: []string{"CIE A", "CIE D65", "LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5", "LED-BH1", "LED-RGB1", "LED-V1", "LED-V2"}},
	{Name: "black_body", Says: "colour temperature of a glowing body, instead of a peak", Unit: unit(Temperature, "K"), From: 1800, To: 10000, Source: "luxpy"},
}

var lights = []Computation{
	{Name: "lux-to-irradiance", Says: "W/m² from lux, for a known light", Run: runLux, Params: append([]Param{
		{Name: "lux", Says: "meter reading", Unit: unit(Illuminance, "lx"), From: 0.1, To: 1e6, Required: true, Source: ownID},
	}, lampParams...)},
	{Name: "irradiance", Says: "W/m² on a sheet from a lamp's radiant power and its place", Run: runIrradiance, Params: []Param{
		{Name: "power", Says: "radiant power (light, not electricity)", Unit: unit(Power, "W"), From: 0.001, To: 5000, Required: true, Source: ownID},
		{Name: "distance", Says: "lamp to sheet", Unit: unit(Length, "mm"), From: 10, To: 20000, Required: true, Source: ownID},
		{Name: "size", Says: "largest size of the lamp's face", Unit: unit(Length, "mm"), From: 0.1, To: 5000, Required: true, Source: ownID},
		{Name: "shape", Says: "how it shines", Words: []string{"beam", "flat", "bulb"}, Required: true},
		{Name: "angle", Says: "full angle of the beam", Unit: unit(Angle, "°"), From: 2, To: 150, Source: ownID},
	}},
	{Name: "light-dose", Says: "what falls on the sheet in a time: J/cm² from W/m², lx h from lux", Run: runLightDose, Params: []Param{
		{Name: "light", Says: "what the meter reads: W/m² or lx", Unit: unit(Irradiance, "W/m²"), Also: []Kind{Illuminance}, Required: true},
		{Name: "time", Says: "how long", Unit: unit(Time, "h"), From: 0.001, To: 100000, Required: true, Source: ownID},
	}},
	{Name: "light-time", Says: "minutes to a wanted dose", Run: runLightTime, Params: []Param{
		{Name: "light", Says: "what the meter reads: W/m² or lx", Unit: unit(Irradiance, "W/m²"), Also: []Kind{Illuminance}, Required: true},
		{Name: "dose", Says: "dose wanted: J/cm² (for W/m²) or lx h (for lx)", Unit: unit(Exposure, "J/cm²"), Also: []Kind{LightSum}, Required: true},
	}},
	{Name: "fading", Says: "what all light so far and planned means, against blue wool steps", Run: runFading, Params: []Param{
		{Name: "exposures", Says: "each treatment: light and time, such as 10000 lx 4 h; 200 lx 30 d", Required: true},
		{Name: "step", Says: "blue wool step the weakest ink is held to", Unit: plain, From: 1, To: 8, Source: "cameo-wool"},
		{Name: "blue", Says: "is any of it a narrow blue lamp?", Words: []string{"no", "yes"}, Required: true},
	}},
}

// spectrum reads the light from lampParams. Lux says nothing of power without it.
func spectrum(a Args) (lamp.Weights, string, error) {
	given := 0
	for _, n := range []string{"peak", "white", "black_body"} {
		if a.Has(n) {
			given++
		}
	}
	switch {
	case given != 1:
		return lamp.Weights{}, "", &Refusal{
			What: Missing, Input: "peak", Why: "lux alone doesn't say how much light falls: 10 000 lx are about 49 W/m² of daylight but 288 W/m² of a 455 nm diode, and 5 nm of peak change it by a quarter",
			Help: `Give exactly one of: "peak=455 nm" (from the lamp's data sheet), "white=LED-B3", "black_body=2700 K". Better: read W/m² with a radiometer.`,
		}
	case a.Has("peak"):
		p, w := a.In("peak", Wavelength, "nm"), a.In("width", Wavelength, "nm")
		return lamp.Weigh(lamp.Diode(p, w)), fmt.Sprintf("diode %s nm, %s nm wide", num(p), num(w)), nil
	case a.Has("white"):
		return lamp.White[a.Text("white")], a.Text("white"), nil
	default:
		k := a.In("black_body", Temperature, "K")
		return lamp.Weigh(lamp.BlackBody(k)), num(k) + " K", nil
	}
}

const noDose = "No published dose exists for narrow-band blue light on printed paper, and no target dose in lx h or J/m² for bleaching prints was found. This says how much falls on the sheet; it doesn't say that it is enough, or safe."

// trials are the published light trials on paper, as hours and lamps: none
// gives a dose.
var trials = []string{
	"white LED of 4000 K at 10 or 20 cm above the tray lightened most and left chain length alone; 6500 K shortened the chains (2019)",
	"1000 W metal halide, ultraviolet filtered, about 1 to 4 h (2003 posting)",
	"sun through ultraviolet-filtering film, 2 to 4 h, on rag paper (undated summary)",
}

func (r *Result) lightNotes() {
	r.caution(noDose)
	r.caution("Published trials to compare with, as lamps and hours only: %s.", strings.Join(trials, "; "))
	r.caution("Work in steps with a masked strip beside, look after each, and stop short of paper white. Bright lamps harm eyes: enclose the tray, switch off to look (blue-limit), and screen others.")
	r.source("led-2019", "halide-2003", "reyden-update")
}

// runLux is E = lux/(683·sum(S·V)/sum(S)).
func runLux(a Args) (Result, error) {
	var r Result
	w, name, err := spectrum(a)
	if err != nil {
		return r, err
	}
	lux := a.In("lux", Illuminance, "lx")
	e := w.Irradiance(lux)
	r.Range = "380 to 780 nm; no ultraviolet or infrared counted"
	r.line("luxpy", "K = 683·sum(S·V)/sum(S)", of(w.Efficacy, Efficacy, "lm/W"), "", "%s", name)
	r.line("luxpy", "E = lux/K", of(e, Irradiance, "W/m²"), "", "%s lx/%s lm/W", num(lux), num(w.Efficacy))
	r.value("efficacy", "lumens in a watt of this light", of(w.Efficacy, Efficacy, "lm/W"), Computed)
	r.value("irradiance", "power on the sheet", of(e, Irradiance, "W/m²"), Computed)
	r.value("blue", "blue-hazard part of it", of(w.Blue*e, Irradiance, "W/m²"), Computed)
	r.caution("A model of the lamp, not its own spectrum. 5 nm of error in a blue peak change the result by about 25 %%.")
	if p := a.In("peak", Wavelength, "nm"); a.Has("peak") && p < 500 {
		r.caution("A lux meter hardly sees deep blue and is least exact there: don't dose blue light by lux; use a radiometer.")
	}
	r.lightNotes()
	return r, nil
}

// runIrradiance spreads the power over a cone, by Lambert's law, or all round.
func runIrradiance(a Args) (Result, error) {
	var r Result
	p, d, size := a.In("power", Power, "W"), a.In("distance", Length, "m"), a.In("size", Length, "m")
	if d < 5*size {
		return r, outside("distance", of(d*1000, Length, "mm"), 5000*size, 20000, ownID, "Nearer than five times its size a lamp doesn't act as a point, and these formulas fail: read the sheet with a radiometer.")
	}
	r.Range = "distance at least five times the size of the lamp's face (common practice, no source)"
	var e float64
	switch a.Text("shape") {
	case "beam":
		if !a.Has("angle") {
			return r, &Refusal{What: Missing, Input: "angle", Why: "a beam needs its full angle", Help: `Add it from the data sheet, such as "angle=60 °".`}
		}
		e = lamp.Cone(p, a.In("angle", Angle, "°"), d)
		r.line("arithmetic", "E = P/(pi·(d·tan(angle/2))²)", of(e, Irradiance, "W/m²"), "", "%s W, %s°, %s m", num(p), num(a.In("angle", Angle, "°")), num(d))
		r.caution("Mean over the spot: the middle of a beam gets more, often twice as much (common practice, no source).")
	case "flat":
		e = lamp.Flat(p, d)
		r.line("arithmetic", "E = P/(pi·d²), cosine law", of(e, Irradiance, "W/m²"), "", "%s W, %s m", num(p), num(d))
	default:
		e = lamp.Bulb(p, d)
		r.line("arithmetic", "E = P/(4·pi·d²)", of(e, Irradiance, "W/m²"), "", "%s W, %s m", num(p), num(d))
	}
	r.value("irradiance", "power on the sheet, straight below", of(e, Irradiance, "W/m²"), Arithmetic)
	r.caution("Radiant power is not the wattage on the box: of that, a diode gives perhaps half as light (common practice, no source). A reading with a radiometer at the sheet is worth more than this sum.")
	r.lightNotes()
	return r, nil
}

// runLightDose is exposure = light·time.
func runLightDose(a Args) (Result, error) {
	var r Result
	h := a.In("time", Time, "h")
	q := a.Quantity("light")
	if q.Value <= 0 {
		return r, impossible("light", "Give a reading above 0.", "a reading of 0 or less gives no dose")
	}
	r.Range = "light held steady; reciprocity of light and time, which heating can break at bleaching level"
	if q.Unit.Kind == Illuminance {
		lx := a.In("light", Illuminance, "lx")
		r.line("light-sum", "dose = lx·h", of(lx*h, LightSum, "lx h"), "", "%s lx·%s h", num(lx), num(h))
		r.value("dose", "illuminance over time", of(lx*h, LightSum, "lx h"), Arithmetic)
		r.caution("lx h tell how light fades colours under white light. They don't dose a blue lamp: ask for its W/m² or peak (lux-to-irradiance).")
	} else {
		e := a.In("light", Irradiance, "W/m²")
		j := e * h * 3600 / 1e4
		r.line("arithmetic", "dose = E·t/10000", of(j, Exposure, "J/cm²"), "", "%s W/m²·%s s/10000", num(e), num(h*3600))
		r.value("dose", "radiant exposure", of(j, Exposure, "J/cm²"), Arithmetic)
	}
	r.lightNotes()
	return r, nil
}

// runLightTime is the inverse of [runLightDose].
func runLightTime(a Args) (Result, error) {
	var r Result
	lit, sum := a.Quantity("light").Unit.Kind == Illuminance, a.Quantity("dose").Unit.Kind == LightSum
	if lit != sum {
		return r, &Refusal{
			What: WrongUnit, Input: "dose", Given: a.Quantity("dose").String(), Why: "lux goes with lx h, and W/m² with J/cm²; they don't mix",
			Help: "Turn lux into W/m² first with lux-to-irradiance, which asks for the lamp.",
		}
	}
	if a.Quantity("light").Value <= 0 || a.Quantity("dose").Value <= 0 {
		return r, impossible("light and dose", "Give numbers above 0.", "light or dose is 0 or less")
	}
	r.Range = "light held steady; reciprocity, which heating can break at bleaching level"
	var minutes float64
	if lit {
		minutes = a.In("dose", LightSum, "lx h") / a.In("light", Illuminance, "lx") * 60
		r.line("light-sum", "t = dose/lx", of(minutes, Time, "min"), "", "%s/%s", a.Quantity("dose"), a.Quantity("light"))
	} else {
		minutes = a.In("dose", Exposure, "J/m²") / a.In("light", Irradiance, "W/m²") / 60
		r.line("arithmetic", "t = dose·10000/E", of(minutes, Time, "min"), "", "%s/%s", a.Quantity("dose"), a.Quantity("light"))
	}
	r.value("time", "time to the dose you named", of(minutes, Time, "min"), Arithmetic)
	r.lightNotes()
	return r, nil
}

// parseExposures reads "10000 lx 4 h; 200 lx 30 d" into lx h each.
func parseExposures(text string) (sums []float64, err error) {
	for entry := range strings.SplitSeq(text, ";") {
		entry = strings.Join(strings.Fields(entry), " ")
		if entry == "" {
			continue
		}
		at := strings.Index(entry, "lx ")
		bad := &Refusal{What: NotRead, Given: entry, Why: "it is not a light and a time", Help: `Write "10000 lx 4 h", each treatment after a semicolon.`}
		if at < 0 || len(sums) >= 200 {
			return nil, bad
		}
		light, err := ParseQuantity(entry[:at+2], Illuminance)
		if err != nil {
			return nil, err
		}
		time, err := ParseQuantity(entry[at+2:], Time)
		if err != nil {
			return nil, err
		}
		l, _ := light.In(unit(Illuminance, "lx"))
		t, _ := time.In(unit(Time, "h"))
		if !(l.Value > 0 && t.Value > 0 && l.Value <= 1e7 && t.Value <= 1e6) {
			return nil, bad
		}
		sums = append(sums, l.Value*t.Value)
	}
	if len(sums) == 0 {
		return nil, &Refusal{What: Missing, Input: "exposures", Why: "no treatment is named", Help: `Write "10000 lx 4 h; 5000 lx 2 h".`}
	}
	return sums, nil
}

// runFading holds the sum of all light against the exposure that just fades
// each blue wool step: ends read, steps between by equal ratios.
func runFading(a Args) (Result, error) {
	var r Result
	if a.Text("blue") == "yes" {
		return r, unsupported("blue", "Fade a covered strip of blue wool, or of a like ink, beside the sheet under the very lamp and read it.", "the fading figures are for white light measured in lux; a blue lamp of the same lux carries several times the power, and no source gives its blue wool equivalent")
	}
	sums, err := parseExposures(a.Text("exposures"))
	if err != nil {
		return r, err
	}
	mlxh := total(sums) / 1e6
	r.Range = "white light without ultraviolet; blue wool steps 1 to 8; order of magnitude"
	for _, s := range sums {
		r.line("light-sum", "lx·h", of(s, LightSum, "lx h"), "", "one treatment")
	}
	r.value("sum", "all light, treatments done and planned", of(mlxh, LightSum, "Mlx h"), Arithmetic)
	t := Table{Title: "against the exposure that just shows fading, light without ultraviolet", Columns: []string{"blue wool step", "just shows at", "used", "from memory, no UV"}}
	for step := 1; step <= 8; step++ {
		d := lamp.WoolFade(step)
		t.Rows = append(t.Rows, []string{num(float64(step)), of(d, LightSum, "Mlx h").String(), num(100*mlxh/d) + " %", of(lamp.WoolFromMemory[step-1][0], LightSum, "Mlx h").String()})
	}
	r.Tables = append(r.Tables, t)
	if a.Has("step") {
		step := int(a.In("step", Plain, ""))
		d := lamp.WoolFade(step)
		r.line("cameo-wool", "used = sum/(0.4·(900/0.4)^((step-1)/7))", of(100*mlxh/d, Fraction, "%"), "factor 1.5 either way", "%s/%s Mlx h", num(mlxh), num(d))
		r.value("used", "share of the exposure that just shows fading of this step", of(100*mlxh/d, Fraction, "%"), Mixed)
	}
	r.source("cameo-wool")
	r.caution("Order of magnitude: sources differ by a factor of 1.5, and each step is 2 to 3 times the last. Light with ultraviolet fades several times faster. Just visible is already harm done.")
	r.caution("Some print and pen inks fade faster than blue wool 1: a test strip under the lamp, half covered, is worth more than this table.")
	return r, nil
}
