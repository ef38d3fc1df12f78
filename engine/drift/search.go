package drift

import "slices"

// search finds smallest sets of items.
type search struct {
	// holds tells whether a set makes the difference. It holds of all items together, and not of none.
	holds func(set []int) (bool, error)
	left  int // sets that may still be tried before it gives up
	err   error
}

// smallest gives every set of which holds is true and of no proper part is, the smaller first. tried is up to which size all
// sets were tried, -1 when that was to the end. Where it gives up with nothing found, it gives one set from which no
// single item can be left out.
func (s *search) smallest(of []int) (sets [][]int, tried int) {
	for size := 1; size <= len(of); size++ {
		s.choose(of, size, nil, &sets)
		if s.err != nil {
			return nil, 0
		}
		if s.left <= 0 && size < len(of) {
			if len(sets) == 0 {
				sets = [][]int{s.reduce(of)}
			}
			return sets, size - 1
		}
	}
	return sets, -1
}

// choose tries every way to add size items of a list to a set.
func (s *search) choose(of []int, size int, set []int, found *[][]int) {
	if s.err != nil || s.left <= 0 || holdsAll(*found, set) {
		return
	}
	if size == 0 {
		s.left--
		if s.try(set) {
			*found = append(*found, slices.Clone(set))
		}
		return
	}
	for i := 0; i+size <= len(of); i++ {
		s.choose(of[i+1:], size-1, append(slices.Clip(set), of[i]), found)
	}
}

// holdsAll tells whether a set holds all of a set found before.
func holdsAll(found [][]int, set []int) bool {
	return slices.ContainsFunc(found, func(f []int) bool {
		return !slices.ContainsFunc(f, func(i int) bool { return !slices.Contains(set, i) })
	})
}

func (s *search) try(set []int) bool {
	if s.err != nil {
		return false
	}
	ok, err := s.holds(set)
	s.err = err
	return ok
}

// reduce leaves items out for as long as the rest makes the difference: halves first, then smaller lots, then single ones
// until none can be left out.
func (s *search) reduce(of []int) []int {
	set := slices.Clone(of)
	for lot := max(1, len(set)/2); ; lot = max(1, lot/2) {
		before := len(set)
		for i := 0; i < len(set); {
			fewer := slices.Delete(slices.Clone(set), i, min(i+lot, len(set)))
			if len(fewer) > 0 && s.try(fewer) {
				set = fewer
			} else {
				i += lot
			}
		}
		if s.err != nil || lot == 1 && len(set) == before {
			return set
		}
	}
}
