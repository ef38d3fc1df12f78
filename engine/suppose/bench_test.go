package suppose

import (
	"testing"
	"time"

	"tideline/engine/dose"
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
	"tideline/rules/vocab"
)

// BenchmarkSuppose supposes one answer in the largest example: the verdicts anew, and those with the reasons of every
// difference. engine/judge measures the same on the big synthetic book, beside bare cel-go.
func BenchmarkSuppose(b *testing.B) {
	layer, err := packs.Shipped()
	if err != nil {
		b.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.Trim(layer)}, faults, dose.Functions()...)
	book := record.Load("../../testdata/books/harbour-almanac.yaml", nil, record.WordsOf(p), time.Time{}, faults)
	if err := faults.Err(); err != nil {
		b.Fatal(err)
	}
	g, err := judge.Judge(evidence.Gather(p, book, time.Time{}))
	if err != nil {
		b.Fatal(err)
	}
	answers := []Answer{{book.Thing("wrap-4/outside/red"), p.Vocabulary.Question("ink.wet"), vocab.Num(2)}}
	b.Run("verdicts", func(b *testing.B) {
		for b.Loop() {
			if _, err := Judge(g, answers); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("verdicts and reasons", func(b *testing.B) {
		for b.Loop() {
			if _, err := Suppose(g, answers); err != nil {
				b.Fatal(err)
			}
		}
	})
}
