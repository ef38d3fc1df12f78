package ask

import (
	"path/filepath"
	"testing"
	"time"

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
	p := pack.Load([]pack.Layer{pack.Trim(layer)}, faults)
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

func TestPeek(t *testing.T) {
	for name, g := range shipped(t) {
		start := time.Now()
		r := Next(g, Options{Draws: 200})
		t.Logf("== %s value %.2f: %d proposals, %d idle, %d shares exact=%v cut=%v %v", name, r.Value, len(r.Proposals), len(r.Idle), len(r.Shares), r.Exact, r.Cut, time.Since(start))
		for i, p := range r.Proposals {
			if i == 6 {
				break
			}
			s := ""
			for _, x := range p.Tests {
				s += " " + x.Ask.Thing.Path + " " + x.Ask.Question.ID
			}
			t.Logf("  worth %.3f gain %.3f price %.2f+%.2f firm %.2f moves %d:%s", p.Worth, p.Gain, p.Price.Minutes, p.Price.Harm, p.Firm, len(p.Moves), s)
		}
		for _, s := range r.Shares[:min(4, len(r.Shares))] {
			t.Logf("   share %s %s %v/%v open %d", s.Verdict.Treatment.ID, s.Verdict.Target.Path, s.Out, s.All, len(s.Verdict.Open))
		}
	}
}
