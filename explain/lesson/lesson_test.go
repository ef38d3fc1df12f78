package lesson

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"tideline/engine/dose"
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/lesson"
	"tideline/engine/record"
	"tideline/explain/account"
	"tideline/explain/text"
	"tideline/explain/words"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
)

var page = text.Style{Width: 10000} // so that no phrase is broken

// judgements judges example books by the shipped pack, for the last day each mentions.
func judgements(t *testing.T, names ...string) (list []*judge.Judgement) {
	t.Helper()
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.Trim(layer)}, faults, dose.Functions()...)
	for _, name := range names {
		b := record.Load("../../testdata/books/"+name+".yaml", nil, record.WordsOf(p), time.Time{}, faults)
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, g)
	}
	return list
}

func maker(t *testing.T, g *judge.Judgement, seed uint64, notes *lesson.Notes) *lesson.Maker {
	t.Helper()
	m, err := lesson.NewMaker(g, seed, notes)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// answers gives what tells the answer to an exercise: any of these in a hint gives it away.
func answers(t *testing.T, e *lesson.Exercise) (list []string) {
	t.Helper()
	g := e.Judgement
	switch e.Kind {
	case lesson.Verdict:
		list = append(list, string(e.Verdict.Word))
	case lesson.Reason:
		sets, _, err := e.Enough()
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range sets[0] {
			list = append(list, words.Path(g.Case.Asks[n]), g.Case.Asks[n].Question.Asks)
		}
	case lesson.Answer:
		accepted, err := e.Accepted()
		if err != nil {
			t.Fatal(err)
		}
		q := g.Case.Asks[e.Hidden].Question
		list = append(list, "with "+words.Ranges(q, accepted, account.Points(g.Case, q))+".", "Answer: "+q.Text(accepted[0]))
	case lesson.Principle:
		list = append(list, e.Lead.Rule.Principle, g.Case.Pack.Principle(e.Lead.Rule.Principle).Says)
	case lesson.Order:
		for _, v := range e.Verdicts {
			list = append(list, v.Treatment.Name)
		}
	case lesson.Out:
		for _, v := range e.Verdicts {
			if v.Word == judge.RuledOut {
				list = append(list, words.On(v.Treatment.Name, v.Target.Path))
			}
		}
	case lesson.Next:
		for _, n := range e.Deciding() {
			a := g.Case.Asks[n]
			list = append(list, words.Asked(a.Question.Asks, words.Thing(a.Thing)))
		}
	}
	return list
}

// hidden gives what the page of an exercise must not hold, "" when the page lists right and wrong alike.
func hidden(e *lesson.Exercise) (list []string) {
	switch e.Kind {
	case lesson.Verdict:
		list = append(list, words.Judged(e.Verdict.Treatment.Name, e.Verdict.Target.Path, string(e.Verdict.Word)))
	case lesson.Answer:
		a := e.Judgement.Case.Asks[e.Hidden]
		list = append(list, words.Answered(words.Thing(a.Thing), a.Question.Asks, words.Answer(a)), "Supposed: "+a.Question.Text(a.Answer)+";")
	}
	if e.Kind != lesson.Principle && e.Lead != nil {
		list = append(list, e.Lead.Rule.Because, e.Lead.Rule.ID)
	}
	return list
}

// TestNothingIsTold: no page and no hint before the last tells the answer, and the last does; what is told after an
// exercise does not tell the principle that is asked next.
func TestNothingIsTold(t *testing.T) {
	kinds := map[lesson.Kind]int{}
	for _, g := range judgements(t, "lantern-street-4", "harbour-almanac", "ropewalk-review") {
		notes := &lesson.Notes{}
		m := maker(t, g, 9, notes)
		for range 25 {
			e, err := m.Next()
			if err != nil || e == nil {
				t.Fatal(e, err)
			}
			e.Note(notes, nil, lesson.Right)
			kinds[e.Kind]++
			shown := text.Exercise(e, 1, 1, page)
			for _, s := range hidden(e) {
				if strings.Contains(shown, s) {
					t.Errorf("%s: the page tells %q:\n%s", e.Kind, s, shown)
				}
			}
			checkHints(t, e)
			solution, err := text.Solution(e, nil, page)
			if err != nil {
				t.Fatal(err)
			}
			if e.PrincipleNext && strings.Contains(solution, g.Case.Pack.Principle(e.Lead.Rule.Principle).Says) {
				t.Errorf("the answer tells the principle that is asked next:\n%s", solution)
			}
			if e.Lead != nil && e.Kind != lesson.Principle && !strings.Contains(solution, e.Lead.Rule.Because) && e.Verdict != nil && !e.Verdict.EitherWay {
				t.Errorf("the answer does not say why:\n%s", solution)
			}
		}
	}
	for _, k := range lesson.Kinds {
		if kinds[k] == 0 {
			t.Errorf("no exercise of the kind %s", k)
		}
	}
}

func checkHints(t *testing.T, e *lesson.Exercise) {
	t.Helper()
	hints, err := Hints(e)
	if err != nil || len(hints) < 2 {
		t.Fatalf("%s: hints %q, %v", e.Kind, hints, err)
	}
	last := hints[len(hints)-1]
	for _, h := range hints[:len(hints)-1] {
		for _, s := range answers(t, e) {
			if strings.Contains(h, s) {
				t.Errorf("%s: the hint %q tells %q", e.Kind, h, s)
			}
		}
	}
	for _, s := range answers(t, e)[:1] {
		if s = strings.TrimSuffix(strings.TrimPrefix(s, "with "), "."); !strings.Contains(last, s) {
			t.Errorf("%s: the last hint %q does not tell %q", e.Kind, last, s)
		}
	}
	if e.Kind == lesson.Answer { // what is said not to do does not
		accepted, _ := e.Accepted()
		q := e.Judgement.Case.Asks[e.Hidden].Question
		for _, a := range accepted {
			if strings.Contains(hints[1], " "+q.Text(a)+".") {
				t.Errorf("the hint %q names an answer that does", hints[1])
			}
		}
	}
}

// apprentice types the right answer to every exercise, by number, by name or as a word.
type apprentice struct {
	t       *testing.T
	maker   *lesson.Maker
	notes   *lesson.Notes
	pending string
	byName  bool
}

func (a *apprentice) Read(b []byte) (int, error) {
	if a.pending == "" {
		e, err := a.maker.Next()
		if err != nil || e == nil {
			return 0, io.EOF
		}
		a.pending = a.right(e) + "\n"
		e.Note(a.notes, nil, lesson.Right)
	}
	n := copy(b, a.pending)
	a.pending = a.pending[n:]
	return n, nil
}

func (a *apprentice) right(e *lesson.Exercise) string {
	var picks []int
	switch e.Kind {
	case lesson.Verdict:
		return strings.ToUpper(string(e.Verdict.Word))
	case lesson.Answer:
		c := e.Judgement.Case.Asks[e.Hidden]
		return c.Question.Text(c.Answer)
	case lesson.Reason:
		sets, _, err := e.Enough()
		if err != nil {
			a.t.Fatal(err)
		}
		var names []string
		for _, n := range sets[0] {
			names = append(names, words.Path(e.Judgement.Case.Asks[n]))
		}
		return strings.Join(names, ", ")
	case lesson.Out:
		for i, v := range e.Verdicts {
			if v.Word == judge.RuledOut {
				picks = append(picks, i)
			}
		}
	case lesson.Next:
		for i, n := range e.Asks {
			if n == e.Deciding()[0] {
				picks = append(picks, i)
			}
		}
	case lesson.Order:
		picks = e.Orders()[0]
	case lesson.Principle:
		for i, p := range e.Principles {
			if p.ID == e.Lead.Rule.Principle {
				picks = append(picks, i)
			}
		}
	}
	a.byName = !a.byName
	var list []string
	for _, i := range picks {
		if a.byName {
			list = append(list, choices(e)[i][0])
		} else {
			list = append(list, fmt.Sprint(i+1))
		}
	}
	return strings.Join(list, ", ")
}

// TestPerfectApprentice: whoever types every answer right gets every point, however it is typed; the notes of the run are
// what a second run with the same seed and answers comes to.
func TestPerfectApprentice(t *testing.T) {
	for _, g := range judgements(t, "lantern-street-4", "salt-marsh-songs") {
		saved := 0
		typing := &apprentice{t: t, maker: maker(t, g, 3, &lesson.Notes{})}
		typing.notes = &lesson.Notes{}
		typing.maker = maker(t, g, 3, typing.notes)
		notes := &lesson.Notes{}
		var out strings.Builder
		s := &Session{
			Maker: maker(t, g, 3, notes), Notes: notes, Save: func(*lesson.Notes) error { saved++; return nil },
			Questions: 20, Style: page, In: typing, Out: &out, Echo: true,
		}
		sheet := &lesson.Sheet{Title: g.Case.Book.Title, Seed: 3}
		if err := s.Run(sheet); err != nil {
			t.Fatal(err)
		}
		if len(sheet.Rows) != 20 || saved != 20 || sheet.Points() != 20 {
			t.Errorf("%s: %d exercises, saved %d times, %v points\n%s", g.Case.Book.Title, len(sheet.Rows), saved, sheet.Points(), out.String())
		}
		if string(notes.Bytes()) != string(typing.notes.Bytes()) {
			t.Error("two runs come to other notes")
		}
	}
}

func play(t *testing.T, input io.Reader, save func(*lesson.Notes) error) (string, *lesson.Sheet, error) {
	t.Helper()
	g := judgements(t, "lantern-street-4")[0]
	notes := &lesson.Notes{}
	var out strings.Builder
	s := &Session{Maker: maker(t, g, 4, notes), Notes: notes, Save: save, Questions: 4, Style: page, In: input, Out: &out, Echo: true}
	sheet := &lesson.Sheet{Title: g.Case.Book.Title, Seed: 4}
	err := s.Run(sheet)
	return out.String(), sheet, err
}

func kept(*lesson.Notes) error { return nil }

// TestEnds: input that ends, q, a failing save and a failing reader each end a run, with what was done on the sheet.
func TestEnds(t *testing.T) {
	full := errors.New("the disk is full")
	for _, tt := range []struct {
		name string
		in   io.Reader
		save func(*lesson.Notes) error
		rows int
		err  error
		want string
	}{
		{"nothing typed", strings.NewReader(""), kept, 0, nil, words.NothingAnswered},
		{"input ends in a line", strings.NewReader("pass\npass"), kept, 2, nil, words.StoppedNow},
		{"q", strings.NewReader("pass\nQ\npass\n"), kept, 1, nil, words.StoppedNow},
		{"all of them", strings.NewReader(strings.Repeat("pass\n", 9)), kept, 4, nil, words.ScoreSheet},
		{"it cannot be saved", strings.NewReader("pass\npass\n"), func(*lesson.Notes) error { return full }, 1, full, words.ScoreSheet},
		{"it cannot be read", io.MultiReader(strings.NewReader("pass\n"), failing{full}), kept, 1, full, words.ScoreSheet},
	} {
		t.Run(tt.name, func(t *testing.T) {
			out, sheet, err := play(t, tt.in, tt.save)
			if len(sheet.Rows) != tt.rows || !errors.Is(err, tt.err) || (err != nil) != (tt.err != nil) || !strings.Contains(out, tt.want) {
				t.Errorf("%d rows, %v\n%s", len(sheet.Rows), err, out)
			}
		})
	}
}

type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }

// TestHintsOneByOne: each ? gives one hint more, and the last ends the exercise without a point.
func TestHintsOneByOne(t *testing.T) {
	out, sheet, err := play(t, strings.NewReader("?\n"), kept)
	if err != nil || len(sheet.Rows) != 0 || !strings.Contains(out, "Hint 1 of ") || strings.Contains(out, "Hint 2 of ") {
		t.Errorf("one ?: %v\n%s", err, out)
	}
	_, sheet, err = play(t, strings.NewReader("?\n?\n?\n?\n?\n"), kept)
	if err != nil || len(sheet.Rows) == 0 || sheet.Rows[0].Outcome != lesson.Told || sheet.Points() != 0 {
		t.Errorf("all of them: %v %+v", err, sheet.Rows)
	}
}

// TestLongLine: a line too long to be an answer is not taken for one, nor is its rest.
func TestLongLine(t *testing.T) {
	out, sheet, err := play(t, strings.NewReader(strings.Repeat("pass ", 5000)+"\npass\n"), kept)
	if err != nil || len(sheet.Rows) != 1 || !strings.Contains(out, words.LineTooLong) {
		t.Errorf("%v, %d rows", err, len(sheet.Rows))
	}
}

// TestSlips: what cannot be marked is answered with the nearest right word, and is no try.
func TestSlips(t *testing.T) {
	for _, g := range judgements(t, "lantern-street-4") {
		notes := &lesson.Notes{}
		m := maker(t, g, 9, notes)
		for range 25 {
			e, err := m.Next()
			if err != nil {
				t.Fatal(err)
			}
			e.Note(notes, nil, lesson.Right)
			for _, line := range []string{"0", "99", "xyzzyx", "-1", ",", "1, xyzzyx", "\x1b[2J"} {
				if _, help := read(e, line); help == "" && e.Kind != lesson.Answer {
					t.Errorf("%s: %q is taken", e.Kind, line)
				}
			}
			if e.Kind == lesson.Answer {
				if _, help := read(e, "xyzzyx"); help == "" {
					t.Error("nonsense is taken for an answer")
				}
				continue
			}
			name := choices(e)[0][0]
			if e.Kind != lesson.Order {
				if _, help := read(e, " "+strings.ToUpper(name)+". "); help != "" {
					t.Errorf("%s: %q is not taken: %s", e.Kind, name, help)
				}
			}
			if _, help := read(e, name[:len(name)-1]); !strings.Contains(help, words.Meant(name)) {
				t.Errorf("%s: for %q it says %q", e.Kind, name[:len(name)-1], help)
			}
		}
	}
}
