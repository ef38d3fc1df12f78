package suppose

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/worlds"
	"tideline/rules/vocab"
)

func judged(t testing.TB, w *worlds.World, b *record.Book) *judge.Judgement {
	t.Helper()
	g, err := judge.Judge(evidence.Gather(w.Pack, b, time.Time{}))
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func byKey(g *judge.Judgement) map[string]judge.Word {
	words := map[string]judge.Word{}
	for _, v := range g.Verdicts {
		words[v.Treatment.ID+" "+v.Target.Path] = v.Word
	}
	return words
}

// TestSupposeIsRejudging: what is supposed is what the book would be judged with those answers in it; taking them back
// gives what was; every verdict that is other is told once, with a reason.
func TestSupposeIsRejudging(t *testing.T) {
	turned, reasons := 0, 0
	for seed := range 150 {
		w := worlds.NewAny(t, rand.New(rand.NewPCG(uint64(seed), 31)), seed)
		full, open := w.Book(t, 0), 0
		less := *full
		var answers []Answer
		less.Results = nil
		for _, r := range full.Results {
			if open < 3 && !r.Question.Measured && r.Question.Name != "kind" && !strings.HasSuffix(r.Question.Name, "_listed") && w.Rnd.IntN(2) == 0 {
				answers = append(answers, Answer{r.Thing, r.Question, r.Answer})
				open++
				continue
			}
			less.Results = append(less.Results, r)
		}
		g := judged(t, w, &less)
		r, err := Suppose(g, answers)
		if err != nil {
			t.Fatal(err)
		}
		was, is, want := byKey(g), byKey(r.After), byKey(judged(t, w, full))
		other := 0
		for key, word := range want {
			if is[key] != word {
				t.Fatalf("seed %d: %s supposed %s, with the answers in the book %s", seed, key, is[key], word)
			}
			if was[key] != word {
				other++
			}
		}
		for _, c := range r.Changes {
			if c.Turned() {
				other--
				turned++
				if c.Reason != nil || c.Needer != nil {
					reasons++
				}
			}
		}
		if other != 0 {
			t.Fatalf("seed %d: verdicts that are other were told %d times too few", seed, other)
		}
		for i := range answers {
			answers[i].Answer = vocab.Answer{}
		}
		back, err := Suppose(r.After, answers)
		if err != nil {
			t.Fatal(err)
		}
		for key, word := range byKey(back.After) {
			if was[key] != word {
				t.Fatalf("seed %d: %s was %s, and taken back it is %s", seed, key, was[key], word)
			}
		}
	}
	t.Logf("%d verdicts were other, %d with a reason of their own", turned, reasons)
	if turned == 0 || reasons*10 < turned*9 {
		t.Error("too few were other, or too few have a reason")
	}
}

// TestAnswersAddedNeverPermit: answers added, one supposition after another, turn ruled out into nothing else; a changed
// answer can.
func TestAnswersAddedNeverPermit(t *testing.T) {
	added, lifted := 0, 0
	for seed := range 150 {
		w := worlds.New(t, rand.New(rand.NewPCG(uint64(seed), 32)))
		book := w.Book(t, 5)
		g := judged(t, w, book)
		for n, ask := range g.Case.Asks {
			if ask.Question == nil || ask.Thing.Unlisted || ask.Question.Measured || strings.HasSuffix(ask.Question.Name, "_listed") || ask.Question.Name == "kind" {
				continue
			}
			cells, _ := w.Pack.Env.Cells(ask.Question)
			supposed := Answer{ask.Thing.Record, ask.Question, cells[w.Rnd.IntN(len(cells))].Some()}
			next, err := Judge(g, []Answer{supposed})
			if err != nil {
				t.Fatal(err)
			}
			if len(next.Contradictions) > 0 {
				continue
			}
			before, after := byKey(g), byKey(next)
			for key, word := range before {
				switch {
				case word != judge.RuledOut || after[key] == judge.RuledOut:
				case ask.Answer.Known:
					lifted++
				default:
					t.Fatalf("seed %d: %s was ruled out, and with question %d answered it is %s", seed, key, n, after[key])
				}
			}
			if !ask.Answer.Known {
				added++
				g = next
			}
		}
	}
	t.Logf("%d answers added, %d ruling-outs lifted by changed ones", added, lifted)
	if added == 0 || lifted == 0 {
		t.Error("the worlds are too narrow")
	}
}

// TestStaleIsOverruled: what is supposed stands even where a step done that very day has made the answer stale.
func TestStaleIsOverruled(t *testing.T) {
	w := worlds.New(t, rand.New(rand.NewPCG(1, 33)))
	p := worlds.Load(t, strings.Replace(w.YAML, "bath: {name: bath,", "bath: {name: bath, makes stale: [part.soft],", 1))
	b := worlds.Parse(t, p, "record: 1\ntitle: T\nexamined: 2026-01-01\nparts: {cover: {kind: cover, seen: {soft: yes}}}\ndone: [{step: bath, on: cover, date: 2026-01-01}]\n")
	g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
	if err != nil {
		t.Fatal(err)
	}
	q := p.Vocabulary.Question("part.soft")
	after, err := Judge(g, []Answer{{b.Thing("cover"), q, vocab.Yes(false)}})
	if err != nil {
		t.Fatal(err)
	}
	n := func(g *judge.Judgement) evidence.Ask { return g.Case.Asks[g.Case.Number(g.Case.At("cover"), q)] }
	if n(g).Answer.Known || n(after).Answer != vocab.Yes(false) {
		t.Errorf("before %v, supposed %v", n(g).Answer, n(after).Answer)
	}
}
