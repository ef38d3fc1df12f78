package dose

import (
	"fmt"
	"math"
)

// Shared inputs for what a small studio can measure.
var (
	balanceParam  = Param{Name: "balance", Says: "smallest step the balance shows", Unit: unit(Mass, "g"), From: 0.0001, To: 10, Default: "0.01 g", Source: ownID}
	cylinderParam = Param{Name: "cylinder", Says: "smallest step the measuring cylinder shows", Unit: unit(Volume, "mL"), From: 0.01, To: 100, Default: "1 mL", Source: ownID}
	volumeParam   = Param{Name: "volume", Says: "finished volume", Unit: unit(Volume, "mL"), From: 1, To: 200000, Required: true, Source: ownID}
)

// RoundTo rounds an amount to a step and gives the relative error in per cent
// that this brings at worst: the rounding itself and half a step of reading.
func RoundTo(amount, step float64) (rounded, errorPercent float64) {
	rounded = math.Round(amount/step) * step
	return rounded, 100 * (math.Abs(rounded-amount) + step/2) / amount
}

// coarse is the error, in per cent, above which a stock solution is advised.
const coarse = 5.0

// weigh adds an amount of solid and what the balance makes of it. The volume in
// mL lets it propose a stock solution where the balance is too coarse.
func (r *Result) weigh(name, says string, grams float64, a Args, volume float64, c Class) {
	step := a.In("balance", Mass, "g")
	r.value(name, says, of(grams, Mass, "g"), c)
	if grams <= 0 || step <= 0 {
		return
	}
	rounded, e := RoundTo(grams, step)
	if rounded > 0 {
		r.value(name+"_weighed", says+", as the balance shows it", of(rounded, Mass, "g"), c)
	}
	r.value(name+"_error", "error at worst from the balance", of(e, Fraction, "%"), Arithmetic)
	r.line("arithmetic", "round(m/step)·step; error = (|rounded - m| + step/2)/m", of(rounded, Mass, "g"),
		fmt.Sprintf("to the balance's %s g: up to %s %% off", num(step), num(e)), "round(%s/%s)·%s", num(grams), num(step), num(step))
	if e <= coarse || volume <= 0 {
		return
	}
	times := math.Pow(10, math.Ceil(math.Log10(20*step/grams)))
	if times < 10 {
		times = 10
	}
	r.caution("%s g is too little for a balance that shows %s g (up to %s %% off). Make a stock %s times as strong: weigh %s g and make up to %s mL; then take %s mL of it and make up to %s mL.",
		num(grams), num(step), num(e), num(times), num(math.Round(grams*times/step)*step), num(volume), num(volume/times), num(volume))
}

// pour adds an amount of liquid and what the cylinder makes of it.
func (r *Result) pour(name, says string, ml float64, a Args, c Class) {
	step := a.In("cylinder", Volume, "mL")
	r.value(name, says, of(ml, Volume, "mL"), c)
	if ml <= 0 || step <= 0 {
		return
	}
	rounded, e := RoundTo(ml, step)
	if rounded > 0 {
		r.value(name+"_poured", says+", as the cylinder shows it", of(rounded, Volume, "mL"), c)
	}
	r.value(name+"_error", "error at worst from the cylinder", of(e, Fraction, "%"), Arithmetic)
	r.line("arithmetic", "round(V/step)·step; error = (|rounded - V| + step/2)/V", of(rounded, Volume, "mL"),
		fmt.Sprintf("to the cylinder's %s mL: up to %s %% off", num(step), num(e)), "round(%s/%s)·%s", num(ml), num(step), num(step))
	if e > coarse {
		r.caution("%s mL is too little for a cylinder that shows %s mL (up to %s %% off): use a graduated pipette, or dilute the stock 1:9 and take ten times as much.", num(ml), num(step), num(e))
	}
}

const dataSheet = "Follow the supplier's safety data sheet and the local safety rules; label what is made with name, strength and date."
