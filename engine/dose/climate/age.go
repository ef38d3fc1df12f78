package climate

import "math"

// Arrhenius is how many times faster a reaction runs at t2 than at t1 (°C),
// with an activation energy in kJ/mol, the same mechanism at both.
func Arrhenius(energy, t1, t2 float64) float64 {
	return math.Exp(energy * 1000 / GasConstant * (1/(t1+Kelvin) - 1/(t2+Kelvin)))
}

// ArrheniusEnergy is the inverse of [Arrhenius]: the energy in kJ/mol that
// makes the given ratio. t1 and t2 must differ.
func ArrheniusEnergy(ratio, t1, t2 float64) float64 {
	return math.Log(ratio) * GasConstant / 1000 / (1/(t1+Kelvin) - 1/(t2+Kelvin))
}

// Isoperm is Sebera's ageing-rate ratio between two climates: (RH2/RH1)^power
// times (T2/T1) exp(dH/R (1/T1 - 1/T2)). The enthalpy is in kcal/mol. The
// humidity part was read in Sebera 1994 (30 to 65 %, power 1; or 1.4 from 30 to
// 60 %); the temperature part is from memory, borne out by a printed reading.
func Isoperm(kcal, t1, rh1, t2, rh2, power float64) float64 {
	k1, k2 := t1+Kelvin, t2+Kelvin
	return math.Pow(rh2/rh1, power) * k2 / k1 * math.Exp(kcal*4184/GasConstant*(1/k1-1/k2))
}

// CoolingConstant is Newton's time constant in the unit of elapsed, from a
// reading: warm at first, reading after some time, room all round.
func CoolingConstant(start, reading, room, elapsed float64) float64 {
	return elapsed / math.Log((start-room)/(reading-room))
}

// CoolingTime is how long it takes to reach target.
func CoolingTime(start, target, room, constant float64) float64 {
	return constant * math.Log((start-room)/(target-room))
}
