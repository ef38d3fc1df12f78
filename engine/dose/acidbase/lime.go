package acidbase

import "math"

// A LimeModel says how the pH of limewater is computed.
type LimeModel int

// LimeNaive takes every hydroxide as free and ideal; it reads 0.16 too high at
// saturation. LimeDavies corrects activity. LimePair also counts CaOH+, and
// comes within 0.03 of the measured 12.45.
const (
	LimeNaive LimeModel = iota
	LimeDavies
	LimePair
)

// String names the model as the working prints it.
func (m LimeModel) String() string {
	return [...]string{"naive", "Davies activities", "Davies activities with CaOH+"}[m]
}

// LimePH is the pH of calcium hydroxide at conc mol/L in water free of carbon
// dioxide, 25 °C. Below about 1e-6 mol/L the water's own ions are left out and
// it must not be used.
func LimePH(conc float64, m LimeModel) float64 {
	if m == LimeNaive {
		return -LogKw + math.Log10(2*conc)
	}
	var pair float64
	strength := 3 * conc
	for range 300 {
		ca, oh := conc-pair, 2*conc-pair
		strength = (4*ca + oh + pair) / 2
		next := 0.0
		if m == LimePair {
			next = pairAmount(conc, math.Pow(10, LogCaOH)*Gamma(2, strength, Davies))
		}
		if math.Abs(next-pair) < 1e-16 {
			break
		}
		pair = next
	}
	return -LogKw + math.Log10(Gamma(1, strength, Davies)*(2*conc-pair))
}

// pairAmount solves x = k (c-x)(2c-x) for the ion pair.
func pairAmount(c, k float64) float64 {
	b := 3*c + 1/k
	return (b - math.Sqrt(b*b-8*c*c)) / 2
}

// LimeFor is the inverse of [LimePH]: calcium hydroxide in mol/L for a pH.
func LimeFor(ph float64, m LimeModel) float64 {
	if m == LimeNaive {
		return math.Pow(10, ph+LogKw) / 2
	}
	lo, hi := -12.0, 1.0
	for range 200 {
		mid := (lo + hi) / 2
		if LimePH(math.Pow(10, mid), m) < ph {
			lo = mid
		} else {
			hi = mid
		}
	}
	return math.Pow(10, (lo+hi)/2)
}

// LimeForAired is the calcium hydroxide in mol/L that brings water holding
// carbon mol/L of dissolved carbon dioxide to a pH, ideal solution, nothing
// settling out. It is what the plain sum leaves out.
func LimeForAired(ph, carbon float64) float64 {
	g := gammas(0, Ideal)
	s := Solution{Shares: []Share{{acids["carbonic"], carbon}}}
	return math.Max(0, -s.charge(ph, g)/2)
}
