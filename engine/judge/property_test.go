package judge

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
	"tideline/engine/record"
	"tideline/engine/worlds"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// howMany is on how many random packs each property is tried; TIDELINE_WORLDS asks for more.
func howMany(t testing.TB) int {
	if n, err := strconv.Atoi(os.Getenv("TIDELINE_WORLDS")); err == nil {
		return n
	}
	if testing.Short() {
		return 40
	}
	return 60
}

// each tries a property on random packs, with several books each; the seed of a failure is in the test's name.
func each(t *testing.T, books int, try func(t *testing.T, w *worlds.World, n int)) {
	for seed := range howMany(t) {
		w := worlds.New(t, rand.New(rand.NewPCG(uint64(seed), 7)))
		for n := range books {
			try(t, w, n)
			if t.Failed() {
				t.Fatalf("seed %d, book %d, pack:\n%s", seed, n, w.YAML)
			}
		}
	}
}

func judged(t testing.TB, c *evidence.Case) *Judgement {
	t.Helper()
	g, err := Judge(c)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// TestVerdictsByDefinition: V1 (one verdict each), V4 (test first means both outcomes exist), V5 (the missing list is
// exact), and the verdicts and support themselves, against all completions with cel-go evaluating whole rules.
func TestVerdictsByDefinition(t *testing.T) {
	cases, words := 0, map[Word]int{}
	each(t, 12, func(t *testing.T, w *worlds.World, n int) {
		for _, v := range byDefinition(t, w, w.Book(t, n%5)) {
			cases++
			words[v.Word]++
		}
	})
	t.Logf("%d verdicts: %v", cases, words)
	for _, w := range []Word{Recommended, Possible, TestFirst, RuledOut, NoNeed} {
		if words[w] == 0 {
			t.Errorf("no case came out as %s: the generator is too narrow", w)
		}
	}
}

// byDefinition holds every verdict of a book against the oracle's. It gives none where the answers break a never statement.
func byDefinition(t *testing.T, w *worlds.World, book *record.Book) []*Verdict {
	t.Helper()
	g := judged(t, evidence.Gather(w.Pack, book, time.Time{}))
	want := newOracle(t, w.Pack).verdicts(book, g.Aims, g.Weights)
	if want == nil {
		return nil
	}
	seen := map[string]bool{}
	for _, v := range g.Verdicts {
		key := v.Treatment.ID + " " + v.Target.Path
		if seen[key] {
			t.Errorf("%s has two verdicts", key)
		}
		seen[key] = true
		e := want[key]
		if v.Word != e.word {
			t.Errorf("%s: %s, by definition %s", key, v.Word, e.word)
		}
		if v.Word == Recommended || v.Word == Possible {
			if v.Least != e.least || v.Most != e.most {
				t.Errorf("%s: support %v to %v, by definition %v to %v", key, v.Least, v.Most, e.least, e.most)
			}
		}
		if v.Word == TestFirst {
			if got := named(g, v.Open); !slices.Equal(got, e.deciding) && !hasUnlisted(g) {
				t.Errorf("%s hangs on %v, by definition %v", key, got, e.deciding)
			}
		}
	}
	if len(seen) != len(want) {
		t.Errorf("%d verdicts, by definition %d", len(seen), len(want))
	}
	return g.Verdicts
}

// hasUnlisted tells whether some list is open: completions then differ in which questions they have, and the oracle's
// pairs do not line up.
func hasUnlisted(g *Judgement) bool {
	return slices.ContainsFunc(g.Case.Things, func(t *evidence.Thing) bool { return t.Unlisted })
}

func named(g *Judgement, numbers []int) []string {
	var names []string
	for _, n := range numbers {
		names = append(names, g.Case.Asks[n].Thing.Path+" "+g.Case.Asks[n].Question.ID)
	}
	slices.Sort(names)
	return names
}

// TestFormulaAgainstWholeRules: V2. With unknowns placed as values, cel-go's evaluation of a whole rule and our formula
// agree: whatever cel-go knows we know, and the same. Our formula may know more where cel-go's ?: and sums give up.
func TestFormulaAgainstWholeRules(t *testing.T) {
	compared, known, gap := 0, 0, 0
	each(t, 12, func(t *testing.T, w *worlds.World, n int) {
		book := w.Book(t, n%7)
		c := evidence.Gather(w.Pack, book, time.Time{})
		if slices.ContainsFunc(c.Things, func(t *evidence.Thing) bool { return t.Unlisted && !c.Asks[t.Listed].Answer.Known && t.Kind == "ink" }) {
			return // cel-go has no notion of a thing that may not be there
		}
		g := judged(t, c)
		o := newOracle(t, w.Pack)
		o.facts(c)
		for _, v := range g.Verdicts {
			for _, i := range v.Instances {
				whole := o.eval(c, i.Rule.Text, pack.Scope(v.Treatment.Of, eachOf(i.Rule, v.Treatment)), i.Target, i.Thing)
				compared++
				if whole != cond.Open {
					known++
				}
				weak := strings.Contains(i.Rule.Text, "?") || strings.Contains(i.Rule.Text, "atLeast") || strings.Contains(i.Rule.Text, "poor") || strings.Contains(i.Rule.Text, "frail")
				if whole != i.Value && (whole != cond.Open || !weak) {
					t.Errorf("%s of %s: cel-go says %v, the formula %v", i.Rule.Text, i.Thing.Path, whole, i.Value)
				}
				if whole == cond.Open && i.Value != cond.Open {
					gap++
				}
			}
		}
	})
	t.Logf("%d rule instances compared, %d known to cel-go, %d more known to the formula", compared, known, gap)
}

// TestSettledStaysSettled: V3 and V8. Answers are added one by one; then taken away at random.
func TestSettledStaysSettled(t *testing.T) {
	steps := 0
	each(t, 12, func(t *testing.T, w *worlds.World, n int) {
		full := w.Book(t, 0)
		kept := *full
		before := map[string]Word{}
		order := w.Rnd.Perm(len(full.Results))
		kept.Results = nil
		for _, r := range full.Results { // kinds and lists are not tests
			if r.Question.Name == "kind" || r.Question.Measured || strings.HasSuffix(r.Question.Name, "_listed") {
				kept.Results = append(kept.Results, r)
			}
		}
		for _, k := range order {
			r := full.Results[k]
			if r.Question.Name == "kind" || r.Question.Measured || strings.HasSuffix(r.Question.Name, "_listed") {
				continue
			}
			kept.Results = append(kept.Results, r)
			g := judged(t, evidence.Gather(w.Pack, &kept, time.Time{}))
			if len(g.Contradictions) > 0 {
				return
			}
			for _, v := range g.Verdicts {
				key := v.Treatment.ID + " " + v.Target.Path
				if was, ok := before[key]; ok {
					steps++
					checkSettled(t, key, was, v.Word)
				}
				before[key] = v.Word
			}
		}
	})
	t.Logf("%d steps from fewer answers to more", steps)
}

func clear(w Word) bool { return w == Recommended || w == Possible }

// checkSettled: with more answers, ruled out and recommended stay, clear stays clear (or turns out not to be needed), and
// no need can only become ruled out. Read backwards it is V8: with fewer answers nothing turns clear.
func checkSettled(t *testing.T, key string, was, is Word) {
	t.Helper()
	broken := (was == RuledOut || was == Recommended) && is != was ||
		was == Possible && !clear(is) && is != NoNeed ||
		was == NoNeed && is != NoNeed && is != RuledOut
	if broken {
		t.Errorf("%s went from %s to %s when an answer was added", key, was, is)
	}
}

// TestOrderCannotMatter: V6. Rules, files, answers and inks in another order give the same bytes.
func TestOrderCannotMatter(t *testing.T) {
	each(t, 3, func(t *testing.T, w *worlds.World, n int) {
		book := w.Book(t, 3)
		want := said(judged(t, evidence.Gather(w.Pack, book, time.Time{})))
		for range 3 {
			lines := strings.Split(strings.TrimRight(w.YAML, "\n"), "\n")
			shuffleRules(w.Rnd, lines)
			p := worlds.Load(t, strings.Join(lines, "\n"))
			shuffled := *book
			shuffled.Results = slices.Clone(book.Results)
			w.Rnd.Shuffle(len(shuffled.Results), func(i, j int) {
				shuffled.Results[i], shuffled.Results[j] = shuffled.Results[j], shuffled.Results[i]
			})
			for i := range shuffled.Results {
				shuffled.Results[i].Question = p.Vocabulary.Question(shuffled.Results[i].Question.ID)
			}
			if got := said(judged(t, evidence.Gather(p, &shuffled, time.Time{}))); got != want {
				t.Errorf("in another order:\n%s\nwas:\n%s", got, want)
			}
		}
	})
}

func shuffleRules(rnd *rand.Rand, lines []string) {
	start := slices.Index(lines, "rules:") + 1
	rules := lines[start:]
	rnd.Shuffle(len(rules), func(i, j int) { rules[i], rules[j] = rules[j], rules[i] })
}

// said writes everything a judgement says.
func said(g *Judgement) string {
	var b strings.Builder
	for _, v := range g.Verdicts {
		fmt.Fprintf(&b, "%d %s %s %s either=%v %v..%v open=%v called=%v serves=%v unordered=%v\n", v.Rank, v.Treatment.ID, v.Target.Path, v.Word,
			v.EitherWay, v.Least, v.Most, named(g, v.Open), v.CalledFor, v.ServesAim, v.Unordered)
		for _, i := range v.Instances {
			fmt.Fprintf(&b, "  %s %s %v\n", i.Rule.ID, i.Thing.Path, i.Value)
		}
	}
	return b.String()
}

// TestNothingLiftsARulingOut: V7. Whatever the weights and aims, the same is ruled out.
func TestNothingLiftsARulingOut(t *testing.T) {
	draws := 0
	each(t, 3, func(t *testing.T, w *worlds.World, n int) {
		book := w.Book(t, n)
		out := ruledOut(judged(t, evidence.Gather(w.Pack, book, time.Time{})))
		for range 12 {
			other := *book
			other.Weights = map[string]float64{"life": w.Rnd.Float64(), "looks": w.Rnd.Float64()}
			other.Aims = [][]string{{}, {"clean"}, {"whole"}, {"clean", "whole"}}[w.Rnd.IntN(4)]
			draws++
			if got := ruledOut(judged(t, evidence.Gather(w.Pack, &other, time.Time{}))); got != out {
				t.Errorf("ruled out with other weights and aims: %s; before: %s", got, out)
			}
		}
	})
	t.Logf("%d draws of weights and aims", draws)
}

func ruledOut(g *Judgement) string {
	var list []string
	for _, v := range g.Verdicts {
		if v.Word == RuledOut {
			list = append(list, v.Treatment.ID+" "+v.Target.Path)
		}
	}
	slices.Sort(list)
	return strings.Join(list, ", ")
}
