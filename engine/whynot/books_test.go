package whynot

import (
	"path/filepath"
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

// shipped judges the example books by the shipped pack, for the last day each mentions.
func shipped(t testing.TB, names string) map[string]*judge.Judgement {
	t.Helper()
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.Trim(layer)}, faults, dose.Functions()...)
	paths, _ := filepath.Glob("../../testdata/books/" + names)
	books := map[string]*judge.Judgement{}
	for _, path := range paths {
		b := record.Load(path, nil, record.WordsOf(p), time.Time{}, faults)
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		books[filepath.Base(path)] = judged(t, evidence.Gather(p, b, time.Time{}))
	}
	if len(books) == 0 {
		t.Fatal("no example books")
	}
	return books
}

// TestShippedBooks: W1 and W5 on every ruled-out verdict of the example books: each set turns it when the book is judged
// anew with its answers, and what holds it where it is hits the sets, both ways.
func TestShippedBooks(t *testing.T) {
	ruled, turned, nothing, unfinished, dual := 0, 0, 0, 0, 0
	for name, g := range shipped(t, "*.yaml") {
		for _, v := range g.Verdicts {
			if v.Word != judge.RuledOut {
				continue
			}
			ruled++
			r, err := Find(g, v, judge.Clear)
			if err != nil {
				t.Fatal(err)
			}
			where := name + ": " + v.Treatment.ID + " on " + v.Target.Path
			switch r.Outcome {
			case Turns:
				turned++
				for i, s := range r.Sets[:min(3, len(r.Sets))] {
					if !turns(t, g, v, s) {
						t.Errorf("%s: set %d, %v, does not turn it", where, i, s.Numbers())
					}
				}
			case Nothing:
				nothing++
			}
			if r.Tried >= 0 {
				unfinished++
			}
			holds, done, err := Holds(g, v, judge.Clear)
			if err != nil {
				t.Fatal(err)
			}
			if done && r.Tried < 0 && r.Count == len(r.Sets) && len(r.Sets) <= 300 {
				dual++
				checkDuality(t, where, r, holds)
			}
		}
	}
	t.Logf("%d ruled out: %d would turn, for %d nothing would do, %d searches unfinished; duality held for %d", ruled, turned, nothing, unfinished, dual)
	if dual*100 < ruled*95 {
		t.Errorf("duality was checked for %d of %d only", dual, ruled)
	}
}

// turns judges the book anew with the answers of a set.
func turns(t *testing.T, g *judge.Judgement, v *judge.Verdict, s Set) bool {
	t.Helper()
	b := *g.Case.Book
	b.Results = nil
	for _, r := range g.Case.Book.Results {
		kept := true
		for _, c := range s.Changes {
			kept = kept && (r.Question != c.Ask.Question || r.Thing != c.Ask.Thing.Record)
		}
		if kept {
			b.Results = append(b.Results, r)
		}
	}
	for _, c := range s.Changes {
		b.Results = append(b.Results, record.Result{Question: c.Ask.Question, Thing: c.Ask.Thing.Record, Answer: c.To, Date: g.Case.On.AddDate(1, 0, 0)})
	}
	w := judged(t, evidence.Gather(g.Case.Pack, &b, g.Case.On)).Of(v.Treatment.ID, v.Target.Path)
	return w != nil && is(w.Word, judge.Clear)
}

// BenchmarkWhyNot finds what would turn each verdict of the largest example; ns/op is for one verdict.
func BenchmarkWhyNot(b *testing.B) {
	g := shipped(b, "harbour-almanac.yaml")["harbour-almanac.yaml"]
	var longest time.Duration
	n := 0
	for b.Loop() {
		v := g.Verdicts[n%len(g.Verdicts)]
		n++
		start := time.Now()
		if _, err := Find(g, v, To(v)); err != nil {
			b.Fatal(err)
		}
		longest = max(longest, time.Since(start))
	}
	b.ReportMetric(float64(longest.Milliseconds()), "ms/longest")
	b.ReportMetric(float64(len(g.Verdicts)), "verdicts")
}
