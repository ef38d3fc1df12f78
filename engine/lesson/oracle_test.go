package lesson

import (
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/worlds"
	"tideline/rules/cond"
	"tideline/rules/vocab"
)

// howMany is on how many random packs marking is tried; TIDELINE_WORLDS asks for more.
func howMany() int {
	if n, err := strconv.Atoi(os.Getenv("TIDELINE_WORLDS")); err == nil {
		return n
	}
	if testing.Short() {
		return 30
	}
	return 120
}

func judged(t testing.TB, c *evidence.Case) *judge.Judgement {
	t.Helper()
	g, err := judge.Judge(c)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// table is every way in which some questions of a book could be answered, with what is ruled out in each.
type table struct {
	asks  []int
	cells [][]cond.Cell
	rows  []row
}

type row struct {
	at  []int // by question: which cell
	out map[string]bool
}

// mostRows keeps a table small enough to be made by judging the book anew for every row.
const mostRows = 1500

// completions makes the table of all open answers that can be given and of so many of the known ones as leave it small;
// nil where even the open ones are too many. Each row is a book with all of them answered, judged anew: what is ruled out
// in all rows that agree with what is known is ruled out by the definition.
func completions(t *testing.T, w *worlds.World, book *record.Book, c *evidence.Case) *table {
	tab := &table{}
	size := 1
	add := func(n int) bool {
		cells, _ := w.Pack.Env.Cells(c.Asks[n].Question)
		if size*len(cells) > mostRows {
			return false
		}
		size *= len(cells)
		tab.asks, tab.cells = append(tab.asks, n), append(tab.cells, cells)
		return true
	}
	var known []int
	for n, a := range c.Asks {
		switch {
		case a.Question == nil || a.Question.Name == "kind":
		case a.Answer.Known && Nameable(a):
			known = append(known, n)
		case a.Answer.Known:
		case unread(w, a.Question): // no condition tells its answers apart
		case a.Thing.Unlisted, a.Question.Measured:
			return nil // an open list: the worlds without are enough
		case !add(n):
			return nil
		}
	}
	w.Rnd.Shuffle(len(known), func(i, k int) { known[i], known[k] = known[k], known[i] })
	for _, n := range known {
		if len(tab.asks) < 7 {
			add(n)
		}
	}
	more := *book
	more.Results = slices.DeleteFunc(slices.Clone(book.Results), func(r record.Result) bool {
		return slices.ContainsFunc(tab.asks, func(n int) bool { return c.Asks[n].Question == r.Question && c.Asks[n].Thing.Record == r.Thing })
	})
	tab.fill(t, w, &more, c, nil)
	return tab
}

func unread(w *worlds.World, q *vocab.Question) bool {
	cells, _ := w.Pack.Env.Cells(q)
	return len(cells) == 1
}

func (tab *table) fill(t *testing.T, w *worlds.World, book *record.Book, c *evidence.Case, at []int) {
	if len(at) == len(tab.asks) {
		g := judged(t, evidence.Gather(w.Pack, book, c.On))
		if len(g.Contradictions) > 0 {
			return // no completion
		}
		out := map[string]bool{}
		for _, v := range g.Verdicts {
			if v.Word == judge.RuledOut {
				out[v.Treatment.ID+" "+v.Target.Path] = true
			}
		}
		tab.rows = append(tab.rows, row{slices.Clone(at), out})
		return
	}
	ask := c.Asks[tab.asks[len(at)]]
	kept := book.Results
	for i, cell := range tab.cells[len(at)] {
		book.Results = append(slices.Clip(kept), record.Result{Question: ask.Question, Thing: ask.Thing.Record, Answer: cell.Some()})
		tab.fill(t, w, book, c, append(at, i))
	}
	book.Results = kept
}

// cell gives which cell of a question the answer that stands lies in: the one that has it, else the one that passes the
// same comparisons.
func (tab *table) cell(w *worlds.World, c *evidence.Case, i int) int {
	ask := c.Asks[tab.asks[i]]
	for k, cell := range tab.cells[i] {
		if slices.Contains(cell.Answers, ask.Answer) {
			return k
		}
	}
	return slices.IndexFunc(tab.cells[i], func(cell cond.Cell) bool {
		return !slices.ContainsFunc(w.Pack.Env.Atoms(), func(a *cond.Atom) bool {
			return a.Test != nil && a.Reads[0].Question == ask.Question && a.Test.Holds(ask.Question, ask.Answer) != a.Test.Holds(ask.Question, cell.Some())
		})
	})
}

// fixes tells whether the named answers rule a treatment out in every row that has them.
func (tab *table) fixes(w *worlds.World, c *evidence.Case, named []int, key string) bool {
	for _, r := range tab.rows {
		agrees := true
		for i, n := range tab.asks {
			agrees = agrees && (!slices.Contains(named, n) || r.at[i] == tab.cell(w, c, i))
		}
		if agrees && !r.out[key] {
			return false
		}
	}
	return true
}

// TestMarksAgainstEveryCompletion: on random packs and books, every set of answers that fixes a ruling-out in all
// completions of the others is accepted as a reason, and every set that does not is refused with a first failing step.
// The oracle goes through all completions, each judged as a book with nothing open.
func TestMarksAgainstEveryCompletion(t *testing.T) {
	accepted, refused, sizes, kinds := 0, 0, map[int]int{}, map[FailKind]int{}
	for seed := range howMany() {
		w := worlds.New(t, rand.New(rand.NewPCG(uint64(seed), 21)))
		book := w.Book(t, seed%3)
		c := evidence.Gather(w.Pack, book, time.Time{})
		g := judged(t, c)
		if len(g.Contradictions) > 0 {
			continue
		}
		tab := completions(t, w, book, c)
		if tab == nil || len(tab.rows) == 0 {
			continue
		}
		for _, v := range g.Verdicts {
			if v.Word != judge.RuledOut {
				continue
			}
			key := v.Treatment.ID + " " + v.Target.Path
			e := ReasonFor(g, v)
			h, err := hold(g, v, func(a evidence.Ask) bool { return slices.Contains(tab.asks, c.Number(a.Thing, a.Question)) })
			if err != nil {
				t.Fatal(err)
			}
			for _, named := range subsets(known(c, tab.asks)) {
				want := tab.fixes(w, c, named, key)
				if got := h.enough(named); got != want {
					t.Fatalf("seed %d: %s by %v: the formulas say %v, the completions %v\n%s", seed, key, named, got, want, w.YAML)
				}
				// The whole exercise lets go of every answer not named; what the table leaves alone is named for it.
				m, err := e.Mark(Said{Picks: append(untabled(c, tab.asks), named...)})
				if err != nil {
					t.Fatalf("seed %d: %v", seed, err)
				}
				if m.Right != want {
					t.Fatalf("seed %d: %s by %v: marked %v, the completions say %v\n%s", seed, key, named, m.Right, want, w.YAML)
				}
				if want {
					accepted++
					checkEnough(t, e, m)
					sizes[len(m.Enough)]++
					continue
				}
				refused++
				if m.Fails == nil || !followed(m.Fails) {
					t.Fatalf("seed %d: %s by %v is refused without the step that fails: %+v", seed, key, named, m.Fails)
				}
				kinds[m.Fails.Kind]++
			}
		}
	}
	t.Logf("%d accepted by size of the part that is enough %v, %d refused %v", accepted, sizes, refused, kinds)
	if accepted < 4*howMany() || refused < 3*howMany() || sizes[1] == 0 || sizes[2] == 0 || kinds[ShouldHold] == 0 {
		t.Error("the worlds are too narrow")
	}
}

// checkEnough holds the part that is said to settle it alone: it is right by itself, and nothing can be left out of it.
func checkEnough(t *testing.T, e *Exercise, m *Mark) {
	t.Helper()
	alone, err := e.Mark(Said{Picks: m.Enough})
	if err != nil || !alone.Right || len(alone.Needless) > 0 {
		t.Fatalf("%v is said to be enough; marked by itself: %+v, %v", m.Enough, alone, err)
	}
	for _, n := range m.Enough {
		if less, err := e.Mark(Said{Picks: without(m.Enough, n)}); err != nil || less.Right {
			t.Fatalf("%v is said to be enough, and is so without %d: %v", m.Enough, n, err)
		}
	}
}

// followed tells whether a refusal leads from a rule that does not hold down its proof to a step with nothing below it that
// could be at fault.
func followed(f *Fails) bool {
	if f.Kind != ShouldHold {
		return f.Kind == Unread
	}
	ok := f.Reason.Value != cond.True && f.Path[0] == f.Reason && len(f.Path) > 1
	for i, p := range f.Path[1:] {
		ok = ok && slices.Contains(f.Path[i].Kids, p)
	}
	last := f.Last()
	return ok && (last.Step == judge.StepAtom || last.Step == judge.StepAnswer || len(last.Kids) == 0)
}

// known gives those of the questions that are answered.
func known(c *evidence.Case, asks []int) (list []int) {
	for _, n := range asks {
		if c.Asks[n].Answer.Known {
			list = append(list, n)
		}
	}
	return list
}

// untabled gives the answers that can be named and are in no table.
func untabled(c *evidence.Case, asks []int) (list []int) {
	for n, a := range c.Asks {
		if Nameable(a) && a.Answer.Known && !slices.Contains(asks, n) {
			list = append(list, n)
		}
	}
	return list
}

func subsets(list []int) (sets [][]int) {
	for bits := range 1 << len(list) {
		set := []int{}
		for i, n := range list {
			if bits>>i&1 == 1 {
				set = append(set, n)
			}
		}
		sets = append(sets, set)
	}
	return sets
}

// TestEverySmallestSet holds the list of smallest sets against all subsets: each is enough and none holds another that is,
// and every set that is enough holds one of them.
func TestEverySmallestSet(t *testing.T) {
	lists, sizes := 0, map[int]int{}
	for seed := range howMany() {
		w := worlds.New(t, rand.New(rand.NewPCG(uint64(seed), 22)))
		g := judged(t, evidence.Gather(w.Pack, w.Book(t, seed%4), time.Time{}))
		if len(g.Contradictions) > 0 {
			continue
		}
		for _, v := range g.Verdicts {
			if v.Word != judge.RuledOut {
				continue
			}
			h, err := hold(g, v, anything)
			if err != nil {
				t.Fatal(err)
			}
			if len(h.asks) > 9 {
				continue
			}
			sets, more := h.all()
			if more {
				t.Fatalf("seed %d: the search was cut short", seed)
			}
			lists++
			sizes[len(sets)]++
			for _, s := range subsets(h.asks) {
				holds := slices.ContainsFunc(sets, func(m []int) bool {
					return !slices.ContainsFunc(m, func(n int) bool { return !slices.Contains(s, n) })
				})
				if enough := h.enough(s); enough != holds {
					t.Fatalf("seed %d: %v is enough: %v; it holds one of %v: %v", seed, s, enough, sets, holds)
				}
			}
		}
	}
	t.Logf("%d lists by length %v", lists, sizes)
	if lists < howMany()/4 || sizes[2] == 0 {
		t.Error("the worlds are too narrow")
	}
}
