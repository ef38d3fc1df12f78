package acidbase

import "math"

// Dissolved is water that holds carbon dioxide, and perhaps calcium from
// calcite.
type Dissolved struct {
	PH      float64
	Carbon  float64 // all inorganic carbon, mol/L
	Calcium float64 // mol/L
}

// AiredWater is pure water in balance with air holding pCO2 atm of carbon
// dioxide, 25 °C, ideal solution. pCO2 must be above 0.
func AiredWater(pCO2 float64) (Dissolved, error) {
	return openWater(pCO2, Ideal, false)
}

// CalciteInAir is water in balance with air and with calcite.
func CalciteInAir(pCO2 float64, m Model) (Dissolved, error) {
	return openWater(pCO2, m, true)
}

// carbonates gives the concentrations of HCO3- and CO3-- over an activity of
// dissolved CO2, and the calcium that calcite keeps in solution.
func carbonates(co2, ph float64, g [6]float64) (bi, carb, calcium float64) {
	pk := acids["carbonic"].PKa
	aBi := co2 * math.Pow(10, ph-pk[0])
	aCarb := aBi * math.Pow(10, ph-pk[1])
	return aBi / g[1], aCarb / g[2], math.Pow(10, LogCalcite) / (aCarb * g[2])
}

func openWater(pCO2 float64, m Model, calcite bool) (Dissolved, error) {
	co2 := math.Pow(10, LogHenry) * pCO2
	var out Dissolved
	strength := 0.0
	for range 200 {
		g := gammas(strength, m)
		ph, err := balance(func(ph float64) float64 {
			h, oh := waterIons(ph, g)
			bi, carb, ca := carbonates(co2, ph, g)
			if !calcite {
				ca = 0
			}
			return h + 2*ca - oh - bi - 2*carb
		})
		if err != nil {
			return out, err
		}
		bi, carb, ca := carbonates(co2, ph, g)
		if !calcite {
			ca = 0
		}
		h, oh := waterIons(ph, g)
		next := (h + oh + bi + 4*carb + 4*ca) / 2
		out = Dissolved{ph, co2 + bi + carb, ca}
		if math.Abs(next-strength) < 1e-14 {
			break
		}
		strength = next
	}
	return out, nil
}

// CalciteClosed is pure water in balance with calcite, with no air at it.
func CalciteClosed(m Model) (Dissolved, error) {
	carbonic := acids["carbonic"]
	var out Dissolved
	strength := 0.0
	for range 200 {
		g := gammas(strength, m)
		// All calcium brought its own carbonate, so total carbon = calcium.
		dissolved := func(ph float64) float64 {
			f := carbonic.forms(ph, g)
			return math.Sqrt(math.Pow(10, LogCalcite) / (f[2] * g[2] * g[2]))
		}
		ph, err := balance(func(ph float64) float64 {
			h, oh := waterIons(ph, g)
			f, c := carbonic.forms(ph, g), dissolved(ph)
			return h - oh + c*(2-f[1]-2*f[2])
		})
		if err != nil {
			return out, err
		}
		h, oh := waterIons(ph, g)
		f, c := carbonic.forms(ph, g), dissolved(ph)
		next := (h + oh + c*(4+f[1]+4*f[2])) / 2
		out = Dissolved{ph, c, c}
		if math.Abs(next-strength) < 1e-14 {
			break
		}
		strength = next
	}
	return out, nil
}
