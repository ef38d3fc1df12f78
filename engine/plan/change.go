package plan

import (
	"slices"

	"tideline/engine/drift"
	"tideline/engine/judge"
)

// Change is how a plan differs from an earlier one.
type Change struct {
	Dropped, Added, Moved []*Moved
	Kept                  int
	Report                *drift.Report // what made verdicts others
}

// Moved is a step of one plan and not of the other, or in another place, with what made it so.
type Moved struct {
	Key
	Was, Is int // places, from 1; 0 for none
	Done    bool
	// Finding tells which edits of the record made its verdict another; nil when the verdict is the same, and the step came or
	// went with others.
	Finding *drift.Finding
	Verdict *judge.Verdict // of the book as it is now; nil when it is no candidate any more
}

// Compare tells what changed since an earlier plan of the same book, and which answer changed it.
func Compare(before, now *Plan) (*Change, error) {
	report, err := drift.Compare(before.Judgement, now.Judgement, drift.Options{})
	if err != nil {
		return nil, err
	}
	c := &Change{Report: report}
	tell := func(k Key, was, is int) *Moved {
		m := &Moved{Key: k, Was: was + 1, Is: is + 1, Verdict: now.Judgement.Of(k.Treatment, k.Path)}
		for i := range report.Findings {
			if f := &report.Findings[i]; f.Treatment == k.Treatment && f.Path == k.Path {
				m.Finding = f
			}
		}
		if t := now.Judgement.Case.At(k.Path); t != nil && t.Record != nil {
			m.Done = now.Judgement.Case.Done(k.Treatment, t) != nil
		}
		return m
	}
	old, new := before.keys(), now.keys()
	for i, k := range old {
		if !slices.Contains(new, k) {
			c.Dropped = append(c.Dropped, tell(k, i, -1))
		}
	}
	both := slices.DeleteFunc(slices.Clone(old), func(k Key) bool { return !slices.Contains(new, k) })
	stay := inOrder(both, new)
	for i, k := range new {
		switch at := slices.Index(old, k); {
		case at < 0:
			c.Added = append(c.Added, tell(k, -1, i))
		case !slices.Contains(stay, k):
			c.Moved = append(c.Moved, tell(k, at, i))
		default:
			c.Kept++
		}
	}
	return c, nil
}

// inOrder gives a longest list of keys that stand in the same order in both lists.
func inOrder(a, b []Key) []Key {
	best := make([][]int, len(a)+1)
	for i := range best {
		best[i] = make([]int, len(b)+1)
	}
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			if best[i][j] = max(best[i+1][j], best[i][j+1]); a[i] == b[j] {
				best[i][j] = best[i+1][j+1] + 1
			}
		}
	}
	var list []Key
	for i, j := 0, 0; i < len(a) && j < len(b); {
		switch {
		case a[i] == b[j]:
			list = append(list, a[i])
			i, j = i+1, j+1
		case best[i+1][j] >= best[i][j+1]:
			i++
		default:
			j++
		}
	}
	return list
}
