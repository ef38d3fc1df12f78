package ask

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

// shipped judges every example book by the shipped pack.
func shipped(t testing.TB) map[string]*judge.Judgement {
	t.Helper()
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.Trim(layer)}, faults, dose.Functions()...)
	paths, _ := filepath.Glob("../../testdata/books/*.yaml")
	all := map[string]*judge.Judgement{}
	for _, path := range paths {
		book := record.Load(path, nil, record.WordsOf(p), time.Time{}, faults)
		if faults.Len() > 0 {
			t.Fatal(faults.Err())
		}
		g, err := judge.Judge(evidence.Gather(p, book, time.Time{}))
		if err != nil {
			t.Fatal(err)
		}
		all[filepath.Base(path)] = g
	}
	if len(all) == 0 {
		t.Fatal("no example books")
	}
	return all
}

// TestShippedBooks: on every example book the report is the same twice, every proposal moves a verdict and is worth more
// than it costs, and the shares under which proposals lead sum to one.
func TestShippedBooks(t *testing.T) {
	for name, g := range shipped(t) {
		start := time.Now()
		r := Next(g, Options{Draws: 100})
		t.Logf("%s: value %.2f, %d proposals, %d others open, %v", name, r.Value, len(r.Proposals), len(r.Idle), time.Since(start).Round(time.Millisecond))
		again, firm := Next(g, Options{Draws: 100}), 0.0
		for i, p := range r.Proposals {
			firm += p.Firm
			if p.Worth <= 0 || len(p.Moves) == 0 {
				t.Errorf("%s: a proposal is worth %v and moves %d verdicts", name, p.Worth, len(p.Moves))
			}
			if o := again.Proposals[i]; o.Worth != p.Worth || o.Firm != p.Firm || o.Tests[0].Number != p.Tests[0].Number {
				t.Errorf("%s: asked twice, place %d differs", name, i)
			}
		}
		if len(r.Proposals) > 0 && (firm < 0.999 || firm > 1.001) {
			t.Errorf("%s: the shares sum to %v", name, firm)
		}
		for _, s := range r.Shares {
			if s.All > 0 && (s.Out <= 0 || s.Out >= s.All) {
				t.Errorf("%s: %s waits for a test, and is ruled out in %v of %v outcomes", name, s.Verdict.Treatment.ID, s.Out, s.All)
			}
		}
	}
}
