package lamp

import "math"

// MaxEfficacy is 683 lm/W, the luminous efficacy the lumen is defined by.
const MaxEfficacy = 683

// The wavelengths, in nm, that [Eye] and [Hazard] are known for.
const (
	Shortest = 380
	Longest  = 780
)

// A Spectrum is relative power per nm at a wavelength in nm.
type Spectrum func(nm float64) float64

// Diode is the model of a light-emitting diode: a bell curve of the given peak
// and full width at half height, in nm. A real lamp needs its own spectrum.
func Diode(peak, width float64) Spectrum {
	sigma := width / (2 * math.Sqrt(2*math.Ln2))
	return func(nm float64) float64 {
		d := (nm - peak) / sigma
		return math.Exp(-0.5 * d * d)
	}
}

// BlackBody is Planck's law at a temperature in kelvin.
func BlackBody(kelvin float64) Spectrum {
	const c2 = 1.4388e-2 // m K
	return func(nm float64) float64 {
		return math.Pow(nm/560, -5) / (math.Exp(c2/(nm*1e-9*kelvin)) - 1)
	}
}

// Eye is V(lambda), interpolated between whole nm; 0 outside 380 to 780 nm.
func Eye(nm float64) float64 {
	if !(nm >= Shortest && nm <= Longest) {
		return 0
	}
	i := int(nm - Shortest)
	if i >= len(eye)-1 {
		return eye[len(eye)-1]
	}
	f := nm - Shortest - float64(i)
	return eye[i]*(1-f) + eye[i+1]*f
}

// hazardPoints is B(lambda) of IEC 62471:2006 from 380 to 500 nm in 5 nm
// steps, read in an open library that cites the standard.
var hazardPoints = [25]float64{
	0.01, 0.013, 0.025, 0.05, 0.1, 0.2, 0.4, 0.8, 0.9, 0.95, 0.98, 1, 1,
	0.97, 0.94, 0.9, 0.8, 0.7, 0.62, 0.55, 0.45, 0.4, 0.22, 0.16, 0.1,
}

// Hazard is the blue-light weight B(lambda): table to 500 nm, then a power of
// ten to 600 nm, then 0.001 to 700 nm. Outside 380 to 700 nm it is 0: the part
// below 380 nm wasn't seen in a source and must not be asked for.
func Hazard(nm float64) float64 {
	switch {
	case !(nm >= Shortest && nm <= 700):
		return 0
	case nm < 500:
		i := int((nm - Shortest) / 5)
		f := (nm - Shortest - 5*float64(i)) / 5
		return hazardPoints[i]*(1-f) + hazardPoints[i+1]*f
	case nm <= 600:
		return math.Pow(10, (450-nm)/50)
	default:
		return 0.001
	}
}

// Weights are what a spectrum makes of one watt, summed 380 to 780 nm at 1 nm.
type Weights struct {
	Efficacy float64 // lm/W
	Blue     float64 // hazard-weighted part, 0 to 1
}

// Weigh sums a spectrum. A spectrum that is dark from 380 to 780 nm weighs 0.
func Weigh(s Spectrum) Weights {
	var all, lum, blue float64
	for nm := float64(Shortest); nm <= Longest; nm++ {
		p := s(nm)
		all += p
		lum += p * Eye(nm)
		blue += p * Hazard(nm)
	}
	if !(all > 0) {
		return Weights{}
	}
	return Weights{MaxEfficacy * lum / all, blue / all}
}

// White are the weights of named white lights, computed from their published
// spectra over 380 to 780 nm (CIE illuminants; no ultraviolet, no infrared).
var White = map[string]Weights{
	"CIE A":    {155.8, 0.0478},
	"CIE D65":  {204.8, 0.2017},
	"LED-B1":   {311.8, 0.0821},
	"LED-B2":   {313.9, 0.0999},
	"LED-B3":   {316.9, 0.1711},
	"LED-B4":   {319.3, 0.2214},
	"LED-B5":   {305.3, 0.2701},
	"LED-BH1":  {345.3, 0.1041},
	"LED-RGB1": {291.4, 0.0665},
	"LED-V1":   {235.5, 0.0941},
	"LED-V2":   {246.4, 0.1623},
}

// Irradiance in W/m² of an illuminance in lx, for a known spectrum.
func (w Weights) Irradiance(lux float64) float64 { return lux / w.Efficacy }

// Illuminance is the inverse of [Weights.Irradiance].
func (w Weights) Illuminance(irradiance float64) float64 { return irradiance * w.Efficacy }
