package drift

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestSearch: over random functions of sets, monotone or not, the search finds what going through all sets finds; given up,
// it gives either sets that are right or one from which no single item can be left out.
func TestSearch(t *testing.T) {
	gaveUp := 0
	for seed := range 400 {
		rnd := rand.New(rand.NewPCG(uint64(seed), 61))
		n := 1 + rnd.IntN(7)
		holds := make([]bool, 1<<n)
		for s := range holds {
			holds[s] = s == len(holds)-1 || s > 0 && rnd.IntN(6) == 0
		}
		is := func(set []int) bool {
			s := 0
			for _, i := range set {
				s |= 1 << i
			}
			return holds[s]
		}
		try := func(set []int) (bool, error) { return is(set), nil }
		want := minimal(indices(n), is)
		if got, tried := (&search{holds: try, left: 1 << n}).smallest(indices(n)); tried != -1 || fmt.Sprint(bySize(got)) != fmt.Sprint(want) {
			t.Fatalf("seed %d: got %v tried up to %d, want %v", seed, got, tried, want)
		}
		got, tried := (&search{holds: try, left: 1 + rnd.IntN(n+2)}).smallest(indices(n))
		if tried >= 0 {
			gaveUp++
		}
		for _, set := range got {
			for i := range set {
				if fewer := slices.Delete(slices.Clone(set), i, i+1); len(fewer) > 0 && is(fewer) {
					t.Fatalf("seed %d: %v can do without %d", seed, set, set[i])
				}
			}
			if !is(set) {
				t.Fatalf("seed %d: %v makes no difference", seed, set)
			}
		}
		if len(got) == 0 {
			t.Fatalf("seed %d: nothing found", seed)
		}
	}
	if gaveUp < 100 {
		t.Errorf("it gave up %d times only: giving up was hardly tried", gaveUp)
	}
}
