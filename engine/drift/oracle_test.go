package drift

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/worlds"
	"tideline/rules/pack"
)

// texts are a pack and a record as written, and textEdit a single edit of either. The oracle of this file mixes sides by
// editing texts and loading them anew, so that it shares nothing with the mixer but the loaders and the judge.
type texts struct{ pack, book string }

type textEdit struct {
	name string
	make func(texts) texts
	is   func(Item) bool // which item it is
}

func (x texts) judge(t *testing.T) *judge.Judgement {
	t.Helper()
	p := worlds.Load(t, x.pack)
	g, err := judge.Judge(evidence.Gather(p, worlds.Parse(t, p, x.book), time.Time{}))
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// lines gives the lines of a text that start with a prefix.
func lines(text, prefix string) (found []string) {
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, prefix) {
			found = append(found, line)
		}
	}
	return found
}

func swap(was, is string) func(string) string {
	return func(s string) string { return strings.Replace(s, was, is, 1) }
}

func onPack(change func(string) string) func(texts) texts {
	return func(x texts) texts { return texts{change(x.pack), x.book} }
}

func onBook(change func(string) string) func(texts) texts {
	return func(x texts) texts { return texts{x.pack, change(x.book)} }
}

func isEdit(of pack.EditOf, id string) func(Item) bool {
	return func(i Item) bool { return i.Edit != nil && i.Edit.Of == of && i.Edit.ID == id }
}

func isAnswer(line string) func(Item) bool {
	var question, path string
	fmt.Sscanf(strings.NewReplacer("{", "", "}", "", ",", "").Replace(line), "  - test: %s on: %s", &question, &path)
	return func(i Item) bool { return i.Path == path && i.Question != nil && i.Question.ID == question }
}

// randomEdits makes edits of a world and a book, no two of the same line.
func randomEdits(w *worlds.World, x texts, n int) (edits []textEdit) {
	rules := lines(x.pack[strings.Index(x.pack, "\nrules:"):], "  ")
	w.Rnd.Shuffle(len(rules), func(i, j int) { rules[i], rules[j] = rules[j], rules[i] })
	tests := lines(x.book, "  - {test: ")
	w.Rnd.Shuffle(len(tests), func(i, j int) { tests[i], tests[j] = tests[j], tests[i] })
	for len(edits) < n {
		id, _, _ := strings.Cut(strings.TrimSpace(rules[0]), ":")
		answer := tests[0]
		switch k := w.Rnd.IntN(10); {
		case k == 0 && len(rules) > 1:
			edits = append(edits, textEdit{"drop " + id, onPack(swap(rules[0], "")), isEdit(pack.OfRule, id)})
			rules = rules[1:]
		case k <= 2 && len(rules) > 1 && id != "needs":
			edits = append(edits, textEdit{"change " + id, onPack(swap(rules[0], w.RuleText(id))), isEdit(pack.OfRule, id)})
			rules = rules[1:]
		case k <= 4:
			id := fmt.Sprintf("n%d", len(edits))
			edits = append(edits, textEdit{"add " + id, onPack(swap("\nrules:\n", "\nrules:\n"+w.RuleText(id))), isEdit(pack.OfRule, id)})
		case k == 5 && strings.Contains(x.pack, "\n  ink.frail") && !slices.ContainsFunc(edits, func(e textEdit) bool { return e.name == "fact" }):
			line := lines(x.pack, "  ink.frail: ")[0]
			edits = append(edits, textEdit{"fact", onPack(swap(line, "  ink.frail: {is: 'ink.old || ink.dry < 4', says: frail, standing: house}\n")), isEdit(pack.OfFact, "ink.frail")})
		case k == 6 && !slices.ContainsFunc(edits, func(e textEdit) bool { return e.name == "ink" }):
			edits = append(edits, textEdit{"ink", onBook(addInk), func(i Item) bool { return i.Path == "cover/outside/i9" }})
		case k == 7 && len(tests) > 1:
			edits = append(edits, textEdit{"forget " + answer, onBook(swap(answer, "")), isAnswer(answer)})
			tests = tests[1:]
		case len(tests) > 1:
			edits = append(edits, textEdit{"correct " + answer, onBook(swap(answer, otherAnswer(answer))), isAnswer(answer)})
			tests = tests[1:]
		default:
			return edits
		}
	}
	return edits
}

// addInk adds an ink to the outside of the cover, with an answer.
func addInk(book string) string {
	at := strings.Index(book, "    outside:\n")
	head, tail := book[:at], book[at:]
	open := "inks: {"
	if !strings.Contains(tail, "inks: {}") || strings.Index(tail, "inks: {}") != strings.Index(tail, open) {
		tail = strings.Replace(tail, open, "inks: {i9: {kind: pen}, ", 1)
	} else {
		tail = strings.Replace(tail, open, "inks: {i9: {kind: pen}", 1)
	}
	return head + tail + "  - {test: ink.wet, on: cover/outside/i9, grade: 2}\n"
}

func otherAnswer(line string) string {
	for _, pair := range [][2]string{{"yes: yes", "yes: no"}, {"yes: no", "yes: yes"}, {"grade: 5", "grade: 2"}, {"number: 4", "number: 9"}} {
		if strings.Contains(line, pair[0]) {
			return strings.Replace(line, pair[0], pair[1], 1)
		}
	}
	i := strings.LastIndex(line, ": ")
	return line[:i] + ": 5}\n"
}

// TestMixtures: every mixture of up to six edits is judged as the texts edited by hand are, and the sets named are those
// that going through all mixtures gives (D1, D2). With the sides swapped, what is enough and what is needed are swapped (D3).
func TestMixtures(t *testing.T) {
	mixtures, findings, classes := 0, 0, map[Class]int{}
	for seed := range 40 {
		w := worlds.New(t, rand.New(rand.NewPCG(uint64(seed), 31)))
		old := texts{w.YAML, w.BookText(w.Rnd.IntN(4))}
		edits := randomEdits(w, old, 2+w.Rnd.IntN(5))
		made := make([]*judge.Judgement, 1<<len(edits))
		for s := range made {
			x := old
			for i, e := range edits {
				if s>>i&1 == 1 {
					x = e.make(x)
				}
			}
			made[s] = x.judge(t)
		}
		r, err := Compare(made[0], made[len(made)-1], Options{})
		if err != nil {
			t.Fatal(err)
		}
		m := newMixer(sideOf(made[0]), sideOf(made[len(made)-1]))
		at := placesOfEdits(t, m, edits)
		if len(at) != len(m.list) {
			t.Fatalf("seed %d: edits %v, items %v", seed, names(edits), m.list)
		}
		words := make([]map[Key]judge.Word, len(made))
		for s := range made {
			c := make(choice, len(m.list))
			for i, j := range at {
				c[j] = s>>i&1 == 1
			}
			words[s] = wordsOf(made[s])
			for k, want := range union(words[s], words[0]) {
				want = words[s][k]
				for _, only := range []*bond{nil, m.bond(k.Treatment)} {
					mixtures++
					if got, err := m.word(c, k, only); err != nil || got != want {
						t.Fatalf("seed %d: %v with %s made is %q, mixed it is %q (%v)\n%s", seed, k, subset(edits, s), want, got, err, old.pack+old.book)
					}
				}
			}
		}
		back, err := Compare(made[len(made)-1], made[0], Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range r.Findings {
			findings++
			classes[f.Class]++
			checkFinding(t, fmt.Sprintf("seed %d", seed), m, at, words, f)
			checkSwapped(t, f, back)
		}
		if r.Changed != back.Changed {
			t.Errorf("seed %d: %d verdicts changed, swapped %d", seed, r.Changed, back.Changed)
		}
	}
	t.Logf("%d mixtures, %d findings: %v", mixtures, findings, classes)
	for _, c := range []Class{One, Together, Either, Returned} {
		if classes[c] == 0 {
			t.Errorf("no finding is %q: the worlds are too narrow", c)
		}
	}
}

func names(edits []textEdit) (list []string) {
	for _, e := range edits {
		list = append(list, e.name)
	}
	return list
}

func subset(edits []textEdit, s int) []string {
	var made []textEdit
	for i, e := range edits {
		if s>>i&1 == 1 {
			made = append(made, e)
		}
	}
	return names(made)
}

// placesOfEdits gives the place in the mixer's list of each edit; edits that change nothing have none.
func placesOfEdits(t *testing.T, m *mixer, edits []textEdit) map[int]int {
	t.Helper()
	at := map[int]int{}
	for i, e := range edits {
		if j := slices.IndexFunc(m.list, e.is); j >= 0 {
			at[i] = j
		}
	}
	return at
}

// checkFinding holds a finding against the words of every mixture.
func checkFinding(t *testing.T, where string, m *mixer, at map[int]int, words []map[Key]judge.Word, f Finding) {
	t.Helper()
	item := map[int]int{} // place in list to bit
	for bit, place := range at {
		item[place] = bit
	}
	v := func(places []int) judge.Word {
		s := 0
		for _, p := range places {
			s |= 1 << item[p]
		}
		return words[s][f.Key]
	}
	all := indices(len(m.list))
	if f.Class == Returned {
		for _, r := range f.Returns {
			moved := placesIn(m, r.Moved)
			if got := v(moved); got != r.To || got == f.Is || len(r.Back) == 0 {
				t.Errorf("%s: %v: %v moves it to %q, said %q", where, f.Key, r.Moved, got, r.To)
			}
			rest := slices.DeleteFunc(slices.Clone(all), func(i int) bool { return slices.Contains(moved, i) })
			want := minimal(rest, func(set []int) bool { return v(slices.Concat(moved, set)) == f.Is })
			if got := places(m, r.Back); fmt.Sprint(got) != fmt.Sprint(want) {
				t.Errorf("%s: %v moved by %v is moved back by %v, said %v", where, f.Key, moved, want, got)
			}
		}
		return
	}
	without := func(set []int) []int {
		return slices.DeleteFunc(slices.Clone(all), func(i int) bool { return slices.Contains(set, i) })
	}
	enough := withinFactors(m, func(set []int) bool { return v(set) == f.Is })
	needed := withinFactors(m, func(set []int) bool { return v(without(set)) == f.Was })
	if got := places(m, f.Enough); fmt.Sprint(got) != fmt.Sprint(enough) {
		t.Errorf("%s: %v from %q to %q: enough is %v, said %v", where, f.Key, f.Was, f.Is, enough, got)
	}
	if got := places(m, f.Needed); fmt.Sprint(got) != fmt.Sprint(needed) {
		t.Errorf("%s: %v from %q to %q: needed is %v, said %v", where, f.Key, f.Was, f.Is, needed, got)
	}
}

// withinFactors is the definition: smallest sets of whole factors, and within each the smallest sets of items.
func withinFactors(m *mixer, is func([]int) bool) (sets [][]int) {
	of := func(factors []int) (items []int) {
		for i, item := range m.list {
			if slices.Contains(factors, int(item.Factor)) {
				items = append(items, i)
			}
		}
		return items
	}
	for _, factors := range minimal([]int{0, 1, 2}, func(set []int) bool { return is(of(set)) }) {
		sets = append(sets, minimal(of(factors), is)...)
	}
	return bySize(sets)
}

// minimal goes through every set and keeps those that are as asked and have no proper part that is. An item that can be
// left out of a set is in none, so that of items nothing hangs on none is told.
func minimal(of []int, is func([]int) bool) (sets [][]int) {
	for bits := 1; bits < 1<<len(of); bits++ {
		var set []int
		for i, v := range of {
			if bits>>i&1 == 1 {
				set = append(set, v)
			}
		}
		if is(set) {
			sets = append(sets, set)
		}
	}
	whole := slices.Clone(sets)
	return bySize(slices.DeleteFunc(sets, func(s []int) bool {
		return slices.ContainsFunc(whole, func(o []int) bool { return len(o) < len(s) && holdsAll([][]int{o}, s) })
	}))
}

func bySize(sets [][]int) [][]int {
	slices.SortFunc(sets, func(a, b []int) int {
		if len(a) != len(b) {
			return len(a) - len(b)
		}
		return slices.Compare(a, b)
	})
	return sets
}

func placesIn(m *mixer, set Set) (list []int) {
	for i := range m.list {
		if slices.ContainsFunc(set, func(o Item) bool { return alike(o, m.list[i]) }) {
			list = append(list, i)
		}
	}
	return list
}

// alike tells whether two items of different comparisons of the same sides are one.
func alike(a, b Item) bool {
	edit := func(i Item) string {
		if i.Edit == nil {
			return ""
		}
		return string(i.Edit.Of) + i.Edit.ID
	}
	return a.Factor == b.Factor && a.Path == b.Path && questionID(a) == questionID(b) && edit(a) == edit(b)
}

func places(m *mixer, sets []Set) (list [][]int) {
	for _, s := range sets {
		list = append(list, placesIn(m, s))
	}
	return bySize(list)
}

// checkSwapped: with the sides swapped, what is enough and what is needed are swapped.
func checkSwapped(t *testing.T, f Finding, back *Report) {
	t.Helper()
	i := slices.IndexFunc(back.Findings, func(o Finding) bool { return o.Key == f.Key })
	if f.Class == Returned { // swapped, it may have been moved only by several edits at once
		return
	}
	if i < 0 {
		t.Fatalf("%v is not found with the sides swapped", f.Key)
	}
	o := back.Findings[i]
	for _, pair := range [][2][]Set{{f.Enough, o.Needed}, {f.Needed, o.Enough}} {
		if !slices.EqualFunc(sorted(pair[0]), sorted(pair[1]), slices.Equal) {
			t.Errorf("%v: %v is not %v with the sides swapped", f.Key, sorted(pair[0]), sorted(pair[1]))
		}
	}
}

// sorted names sets by what they are of, whichever way they go.
func sorted(sets []Set) (list [][]string) {
	for _, s := range sets {
		var ids []string
		for _, i := range s {
			id := i.Path + " " + questionID(i)
			if i.Edit != nil {
				id = string(i.Edit.Of) + " " + i.Edit.ID
			}
			ids = append(ids, id)
		}
		slices.Sort(ids)
		list = append(list, ids)
	}
	slices.SortFunc(list, slices.Compare)
	return list
}
