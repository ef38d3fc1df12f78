package plan

import (
	"context"
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

func TestBooks(t *testing.T) {
	p := shipped(t)
	paths, _ := filepath.Glob("../../testdata/books/*.yaml")
	for _, path := range paths {
		faults := &fault.List{}
		b := record.Load(path, nil, record.WordsOf(p), time.Time{}, faults)
		g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
		if err != nil {
			t.Fatal(err)
		}
		start := time.Now()
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		plan, err := Make(ctx, g, Options{Next: 0})
		cancel()
		if err != nil {
			t.Fatal(err)
		}
		t.Log(filepath.Base(path), time.Since(start), plan.Cost, plan.Proven)
		for i, s := range plan.Steps {
			t.Log("   ", i+1, s.Treatment.ID, s.Path, s.Verdict.Word, len(s.For), len(s.Meets), s.Needed, s.Retests)
		}
		for _, l := range plan.Left {
			t.Log("   left", l.Subject.Path, l.Subject.key(), l.Lessened, len(l.Verdicts))
		}
	}
}
