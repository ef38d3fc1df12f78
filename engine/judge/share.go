package judge

import (
	"slices"

	"tideline/rules/cond"
)

// Share is how likely a question is to turn out in one of its ways: the chances of its cells. Never statements only take
// away what cannot be; they do not shift the others.
func (o *Outlook) Share(number int, w Way, chance func(number, cell int) float64) float64 {
	sum := 0.0
	for _, cell := range w.Cells {
		sum += chance(number, cell)
	}
	return sum
}

// asksOf is a formula that only reads the questions tied to one.
func (o *Outlook) asksOf(number int) *formula {
	s := space{forbidden: o.never}
	one := &formula{op: cond.OpAnd, numbers: []int{number}}
	numbers := []int{}
	for _, f := range s.tied(one) {
		numbers = append(numbers, f.asks()...)
	}
	slices.Sort(numbers)
	return &formula{op: cond.OpAnd, numbers: slices.Compact(numbers)}
}

// Tied tells whether a never statement still open reads the question, so that its answers hang together with others.
func (o *Outlook) Tied(number int) bool {
	return slices.ContainsFunc(o.never, func(f *formula) bool { return f.readsAny([]int{number}) })
}
