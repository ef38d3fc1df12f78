package plan

import (
	"encoding/binary"
	"fmt"
	"maps"
	"math"
	"slices"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/vocab"
)

// foreseen is the book as it will be after some steps of a plan.
type foreseen struct {
	id    int
	c     *evidence.Case
	steps map[*record.Done]bool // those of the plan
	met   map[int]*meeting      // by candidate
}

// meeting is how a step would be judged on a foreseen book.
type meeting struct {
	g       *judge.Judgement
	v       *judge.Verdict
	word    judge.Word
	retests []Retest
}

// foresee gives the book after some steps, done in that order as planned.
func (pl *planner) foresee(steps []int) *foreseen {
	name := fmt.Sprint(steps)
	if f := pl.states[name]; f != nil {
		return f
	}
	book := *pl.base.Case.Book
	book.Done = slices.Clone(book.Done)
	since := map[*Brought]time.Time{}
	for i, n := range steps {
		k := pl.cands[n]
		date := pl.base.Case.On.Add(24*time.Hour + time.Duration(2*i+1)*time.Second)
		book.Done = append(book.Done, record.Done{Treatment: k.Treatment.ID, Target: pl.recordOf(k.Path), Date: date, Outcome: record.AsPlanned})
		for _, b := range k.brings {
			since[b] = date.Add(time.Second)
		}
	}
	pl.place(&book, since)
	f := &foreseen{id: len(pl.states), c: evidence.Gather(pl.base.Case.Pack, &book, pl.base.Case.On), steps: map[*record.Done]bool{}, met: map[int]*meeting{}}
	for i := range steps {
		f.steps[&book.Done[len(pl.base.Case.Book.Done)+i]] = true
	}
	// The same book however it came about is judged once.
	mark := f.mark()
	if same := pl.marked[mark]; same != nil {
		f = same
	}
	pl.marked[mark], pl.states[name] = f, f
	return f
}

// place puts findings brought into a copy of the record.
func (pl *planner) place(book *record.Book, since map[*Brought]time.Time) {
	if len(since) == 0 {
		return
	}
	kind := pl.base.Case.Pack.Vocabulary.Question(string(vocab.Finding) + ".kind")
	book.Things, book.Results = slices.Clone(book.Things), slices.Clone(book.Results)
	for _, b := range pl.brought {
		at, there := since[b]
		if !there {
			continue
		}
		b.record.Found = at
		book.Things = append(book.Things, b.record)
		book.Results = append(book.Results, record.Result{Question: kind, Thing: b.record, Answer: vocab.Word(b.Kind), Date: at})
	}
}

// mark tells books apart by all that is known of them.
func (f *foreseen) mark() string {
	var b []byte
	for _, t := range f.c.Things {
		b = append(append(b, t.Path...), 0)
	}
	answer := func(i int, how byte, a vocab.Answer) {
		b = binary.AppendUvarint(b, uint64(i))
		b = binary.LittleEndian.AppendUint64(append(b, how), math.Float64bits(a.Num))
		b = append(append(b, a.Word...), 0)
		if a.Yes {
			b = append(b, 1)
		}
	}
	for i := range f.c.Asks {
		switch a := &f.c.Asks[i]; {
		case a.Question == nil:
		case a.Answer.Known:
			answer(i, 1, a.Answer)
		case a.Lapsed != nil && f.steps[a.Lapsed.Step]:
			answer(i, 2, a.Result.Answer)
			b = append(append(b, a.Lapsed.Step.Treatment...), 0)
		}
	}
	return string(b)
}

// meet judges a candidate on a foreseen book. Where a verdict hangs on answers that earlier steps of the plan made stale, it is
// judged as if these turned out as before: the tests are then to be done again. So are those that a finding brought will answer.
func (pl *planner) meet(f *foreseen, n int) (*meeting, error) {
	if m := f.met[n]; m != nil {
		return m, nil
	}
	k := pl.cands[n]
	m := &meeting{}
	f.met[n] = m
	var err error
	if m.g, m.v, err = judge.One(f.c, k.Treatment.ID, k.Path); err != nil || m.v == nil {
		return m, err
	}
	m.word = m.v.Word
	restored := map[int]bool{}
	for m.word == judge.TestFirst || m.word == judge.Possible {
		more := false
		for _, q := range m.v.Open {
			a := &f.c.Asks[q]
			if a.Lapsed == nil || !f.steps[a.Lapsed.Step] || restored[q] {
				continue
			}
			expected := pl.expected(a)
			f.c.Answer(q, expected)
			restored[q], more = true, true
			m.retests = append(m.retests, Retest{Path: a.Thing.Path, Question: a.Question, Before: a.Result.Answer, Expected: expected})
		}
		if !more {
			break
		}
		if m.g, m.v, err = judge.One(f.c, k.Treatment.ID, k.Path); err != nil {
			break
		}
		m.word = m.v.Word
	}
	if m.word == judge.TestFirst && pl.onlyOfBrought(f, m) {
		m.word = judge.Possible
	}
	for q := range maps.Keys(restored) { // leave the book as it was
		f.c.Answer(q, vocab.Answer{})
	}
	return m, err
}

// expected gives what a test that a step made stale is expected to give: what it gave before, or what the step should bring it to.
func (pl *planner) expected(a *evidence.Ask) vocab.Answer {
	for _, s := range pl.base.Case.Pack.Treatment(a.Lapsed.Step.Treatment).Sets {
		if s.Question == a.Question {
			return s.Answer
		}
	}
	return a.Result.Answer
}

// onlyOfBrought tells whether a verdict waits for answers of findings brought alone: they can be had when it is there.
func (pl *planner) onlyOfBrought(f *foreseen, m *meeting) bool {
	for _, q := range m.v.Open {
		t := f.c.Asks[q].Thing
		if t.Record == nil || t.Record.Found.IsZero() || !pl.isBrought(t.Path) {
			return false
		}
	}
	for _, q := range m.v.Open {
		m.retests = append(m.retests, Retest{Path: f.c.Asks[q].Thing.Path, Question: f.c.Asks[q].Question})
	}
	return true
}

func (pl *planner) isBrought(path string) bool {
	return slices.ContainsFunc(pl.brought, func(b *Brought) bool { return b.Path == path })
}

// recordOf gives the record of a thing of the book or of a finding brought.
func (pl *planner) recordOf(path string) *record.Thing {
	for _, b := range pl.brought {
		if b.Path == path {
			return b.record
		}
	}
	return pl.base.Case.Book.Thing(path)
}
