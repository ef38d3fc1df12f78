package judge

import (
	"math/rand/v2"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/record"
	"tideline/engine/worlds"
)

// Verdicts of packs whose conditions call functions, against all completions with cel-go evaluating whole rules. Where a
// function refuses, the oracle counts what surely holds and what may.
func TestDosedVerdictsByDefinition(t *testing.T) {
	cases, words, sampled, refused := 0, map[Word]int{}, 0, 0
	for seed := range howMany(t) {
		w := worlds.NewDosed(t, rand.New(rand.NewPCG(uint64(seed), 11)))
		for n := range 8 {
			book := w.Book(t, n%4)
			if completionsOf(w, book) > 700 {
				continue
			}
			for _, v := range byDefinition(t, w, book) {
				cases++
				words[v.Word]++
				if v.Sampled {
					sampled++
				}
				if v.Refused {
					refused++
				}
			}
			if t.Failed() {
				t.Fatalf("seed %d, book %d, pack:\n%s", seed, n, w.YAML)
			}
		}
	}
	t.Logf("%d verdicts: %v; %d sampled, %d refused", cases, words, sampled, refused)
	if sampled == 0 || refused == 0 || words[RuledOut] == 0 || words[TestFirst] == 0 || words[Recommended]+words[Possible] == 0 {
		t.Error("the generator is too narrow")
	}
}

// completionsOf counts the completions of a book by the cells of its open questions.
func completionsOf(w *worlds.World, book *record.Book) int {
	c, n := evidence.Gather(w.Pack, book, time.Time{}), 1
	for _, ask := range c.Asks {
		if ask.Question != nil && !ask.Answer.Known && relevant[ask.Question.ID] {
			cells, _ := w.Pack.Env.Cells(ask.Question)
			n *= len(cells)
		}
	}
	return n
}
