package judge

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/record"
	"tideline/engine/worlds"
	"tideline/rules/vocab"
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

// Answers loosened say the same as the judgement where they are left as they were, and so does every answer put otherwise.
func TestLoosenedDoses(t *testing.T) {
	tried := 0
	for seed := range howMany(t) {
		w := worlds.NewDosed(t, rand.New(rand.NewPCG(uint64(seed), 17)))
		for n := range 4 {
			c := evidence.Gather(w.Pack, w.Book(t, n), time.Time{})
			g := judged(t, c)
			l, err := g.Loosen(func(evidence.Ask) bool { return true })
			if err != nil {
				t.Fatal(err)
			}
			if len(g.Contradictions) > 0 {
				continue
			}
			for _, v := range g.Verdicts {
				lv := l.Of(v)
				if word := lv.Word(l.Start()); word != v.Word {
					t.Fatalf("seed %d, book %d: %s is %s, loosened %s\n%s", seed, n, v.Treatment.ID, v.Word, word, w.YAML)
				}
				for _, number := range lv.Asks() {
					ask := c.Asks[number]
					if ask.Question.Name == "kind" || ask.Question.Name == "inks_listed" {
						continue
					}
					for _, o := range lv.Options(number) {
						s := l.Start()
						s[number] = o.Cell
						again := evidence.Gather(w.Pack, c.Book, c.On)
						again.Answer(number, o.Answers[0])
						other := judged(t, again)
						if len(other.Contradictions) > 0 {
							continue
						}
						tried++
						want := other.Of(v.Treatment.ID, v.Target.Path)
						if word := lv.Word(s); want.Word != word {
							t.Fatalf("seed %d, book %d: %s with %s %s is %s, loosened %s\n%s", seed, n, v.Treatment.ID, ask.Question.ID, ask.Question.Text(o.Answers[0]), want.Word, word, w.YAML)
						}
					}
				}
			}
		}
	}
	if tried < 1000 {
		t.Errorf("only %d answers were tried", tried)
	}
}

// Settled stays settled for doses of one answer, whose cells are exact: tried with answers between all marks.
func TestDosedSettledStaysSettled(t *testing.T) {
	steps := 0
	for seed := range howMany(t) {
		w := worlds.NewDosed(t, rand.New(rand.NewPCG(uint64(seed), 19)))
		for n := range 6 {
			full := w.Book(t, 0)
			kept := *full
			drop := map[int]bool{}
			for range 2 + n%2 {
				drop[w.Rnd.IntN(len(full.Results))] = true
			}
			kept.Results = nil
			for i, r := range full.Results {
				if drop[i] && r.Question.Type != vocab.Words && !strings.HasSuffix(r.Question.Name, "_listed") {
					continue
				}
				if r.Question.Type == vocab.Number {
					r.Answer = vocab.Num(r.Question.From + w.Rnd.Float64()*(r.Question.To-r.Question.From))
					full.Results[i] = r
				}
				kept.Results = append(kept.Results, r)
			}
			less, more := judged(t, evidence.Gather(w.Pack, &kept, time.Time{})), judged(t, evidence.Gather(w.Pack, full, time.Time{}))
			if len(more.Contradictions) > 0 {
				continue
			}
			for _, v := range less.Verdicts {
				if !v.Sampled {
					steps++
					checkSettled(t, v.Treatment.ID+" "+v.Target.Path, v.Word, more.Of(v.Treatment.ID, v.Target.Path).Word)
				}
			}
			if t.Failed() {
				t.Fatalf("seed %d, book %d\n%s", seed, n, w.YAML)
			}
		}
	}
	t.Logf("%d steps", steps)
}
