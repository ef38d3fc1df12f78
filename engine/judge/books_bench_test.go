package judge

import (
	"path/filepath"
	"testing"
	"time"

	"tideline/engine/dose"
	"tideline/engine/evidence"
	"tideline/engine/record"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
)

// BenchmarkDecide judges each example book by the shipped pack, from a record read to verdicts, and to every proof.
func BenchmarkDecide(b *testing.B) {
	layer, err := packs.Shipped()
	if err != nil {
		b.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.Trim(layer)}, faults, dose.Functions()...)
	paths, _ := filepath.Glob("../../testdata/books/*.yaml")
	for _, path := range paths {
		book := record.Load(path, nil, record.WordsOf(p), time.Time{}, faults)
		if faults.Len() > 0 {
			b.Fatal(faults.Err())
		}
		name := filepath.Base(path)
		b.Run(name+"/verdicts", func(b *testing.B) {
			for b.Loop() {
				judged(b, evidence.Gather(p, book, time.Time{}))
			}
		})
		b.Run(name+"/verdicts and every proof", func(b *testing.B) {
			for b.Loop() {
				g := judged(b, evidence.Gather(p, book, time.Time{}))
				for _, v := range g.Verdicts {
					g.Prove(v)
				}
			}
		})
	}
}
