package dose

import "math"

// standardTemps and standardPH are the standard pH by temperature (JIS Z 8802,
// after the National Bureau of Standards); NaN where none is given.
var (
	standardTemps = []float64{0, 5, 10, 15, 20, 25, 30, 35, 40, 50, 60}
	standardPH    = []struct {
		name, made string
		ph         []float64
	}{
		{"phthalate", "0.05 mol/kg potassium hydrogen phthalate, 10.12 g/L", []float64{4.01, 4.01, 4.0, 4.0, 4.0, 4.01, 4.01, 4.02, 4.03, 4.06, 4.1}},
		{"phosphate", "0.025 + 0.025 mol/kg phosphates, 3.39 + 3.53 g/L", []float64{6.98, 6.95, 6.92, 6.9, 6.88, 6.86, 6.85, 6.84, 6.84, 6.83, 6.84}},
		{"borax", "0.01 mol/kg borax decahydrate, 3.80 g/L", []float64{9.46, 9.39, 9.33, 9.27, 9.22, 9.18, 9.14, 9.1, 9.07, 9.01, 8.96}},
		{"carbonate", "0.025 + 0.025 mol/kg carbonates, 2.10 + 2.65 g/L", []float64{10.32, 10.25, 10.18, 10.12, 10.07, 10.02, 9.97, 9.93}},
	}
)

func standardNames() []string {
	var out []string
	for _, s := range standardPH {
		out = append(out, s.name)
	}
	return out
}

// PhthalatePH is the pH of 0.05 mol/kg potassium hydrogen phthalate at t °C,
// 0 to 60 (Hetzer, Durst, Robinson, Bates 1977).
func PhthalatePH(t float64) float64 {
	k := t + 273.15
	return 2073.44/k - 13.3270 + 0.045199*k - 3.4846e-5*k*k
}

// runStandard reads the table, with straight lines between its temperatures.
func runStandard(a Args) (Result, error) {
	var r Result
	t := a.In("temperature", Temperature, "°C")
	for _, s := range standardPH {
		if s.name != a.Text("buffer") {
			continue
		}
		last := standardTemps[len(s.ph)-1]
		if t > last {
			return r, outside("temperature", of(t, Temperature, "°C"), 0, last, "nbs-buffers", "The table has no value for this buffer there.")
		}
		ph := interpolate(standardTemps, s.ph, t)
		r.Range = "0 to 60 °C (carbonate: to 35 °C)"
		r.line("nbs-buffers", "table, straight line between temperatures", of(ph, PHKind, "pH"), "0.02", "%s at %s °C", s.name, num(t))
		r.value("ph", s.made, Quantity{Value: ph, Unit: unit(PHKind, "pH"), PlusMinus: 0.02}, Seen)
		if s.name == "phthalate" {
			r.line("nbs-buffers", "2073.44/T - 13.3270 + 0.045199 T - 3.4846e-5 T²", of(PhthalatePH(t), PHKind, "pH"), "", "T = %s K", num(t+273.15))
		}
		return r, nil
	}
	return r, &Refusal{What: Unknown, Input: "buffer", Why: "no such standard", Help: "Use one of the known ones.", Known: standardNames()}
}

// interpolate reads ys over rising xs with straight lines; x is held to the
// ends. ys may be shorter than xs.
func interpolate(xs, ys []float64, x float64) float64 {
	n := min(len(xs), len(ys))
	if n == 0 {
		return math.NaN()
	}
	if x <= xs[0] {
		return ys[0]
	}
	for i := 1; i < n; i++ {
		if x <= xs[i] {
			f := (x - xs[i-1]) / (xs[i] - xs[i-1])
			return ys[i-1]*(1-f) + ys[i]*f
		}
	}
	return ys[n-1]
}
