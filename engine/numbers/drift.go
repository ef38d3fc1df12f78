package numbers

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"tideline/engine/drift"
	"tideline/engine/worlds"
)

// drift measures whether changes planted between two sides are named as what made the difference.
func (m *measure) drift() error {
	made, found := 0, 0
	for _, cause := range worlds.Causes {
		for seed := range min(4*m.Worlds, 400) {
			p := worlds.Plant(host{}, rand.New(rand.NewPCG(uint64(seed), 53)), cause)
			r, err := drift.Between(drift.Side{Pack: p.Packs[0], Book: p.Books[0]}, drift.Side{Pack: p.Packs[1], Book: p.Books[1]}, drift.Options{})
			if err != nil {
				return err
			}
			made++
			if drift.Told(r, p.Treatment, p.Path) == planted(p) {
				found++
			}
		}
	}
	m.row("drift", "single, joint, either and cancelling changes planted among others in worlds; the exact cause is named", "100 %", is(found == made), "%d of %d", found, made)
	return nil
}

// planted writes what drift must tell of what was planted, in the form of drift.Told.
func planted(p *worlds.Planted) string {
	both := slices.Sorted(slices.Values(p.Changes))
	apart := [][]string{}
	for _, c := range both {
		apart = append(apart, []string{c})
	}
	switch p.Cause {
	case worlds.Single:
		return fmt.Sprint(drift.One, apart, apart)
	case worlds.Joint:
		return fmt.Sprint(drift.Together, [][]string{both}, apart)
	case worlds.EitherOne:
		return fmt.Sprint(drift.Either, apart, [][]string{both})
	}
	return string(drift.Returned) + fmt.Sprint([][]string{p.Changes[:1]}, [][]string{p.Changes[1:]})
}
