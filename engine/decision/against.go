package decision

import (
	"slices"

	"tideline/engine/seal/edition1"
)

// Difference is how what is to be done differs from the plan. It is found by comparing, whatever the person wrote.
type Difference struct {
	Left  []Place // steps of the plan that are not to be done
	Added []Place // steps that are to be done and that the plan has not
}

// Place is a step: a treatment, and what it is done to.
type Place struct{ Step, On string }

// None tells whether what is to be done is the plan.
func (d Difference) None() bool { return len(d.Left)+len(d.Added) == 0 }

// Against compares a sealed decision with the sealed plan.
func Against(p *edition1.Plan, d *edition1.Decision) (w Difference) {
	if p == nil || d == nil {
		return w
	}
	var plan, doing []Place
	for _, s := range p.Steps {
		for _, on := range s.Targets {
			plan = append(plan, Place{s.Treatment, on})
		}
	}
	for _, a := range d.Accepted {
		doing = append(doing, Place{a.Step, a.On})
	}
	for _, x := range d.Departures {
		if at := (Place{x.Step, x.On}); x.Step != "" && x.Did != "" && !slices.Contains(doing, at) {
			doing = append(doing, at)
		}
	}
	for _, s := range plan {
		if !slices.Contains(doing, s) {
			w.Left = append(w.Left, s)
		}
	}
	for _, s := range doing {
		if !slices.Contains(plan, s) {
			w.Added = append(w.Added, s)
		}
	}
	return w
}
