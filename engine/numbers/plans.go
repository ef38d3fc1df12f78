package numbers

import (
	"context"
	"time"

	"tideline/engine/plan"
	"tideline/engine/plancheck"
)

// planFaults measures whether faults put into the plans of the books are noticed by the checker that shares nothing with the
// planner; and how many of the plans, as made, it finds nothing wrong with.
func (m *measure) planFaults() error {
	made, found, plans, clean := 0, 0, 0, 0
	for _, g := range m.judged {
		ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
		p, err := plan.Make(ctx, g, plan.Options{})
		cancel()
		if err != nil {
			return err
		}
		r, err := plancheck.Check(p)
		if err != nil {
			return err
		}
		if plans++; r.First() != nil {
			continue // a fault that is there already would be none planted
		}
		clean++
		list, err := plancheck.Corrupt(p, m.rnd, 5)
		if err != nil {
			return err
		}
		for _, k := range list {
			made, found = made+k.Made, found+k.Noticed
		}
	}
	m.row("plan faults found", "an order, a need, a test gone stale, what is brought, left or told wrong, and more, planted in the plans of the books",
		"100 %", is(found == made), "%d of %d", found, made)
	m.row("plans that hold together", "the plans of the books as made, by a checker that shares no code with the planner", "all", is(clean == plans), "%d of %d", clean, plans)
	return nil
}
