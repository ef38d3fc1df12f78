package sheet

import (
	"fmt"
	"strings"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/record"
	"tideline/explain/words"
	"tideline/rules/fault"
	"tideline/rules/nearest"
	"tideline/rules/vocab"
)

// New is a result that a table adds.
type New struct {
	record.Result
	Row int // in the table
}

// Read gives the results of a table that the case does not hold yet, in the order of the table. name stands for the file
// in faults; dates after today are faults, unless today is zero. Where one was noted nothing is to be added.
func Read(name string, data []byte, c *evidence.Case, today time.Time, faults *fault.List) []New {
	r := &reader{name: name, c: c, today: today, faults: faults, given: map[key][]*record.Result{}, added: map[key][]int{}}
	for i := range c.Book.Results {
		result := &c.Book.Results[i]
		k := key{result.Thing, result.Question}
		r.given[k] = append(r.given[k], result)
	}
	for _, l := range open(name, data, faults) {
		r.line(l)
	}
	return r.news
}

// reader holds what is known of a table while it is read.
type reader struct {
	name    string
	c       *evidence.Case
	today   time.Time
	faults  *fault.List
	given   map[key][]*record.Result
	news    []New
	added   map[key][]int // the places in news
	guesses int
}

type key struct {
	thing    *record.Thing
	question *vocab.Question
}

// fault notes what is wrong with a cell.
func (r *reader) fault(l line, column, summary, help string) {
	r.faults.Add(fault.Fault{Where: fault.Place{File: r.name, Line: l.row, Cell: column}, Source: oneLine(l.cells[column]), Summary: summary, Help: help})
}

func oneLine(s string) string { return strings.ReplaceAll(s, "\n", " ") }

// guess is the word probably meant; a table of strangers' words is not searched for ever.
func (r *reader) guess(word string, known func() []string) string {
	if r.guesses++; r.guesses > maxGuesses {
		return ""
	}
	return nearest.Word(word, known())
}

// line reads one row.
func (r *reader) line(l line) {
	q, t := r.asked(l)
	if q == nil || t == nil {
		return
	}
	k := key{t.Record, q}
	answer := l.cells["answer"]
	if answer == words.NotTested {
		answer = ""
	}
	if answer == "" {
		r.unanswered(l, k)
		return
	}
	n, ok := r.result(l, k, answer)
	if !ok || r.isThere(l, n, k) || !r.fits(l, n, k) {
		return
	}
	r.added[k] = append(r.added[k], len(r.news))
	r.news = append(r.news, n)
}

// asked finds the question and thing of a row, nil with a fault when there is none.
func (r *reader) asked(l line) (*vocab.Question, *evidence.Thing) {
	path, id := l.cells["thing"], l.cells["question"]
	t := r.c.At(path)
	if t == nil {
		r.fault(l, "thing", fmt.Sprintf("nothing in the record is called %q", path), "A thing is named by its path, such as cover, cover/outside or cover/outside/red. A new one is described in the record first.")
		near := r.guess(path, r.paths)
		r.faults.Amend(func(f *fault.Fault) { f.Nearest = near })
	}
	q := r.c.Pack.Vocabulary.Question(id)
	switch {
	case q == nil:
		r.fault(l, "question", fmt.Sprintf("no question is called %q", id), "Questions are named kind.question, as in part.surface_ph; the packs declare them.")
		near := r.guess(id, r.c.Pack.Vocabulary.IDs)
		r.faults.Amend(func(f *fault.Fault) { f.Nearest = near })
	case q.Measured:
		r.fault(l, "question", q.ID+" is not a test", "It follows from the record itself: a length from `line`, an area from `area`, a side from its name.")
		return nil, nil
	case t != nil && q.Kind != t.Kind:
		r.fault(l, "question", fmt.Sprintf("%s is asked of every %s, but %s is none", q.ID, q.Kind, t.Path), fmt.Sprintf("Of %s the questions start with %s.", words.Thing(t), t.Kind))
		return nil, nil
	}
	return q, t
}

func (r *reader) paths() (paths []string) {
	for _, t := range r.c.Things {
		if !t.Unlisted {
			paths = append(paths, t.Path)
		}
	}
	return paths
}

// unanswered looks at a row without an answer: it must say nothing else, and take nothing away.
func (r *reader) unanswered(l line, k key) {
	if given := r.given[k]; len(given) > 0 {
		last := r.latest(k)
		r.fault(l, "answer", fmt.Sprintf("the answer of %s was taken away", k.thing.Path),
			fmt.Sprintf("The record says %s. A table adds results and takes none away: leave the row out, or correct the record itself.", k.question.Text(last.Answer)))
		return
	}
	for _, column := range []string{"date", "by", "at", "note"} {
		if l.cells[column] != "" {
			r.fault(l, "answer", fmt.Sprintf("there is a %s but no answer", column), fmt.Sprintf("%s takes %s. What was not tested has an empty row.", k.question.ID, k.question.Expected()))
			return
		}
	}
}

// latest is the result that a written table shows.
func (r *reader) latest(k key) *record.Result {
	return r.c.Asks[r.c.Number(r.c.At(k.thing.Path), k.question)].Result
}

// result reads the cells of a row that has an answer. A date may still be missing.
func (r *reader) result(l line, k key, cell string) (New, bool) {
	n := New{record.Result{Question: k.question, Thing: k.thing, By: l.cells["by"], Note: l.cells["note"]}, l.row}
	before := r.faults.Len()
	note := func(column string, m *misread) {
		if m != nil {
			r.fault(l, column, m.says, m.help)
			r.faults.Amend(func(f *fault.Fault) { f.Nearest = m.nearest })
		}
	}
	var m *misread
	n.Answer, m = readAnswer(k.question, cell)
	note("answer", m)
	if cell := l.cells["date"]; cell != "" {
		n.Date, m = readDate(cell, r.today)
		note("date", m)
	}
	if cell := l.cells["at"]; cell != "" {
		n.At, m = readAt(cell)
		note("at", m)
	}
	return n, r.faults.Len() == before
}

// isThere tells whether the record holds a result already. One that differs only in what was written beside the answer
// is told as a fault, and counts as there.
func (r *reader) isThere(l line, n New, k key) bool {
	beside := ""
	for _, g := range r.given[k] {
		if !same(g.Answer, n.Answer) || !g.Date.Equal(n.Date) {
			continue
		}
		column := differs(l, g, n)
		if column == "" {
			return true
		}
		beside = column
	}
	if beside != "" {
		r.fault(l, beside, fmt.Sprintf("only the %s is another than in the record", map[string]string{"by": "name", "at": "place", "note": "note"}[beside]),
			"A table adds results and alters none. Correct the record itself; or give the date of a new test.")
	}
	return beside != ""
}

// differs names the column in which a row says something else than a result; columns that the table lacks do not.
func differs(l line, g *record.Result, n New) string {
	has := func(column string) bool { _, ok := l.cells[column]; return ok }
	switch {
	case has("by") && flat(g.By) != n.By:
		return "by"
	case has("at") && !samePlace(g.At, n.At):
		return "at"
	case has("note") && flat(g.Note) != n.Note:
		return "note"
	}
	return ""
}

// fits tells whether a new result can stand beside those recorded and those added: it has a day, and that day no other
// answer.
func (r *reader) fits(l line, n New, k key) bool {
	for _, g := range r.given[k] {
		if g.Date.Equal(n.Date) {
			r.fault(l, "answer", fmt.Sprintf("%s of %s has another answer of %s in the record: %s", k.question.ID, k.thing.Path, words.Day(g.Date), k.question.Text(g.Answer)),
				"For a new test give its date, on the same day with the time, such as 2026-10-14T15:30. A slip is corrected in the record itself.")
			return false
		}
	}
	if n.Date.IsZero() {
		r.fault(l, "date", "the result has no date", "Write the day of the test, such as 2026-10-12: which result counts, and which are older than a step, hangs on it.")
		return false
	}
	for _, i := range r.added[k] {
		if other := r.news[i]; other.Date.Equal(n.Date) {
			r.fault(l, "date", fmt.Sprintf("%s of %s has two new results of one time", k.question.ID, k.thing.Path), "Give times of day, such as 2026-10-14T15:30, or remove one row.")
			r.faults.Amend(func(f *fault.Fault) { f.Also = []fault.Place{{File: r.name, Line: other.Row, Cell: "date"}} })
			return false
		}
	}
	return true
}

// Misfits tells, as faults of the table, which new results the record cannot take.
func Misfits(name string, news []New, misfits []record.Misfit) fault.Errors {
	faults := &fault.List{}
	for _, m := range misfits {
		n := news[m.Entry]
		where := fault.Place{File: name, Line: n.Row, Cell: "answer"}
		if n.At != nil {
			where.Cell = "at"
		}
		faults.Add(fault.Fault{Where: where, Summary: m.Fault.Summary, Help: m.Fault.Help, Nearest: m.Fault.Nearest})
	}
	return fault.Errors(faults.All())
}

// Results gives the results alone.
func Results(news []New) []record.Result {
	list := make([]record.Result, len(news))
	for i, n := range news {
		list[i] = n.Result
	}
	return list
}

// Notes tells what to know of new results, from the case of the record that holds them: which do not count, and which
// carry an earlier result's note.
func Notes(c *evidence.Case, news []New) []string {
	notes := []string{}
	for _, n := range news {
		t := c.At(n.Thing.Path)
		ask := c.Asks[c.Number(t, n.Question)]
		what := words.Answered(words.Thing(t), n.Question.Asks, n.Question.Text(n.Answer))
		switch {
		case ask.Result != nil && ask.Result.Date.After(n.Date):
			notes = append(notes, words.InRow(n.Row, what, words.LaterCounts(ask.Result)))
		case ask.Lapsed != nil:
			notes = append(notes, words.InRow(n.Row, what, words.Answer(ask)))
		}
		for _, earlier := range ask.Earlier {
			if n.Note != "" && flat(earlier.Note) == n.Note && earlier.Date.Before(n.Date) {
				notes = append(notes, words.InRow(n.Row, what, words.NoteCarried))
				break
			}
		}
	}
	return notes
}
