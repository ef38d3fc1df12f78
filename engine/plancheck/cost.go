package plancheck

import (
	"math"
	"slices"

	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/rules/vocab"
)

// costs adds up what the plan costs, and compares.
func (c *checker) costs() {
	var want plan.Cost
	for _, m := range c.all {
		if c.dealt(m, c.states, c.keys) == nothing {
			want.Undone++
		}
	}
	want.Lessened = c.lessened()
	for _, b := range c.p.Brought {
		if b.Met == nil {
			want.Unmet++
		}
	}
	for i, k := range c.keys {
		want.Steps++
		if t := c.pack.Treatment(k.Treatment); t != nil {
			want.Classes[5-t.Intervention]++
			want.Active += t.Active
			want.Waiting += t.Waiting
		}
		if v := c.seen[i].v; v != nil {
			want.Support += int64(math.Round(v.Least * 1e6))
		}
	}
	got := c.p.Cost
	for _, part := range []struct {
		name      string
		got, want int64
	}{
		{"undone", int64(got.Undone), int64(want.Undone)},
		{"unmet", int64(got.Unmet), int64(want.Unmet)},
		{"lessened", int64(got.Lessened), int64(want.Lessened)},
		{"intervention 5", int64(got.Classes[0]), int64(want.Classes[0])},
		{"intervention 4", int64(got.Classes[1]), int64(want.Classes[1])},
		{"intervention 3", int64(got.Classes[2]), int64(want.Classes[2])},
		{"intervention 2", int64(got.Classes[3]), int64(want.Classes[3])},
		{"intervention 1", int64(got.Classes[4]), int64(want.Classes[4])},
		{"steps", int64(got.Steps), int64(want.Steps)},
		{"support", got.Support, want.Support},
		{"minutes at the bench", int64(got.Active), int64(want.Active)},
		{"minutes of waiting", int64(got.Waiting), int64(want.Waiting)},
	} {
		if part.got != part.want {
			c.fault(Whole, Fault{Kind: CostsDiffer, Cost: part.name, Got: part.got, Want: part.want})
		}
	}
}

// lessened counts the findings that are only lessened and could be cleared. Which could is for the planner's search to say: at
// least those that surely could, at most those that it lists; within these bounds what it counts is taken.
func (c *checker) lessened() int {
	least, most := 0, 0
	for _, m := range c.all {
		if surely, _ := c.clearable(m); surely && c.dealt(m, c.states, c.keys) == lessens {
			least++
		}
	}
	for _, l := range c.p.Left { // that each is rightly listed is asked by itself
		if l.Lessened {
			most++
		}
	}
	return max(least, min(most, c.p.Cost.Lessened))
}

// clearable tells whether a finding that is only lessened could be cleared: surely, by a treatment recommended as things stand;
// or perhaps, by one that is considered for it and could become a step in the course of a plan.
func (c *checker) clearable(m *subject) (surely, perhaps bool) {
	if m.thing.Kind != vocab.Finding {
		return false, false
	}
	s := start(c.g)
	for _, v := range c.g.Verdicts {
		if slices.Contains(s.findings(v.Target.Record, v.Treatment.Clears), m.thing) {
			perhaps = true
			surely = surely || v.Word == judge.Recommended
		}
	}
	return surely, perhaps
}
