package change

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"tideline/engine/drift"
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/worlds"
	"tideline/rules/vocab"
)

// TestEveryExitHasAName is property V9: over random logs of events, a verdict that was settled and is another now cites
// events of a withdrawing kind; undoing them brings it back; none can be left out; and more answers alone are never cited.
func TestEveryExitHasAName(t *testing.T) {
	exits, kinds := 0, map[Kind]int{}
	for seed := range 60 {
		w := worlds.New(t, rand.New(rand.NewPCG(uint64(seed), 9)))
		for range 8 {
			book := w.Book(t, w.Rnd.IntN(3))
			before := judgeBook(t, w, book)
			later, events := disturb(w, book)
			after := judgeBook(t, w, later)
			if len(before.Contradictions)+len(after.Contradictions) > 0 {
				continue
			}
			found, err := Between(before, after)
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range found {
				exits++
				if len(e.Causes) == 0 {
					t.Fatalf("seed %d: %s on %s went from %s to %s without a cause, after %v\n%s", seed, e.Treatment, e.Path, e.Was, e.Is, events, w.YAML)
				}
				check(t, before, after, e)
				for _, c := range e.Causes {
					kinds[c.Kind]++
				}
			}
		}
	}
	t.Logf("%d exits, causes %v", exits, kinds)
	for _, k := range []Kind{Corrected, Forgotten, Seen, Gone, Wishes} {
		if kinds[k] == 0 {
			t.Errorf("no exit was caused by %q: the logs are too narrow", k)
		}
	}
}

func judgeBook(t *testing.T, w *worlds.World, b *record.Book) *judge.Judgement {
	t.Helper()
	g, err := judge.Judge(evidence.Gather(w.Pack, b, time.Time{}))
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// check: undoing the causes restores the verdict, and leaving any one of them out does not.
func check(t *testing.T, before, after *judge.Judgement, e Exit) {
	t.Helper()
	undo := func(causes []Event) judge.Word {
		w, err := drift.With(before, after, drift.Key{Treatment: e.Treatment, Path: e.Path}, func(i drift.Item) bool {
			return slices.ContainsFunc(causes, func(c Event) bool {
				return kinds[i.Kind] == c.Kind && (c.Path == "" || i.Path == c.Path && i.Question == c.Question)
			})
		})
		if err != nil {
			t.Fatal(err)
		}
		return w
	}
	if got := undo(e.Causes); got != e.Was {
		t.Errorf("%s on %s: undoing %v gives %s, not %s", e.Treatment, e.Path, e.Causes, got, e.Was)
	}
	for i := range e.Causes {
		if got := undo(slices.Delete(slices.Clone(e.Causes), i, i+1)); got == e.Was {
			t.Errorf("%s on %s: cause %v can be left out", e.Treatment, e.Path, e.Causes[i])
		}
	}
}

// disturb does one to three random things to a copy of the book.
func disturb(w *worlds.World, b *record.Book) (*record.Book, []string) {
	later := *b
	later.Things, later.Results = slices.Clone(b.Things), slices.Clone(b.Results)
	var did []string
	for range 1 + w.Rnd.IntN(3) {
		tests := slices.DeleteFunc(indices(later.Results), func(i int) bool { return !isTest(later.Results[i].Question) })
		switch k := w.Rnd.IntN(6); {
		case k == 0 && len(tests) > 0: // forget an answer
			i := tests[w.Rnd.IntN(len(tests))]
			did = append(did, "forgot "+later.Results[i].Question.ID)
			later.Results = slices.Delete(later.Results, i, i+1)
		case k == 1: // a new ink comes to light
			did = append(did, "saw an ink")
			addInk(w, &later)
		case k == 2: // an ink turns out not to be one
			did = append(did, "an ink is gone")
			dropInk(w, &later)
		case k == 3:
			did = append(did, "wishes")
			later.Aims = [][]string{{}, {"clean"}, {"whole"}}[w.Rnd.IntN(3)]
			later.Weights = map[string]float64{"life": 0.2, "looks": 1}
		case len(tests) > 0: // correct an answer
			i := tests[w.Rnd.IntN(len(tests))]
			r := &later.Results[i]
			did = append(did, "corrected "+r.Question.ID)
			r.Answer = other(w, r.Question)
		}
	}
	return &later, did
}

func indices(list []record.Result) []int {
	all := make([]int, len(list))
	for i := range all {
		all[i] = i
	}
	return all
}

func isTest(q *vocab.Question) bool {
	return !q.Measured && q.Name != "kind" && !strings.HasSuffix(q.Name, "_listed")
}

func other(w *worlds.World, q *vocab.Question) vocab.Answer {
	switch q.Type {
	case vocab.YesNo:
		return vocab.Yes(w.Rnd.IntN(2) == 0)
	case vocab.Grade:
		return vocab.Num(float64(1 + w.Rnd.IntN(5)))
	}
	return vocab.Num(float64(w.Rnd.IntN(15)))
}

func addInk(w *worlds.World, b *record.Book) {
	side := b.Things[slices.IndexFunc(b.Things, func(t *record.Thing) bool { return t.Kind == vocab.Side })]
	name := "new"
	if slices.ContainsFunc(b.Things, func(t *record.Thing) bool { return t.Name == name }) {
		return
	}
	ink := &record.Thing{Kind: vocab.Ink, Name: name, Path: side.Path + "/" + name, Part: side.Part, Side: side}
	b.Things = append(b.Things, ink)
	for _, id := range []string{"ink.kind", "ink.wet", "ink.old"} {
		q := w.Pack.Vocabulary.Question(id)
		a := vocab.Word("stamp")
		if q.Type != vocab.Words {
			a = other(w, q)
		}
		b.Results = append(b.Results, record.Result{Question: q, Thing: ink, Answer: a})
	}
}

func dropInk(w *worlds.World, b *record.Book) {
	i := slices.IndexFunc(b.Things, func(t *record.Thing) bool { return t.Kind == vocab.Ink && t.Name != "new" })
	if i < 0 {
		return
	}
	gone := b.Things[i]
	b.Things = slices.Delete(b.Things, i, i+1)
	b.Results = slices.DeleteFunc(b.Results, func(r record.Result) bool { return r.Thing == gone })
}

// TestStaleAndExpired: a step that makes a test stale, and a test too old, are named as what they are.
func TestStaleAndExpired(t *testing.T) {
	p := worlds.Load(t, `pack: p
aims: {clean: {says: clean}}
criteria: {life: {says: life, weight: 0.8, from: 0.2, to: 1}}
tests:
  part.kind: {asks: "kind?", answer: {words: [cover, wrap]}}
  ink.kind: {asks: "kind?", answer: {words: [print, stamp]}}
  ink.wet: {asks: "wet?", answer: grade, good for: 30}
treatments:
  bath: {name: bath, of: part, family: wet, says: s, serves: [clean], intervention: 2, retreatable: no, makes stale: [ink.wet]}
rules:
  bleeds: {treatment: bath, each: ink, rules out when: ink.wet < 4, because: x, standing: house}
  call: {treatment: bath, called for when: always, because: x, standing: house}
  good: {treatment: bath, for when: always, criterion: life, weight: 2, because: x, standing: house}
`)
	text := `record: 1
title: T
examined: 2026-01-01
listed: {inks: yes, findings: yes, fasteners: yes}
parts: {cover: {kind: cover, outside: {inks: {red: {kind: print}}}, inside: {inks: {}}}}
tests: [{test: ink.wet, on: cover/outside/red, date: 2026-01-05, grade: GRADE}]
`
	bath := text + "done: [{step: bath, on: cover, date: 2026-01-06}]\n"
	for _, tt := range []struct {
		name, before, after string
		on                  time.Time
		was                 judge.Word
		kind                Kind
	}{
		{"a bath makes a good grade stale", strings.Replace(text, "GRADE", "5", 1), strings.Replace(bath, "GRADE", "5", 1), time.Time{}, judge.Recommended, Stale},
		{"a bath makes a bad grade stale", strings.Replace(text, "GRADE", "2", 1), strings.Replace(bath, "GRADE", "2", 1), time.Time{}, judge.RuledOut, Stale},
		{"a grade too old", strings.Replace(text, "GRADE", "5", 1), strings.Replace(text, "GRADE", "5", 1), time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC), judge.Recommended, Expired},
		{"a grade given anew", strings.Replace(text, "GRADE", "5", 1), strings.Replace(text, "GRADE", "2", 1), time.Time{}, judge.Recommended, Corrected},
	} {
		t.Run(tt.name, func(t *testing.T) {
			before, err := judge.Judge(evidence.Gather(p, worlds.Parse(t, p, tt.before), time.Time{}))
			if err != nil {
				t.Fatal(err)
			}
			after, err := judge.Judge(evidence.Gather(p, worlds.Parse(t, p, tt.after), tt.on))
			if err != nil {
				t.Fatal(err)
			}
			exits, err := Between(before, after)
			if err != nil || len(exits) != 1 || exits[0].Was != tt.was || len(exits[0].Causes) != 1 || exits[0].Causes[0].Kind != tt.kind {
				t.Errorf("got %+v (%v), want one exit from %s because of %s", exits, err, tt.was, tt.kind)
			}
		})
	}
}
