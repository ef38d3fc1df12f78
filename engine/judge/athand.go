package judge

import (
	"slices"

	"tideline/rules/cond"
	"tideline/rules/pack"
)

// AtHand gives what must be at hand when a treatment is done: the dangers to people, then the cautions that hold or may, and
// the stop signs. Each text stands once.
func (v *Verdict) AtHand() (cautions, stopSigns []string) {
	add := func(list []string, text string) []string {
		if text == "" || slices.Contains(list, text) {
			return list
		}
		return append(list, text)
	}
	for _, h := range v.Treatment.Hazards {
		cautions = add(cautions, h.Danger)
	}
	for _, hazard := range []bool{true, false} {
		for _, i := range v.Instances {
			if i.Rule.Effect == pack.Caution && i.Rule.Hazard == hazard && i.Value != cond.False {
				cautions = add(cautions, i.Rule.Say)
			}
		}
	}
	for _, sign := range v.Treatment.StopSigns {
		stopSigns = add(stopSigns, sign)
	}
	return cautions, stopSigns
}
