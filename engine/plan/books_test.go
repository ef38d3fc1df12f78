package plan

import (
	"context"
	"errors"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"tideline/engine/dose"
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
)

func shipped(t testing.TB) *pack.Pack {
	t.Helper()
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.Trim(layer)}, faults, dose.Functions()...)
	if faults.Len() > 0 {
		t.Fatal(faults.Err())
	}
	return p
}

// example judges an example book by the shipped pack.
func example(t testing.TB, p *pack.Pack, path string) *judge.Judgement {
	t.Helper()
	faults := &fault.List{}
	b := record.Load(path, nil, record.WordsOf(p), time.Time{}, faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// TestBooks: the plan of every example book is proven the best, and holds together step by step when each is written into the
// record as done and the whole book judged anew.
func TestBooks(t *testing.T) {
	p := shipped(t)
	paths, _ := filepath.Glob("../../testdata/books/*.yaml")
	if len(paths) == 0 {
		t.Fatal("no books")
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".yaml"), func(t *testing.T) {
			g := example(t, p, path)
			plan, err := made(g, Options{Next: 2})
			if err != nil {
				t.Fatal(err)
			}
			for i, s := range plan.Steps {
				t.Log(i+1, s.Treatment.ID, s.Path, s.Verdict.Word, len(s.Retests))
			}
			if !plan.Proven {
				t.Error("not proven")
			}
			if cost, at, ok := newOracle(t, g).replay(plan.keys()); !ok || cost != plan.Cost {
				t.Errorf("breaks at step %d, or costs %+v, not %+v", at+1, cost, plan.Cost)
			}
			for _, a := range append(plan.Next, plan.Ties...) {
				if a.Cost.Compare(plan.Cost) < 0 || len(a.With)+len(a.Without) == 0 {
					t.Errorf("no alternative: %+v", a)
				}
			}
		})
	}
}

// TestRefused: steps asked for that cannot be had are told, with the reason.
func TestRefused(t *testing.T) {
	p := shipped(t)
	g := example(t, p, "../../testdata/books/harbour-almanac.yaml")
	bath, brush := Key{"immersion-bath", "cover"}, Key{"dry-brush", "cover/outside"}
	for _, c := range []struct {
		name   string
		o      Options
		reason Reason
		keys   []Key
	}{
		{"no such treatment", Options{With: []Key{{"polish", "cover"}}}, NoCandidate, []Key{{"polish", "cover"}}},
		{"no such thing", Options{With: []Key{{"immersion-bath", "lid"}}}, NoCandidate, []Key{{"immersion-bath", "lid"}}},
		{"both ways", Options{With: []Key{brush}, Without: []Key{brush}}, BothWays, []Key{brush}},
		{"ruled out", Options{With: []Key{brush, bath}}, NeverTogether, []Key{brush, bath}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Make(context.Background(), g, c.o)
			var r *Refusal
			if !errors.As(err, &r) || r.Reason != c.reason || !slices.Equal(r.Keys, c.keys) {
				t.Errorf("got %v", err)
			}
		})
	}
	if p, err := made(g, Options{Without: []Key{{"polish", "cover"}}}); err != nil || len(p.Steps) == 0 {
		t.Error("a step not wanted that could not be had anyway:", err)
	}
}
