package judge

import (
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/worlds"
	"tideline/rules/vocab"
)

// BenchmarkSuppose judges the big synthetic book anew with one answer changed: with the case gathered again as
// a fresh start does it, with the answer put into the case at hand, with only what hangs on the answer judged again, and
// beside bare cel-go on all rules.
func BenchmarkSuppose(b *testing.B) {
	s := newSynthetic(b, false)
	book := worlds.Parse(b, s.pack, s.text)
	c := evidence.Gather(s.pack, book, time.Time{})
	n := c.Number(c.At("w0/outside/i0"), s.pack.Vocabulary.Question("ink.g1"))
	b.Run("gather and judge", func(b *testing.B) {
		for b.Loop() {
			c := evidence.Gather(s.pack, book, time.Time{})
			c.Answer(n, vocab.Num(2))
			judged(b, c)
		}
	})
	b.Run("judge", func(b *testing.B) {
		for i := 0; b.Loop(); i++ {
			c.Answer(n, vocab.Num(float64(2+i%3)))
			judged(b, c)
		}
	})
	g := judged(b, c)
	b.Run("again", func(b *testing.B) {
		b.ReportAllocs()
		for i := 0; b.Loop(); i++ {
			if _, err := g.Again(c.With(evidence.Change{Number: n, Answer: vocab.Num(float64(2 + i%3))})); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("bare cel-go, whole rules, no proofs", func(b *testing.B) { bareCEL(b, s, judged(b, c)) })
}
