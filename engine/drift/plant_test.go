package drift

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"tideline/engine/worlds"
)

// TestPlanted: changes planted among others are found exactly, 400 of each cause (D1); no cause is named that can be left
// out (D2).
func TestPlanted(t *testing.T) {
	times := 400
	if testing.Short() {
		times = 40
	}
	for _, cause := range worlds.Causes {
		t.Run(string(cause), func(t *testing.T) {
			t.Parallel()
			noise := 0
			for seed := range times {
				p := worlds.Plant(t, rand.New(rand.NewPCG(uint64(seed), 47)), cause)
				r, err := Between(Side{Pack: p.Packs[0], Book: p.Books[0]}, Side{Pack: p.Packs[1], Book: p.Books[1]}, Options{})
				if err != nil {
					t.Fatal(err)
				}
				noise += len(r.Items) - len(p.Changes)
				if got, want := Told(r, p.Treatment, p.Path), wanted(p); got != want {
					t.Fatalf("seed %d: told\n%s\nplanted\n%s\n%s", seed, got, want, p.Text)
				}
			}
			if noise < times/2 {
				t.Errorf("only %d changes besides those planted: nothing to tell them from", noise)
			}
		})
	}
}

// wanted writes what must be told of what was planted.
func wanted(p *worlds.Planted) string {
	both := slices.Clone(p.Changes)
	slices.Sort(both)
	apart := [][]string{}
	for _, c := range both {
		apart = append(apart, []string{c})
	}
	switch p.Cause {
	case worlds.Single:
		return fmt.Sprint(One, apart, apart)
	case worlds.Joint:
		return fmt.Sprint(Together, [][]string{both}, apart)
	case worlds.EitherOne:
		return fmt.Sprint(Either, apart, [][]string{both})
	}
	return fmt.Sprint(Returned) + fmt.Sprint([][]string{p.Changes[:1]}, [][]string{p.Changes[1:]})
}
