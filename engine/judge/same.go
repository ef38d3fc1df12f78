package judge

import "slices"

// sameOutlook tells whether two outlooks of one judgement say the same of the verdicts at the places.
func sameOutlook(a, b *Outlook, places []int) bool {
	if !slices.EqualFunc(a.never, b.never, same) {
		return false
	}
	for _, i := range places {
		if !sameView(a.views[i], b.views[i]) {
			return false
		}
	}
	return true
}

func sameView(a, b *view) bool {
	if a == b {
		return true
	}
	sameTerm := func(x, y term) bool { return x.weight == y.weight && same(x.f, y.f) }
	sameStep := func(x, y wanted) bool { return same(x.when, y.when) && slices.Equal(x.places, y.places) }
	return round(a.base-b.base) == 0 && same(a.ban, b.ban) && same(a.called, b.called) && same(a.serving, b.serving) &&
		slices.EqualFunc(a.terms, b.terms, sameTerm) && slices.EqualFunc(a.steps, b.steps, sameStep)
}

// same tells whether two formulas are written alike.
func same(a, b *formula) bool {
	switch {
	case a == b:
		return true
	case a.op != b.op || a.value != b.value || a.count != b.count || (a.leaf == nil) != (b.leaf == nil):
		return false
	case a.leaf != nil && (!slices.Equal(a.leaf.asks, b.leaf.asks) || !slices.Equal(a.leaf.values, b.leaf.values) || !slices.Equal(a.leaf.refused, b.leaf.refused)):
		return false
	}
	return slices.EqualFunc(a.kids, b.kids, same)
}
