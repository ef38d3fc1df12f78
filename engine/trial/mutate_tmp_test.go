package trial_test

import (
	"fmt"
	"testing"
	"time"

	"tideline/engine/trial"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
)

func TestTmpMutate(t *testing.T) {
	layer, _ := packs.Shipped()
	p := pack.Load([]pack.Layer{layer}, &fault.List{})
	start := time.Now()
	r := trial.Run(p)
	fmt.Println("run", time.Since(start), r.Trials, len(r.Failures), len(r.Faults))
	start = time.Now()
	s := trial.Mutate(p, nil)
	fmt.Println("mutate", time.Since(start), s.All, s.All.Share(), s.Safety, s.Safety.Share(), s.Left)
	by := map[string]map[trial.Fate]int{}
	for _, m := range s.Mutants {
		k := string(m.Change)
		if m.Safety {
			k += " (safety)"
		}
		if by[k] == nil {
			by[k] = map[trial.Fate]int{}
		}
		by[k][m.Fate]++
	}
	for k, v := range by {
		fmt.Println(k, v)
	}
	for _, m := range s.Mutants {
		fmt.Printf("%v|%s|%s|%s|%q|%q|%v|%s\n", m.Place, m.Fate, m.Change, m.Of, m.Was, m.Is, m.Safety, m.By)
	}
}
