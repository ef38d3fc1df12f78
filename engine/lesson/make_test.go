package lesson

import (
	"fmt"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"tideline/engine/dose"
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/verify"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
)

// examples judges some of the example books by the shipped pack, for the last day each mentions.
func examples(t testing.TB, names string) map[string]*judge.Judgement {
	t.Helper()
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.Trim(layer)}, faults, dose.Functions()...)
	paths, _ := filepath.Glob("../../testdata/books/" + names)
	books := map[string]*judge.Judgement{}
	for _, path := range paths {
		b := record.Load(path, nil, record.WordsOf(p), time.Time{}, faults)
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		books[filepath.Base(path)] = judged(t, evidence.Gather(p, b, time.Time{}))
	}
	if len(books) == 0 {
		t.Fatal("no example books")
	}
	return books
}

// some names the example books that tests go through: all, or in a hurry a few.
func some() string {
	if testing.Short() {
		return "[hlt]*.yaml"
	}
	return "*.yaml"
}

// lantern is one of them.
func lantern(t testing.TB) *judge.Judgement {
	t.Helper()
	return examples(t, "lantern-street-4.yaml")["lantern-street-4.yaml"]
}

// run makes so many exercises, each taken as answered right.
func run(t testing.TB, g *judge.Judgement, seed uint64, notes *Notes, many int) (list []*Exercise) {
	t.Helper()
	m, err := NewMaker(g, seed, notes)
	if err != nil {
		t.Fatal(err)
	}
	for range many {
		e, err := m.Next()
		if err != nil {
			t.Fatal(err)
		}
		if e == nil {
			break
		}
		list = append(list, e)
		for _, topic := range e.Topics() {
			notes.Took(topic, true)
		}
	}
	return list
}

// told is all that an exercise shows of itself, but for answers told that decide nothing: no two of a run may be the same.
func told(e *Exercise) string {
	s := fmt.Sprint(e.Kind, e.Hidden, e.Asks)
	if e.Changed != nil {
		s += fmt.Sprint(e.Changed.Thing.Path, e.Changed.Question.ID, e.Changed.Answer)
	}
	for _, v := range append(slices.Clip(e.Verdicts), e.Verdict) {
		if v != nil {
			s += v.Treatment.ID + v.Target.Path
		}
	}
	for _, p := range e.Principles {
		s += p.ID
	}
	return s
}

// TestExercises makes exercises of every example book. Each has proofs that hold, shows what its verdict rests on, is
// unlike all others of its run, and takes the answer that the judgement gives; a changed book has a verdict turned by the
// change. All kinds come up.
func TestExercises(t *testing.T) {
	kinds, changed, all := map[Kind]int{}, 0, 0
	for name, g := range examples(t, some()) {
		seen := map[string]bool{}
		for _, e := range run(t, g, 7, &Notes{}, 20) {
			all++
			kinds[e.Kind]++
			at := name + ": " + told(e)
			if seen[told(e)] {
				t.Errorf("%s: comes twice", at)
			}
			seen[told(e)] = true
			if e.Verdict != nil {
				if _, err := verify.New(e.Judgement).Check(e.Judgement.Prove(e.Verdict)); err != nil {
					t.Errorf("%s: %v", at, err)
				}
			}
			if len(e.Shown) > 3*mostShown || slices.Contains(e.Shown, e.Hidden) {
				t.Errorf("%s: shows %v and hides %d", at, e.Shown, e.Hidden)
			}
			if e.Changed != nil {
				changed++
				checkChanged(t, at, g, e)
			}
			for _, s := range right(t, e) {
				if m, err := e.Mark(s); err != nil || !m.Right {
					t.Errorf("%s: %+v is right and marked %+v, %v", at, s, m, err)
				}
			}
			checkWrong(t, at, e)
		}
	}
	t.Logf("%d exercises, %d of changed books: %v", all, changed, kinds)
	for _, k := range Kinds {
		if kinds[k] == 0 {
			t.Errorf("no exercise of the kind %s", k)
		}
	}
	if changed*4 < all {
		t.Errorf("only %d of %d are of changed books", changed, all)
	}
}

// checkChanged holds a changed book: some verdict is another than in the book as recorded.
func checkChanged(t *testing.T, at string, g *judge.Judgement, e *Exercise) {
	t.Helper()
	list := e.Judgement.Verdicts
	turned := slices.ContainsFunc(list, func(v *judge.Verdict) bool {
		was := g.Of(v.Treatment.ID, v.Target.Path)
		return was == nil || was.Word != v.Word
	})
	if !turned {
		t.Errorf("%s: the changed answer turns nothing", at)
	}
}

// right gives answers that are right by the judgement itself.
func right(t *testing.T, e *Exercise) []Said {
	t.Helper()
	switch e.Kind {
	case Verdict:
		return []Said{{Word: e.Verdict.Word}}
	case Reason:
		sets, _, err := e.Enough()
		if err != nil || len(sets) == 0 {
			t.Fatalf("no set is enough: %v", err)
		}
		list := []Said{{Picks: everyNameable(e)}}
		for _, s := range sets {
			list = append(list, Said{Picks: s})
		}
		return list
	case Answer:
		return []Said{{Answer: e.Judgement.Case.Asks[e.Hidden].Answer}}
	case Out:
		var picks []int
		for i, v := range e.Verdicts {
			if v.Word == judge.RuledOut {
				picks = append(picks, i)
			}
		}
		return []Said{{Picks: picks}}
	case Next:
		return []Said{{Picks: []int{slices.Index(e.Asks, e.Deciding()[0])}}}
	case Order:
		return []Said{{Picks: e.Orders()[0]}}
	}
	at := slices.IndexFunc(e.Principles, func(p *pack.Principle) bool { return p.ID == e.Lead.Rule.Principle })
	return []Said{{Picks: []int{at}}}
}

func everyNameable(e *Exercise) (list []int) {
	for n, a := range e.Judgement.Case.Asks {
		if Nameable(a) && a.Answer.Known {
			list = append(list, n)
		}
	}
	return list
}

// checkWrong gives wrong answers, and wants each refused with what is wrong with it.
func checkWrong(t *testing.T, at string, e *Exercise) {
	t.Helper()
	refused := func(s Said, told func(*Mark) bool) {
		t.Helper()
		if m, err := e.Mark(s); err != nil || m.Right || !told(m) {
			t.Errorf("%s: %+v is wrong and marked %+v, %v", at, s, m, err)
		}
	}
	switch e.Kind {
	case Verdict:
		for _, w := range Words {
			if w != e.Verdict.Word {
				refused(Said{Word: w}, func(m *Mark) bool { return m.Fails != nil })
			}
		}
	case Reason:
		sets, _, _ := e.Enough()
		for _, n := range sets[0] {
			rest := without(sets[0], n)
			refused(Said{Picks: rest}, func(m *Mark) bool { return m.Fails != nil })
		}
	case Answer:
		accepted, err := e.Accepted()
		if err != nil {
			t.Fatal(err)
		}
		cells, _ := e.Judgement.Case.Pack.Env.Cells(e.Judgement.Case.Asks[e.Hidden].Question)
		wrong := 0
		for _, c := range cells {
			if !slices.Contains(accepted, c.Some()) {
				wrong++
				refused(Said{Answer: c.Some()}, func(m *Mark) bool { return m.Fails != nil })
			}
		}
		if wrong == 0 {
			t.Errorf("%s: every answer is right", at)
		}
	case Out:
		picks := right(t, e)[0].Picks
		refused(Said{Picks: picks[1:]}, func(m *Mark) bool { return len(m.Missed) == 1 })
		for i, v := range e.Verdicts {
			if v.Word != judge.RuledOut {
				refused(Said{Picks: append(slices.Clone(picks), i)}, func(m *Mark) bool { return len(m.Wrong) == 1 && m.Wrong[0].Fails != nil })
			}
		}
	case Next:
		for i, n := range e.Asks {
			if !slices.Contains(e.Deciding(), n) {
				refused(Said{Picks: []int{i}}, func(m *Mark) bool { return slices.Equal(m.Idle, []int{n}) })
			}
		}
	case Order:
		back := slices.Clone(e.Orders()[0])
		slices.Reverse(back)
		refused(Said{Picks: back}, func(m *Mark) bool { return m.Broken != nil })
	case Principle:
		for i, p := range e.Principles {
			if p.ID != e.Lead.Rule.Principle {
				refused(Said{Picks: []int{i}}, func(*Mark) bool { return true })
			}
		}
	}
}

// TestNextCannotDecide goes through every answer to each question of a next exercise that is said to decide nothing: none
// of them moves the verdict from waiting, and each that is said to decide does, together with some answers to the others.
func TestNextCannotDecide(t *testing.T) {
	tried := 0
	for name, g := range examples(t, some()) {
		for _, e := range run(t, g, 3, &Notes{}, 12) {
			if e.Kind != Next {
				continue
			}
			tried++
			for _, n := range e.Asks {
				if !slices.Contains(e.Deciding(), n) && slices.Contains(e.Verdict.Open, n) {
					t.Errorf("%s: question %d is told as idle and the verdict hangs on it", name, n)
				}
			}
			checker := verify.New(e.Judgement)
			deciding, ok := checker.Deciding(e.Verdict)
			if !ok {
				continue
			}
			for _, n := range e.Asks {
				a := e.Judgement.Case.Asks[n]
				if !slices.Contains(e.Deciding(), n) && slices.Contains(deciding, n) {
					t.Errorf("%s: %s of %s is told as idle and decides", name, a.Question.ID, a.Thing.Path)
				}
			}
		}
	}
	if tried == 0 {
		t.Error("no exercise asks what to test next")
	}
}

// TestSameSeed: the same book, seed and notes give the same exercises; another seed gives others.
func TestSameSeed(t *testing.T) {
	g := lantern(t)
	all := func(seed uint64) (s string) {
		for _, e := range run(t, g, seed, &Notes{}, 12) {
			s += told(e) + "\n"
		}
		return s
	}
	if a, b := all(5), all(5); a != b {
		t.Errorf("one seed gave\n%s\nand\n%s", a, b)
	}
	if all(5) == all(6) {
		t.Error("two seeds gave the same")
	}
}

// TestAdapts: what went wrong last is asked for more often than before, and what is known less.
func TestAdapts(t *testing.T) {
	g := lantern(t)
	count := func(notes *Notes) map[Topic]int {
		n := map[Topic]int{}
		for seed := range uint64(20) {
			m, err := NewMaker(g, seed, notes)
			if err != nil {
				t.Fatal(err)
			}
			for range 3 {
				e, err := m.Next()
				if err != nil {
					t.Fatal(err)
				}
				for _, topic := range e.Topics() {
					n[topic]++
				}
			}
		}
		return n
	}
	var about Topic
	plain := count(&Notes{})
	for topic, n := range plain {
		if topic.About == AboutRule && (n > plain[about] || n == plain[about] && topic.ID < about.ID) {
			about = topic
		}
	}
	lapsed, known := &Notes{}, &Notes{}
	lapsed.Took(about, false)
	for range MaxStage {
		known.Took(about, true)
	}
	more, less := count(lapsed)[about], count(known)[about]
	t.Logf("%v: %d times, %d once it went wrong, %d once it is known", about, plain[about], more, less)
	if more <= plain[about] || less >= plain[about] {
		t.Error("what went wrong is not asked more often, or what is known not less")
	}
}

// TestFadesBackwards: of one rule first the verdict is asked, then the results, then the answer to look for.
func TestFadesBackwards(t *testing.T) {
	g := lantern(t)
	var about Topic
	for _, e := range run(t, g, 1, &Notes{}, 20) {
		if e.Kind == Answer {
			about = e.Topics()[0]
		}
	}
	for stage, want := range []Kind{Verdict, Reason, Answer} {
		notes := &Notes{}
		for range stage {
			notes.Took(about, true)
		}
		met := 0
		for seed := range uint64(8) {
			m, err := NewMaker(g, seed, notes)
			if err != nil {
				t.Fatal(err)
			}
			for range 4 {
				e, err := m.Next()
				if err != nil {
					t.Fatal(err)
				}
				if e == nil || e.Kind == Principle || e.Kind == Out || e.Verdict == nil || e.Verdict.Word != judge.RuledOut || topic(e.Verdict, e.Lead) != about {
					continue
				}
				met++
				if e.Kind != want && !(want == Answer && e.Kind == Reason) {
					t.Errorf("stage %d of %v asks for the %s", stage, about, e.Kind)
				}
			}
		}
		if met == 0 {
			t.Errorf("stage %d of %v never came", stage, about)
		}
	}
}

// TestContradiction: nothing is taught from a book whose answers cannot all be true.
func TestContradiction(t *testing.T) {
	g := *lantern(t)
	g.Contradictions = []judge.Contradiction{{}}
	if _, err := NewMaker(&g, 1, &Notes{}); err != ErrContradiction {
		t.Errorf("got %v", err)
	}
}
