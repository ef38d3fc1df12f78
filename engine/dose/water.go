package dose

import (
	"tideline/engine/dose/acidbase"
)

var waters = []Computation{
	{Name: "water-in-air", Says: "pH of pure water, or of water over chalk, in balance with air", Run: runWater, Params: []Param{
		{Name: "co2", Says: "carbon dioxide in the air", Unit: unit(AirPart, "ppm"), From: 280, To: 10000, Default: "420 ppm", Source: "phreeqc"},
		{Name: "calcite", Says: "is calcium carbonate in the water?", Words: []string{"no", "yes", "closed"}, Default: "no"},
	}},
	{Name: "peroxide", Says: "hydrogen peroxide between per cent, volumes and mol/L, and diluted", Run: runPeroxide, Params: []Param{
		{Name: "stock", Says: "strength on the label", Unit: unit(Oxygen, "volumes"), Also: []Kind{MassPerVol, MassFraction, Molar}, Required: true},
		{Name: "density", Says: "density of the stock, for a strength by mass", Unit: unit(Density, "g/mL"), From: 0.99, To: 1.2, Source: "peroxide-volumes"},
		{Name: "wanted", Says: "strength wanted", Unit: unit(MassPerVol, "% w/v"), Also: []Kind{Oxygen, Molar}},
		{Name: "volume", Says: "finished volume, if a strength is wanted", Unit: unit(Volume, "mL"), From: 1, To: 50000, Source: ownID},
		cylinderParam,
	}},
	{Name: "surface-tension", Says: "surface tension of alcohol in water", Run: runTension, Params: []Param{
		{Name: "alcohol", Says: "which", Words: []string{"methanol", "ethanol"}, Required: true},
		{Name: "strength", Says: "alcohol by mass", Unit: unit(MassFraction, "% w/w"), From: 0, To: 100, Required: true, Source: "vazquez-1995"},
		{Name: "temperature", Says: "temperature", Unit: unit(Temperature, "°C"), From: 20, To: 30, Default: "20 °C", Source: "vazquez-1995"},
	}},
}

// runWater solves the carbonate balance at 25 °C (constants: NIST 46 in
// minteq.v4).
func runWater(a Args) (Result, error) {
	var r Result
	ppm := a.In("co2", AirPart, "ppm")
	r.Range = "25 °C, 280 to 10000 ppm"
	r.source("phreeqc")
	put := num(ppm) + " ppm"
	d, err := acidbase.AiredWater(ppm * 1e-6)
	switch a.Text("calcite") {
	case "yes":
		d, err = acidbase.CalciteInAir(ppm*1e-6, acidbase.Davies)
	case "closed":
		put = "no air"
		d, err = acidbase.CalciteClosed(acidbase.Davies)
	}
	if err != nil {
		return r, impossible("co2", "Check the number.", err.Error())
	}
	r.line("phreeqc", "charge balance with [CO2] = 10^-1.468·pCO2, pK 6.352 and 10.329", of(d.PH, PHKind, "pH"), "two decimals", "%s, calcite: %s", put, a.Text("calcite"))
	r.value("ph", "pH of the water", of(d.PH, PHKind, "pH"), Computed)
	r.value("carbon", "dissolved inorganic carbon", of(d.Carbon, Molar, "mol/L"), Computed)
	if a.Text("calcite") != "no" {
		r.value("calcium", "dissolved calcium", of(d.Calcium, Molar, "mol/L"), Computed)
		r.value("calcite", "as calcium carbonate", of(d.Calcium*100.0869*1000, MassPerVol, "mg/L"), Computed)
	}
	r.caution("Pure water has almost no reserve: a trace of anything moves its pH, and a meter drifts in it. %s", measured)
	return r, nil
}

// runPeroxide turns strengths into one another: 2 H2O2 -> 2 H2O + O2, molar
// volume 22.414 L (arithmetic).
func runPeroxide(a Args) (Result, error) {
	var r Result
	stock := a.Quantity("stock")
	density := a.In("density", Density, "g/mL")
	c, err := peroxideMolar(stock, density, "stock")
	if err != nil {
		return r, err
	}
	if v := c / perVolume; !(v > 0 && v <= mostVolumes) {
		return r, outside("stock", of(v, Oxygen, "volumes"), 0, mostVolumes, "peroxide-volumes", "Stronger peroxide is not for a bench: it can burn and start fires.")
	}
	r.Range = "above 0 to 110 volumes (30 % w/w); complete decomposition, ideal gas"
	r.line("peroxide-volumes", "mol/L = 10·w·density/34.0147, or volumes·2/22.414, or (g/L)/34.0147", of(c, Molar, "mol/L"), "", "%s", stock)
	r.value("molar", "amount per volume", of(c, Molar, "mol/L"), Arithmetic)
	r.value("volumes", "volume strength", of(c/perVolume, Oxygen, "volumes"), Arithmetic)
	r.value("mass_per_volume", "peroxide per volume", of(c*peroxideMass/10, MassPerVol, "% w/v"), Arithmetic)
	if density > 0 {
		r.value("mass_fraction", "peroxide by mass", of(c*peroxideMass/(10*density), MassFraction, "% w/w"), Arithmetic)
	}
	r.caution("Per cent by mass and by volume differ by 11 %% at 30 %% w/w: say which on the label. The strength is that of the day it was filled.")
	r.caution("Peroxide burns skin and eyes and feeds fire; never close it tight, keep metals and dust out: iron in the paper makes it destroy the paper. Goggles and gloves. %s", dataSheet)
	if !a.Has("wanted") && !a.Has("volume") {
		return r, nil
	}
	if !a.Has("wanted") || !a.Has("volume") {
		return r, &Refusal{What: Missing, Input: "wanted and volume", Why: "a dilution needs both", Help: `Give both, such as "wanted=1 % w/v" "volume=500 mL".`}
	}
	w, err := peroxideMolar(a.Quantity("wanted"), 0, "wanted")
	if err != nil {
		return r, err
	}
	if !(w > 0 && w <= c) {
		return r, impossible("wanted", "Take a stronger stock.", a.Quantity("wanted").String()+" can't be made from "+stock.String())
	}
	v := a.In("volume", Volume, "mL")
	r.line("arithmetic", "V1 = C2·V2/C1", of(w*v/c, Volume, "mL"), "", "%s·%s/%s", num(w), num(v), num(c))
	r.pour("stock_volume", "stock to take, then make up to the volume", w*v/c, a, Arithmetic)
	return r, nil
}

var (
	tensionMass    = []float64{0, 5, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 90, 100}
	tensionCelsius = []float64{20, 25, 30}
	// methanolTension was read in Vazquez, Alvarez, Navaza 1995, mN/m.
	methanolTension = [][]float64{
		{72.75, 63.46, 56.87, 51.83, 47.86, 44.38, 41.67, 37.02, 33.37, 30.32, 27.91, 25.98, 24.37, 22.95},
		{72.01, 62.77, 56.18, 51.17, 47.21, 43.78, 41.09, 36.51, 32.86, 29.83, 27.48, 25.54, 23.93, 22.51},
		{71.21, 61.98, 55.41, 50.43, 46.56, 43.14, 40.43, 35.9, 32.33, 29.34, 26.99, 25.06, 23.43, 22.01},
	}
	// ethanolTension is from memory, at 20 and 25 °C.
	ethanolTension = [][]float64{
		{72.75, 56.41, 48.14, 42.72, 38.56, 36.09, 33.53, 30.69, 28.51, 26.72, 25.48, 24.32, 23.23, 22.31},
		{72.01, 55.73, 47.53, 42.08, 37.97, 35.51, 32.98, 30.16, 27.96, 26.22, 25.01, 23.82, 22.72, 21.82},
	}
)

// runTension reads the table, with straight lines between its points; it never
// goes beyond them.
func runTension(a Args) (Result, error) {
	var r Result
	w, t := a.In("strength", MassFraction, "% w/w"), a.In("temperature", Temperature, "°C")
	table, class, molar := methanolTension, Seen, 32.042
	if a.Text("alcohol") == "ethanol" {
		table, class, molar = ethanolTension, Memory, 46.069
		if t > 25 {
			return r, outside("temperature", of(t, Temperature, "°C"), 20, 25, "vazquez-1995", "The remembered columns stop at 25 °C.")
		}
		r.caution("The ethanol columns are from memory: information only.")
	}
	var column []float64
	for _, row := range table {
		column = append(column, interpolate(tensionMass, row, w))
	}
	y := interpolate(tensionCelsius, column, t)
	x := MoleFraction(w, molar)
	r.Range = "0 to 100 % by mass; 20 to 30 °C (ethanol: 20 to 25 °C)"
	r.line("vazquez-1995", "table, straight lines between points", of(y, Tension, "mN/m"), "0.1", "%s %% at %s °C", num(w), num(t))
	r.value("tension", "surface tension", of(y, Tension, "mN/m"), class)
	r.value("mole_fraction", "mole fraction of alcohol", Quantity{Value: x, Unit: plain}, Arithmetic)
	return r, nil
}

// MoleFraction of a solute of a molar mass in water, from per cent by mass.
func MoleFraction(percent, molar float64) float64 {
	n := percent / molar
	return n / (n + (100-percent)/18.015)
}
