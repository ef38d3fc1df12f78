package plan

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"tideline/engine/judge"
	"tideline/engine/worlds"
)

// howMany is on how many random packs a property is tried, six books each; TIDELINE_WORLDS asks for more.
func howMany(few int) int {
	if n, err := strconv.Atoi(os.Getenv("TIDELINE_WORLDS")); err == nil {
		return n
	}
	return few
}

// repair tries a property on random worlds with all their plans; the seed of a failure is in the message.
func repair(t *testing.T, packs int, try func(g *judge.Judgement, o *oracle) error) {
	t.Helper()
	large := 0
	for seed := range packs {
		w := worlds.Repair(t, rand.New(rand.NewPCG(uint64(seed), 11)), 4+seed%5)
		for n := range 6 {
			b := w.Damaged(t)
			g := judged(t, w, b)
			if len(g.Contradictions) > 0 {
				if p, err := made(g, Options{}); err != nil || len(p.Steps) > 0 {
					t.Fatalf("seed %d, book %d: planned for answers that cannot all be true: %v, %v", seed, n, p, err)
				}
				continue
			}
			o := consult(t, g, tooMany)
			if o == nil {
				large++
				continue
			}
			if err := try(g, o); err != nil {
				t.Fatalf("seed %d, book %d: %v\n%s", seed, n, err, w.YAML)
			}
		}
	}
	if large > packs {
		t.Errorf("%d of %d books have too many plans to go through", large, 6*packs)
	}
}

func made(g *judge.Judgement, o Options) (*Plan, error) { return Make(context.Background(), g, o) }

// TestBestByDefinition: O1. The best plan costs what the best of all ordered subsets does, and is valid in the order it has. Every
// construct of the language comes up.
func TestBestByDefinition(t *testing.T) {
	sizes, retests, opened, met, needed, accepted, ordered := map[int]int{}, 0, 0, 0, 0, 0, 0
	repair(t, howMany(60), func(g *judge.Judgement, o *oracle) error {
		p, err := made(g, Options{})
		if err != nil {
			return err
		}
		best := o.ranked()[0]
		if p.Cost != best.cost || p.Bound != best.cost || !p.Proven {
			return fmt.Errorf("got %+v %v, want %+v %v", p.Cost, p.keys(), best.cost, best.order)
		}
		if cost, at, ok := o.replay(p.keys()); !ok || cost != p.Cost {
			return fmt.Errorf("%v breaks at %d, or costs %+v, not %+v", p.keys(), at, cost, p.Cost)
		}
		sizes[len(p.Steps)]++
		for _, s := range p.Steps {
			retests += len(s.Retests)
			met += len(s.Meets)
			needed += len(s.Needed)
			if v := g.Of(s.Key.Treatment, s.Path); v == nil || v.Word == judge.RuledOut || v.Word == judge.NoNeed {
				opened++
			}
		}
		accepted += p.Cost.Unmet
		if !slices.IsSortedFunc(p.keys(), Key.Compare) {
			ordered++
		}
		return nil
	})
	t.Log("sizes", sizes, "tests again", retests, "steps opened by others", opened, "met", met, "needed", needed, "accepted", accepted)
	for n := range 6 {
		if sizes[n] == 0 {
			t.Errorf("no best plan has %d steps", n)
		}
	}
	for what, n := range map[string]int{"a test done again": retests, "a step that others open": opened, "a finding met": met, "a step needed": needed, "a finding accepted": accepted, "an order": ordered} {
		if n == 0 {
			t.Errorf("no best plan has %s", what)
		}
	}
}

// TestNextByDefinition: O3 and O4. The next best plans are the next among all without idle steps, and the ties are all that cost
// the same as the best.
func TestNextByDefinition(t *testing.T) {
	nexts, ties := 0, 0
	repair(t, howMany(60), func(g *judge.Judgement, o *oracle) error {
		p, err := made(g, Options{Next: 3})
		if err != nil {
			return err
		}
		all := o.ranked()
		for i, a := range p.Next {
			if i+1 >= len(all) || a.Cost != all[i+1].cost {
				return fmt.Errorf("number %d is %+v", i+2, a)
			}
			f := o.plans[named(changed(p.keys(), a))]
			if f == nil || f.cost != a.Cost || o.idle(f) {
				return fmt.Errorf("number %d is no plan, or has an idle step: %+v", i+2, a)
			}
			nexts++
		}
		if len(p.Next) < min(3, len(all)-1) {
			return fmt.Errorf("%d next best plans of %d", len(p.Next), len(all)-1)
		}
		var best []string
		for _, f := range all {
			if f.cost == p.Cost {
				best = append(best, named(f.set))
			}
		}
		got := tied(p)
		slices.Sort(best)
		if !slices.Equal(got, best) {
			return fmt.Errorf("as good: %v, want %v", got, best)
		}
		ties += len(p.Ties)
		return nil
	})
	t.Log("next best plans", nexts, "ties", ties)
	if nexts == 0 || ties == 0 {
		t.Error("none came up")
	}
}

func named(keys []Key) string { return fmt.Sprint(slices.SortedFunc(slices.Values(keys), Key.Compare)) }

// changed makes a change to a plan.
func changed(keys []Key, a *Alternative) []Key { return append(less(keys, a.Without), a.With...) }

// tied gives the plan and all that its ties make of it: of changes to the same steps one at a time.
func tied(p *Plan) []string {
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
	var list []string
	for name := range all {
		list = append(list, name)
	}
	slices.Sort(list)
	return list
}
