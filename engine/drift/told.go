package drift

import (
	"fmt"
	"slices"
)

// Told writes what a report says of one verdict in short, the same for the same causes: its class, the sets that are enough
// and those that are needed; of what was moved and moved back, each move with what took it back. For tests and
// measurements; explain words a report for people.
func Told(r *Report, treatment, path string) string {
	i := slices.IndexFunc(r.Findings, func(f Finding) bool { return f.Key == Key{treatment, path} })
	if i < 0 {
		return "nothing"
	}
	f := r.Findings[i]
	if f.Class != Returned {
		return fmt.Sprint(f.Class, named(f.Enough), named(f.Needed))
	}
	s := string(f.Class)
	for _, back := range f.Returns {
		s += fmt.Sprint(named([]Set{back.Moved}), named(back.Back))
	}
	return s
}

// named names sets, each and all in alphabetical order.
func named(sets []Set) [][]string {
	list := [][]string{}
	for _, s := range sets {
		names := []string{}
		for _, i := range s {
			names = append(names, i.String())
		}
		slices.Sort(names)
		list = append(list, names)
	}
	slices.SortFunc(list, slices.Compare)
	return list
}
