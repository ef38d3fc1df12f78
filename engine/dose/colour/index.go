package colour

// Yellowing holds the two coefficients of ASTM E313 for one illuminant and
// observer. Figures for different ones can't be compared.
type Yellowing struct {
	Name   string
	CX, CZ float64
}

// The four sets of coefficients of ASTM E313-15.
var (
	YellowD65Two = Yellowing{"D65, 2 degree observer", 1.2985, 1.1335}
	YellowD65Ten = Yellowing{"D65, 10 degree observer", 1.3013, 1.1498}
	YellowCTwo   = Yellowing{"C, 2 degree observer", 1.2769, 1.0592}
	YellowCTen   = Yellowing{"C, 10 degree observer", 1.2871, 1.0781}
)

// Yellowness is the index of ASTM E313: 100 (CX X - CZ Z)/Y. Y must be above 0.
func Yellowness(c XYZ, y Yellowing) float64 {
	return 100 * (y.CX*c.X - y.CZ*c.Z) / c.Y
}

// WhitenessOld is the former whiteness of ASTM E313: 3.388 Z - 3 Y.
func WhitenessOld(c XYZ) float64 { return 3.388*c.Z - 3*c.Y }

// WhitenessCIE gives the CIE whiteness W and tint T of a sample with
// chromaticity x, y and luminance factor lum, against the white xn, yn. tenDeg
// chooses the 10 degree observer. Use it only where 40 < W < 5 lum - 280 and
// -4 < T < 2.
func WhitenessCIE(x, y, lum, xn, yn float64, tenDeg bool) (w, tint float64) {
	k := 1000.0
	if tenDeg {
		k = 900
	}
	w = lum + 800*(xn-x) + 1700*(yn-y)
	return w, k*(xn-x) - 650*(yn-y)
}
