package plan

import (
	"encoding/binary"
	"math"
	"slices"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/vocab"
)

// foreseen is the book as it will be after some steps of a plan, done as planned: which findings are there, and which answers
// are others than those of the book as it is. Tests that steps made stale are taken to turn out as expected. However it came
// about, the same book is foreseen once.
type foreseen struct {
	steps []int // some steps that lead to it, in their order
	there set   // findings, by their place among the things of the full case
	now   []now // by number
	name  string
	g     *judge.Judgement
	after map[int]*foreseen
}

// now is an answer that is another than in the book as it is.
type now struct {
	ask    int // its number in the full case
	answer vocab.Answer
}

// meeting is how a step would be judged on a foreseen book.
type meeting struct {
	at *foreseen      // a book on which it is judged so
	v  *judge.Verdict // nil where it is no candidate there
	// may tells that it is clear, or waits for nothing but answers of findings brought, which can be had when these are there;
	// own that it may moreover be done for its own sake.
	may, own bool
	help     [2]set // see lacks
}

// asIs gives the book as it is.
func (pl *planner) asIs() *foreseen {
	f := &foreseen{there: newSet(len(pl.full.Things))}
	for _, t := range pl.full.Of(vocab.Finding) {
		if pl.broughtAt[t.Path] == nil {
			f.there.add(t.Index)
		}
	}
	return pl.same(f)
}

// mark tells books apart by the findings that are there and the answers that are others: of those that something rests on, or all.
func (f *foreseen) mark(r *rests) string {
	if r.all {
		return f.name
	}
	b := []byte(f.there.both(r.findings).key())
	for _, a := range f.now {
		if r.asks.has(a.ask) {
			b = a.mark(b)
		}
	}
	return string(b)
}

func (a now) mark(b []byte) []byte {
	b = binary.AppendUvarint(b, uint64(a.ask))
	b = binary.LittleEndian.AppendUint64(b, math.Float64bits(a.answer.Num))
	b = append(append(b, a.answer.Word...), 0)
	if a.answer.Yes {
		b = append(b, 1)
	}
	return b
}

// same gives the one foreseen book that is the same.
func (pl *planner) same(f *foreseen) *foreseen {
	b := []byte(f.there.key())
	for _, a := range f.now {
		b = a.mark(b)
	}
	name := string(b)
	if known := pl.states[name]; known != nil {
		return known
	}
	f.name, f.after = name, map[int]*foreseen{}
	pl.states[name] = f
	return f
}

// foresee gives the book after some steps.
func (pl *planner) foresee(steps []int) *foreseen {
	f := pl.start
	for _, n := range steps {
		f = pl.next(f, n)
	}
	return f
}

// next gives the book after one step more.
func (pl *planner) next(f *foreseen, n int) *foreseen {
	if a := f.after[n]; a != nil {
		return a
	}
	k := pl.cands[n]
	a := &foreseen{steps: append(f.steps[:len(f.steps):len(f.steps)], n), there: f.there.clone(), now: slices.Clone(f.now)}
	for _, s := range k.sets {
		t := pl.full.Asks[s.ask].Thing
		if t.Kind == vocab.Finding && !f.there.has(t.Index) || s.expected && !pl.answer(f, s.ask).Known {
			continue
		}
		a.set(s.ask, s.answer, pl.full.Asks[s.ask].Answer)
	}
	for _, i := range k.clears {
		a.there.remove(i)
		a.forget(pl.full, i)
	}
	for _, b := range k.brings {
		a.there.add(b.thing.Index)
		a.forget(pl.full, b.thing.Index)
	}
	a = pl.same(a)
	f.after[n] = a
	return a
}

// answer gives what a question is taken to be answered, by its number in the full case.
func (pl *planner) answer(f *foreseen, ask int) vocab.Answer {
	if i, found := slices.BinarySearchFunc(f.now, ask, func(a now, ask int) int { return a.ask - ask }); found {
		return f.now[i].answer
	}
	return pl.full.Asks[ask].Answer
}

// set sets an answer.
func (f *foreseen) set(ask int, answer, before vocab.Answer) {
	i, found := slices.BinarySearchFunc(f.now, ask, func(a now, ask int) int { return a.ask - ask })
	switch {
	case found && answer == before:
		f.now = slices.Delete(f.now, i, i+1)
	case found:
		f.now[i].answer = answer
	case answer != before:
		f.now = slices.Insert(f.now, i, now{ask, answer})
	}
}

// forget drops the answers of a finding that is gone, or has come anew.
func (f *foreseen) forget(c *evidence.Case, thing int) {
	f.now = slices.DeleteFunc(f.now, func(a now) bool { return c.Asks[a.ask].Thing.Index == thing })
}

// judgement judges a foreseen book, as far as it is asked.
func (pl *planner) judgement(f *foreseen) *judge.Judgement {
	if f.g != nil {
		return f.g
	}
	c := evidence.Gather(pl.base.Case.Pack, pl.recordAfter(f.steps), pl.base.Case.On)
	for _, t := range pl.full.Things {
		own := c.At(t.Path)
		if own == nil {
			continue
		}
		for i := range pl.full.Pack.Env.Slots(t.Kind) {
			if a := pl.answer(f, t.Base+i); a.Known && !c.Asks[own.Base+i].Answer.Known {
				c.Answer(own.Base+i, a)
			}
		}
	}
	f.g = judge.Begin(c)
	return f.g
}

// recordAfter writes the record of the book after steps, the first done the day after the book was judged for.
func (pl *planner) recordAfter(steps []int) *record.Book {
	book := *pl.base.Case.Book
	last := map[*Brought]int{}
	for i, n := range steps {
		for _, b := range pl.cands[n].brings {
			last[b] = i
		}
	}
	date := func(i int) time.Time { return pl.base.Case.On.Add(24*time.Hour + time.Duration(2*i+1)*time.Second) }
	found := pl.place(&book, func(b *Brought) bool { _, there := last[b]; return there })
	for b, r := range found {
		r.Found = date(last[b]).Add(time.Second)
	}
	for i := range book.Results {
		if b := pl.broughtAt[book.Results[i].Thing.Path]; b != nil {
			book.Results[i].Date = found[b].Found
		}
	}
	book.Done = slices.Clone(book.Done)
	for i, n := range steps {
		k := pl.cands[n]
		target := k.thing.Record
		if b := pl.broughtAt[k.Path]; b != nil {
			target = found[b]
		}
		book.Done = append(book.Done, record.Done{Treatment: k.Treatment.ID, Target: target, Date: date(i), Outcome: record.AsPlanned})
	}
	return &book
}

// place puts findings brought into a copy of the record, as found on the day it is judged for.
func (pl *planner) place(book *record.Book, which func(*Brought) bool) map[*Brought]*record.Thing {
	kind := pl.base.Case.Pack.Vocabulary.Question(string(vocab.Finding) + ".kind")
	book.Things, book.Results = slices.Clone(book.Things), slices.Clone(book.Results)
	placed := map[*Brought]*record.Thing{}
	for _, b := range pl.brought {
		if !which(b) {
			continue
		}
		r := *b.record
		r.Found = pl.base.Case.On
		placed[b] = &r
		book.Things = append(book.Things, &r)
		book.Results = append(book.Results, record.Result{Question: kind, Thing: &r, Answer: vocab.Word(b.Kind), Date: r.Found})
	}
	return placed
}

// meet judges a candidate on a foreseen book: once on all those that do not differ in anything it rests on.
func (pl *planner) meet(f *foreseen, n int) *meeting {
	k, mark := pl.cands[n], ""
	if k.finding < 0 || f.there.has(k.finding) {
		mark = f.mark(pl.restsOn(n))
	}
	if m := k.met[mark]; m != nil {
		return m
	}
	m := &meeting{at: f}
	k.met[mark] = m
	if mark == "" {
		return m
	}
	g := pl.judgement(f)
	v, err := g.Decide(k.Treatment.ID, k.Path)
	if err != nil && pl.fault == nil {
		pl.fault = err
	}
	if v == nil {
		return m
	}
	m.v = v
	m.may, m.own = pl.permits(g, v)
	return m
}

// permits tells whether a verdict lets a step be done, and whether for its own sake: it is recommended, more so than leaving the
// book alone where that is.
func (pl *planner) permits(g *judge.Judgement, v *judge.Verdict) (may, own bool) {
	own = v.Word == judge.Recommended && (pl.rest == nil || v.Least > pl.rest.Least)
	may = clear(v) || v.Word == judge.TestFirst && !slices.ContainsFunc(v.Open, func(q int) bool { return !pl.isBrought(g.Case.Asks[q].Thing) })
	return may, own
}

func (pl *planner) isBrought(t *evidence.Thing) bool { return pl.broughtAt[t.Path] != nil }

// meetsNow tells whether a step clears or lessens something brought that is there.
func (pl *planner) meetsNow(f *foreseen, n int) bool {
	return slices.ContainsFunc(pl.cands[n].meets, func(b *Brought) bool { return f.there.has(b.thing.Index) })
}

// full number of a question of a foreseen book, -1 for one of a thing not listed.
func (pl *planner) numberOf(c *evidence.Case, number int) int {
	t := c.Asks[number].Thing
	if t.Unlisted {
		return -1
	}
	if own := pl.full.At(t.Path); own != nil {
		return own.Base + number - t.Base
	}
	return -1
}
