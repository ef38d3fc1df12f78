package plan

import (
	"context"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/fault"
)

// example judges an example book by the shipped pack.
func example(t testing.TB, name string) *judge.Judgement {
	t.Helper()
	p, faults := shipped(t), &fault.List{}
	b := record.Load("../../testdata/books/"+name+".yaml", nil, record.WordsOf(p), time.Time{}, faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// BenchmarkPlan plans the largest example book, the one that is hardest to plan, and one that is barely tested.
func BenchmarkPlan(b *testing.B) {
	for _, name := range []string{"harbour-almanac", "cellar-door-chronicle", "parcel-from-the-attic"} {
		b.Run(name, func(b *testing.B) {
			g := example(b, name)
			for b.Loop() {
				p, err := Make(context.Background(), g, Options{})
				if err != nil || !p.Proven {
					b.Fatal(err)
				}
			}
		})
	}
}
