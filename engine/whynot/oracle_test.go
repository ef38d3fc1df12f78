package whynot

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/worlds"
	"tideline/rules/vocab"
)

// howMany is on how many random packs the search is tried; TIDELINE_WORLDS asks for more.
func howMany(t testing.TB) int {
	if n, err := strconv.Atoi(os.Getenv("TIDELINE_WORLDS")); err == nil {
		return n
	}
	return 40
}

func judged(t testing.TB, c *evidence.Case) *judge.Judgement {
	t.Helper()
	g, err := judge.Judge(c)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// some lets only a few questions change, so that every answer to each of them can be gone through.
func some(w *worlds.World, c *evidence.Case, most int) map[int]bool {
	read := map[string]bool{"ink.wet": true, "ink.dry": true, "ink.old": true, "part.ph": true, "part.soft": true, "finding.deep": true, "owner.says_no": true}
	var list []int
	for n, ask := range c.Asks {
		if ask.Question != nil && !ask.Thing.Unlisted && (read[ask.Question.ID] || ask.Question.Name == "inks_listed" && !ask.Answer.Yes) {
			list = append(list, n)
		}
	}
	w.Rnd.Shuffle(len(list), func(i, k int) { list[i], list[k] = list[k], list[i] })
	free := map[int]bool{}
	for _, n := range list[:min(most, len(list))] {
		free[n] = true
	}
	return free
}

// brute finds the smallest change sets of every verdict and every word by judging the book anew for every way in which
// the free questions could be answered. It shares the judge and the cells with the search, and nothing else.
func brute(t *testing.T, w *worlds.World, book *record.Book, c *evidence.Case, free map[int]bool) map[string][][]int {
	var order []int
	for n := range free {
		order = append(order, n)
	}
	slices.Sort(order)
	sets := map[string][][]int{}
	more := *book
	var changed []int
	before := len(judged(t, c).Contradictions)
	var visit func(i int)
	visit = func(i int) {
		if i == len(order) {
			g := judged(t, evidence.Gather(w.Pack, &more, c.On))
			if len(g.Contradictions) > before || !possible(t, w, &more, c.On) {
				return
			}
			for _, v := range g.Verdicts {
				words := []judge.Word{v.Word}
				if v.Word == judge.Recommended || v.Word == judge.Possible {
					words = append(words, judge.Clear)
				}
				for _, word := range words {
					key := v.Treatment.ID + " " + v.Target.Path + " " + string(word)
					sets[key] = append(sets[key], slices.Clone(changed))
				}
			}
			return
		}
		visit(i + 1)
		ask := c.Asks[order[i]]
		kept := more.Results
		changed = append(changed, order[i])
		cells, _ := w.Pack.Env.Cells(ask.Question)
		for _, cell := range cells {
			more.Results = nil
			for _, r := range kept {
				if r.Question != ask.Question || r.Thing != ask.Thing.Record {
					more.Results = append(more.Results, r)
				}
			}
			more.Results = append(more.Results, record.Result{Question: ask.Question, Thing: ask.Thing.Record, Answer: cell.Some()})
			visit(i + 1)
		}
		more.Results = kept
		changed = changed[:len(changed)-1]
	}
	visit(0)
	for key, list := range sets {
		slices.SortStableFunc(list, func(a, b []int) int { return len(a) - len(b) })
		var kept [][]int
		for _, s := range list {
			if !slices.ContainsFunc(kept, func(k []int) bool { return within(k, s) }) {
				kept = append(kept, s)
			}
		}
		sets[key] = kept
	}
	return sets
}

// possible tells whether the open answers of a book leave some completion, which the never statement of these worlds
// could prevent: it goes through the answers to the open questions of each ink.
func possible(t *testing.T, w *worlds.World, book *record.Book, on time.Time) bool {
	c := evidence.Gather(w.Pack, book, on)
	for _, ink := range c.Of(vocab.Ink) {
		var open []int
		for _, name := range []string{"wet", "dry", "old"} {
			n := c.Number(ink, w.Pack.Vocabulary.Question("ink."+name))
			if !c.Asks[n].Answer.Known {
				open = append(open, n)
			}
		}
		if len(open) == 0 || len(w.Pack.Never) == 0 {
			continue
		}
		before := len(judged(t, c).Contradictions)
		found := false
		var try func(i int)
		try = func(i int) {
			if i == len(open) {
				found = found || len(judged(t, c).Contradictions) <= before
				return
			}
			cells, _ := w.Pack.Env.Cells(c.Asks[open[i]].Question)
			for _, cell := range cells {
				if !found {
					c.Answer(open[i], cell.Some())
					try(i + 1)
				}
			}
			c.Answer(open[i], vocab.Answer{})
		}
		if try(0); !found {
			return false
		}
	}
	return true
}

var targets = []judge.Word{judge.Clear, judge.Recommended, judge.Possible, judge.TestFirst, judge.RuledOut, judge.NoNeed}

// TestAgainstEveryAnswer: W1, W2, W3 and W6. The search finds exactly the smallest sets that going through all answers
// finds, for every verdict and every word; the answers it names do turn the verdict.
func TestAgainstEveryAnswer(t *testing.T) {
	sets, none, sizes := 0, 0, map[int]int{}
	for seed := range howMany(t) {
		w := worlds.NewAny(t, rand.New(rand.NewPCG(uint64(seed), 11)), seed)
		book := w.Book(t, seed%4)
		c := evidence.Gather(w.Pack, book, time.Time{})
		g := judged(t, c)
		if len(g.Contradictions) > 0 || !possible(t, w, book, c.On) {
			continue
		}
		free := some(w, c, 4)
		want := brute(t, w, book, c, free)
		for _, v := range g.Verdicts {
			for _, to := range targets {
				if is(v.Word, to) {
					continue
				}
				got, count, tried, err := find(g, v, to, func(a evidence.Ask) bool { return free[c.Number(a.Thing, a.Question)] }, stepLimit)
				if err != nil || tried >= 0 || count != len(got) {
					t.Fatalf("seed %d: %v, tried %d, %d sets of %d", seed, err, tried, len(got), count)
				}
				key := v.Treatment.ID + " " + v.Target.Path + " " + string(to)
				if a, b := written(got), listed(want[key]); a != b {
					t.Fatalf("seed %d: %s, now %s: found %s, there are %s\n%s", seed, key, v.Word, a, b, w.YAML)
				}
				for _, s := range got {
					sizes[len(s.Changes)]++
				}
				sets += len(got)
				if len(got) == 0 {
					none++
				}
			}
		}
	}
	t.Logf("%d sets by size %v; %d times nothing would do", sets, sizes, none)
	if sizes[1] == 0 || sizes[2] == 0 || sizes[3] == 0 || none == 0 {
		t.Error("the worlds are too narrow")
	}
}

func written(sets []Set) string {
	var list [][]int
	for _, s := range sets {
		list = append(list, s.Numbers())
	}
	return listed(list)
}

func listed(sets [][]int) string {
	var lines []string
	for _, s := range sets {
		lines = append(lines, fmt.Sprint(s))
	}
	slices.Sort(lines)
	return strings.Join(lines, " ")
}

// hitting gives the smallest choices that have a number of every set.
func hitting(sets [][]int) [][]int {
	hits := [][]int{{}}
	for _, s := range sets {
		var next [][]int
		for _, h := range hits {
			if slices.ContainsFunc(h, func(n int) bool { return slices.Contains(s, n) }) {
				next = append(next, h)
				continue
			}
			for _, n := range s {
				more := append(slices.Clone(h), n)
				slices.Sort(more)
				next = append(next, more)
			}
		}
		slices.SortStableFunc(next, func(a, b []int) int { return len(a) - len(b) })
		hits = nil
		for _, h := range next {
			if !slices.ContainsFunc(hits, func(k []int) bool { return within(k, h) }) {
				hits = append(hits, h)
			}
		}
	}
	return hits
}

// checkDuality holds the change sets of a verdict and what holds it where it is together, both ways.
func checkDuality(t *testing.T, where string, r *Result, holds [][]int) {
	t.Helper()
	var sets [][]int
	for _, s := range r.Sets {
		sets = append(sets, s.Numbers())
	}
	if got, want := listed(hitting(sets)), listed(holds); got != want {
		t.Errorf("%s: the change sets %v are hit by %s, but held it is by %s", where, sets, got, want)
	}
	if got, want := listed(hitting(holds)), listed(sets); got != want {
		t.Errorf("%s: what holds it, %v, is hit by %s, but the change sets are %s", where, holds, got, want)
	}
}

// TestDualityOnWorlds: W5, with questions and facts all changeable that the worlds' packs do not call fixed.
func TestDualityOnWorlds(t *testing.T) {
	checked := 0
	for seed := range howMany(t) {
		w := worlds.New(t, rand.New(rand.NewPCG(uint64(seed), 12)))
		g := judged(t, evidence.Gather(w.Pack, w.Book(t, seed%3), time.Time{}))
		if len(g.Contradictions) > 0 {
			continue
		}
		for _, v := range g.Verdicts {
			for _, to := range []judge.Word{judge.Clear, judge.RuledOut, judge.NoNeed} {
				if is(v.Word, to) {
					continue
				}
				r, err := Find(g, v, to)
				if err != nil {
					t.Fatal(err)
				}
				holds, done, err := Holds(g, v, to)
				if err != nil {
					t.Fatal(err)
				}
				if !done || r.Tried >= 0 || r.Count > len(r.Sets) {
					continue
				}
				checked++
				checkDuality(t, fmt.Sprintf("seed %d: %s on %s to %s", seed, v.Treatment.ID, v.Target.Path, to), r, holds)
				if t.Failed() {
					t.FailNow()
				}
			}
		}
	}
	t.Logf("%d pairs of searches agree", checked)
	if checked < 4*howMany(t) {
		t.Errorf("only %d were checked", checked)
	}
}
