// Package evidence says what is known of a book now.
//
// In:  a book record and a pack. Out: a [Case]: every thing with its questions numbered, each question with the answer
// that stands, or with why none does: never asked, gone stale by a step, or out of date.
//
// Where a list is not declared complete, the case holds one more thing, of which nothing is known: an ink, a finding or
// a fastener not listed. So "every ink is fast" stays open until someone says that every ink is listed.
package evidence

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"tideline/engine/record"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Case is a book as it is to be judged.
type Case struct {
	Pack   *pack.Pack
	Book   *record.Book
	On     time.Time // the day it is judged for
	Things []*Thing
	Asks   []Ask // by number
	// Cleared are findings of the record that a step done has cleared, by path: no longer things of the case.
	Cleared map[string]*Thing

	byPath map[string]*Thing
	byKind map[vocab.Kind][]*Thing
	given  []*record.Result     // answers that steps done give
	turn   map[*record.Done]int // the place of each step among those done
	put    map[asked]bool       // what [Case.With] answered: steps done bear on it no more
	cels   []*cond.Thing        // by index, once one was asked for
}

// asked is a question of a thing of the record.
type asked struct {
	question *vocab.Question
	thing    *record.Thing
}

// Thing is one thing of the case.
type Thing struct {
	Index    int // in Case.Things
	Nth      int // among the things of its kind
	Kind     vocab.Kind
	Path     string
	Record   *record.Thing // nil for a thing not listed
	Unlisted bool          // stands for whatever the record does not list
	Listed   int           // of an unlisted thing: the number of the question whether the list is complete
	Part     *Thing        // of a side, ink or finding
	Side     *Thing        // of an ink or finding
	Base     int           // the number of its first question
	leads    [][]*Thing    // by the place of the link among those of its kind
}

// Ask is a question of one thing: numbered, so that an unknown can carry the number.
type Ask struct {
	Thing    *Thing
	Question *vocab.Question // nil where the slot belongs to a fact
	Answer   vocab.Answer    // the answer that stands
	Result   *record.Result  // the latest result; nil when there is none
	Earlier  []*record.Result
	Lapsed   *Lapse // why the latest result does not stand; nil when it does
}

// Listed is how the names of the questions end that ask whether a list is complete. Their answers decide what things a
// case has.
const Listed = "_listed"

// Lapse is why a result no longer stands.
type Lapse struct {
	Step *record.Done // the step that made it stale; nil when it is out of date
	Days int          // how many days it was good for, when out of date
}

// Gather makes a case. on is the day to judge for; a zero day is the latest that the record mentions.
func Gather(p *pack.Pack, b *record.Book, on time.Time) *Case { return assemble(p, b, on, nil) }

// assemble is Gather, but that steps done bear no more on some questions.
func assemble(p *pack.Pack, b *record.Book, on time.Time, put map[asked]bool) *Case {
	c := things(p, b, on, nil)
	if cleared := c.leave(); cleared != nil {
		given, turn := c.given, c.turn
		c = things(p, b, on, cleared)
		c.given, c.turn = given, turn
	}
	c.put = put
	c.settle()
	c.addUnlisted()
	c.link()
	return c
}

// things makes a case of the things of a record, of which nothing is known yet.
func things(p *pack.Pack, b *record.Book, on time.Time, cleared map[*record.Thing]bool) *Case {
	c := &Case{
		Pack: p, Book: b, On: on, Cleared: map[string]*Thing{}, turn: map[*record.Done]int{},
		byPath: map[string]*Thing{}, byKind: map[vocab.Kind][]*Thing{},
	}
	if on.IsZero() {
		c.On = latest(b)
	}
	room := p.Env.Slots(vocab.Fastener)
	for _, r := range b.Things {
		if room += p.Env.Slots(r.Kind); r.Kind == vocab.Side { // and what it may not list
			room += p.Env.Slots(vocab.Ink) + p.Env.Slots(vocab.Finding)
		}
	}
	c.Asks = make([]Ask, 0, room)
	for _, r := range b.Things {
		if cleared[r] {
			c.Cleared[r.Path] = &Thing{Kind: r.Kind, Path: r.Path, Record: r, Part: c.byPath[r.Part.Path], Side: c.byPath[r.Side.Path]}
		} else {
			c.add(r)
		}
	}
	return c
}

func latest(b *record.Book) time.Time {
	day := b.Examined
	for _, r := range b.Results {
		if r.Date.After(day) {
			day = r.Date
		}
	}
	for _, d := range b.Done {
		if d.Date.After(day) {
			day = d.Date
		}
	}
	return day
}

func (c *Case) add(r *record.Thing) {
	t := c.thing(r.Kind, r.Path)
	t.Record = r
	if r.Part != nil {
		t.Part = c.byPath[r.Part.Path]
	}
	if r.Side != nil {
		t.Side = c.byPath[r.Side.Path]
	}
	c.byPath[t.Path] = t
}

func (c *Case) thing(k vocab.Kind, path string) *Thing {
	t := &Thing{Index: len(c.Things), Nth: len(c.byKind[k]), Kind: k, Path: path, Base: len(c.Asks)}
	c.Things = append(c.Things, t)
	c.byKind[k] = append(c.byKind[k], t)
	c.Asks = append(c.Asks, make([]Ask, c.Pack.Env.Slots(k))...)
	for i := range c.Pack.Env.Slots(k) {
		c.Asks[t.Base+i].Thing = t
	}
	for _, q := range c.Pack.Vocabulary.Of(k) {
		c.Asks[t.Base+c.Pack.Env.Slot(q)].Question = q
	}
	return t
}

// settle finds the answer that stands for each question.
func (c *Case) settle() {
	order := make([]*record.Result, 0, len(c.Book.Results)+len(c.given))
	for i := range c.Book.Results {
		order = append(order, &c.Book.Results[i])
	}
	for _, r := range c.given {
		if !c.put[asked{r.Question, r.Thing}] {
			order = append(order, r)
		}
	}
	slices.SortStableFunc(order, func(a, b *record.Result) int { return a.Date.Compare(b.Date) })
	for _, r := range order {
		thing := c.byPath[r.Thing.Path]
		if thing == nil { // cleared
			continue
		}
		ask := &c.Asks[c.Number(thing, r.Question)]
		if ask.Result != nil {
			ask.Earlier = append(ask.Earlier, ask.Result)
		}
		ask.Result = r
	}
	for i := range c.Asks {
		ask := &c.Asks[i]
		if ask.Result == nil {
			continue
		}
		if !c.put[asked{ask.Question, ask.Thing.Record}] {
			ask.Lapsed = c.lapse(ask)
		}
		if ask.Lapsed == nil {
			c.Answer(i, ask.Result.Answer)
		}
	}
}

// Answer sets the answer that stands for a question; one not known opens it.
func (c *Case) Answer(number int, a vocab.Answer) {
	ask := &c.Asks[number]
	ask.Answer = a
	if c.cels == nil {
		return
	}
	if slot := number - ask.Thing.Base; a.Known {
		c.Cel(ask.Thing).Set(slot, ask.Question, a)
	} else {
		c.Cel(ask.Thing).Open(slot, number)
	}
}

// Cel gives a thing as cel-go sees it, with the answers of this case. All things are made when the first is asked for.
func (c *Case) Cel(t *Thing) *cond.Thing {
	if c.cels == nil {
		for _, t := range c.Things {
			c.cels = append(c.cels, c.Pack.Env.NewThing(t.Kind, t.Base))
		}
		for _, t := range c.Things {
			for i, l := range vocab.Links[t.Kind] {
				to := make([]*cond.Thing, 0, len(t.leads[i]))
				for _, m := range t.leads[i] {
					to = append(to, c.cels[m.Index])
				}
				c.cels[t.Index].Lead(l.Name, to...)
			}
		}
		for n := range c.Asks {
			if a := &c.Asks[n]; a.Answer.Known {
				c.cels[a.Thing.Index].Set(n-a.Thing.Base, a.Question, a.Answer)
			}
		}
	}
	return c.cels[t.Index]
}

// lapse tells why the latest result of a question does not stand, nil when it does.
func (c *Case) lapse(ask *Ask) *Lapse {
	for i := range c.Book.Done {
		d := &c.Book.Done[i]
		t := c.Pack.Treatment(d.Treatment)
		if t == nil || !slices.Contains(t.MakesStale, ask.Question.ID) || c.outlives(ask.Result, d) {
			continue
		}
		if slices.Contains(c.Reach(c.standing(d.Target.Path), ask.Question.Kind), ask.Thing) {
			return &Lapse{Step: d}
		}
	}
	test := c.Pack.Test(ask.Question.ID)
	if test != nil && test.GoodFor > 0 && c.On.Sub(ask.Result.Date) > time.Duration(test.GoodFor)*24*time.Hour {
		return &Lapse{Days: test.GoodFor}
	}
	return nil
}

// outlives tells whether a result is surely later than a step; one that a step gives is so when that step is, or is the same.
func (c *Case) outlives(r *record.Result, d *record.Done) bool {
	if r.Step != nil {
		return c.turn[r.Step] >= c.turn[d]
	}
	return later(r.Date, d.Date)
}

// later tells whether a result is surely later than a step: on the same day only if both give the time. A step without a
// date may have been done at any time.
func later(result, step time.Time) bool {
	if step.IsZero() {
		return false
	}
	if step.Equal(step.Truncate(24 * time.Hour)) { // no time given
		step = step.Add(24*time.Hour - 1)
	}
	return result.After(step)
}

// addUnlisted adds a thing for every list that is not declared complete.
func (c *Case) addUnlisted() {
	add := func(holder *Thing, list string, k vocab.Kind) {
		q := c.Pack.Vocabulary.Question(string(holder.Kind) + "." + list + Listed)
		n := c.Number(holder, q)
		if a := c.Asks[n].Answer; a.Known && a.Yes {
			return
		}
		t := c.thing(k, fmt.Sprintf("%s/unlisted %s", holder.Path, k))
		t.Unlisted, t.Listed, t.Part, t.Side = true, n, holder.Part, nil
		if holder.Kind == vocab.Side {
			t.Side = holder
		}
	}
	for _, side := range slices.Clone(c.byKind[vocab.Side]) {
		add(side, "inks", vocab.Ink)
		add(side, "findings", vocab.Finding)
	}
	if book := c.byKind[vocab.Book]; len(book) > 0 {
		add(book[0], "fasteners", vocab.Fastener)
	}
}

// link tells every thing what it leads to.
func (c *Case) link() {
	for _, t := range c.Things {
		for _, l := range vocab.Links[t.Kind] {
			t.leads = append(t.leads, c.Reach(t, l.To))
		}
	}
}

// Done gives the latest time a treatment was already given to a thing, nil when it never was.
func (c *Case) Done(treatment string, t *Thing) *record.Done {
	var last *record.Done
	for i := range c.Book.Done {
		d := &c.Book.Done[i]
		if d.Treatment == treatment && d.Target == t.Record && (last == nil || d.Date.After(last.Date)) {
			last = d
		}
	}
	return last
}

// Lead gives what a link of a thing leads to.
func (c *Case) Lead(t *Thing, link string) []*Thing {
	for i := range vocab.Links[t.Kind] {
		if vocab.Links[t.Kind][i].Name == link {
			return t.leads[i]
		}
	}
	return nil
}

// Of gives the things of a kind, those not listed last.
func (c *Case) Of(k vocab.Kind) []*Thing { return c.byKind[k] }

// At gives the thing of that path, nil when there is none.
func (c *Case) At(path string) *Thing { return c.byPath[path] }

// Number is the number of a question of a thing.
func (c *Case) Number(t *Thing, q *vocab.Question) int { return t.Base + c.Pack.Env.Slot(q) }

// Reach gives the things of a kind that something done to t touches or has to do with: the thing itself, what it lies on,
// and what lies on it. The inks in a finding's reach are those the record says are near, else all of its part. A fastener
// reaches the parts it goes through and all that lies on them, but for findings that name another fastener.
func (c *Case) Reach(t *Thing, k vocab.Kind) []*Thing {
	switch {
	case t.Kind == k:
		return []*Thing{t}
	case k.Singular(), t.Kind.Singular():
		return c.byKind[k]
	case k == vocab.Part && t.Part != nil:
		return []*Thing{t.Part}
	case k == vocab.Side && t.Side != nil:
		return []*Thing{t.Side}
	case t.Kind == vocab.Fastener && k == vocab.Finding:
		return c.findingsOf(t)
	case k == vocab.Ink && t.Kind == vocab.Finding && t.Record != nil && t.Record.Near != nil:
		return c.recorded(t.Record.Near)
	case t.Kind == vocab.Fastener && k == vocab.Part && t.Record != nil && t.Record.Holds != nil:
		return c.recorded(t.Record.Holds)
	}
	var list []*Thing
	for _, m := range c.byKind[k] {
		if c.touches(t, m) {
			list = append(list, m)
		}
	}
	return list
}

// touches tells whether m lies where t is: on its side if t is a side or ink, else on its part; fasteners by the parts
// they go through.
func (c *Case) touches(t, m *Thing) bool {
	switch {
	case t.Kind == vocab.Side:
		return m.Side == t || m.Kind == vocab.Fastener && c.holds(m, t.Part)
	case t.Kind == vocab.Ink:
		return m.Side == t.Side || m.Kind == vocab.Fastener && c.holds(m, t.Part)
	case t.Kind == vocab.Fastener:
		return m.Kind == vocab.Part && c.holds(t, m) || m.Part != nil && c.holds(t, m.Part)
	case m.Kind == vocab.Fastener:
		return c.holds(m, partOf(t))
	}
	return m.Part != nil && m.Part == partOf(t)
}

func partOf(t *Thing) *Thing {
	if t.Kind == vocab.Part {
		return t
	}
	return t.Part
}

// holds tells whether a fastener goes through a part; one not listed, or of which it is not said, goes through all.
func (c *Case) holds(f, part *Thing) bool {
	return f.Record == nil || f.Record.Holds == nil || slices.Contains(f.Record.Holds, part.Record)
}

// findingsOf gives the findings on the parts a fastener goes through, but for those that name another fastener.
func (c *Case) findingsOf(f *Thing) []*Thing {
	var list []*Thing
	for _, m := range c.byKind[vocab.Finding] {
		another := m.Record != nil && m.Record.Fastener != nil && m.Record.Fastener != f.Record
		if c.holds(f, m.Part) && !another {
			list = append(list, m)
		}
	}
	return list
}

func (c *Case) recorded(records []*record.Thing) []*Thing {
	list := make([]*Thing, 0, len(records))
	for _, r := range records {
		list = append(list, c.byPath[r.Path])
	}
	slices.SortFunc(list, func(a, b *Thing) int { return cmp.Compare(a.Index, b.Index) })
	return list
}
