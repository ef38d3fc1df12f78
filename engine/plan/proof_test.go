package plan

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"tideline/engine/judge"
	"tideline/engine/worlds"
)

// howMany is on how many random packs the planner is tried, with six books each; TIDELINE_WORLDS asks for more.
func howMany() int {
	if n, err := strconv.Atoi(os.Getenv("TIDELINE_WORLDS")); err == nil {
		return n
	}
	return 60
}

// trial is a random book with all its plans.
type trial struct {
	rnd *rand.Rand
	g   *judge.Judgement
	o   *oracle
	all []*found // without idle steps, the best first
	tally
}

// tally counts what came up.
type tally map[string]int

// TestByDefinition tries the planner on random books all whose plans are known.
func TestByDefinition(t *testing.T) {
	count, large := tally{}, 0
	for seed := range howMany() {
		rnd := rand.New(rand.NewPCG(uint64(seed), 11))
		w := worlds.Repair(t, rnd, 2+seed%7)
		for n := range 6 {
			g, most := judged(t, w, w.Damaged(t, 1+n%3)), most
			if seed%10 == 9 {
				g, most = busy(t, w), 10*most
			}
			if len(g.Contradictions) > 0 {
				if p, err := made(g, Options{}); err != nil || len(p.Steps) > 0 {
					t.Fatalf("seed %d, book %d: planned for answers that cannot all be true: %v, %v", seed, n, p, err)
				}
				continue
			}
			o := consult(t, g, most)
			if o == nil {
				large++
				continue
			}
			tr := &trial{rnd, g, o, o.ranked(), count}
			for name, property := range map[string]func() error{
				"best": tr.best, "next": tr.next, "ties": tr.ties, "must": tr.must, "wishes": tr.wishes, "earlier": tr.earlier, "stopped": tr.stopped,
			} {
				if err := property(); err != nil {
					t.Fatalf("seed %d, book %d, %s: %v\n%s", seed, n, name, err, w.YAML)
				}
			}
		}
	}
	t.Log(count, "with too many plans to go through:", large)
	if large > 3*howMany() {
		t.Errorf("%d of %d books have too many plans to go through", large, 6*howMany())
	}
	for _, what := range []string{
		"0 steps", "1 steps", "2 steps", "3 steps", "4 steps", "5 steps", "6 steps", "tests done again", "steps that others open", "steps that meet",
		"steps needed", "findings accepted", "subjects lessened", "orders not by name", "next best", "ties", "steps that must be", "steps that need not be",
		"wishes met", "wishes refused", "stopped with steps", "bounds above nothing",
	} {
		if count[what] == 0 {
			t.Errorf("no plan with %s came up", what)
		}
	}
}

// busy judges the one of several books for which the most is recommended, but no more than can be gone through.
func busy(t *testing.T, w *worlds.World) (busiest *judge.Judgement) {
	most := -1
	for range 10 {
		g, n := judged(t, w, w.Damaged(t, 4)), 0
		for _, v := range g.Verdicts {
			if v.Word == judge.Recommended {
				n++
			}
		}
		if n > most && n < 8 || busiest == nil {
			busiest, most = g, n
		}
	}
	return busiest
}

func made(g *judge.Judgement, o Options) (*Plan, error) { return Make(context.Background(), g, o) }

// holds tells whether a plan is valid in its order, and costs what it says.
func (tr *trial) holds(p *Plan) error {
	if cost, at, ok := tr.o.replay(p.keys()); !ok || cost != p.Cost {
		return fmt.Errorf("%v breaks at step %d, or costs %+v, not %+v", p.keys(), at+1, cost, p.Cost)
	}
	return nil
}

// best: O1. The best plan costs what the best of all ordered subsets does.
func (tr *trial) best() error {
	p, err := made(tr.g, Options{})
	if err != nil {
		return err
	}
	if best := tr.all[0]; p.Cost != best.cost || p.Bound != best.cost || !p.Proven {
		return fmt.Errorf("got %+v %v, want %+v %v", p.Cost, p.keys(), best.cost, best.order)
	}
	tr.tally[fmt.Sprintf("%d steps", len(p.Steps))]++
	for _, s := range p.Steps {
		tr.tally["tests done again"] += len(s.Retests)
		tr.tally["steps that meet"] += min(1, len(s.Meets))
		tr.tally["steps needed"] += min(1, len(s.Needed))
		if v := tr.g.Of(s.Key.Treatment, s.Path); v == nil || !clear(v) {
			tr.tally["steps that others open"]++
		}
		if v := s.Verdict; v == nil || v.Word == judge.RuledOut || v.Word == judge.NoNeed {
			return fmt.Errorf("%v is told as %v", s.Key, v)
		}
	}
	tr.tally["findings accepted"] += p.Cost.Unmet
	tr.tally["subjects lessened"] += p.Cost.Lessened
	if !slices.IsSortedFunc(p.keys(), Key.Compare) {
		tr.tally["orders not by name"]++
	}
	return tr.holds(p)
}

// next: O3. The next best plans are the next among all without idle steps.
func (tr *trial) next() error {
	p, err := made(tr.g, Options{Next: 3})
	if err != nil {
		return err
	}
	if len(p.Next) < min(3, len(tr.all)-1) {
		return fmt.Errorf("%d of %d", len(p.Next), len(tr.all)-1)
	}
	seen := map[string]bool{named(p.keys()): true}
	for i, a := range p.Next {
		name := named(changed(p.keys(), a))
		f := tr.o.plans[name]
		if i+1 >= len(tr.all) || a.Cost != tr.all[i+1].cost || f == nil || f.cost != a.Cost || tr.o.idle(f) || seen[name] {
			return fmt.Errorf("number %d is none: %+v", i+2, a)
		}
		seen[name] = true
	}
	tr.tally["next best"] += len(p.Next)
	return nil
}

// ties: O4. The ties make of the plan all those that cost the same.
func (tr *trial) ties() error {
	p, err := made(tr.g, Options{})
	if err != nil {
		return err
	}
	all := map[string][]Key{named(p.keys()): p.keys()}
	for grown := 0; grown != len(all); {
		grown = len(all)
		for _, a := range p.Ties {
			for _, keys := range all {
				if len(less(a.Without, keys)) == 0 && len(less(a.With, keys)) == len(a.With) {
					more := changed(keys, a)
					all[named(more)] = more
				}
			}
		}
	}
	for _, f := range tr.all {
		if _, told := all[named(f.set)]; !told && f.cost == p.Cost {
			return fmt.Errorf("%v is as good as %v and not told", f.set, p.keys())
		}
		if f.cost == p.Cost {
			delete(all, named(f.set))
		}
	}
	for _, keys := range all {
		return fmt.Errorf("%v is not as good", keys)
	}
	tr.tally["ties"] += len(p.Ties)
	return nil
}

func named(keys []Key) string { return fmt.Sprint(slices.SortedFunc(slices.Values(keys), Key.Compare)) }

// changed makes a change to a plan.
func changed(keys []Key, a *Alternative) []Key { return append(less(keys, a.Without), a.With...) }

// must: L0. A step is marked when no valid plan without it leaves as little undone.
func (tr *trial) must() error {
	p, err := made(tr.g, Options{Must: true})
	if err != nil {
		return err
	}
	for _, s := range p.Steps {
		must := true
		for _, f := range tr.o.plans {
			must = must && (slices.Contains(f.set, s.Key) || f.cost.Undone > p.Cost.Undone)
		}
		if s.Must != must {
			return fmt.Errorf("%v is marked %v", s.Key, s.Must)
		}
		tr.tally[map[bool]string{true: "steps that must be", false: "steps that need not be"}[must]]++
	}
	return nil
}

// wishes: with steps asked for and others not wanted the plan is the best of those that are so; where there is none, that is said.
func (tr *trial) wishes() error {
	var o Options
	for _, v := range tr.g.Verdicts {
		switch k := (Key{v.Treatment.ID, v.Target.Path}); {
		case v.Treatment.DoesNothing:
		case tr.rnd.IntN(6) == 0:
			o.With = append(o.With, k)
		case tr.rnd.IntN(6) == 0:
			o.Without = append(o.Without, k)
		}
	}
	var best *found
	for _, f := range tr.o.plans {
		if len(less(o.With, f.set)) == 0 && len(less(o.Without, f.set)) == len(o.Without) && (best == nil || f.cost.Compare(best.cost) < 0) {
			best = f
		}
	}
	p, err := made(tr.g, o)
	var refused *Refusal
	switch {
	case errors.As(err, &refused):
		if best != nil || refused.Reason != NeverTogether {
			return fmt.Errorf("%v is refused: %v; there is %v", o, err, best.order)
		}
		tr.tally["wishes refused"]++
		return nil
	case err != nil:
		return err
	case best == nil || p.Cost != best.cost:
		return fmt.Errorf("%v: got %+v %v, want %v", o, p.Cost, p.keys(), best)
	}
	tr.tally["wishes met"]++
	return tr.holds(p)
}

// earlier: with a plan as good given as the earlier one, that plan is kept, and its order.
func (tr *trial) earlier() error {
	for _, f := range tr.all {
		if f.cost != tr.all[0].cost {
			break
		}
		p, err := made(tr.g, Options{Earlier: f.order})
		if err != nil {
			return err
		}
		if named(p.keys()) != named(f.set) {
			return fmt.Errorf("%v becomes %v", f.order, p.keys())
		}
		again, err := made(tr.g, Options{Earlier: p.keys()})
		if err != nil {
			return err
		}
		if !slices.Equal(again.keys(), p.keys()) {
			return fmt.Errorf("%v becomes %v", p.keys(), again.keys())
		}
	}
	return nil
}

// soon is a context that is done once it has been asked so often.
type soon struct {
	context.Context
	left int
}

func (s *soon) Done() <-chan struct{} {
	done := make(chan struct{})
	if s.left--; s.left < 0 {
		close(done)
	}
	return done
}

// stopped: whenever time runs out, the plan holds together, no plan costs less than the bound, and it is proven only if it is the best.
func (tr *trial) stopped() error {
	for _, left := range []int{0, 1, 2, 3, 5, 8, 13, 21, 34} {
		p, err := Make(&soon{context.Background(), left}, tr.g, Options{Next: 1})
		if err != nil {
			return err
		}
		best := tr.all[0].cost
		if p.Proven && p.Cost != best || p.Bound.Compare(best) > 0 {
			return fmt.Errorf("stopped after %d: %+v, bound %+v, proven %v; the best costs %+v", left, p.Cost, p.Bound, p.Proven, best)
		}
		if err := tr.holds(p); err != nil {
			return err
		}
		if p.Proven {
			break
		}
		tr.tally["stopped with steps"] += min(1, len(p.Steps))
		if p.Bound != (Cost{}) {
			tr.tally["bounds above nothing"]++
		}
	}
	return nil
}
