package numbers

import (
	"testing"

	"tideline/engine/dose"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
)

// TestTargetsAreMet takes the figures over a few worlds: every target is met, and rows that cannot be measured yet say so.
func TestTargetsAreMet(t *testing.T) {
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	p := pack.Load([]pack.Layer{pack.Trim(layer)}, &fault.List{}, dose.Functions()...)
	rows, err := Take(Input{Pack: p, Worlds: 12})
	if err != nil {
		t.Fatal(err)
	}
	met := 0
	for _, r := range rows {
		switch r.Met {
		case "no":
			t.Errorf("%s: %s, should be %s", r.Name, r.Figure, r.Target)
		case "yes":
			met++
		}
	}
	if met < 10 {
		t.Errorf("only %d targets were looked at", met)
	}
}
