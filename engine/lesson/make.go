package lesson

import (
	"cmp"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/suppose"
	"tideline/engine/verify"
	"tideline/engine/whynot"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// Limits of an exercise, so that it fits a page.
const (
	mostShown      = 12
	mostVerdicts   = 6
	mostAsks       = 6
	mostSteps      = 4
	mostPrinciples = 4
	mostDraws      = 100 // of books and verdicts, until one fits
	mostTries      = 6   // of verdicts, until one can be turned by one answer
)

// ErrContradiction tells that the answers of a book cannot all be true, so that nothing can be taught from it.
var ErrContradiction = errors.New("the answers of this book cannot all be true; `tideline decide` names them")

// Maker makes the exercises of one run.
type Maker struct {
	g      *judge.Judgement
	rnd    *rand.Rand
	notes  *Notes
	used   map[string]bool
	flips  map[*judge.Verdict][]whynot.Change
	books  map[string]*judge.Judgement // changed books, by the change
	then   *Exercise                   // what follows the exercise given last
	topics map[*judge.Verdict]Topic    // of every verdict of the book as recorded
}

// NewMaker makes a maker. The same book, seed and notes give the same exercises.
func NewMaker(g *judge.Judgement, seed uint64, notes *Notes) (*Maker, error) {
	if len(g.Contradictions) > 0 {
		return nil, ErrContradiction
	}
	m := &Maker{
		g: g, rnd: rand.New(rand.NewPCG(seed, 0)), notes: notes, used: map[string]bool{},
		flips: map[*judge.Verdict][]whynot.Change{}, books: map[string]*judge.Judgement{}, topics: map[*judge.Verdict]Topic{},
	}
	for _, v := range g.Verdicts {
		m.topics[v] = topic(v, lead(g.Prove(v)))
	}
	return m, nil
}

// Next makes another exercise, unlike all before; nil when the book gives no more. Each has a proof that was checked.
func (m *Maker) Next() (*Exercise, error) {
	if e := m.then; e != nil {
		m.then = nil
		return e, nil
	}
	var spare *Exercise // one that fits but is asked for less than others might be
	for range mostDraws {
		e, err := m.draw()
		if err != nil {
			return nil, err
		}
		if e == nil || m.used[alike(e)] {
			continue
		}
		if m.rnd.IntN(mostNeed) < m.notes.need(e.Topics()) {
			return m.give(e)
		}
		spare = e
	}
	if spare == nil {
		return nil, nil
	}
	return m.give(spare)
}

// alike is the same for exercises that ask the same of the same proof.
func alike(e *Exercise) string {
	key := fmt.Sprint(e.Kind, "|")
	if e.Changed != nil {
		key += fmt.Sprint(e.Changed.Thing.Path, e.Changed.Question.ID, e.class)
	}
	switch e.Kind {
	case Out:
		for _, v := range e.Verdicts {
			key += "|" + v.Treatment.ID + " " + v.Target.Path
		}
	case Order:
		key = fmt.Sprint(e.Kind, e.Topics())
	case Next:
		key += fmt.Sprint("|", e.Deciding())
	case Principle:
		key = fmt.Sprint(e.Kind, "|", e.Lead.Rule.Principle, e.Lead.Rule.ID)
	default:
		key += fmt.Sprint("|", e.Hidden)
		if e.Lead != nil {
			return key + "|" + e.Lead.Rule.ID + " " + e.Lead.Thing.Path
		}
		key += "|" + e.Verdict.Treatment.ID + " " + e.Verdict.Target.Path
	}
	return key
}

// give has the proofs of an exercise checked and remembers it. After one about a rule the principle behind the rule
// follows.
func (m *Maker) give(e *Exercise) (*Exercise, error) {
	list := e.Verdicts
	if e.Verdict != nil {
		list = append(slices.Clip(list), e.Verdict)
	}
	checker := verify.New(e.Judgement)
	for _, v := range list {
		if _, err := checker.Check(e.Judgement.Prove(v)); err != nil {
			return nil, fmt.Errorf("a proof does not hold: %w", err)
		}
	}
	m.used[alike(e)] = true
	if next := m.principle(e); next != nil && !m.used[alike(next)] {
		m.used[alike(next)] = true
		m.then, e.PrincipleNext = next, true
	}
	return e, nil
}

// draw draws an exercise, nil where what was drawn gives none.
func (m *Maker) draw() (*Exercise, error) {
	v := m.verdict()
	if v == nil {
		return nil, nil
	}
	e := &Exercise{Judgement: m.g, base: m.g, Hidden: -1}
	if m.rnd.IntN(3) > 0 {
		for tries := 0; e.Changed == nil && tries < mostTries; tries++ {
			if tries > 0 {
				v = m.verdict()
			}
			if v == nil {
				continue
			}
			if err := m.change(e, v); err != nil {
				return nil, err
			}
		}
		if e.Changed == nil {
			return nil, nil
		}
		if v = e.Judgement.Of(v.Treatment.ID, v.Target.Path); v == nil || v.Unproven {
			return nil, nil
		}
	}
	switch m.rnd.IntN(11) {
	case 0:
		return m.order(e), nil
	case 1, 2:
		return m.next(e, v), nil
	case 3, 4:
		return m.out(e, v)
	}
	return m.about(e, v)
}

// shares are how often each verdict is drawn, in twelfths.
var shares = []struct {
	word  judge.Word
	share int
}{{judge.RuledOut, 5}, {judge.TestFirst, 3}, {judge.Recommended, 2}, {judge.Possible, 1}, {judge.NoNeed, 1}}

// verdict draws a verdict: one in two of those whose topic an apprentice has begun, else those that teach most more often.
func (m *Maker) verdict() *judge.Verdict {
	if begun := m.begun(); len(begun) > 0 && m.rnd.IntN(2) == 0 {
		return m.one(begun)
	}
	n := m.rnd.IntN(12)
	for _, s := range shares {
		if n -= s.share; n < 0 {
			return m.one(of(m.g, s.word))
		}
	}
	return nil
}

// begun gives the verdicts whose topic went wrong last, or of which more is to be hidden.
func (m *Maker) begun() (list []*judge.Verdict) {
	for _, v := range m.g.Verdicts {
		note := m.notes.Of(m.topics[v])
		further := v.Word == judge.RuledOut && note.Stage > 0 && note.Stage < MaxStage
		if !v.Unproven && (note.Lapsed || further) {
			list = append(list, v)
		}
	}
	return list
}

// one draws one of a list, nil when it is empty.
func (m *Maker) one(list []*judge.Verdict) *judge.Verdict {
	if len(list) == 0 {
		return nil
	}
	return list[m.rnd.IntN(len(list))]
}

// of gives the verdicts of a word whose search was finished.
func of(g *judge.Judgement, word judge.Word) (list []*judge.Verdict) {
	for _, v := range g.Verdicts {
		if v.Word == word && !v.Unproven {
			list = append(list, v)
		}
	}
	return list
}

// change takes one answer that decides a verdict as another, where there is such an answer.
func (m *Maker) change(e *Exercise, v *judge.Verdict) error {
	list, known := m.flips[v]
	if !known {
		r, err := whynot.Find(m.g, v, whynot.To(v))
		if err != nil {
			return err
		}
		for _, s := range r.Sets {
			if len(s.Changes) == 1 && Nameable(s.Changes[0].Ask) {
				list = append(list, s.Changes[0])
			}
		}
		m.flips[v] = list
	}
	if len(list) == 0 {
		return nil
	}
	c := list[m.rnd.IntN(len(list))]
	answer := &suppose.Answer{Thing: c.Ask.Thing.Record, Question: c.Ask.Question, Answer: c.Does[m.rnd.IntN(len(c.Does))]}
	key := fmt.Sprint(c.Number, answer.Answer)
	g := m.books[key]
	if g == nil {
		var err error
		if g, err = suppose.Judge(m.g, []suppose.Answer{*answer}); err != nil {
			return err
		}
		m.books[key] = g
	}
	// An answer that a step since done has made stale cannot be read back from the record: the checker would not agree.
	stands := evidence.Gather(g.Case.Pack, g.Case.Book, g.Case.On).Asks[c.Number].Answer == answer.Answer
	if len(g.Contradictions) == 0 && stands {
		e.Judgement, e.Changed, e.class = g, answer, c.To
	}
	return nil
}

// about makes an exercise about one verdict. The more of its rule an apprentice knows, the more is hidden.
func (m *Maker) about(e *Exercise, v *judge.Verdict) (*Exercise, error) {
	p := e.Judgement.Prove(v)
	e.Kind, e.Verdict, e.Lead = Verdict, v, lead(p)
	stage := m.notes.Of(topic(v, e.Lead)).Stage
	if v.Word == judge.RuledOut && stage > 0 {
		h, err := hold(e.Judgement, v, anything)
		if err != nil {
			return nil, err
		}
		m.hide(e, h, stage)
	}
	if e.Kind == Verdict {
		m.show(e, deciding(p), [][]*judge.Proof{p.RulesOut, p.CalledFor, p.For, p.Against}, true)
	} else {
		m.show(e, []*judge.Proof{e.Lead}, [][]*judge.Proof{p.RulesOut}, false)
	}
	if len(e.Shown) == 0 && e.Kind != Answer {
		return nil, nil // nothing to tell it by
	}
	return e, nil
}

// hide chooses which node to hide: the results, or the answer to look for, as far as the ruling-out hangs on any.
func (m *Maker) hide(e *Exercise, h *holding, stage int) {
	if h.enough(nil) {
		return
	}
	e.Kind = Reason
	if stage == 1 {
		return
	}
	var needed []int
	for _, n := range h.asks {
		cells, _ := e.Judgement.Case.Pack.Env.Cells(e.Judgement.Case.Asks[n].Question)
		if len(cells) > 1 && !h.enough(without(h.asks, n)) {
			needed = append(needed, n)
		}
	}
	if len(needed) > 0 {
		e.Kind, e.Hidden = Answer, needed[m.rnd.IntN(len(needed))]
	}
}

// deciding gives the steps that a verdict rests on, as far as one can be told from the others by them: the rules that read
// what is then left out make it no other.
func deciding(p *judge.VerdictProof) (list []*judge.Proof) {
	switch first := lead(p); {
	case p.Verdict.Word == judge.NoNeed:
		for _, r := range p.CalledFor {
			path := failing(r)
			list = append(list, path[len(path)-1])
		}
	case p.Verdict.EitherWay:
		list = append(list, p.Cases)
		for _, r := range p.RulesOut {
			if r.Value == cond.Open && !withdrawn(r) {
				list = append(list, r)
			}
		}
	case p.Verdict.Word == judge.RuledOut || p.Verdict.Word == judge.TestFirst:
		if first != nil {
			list = append(list, first)
		}
	default:
		for _, r := range slices.Concat(p.CalledFor, p.For, p.Against) {
			if r.Value != cond.False {
				list = append(list, r)
			}
		}
	}
	return list
}

// show chooses the answers that are told: all that the deciding steps read, then others that bear on it, as they come. They
// stand in the order of the record, so that their order tells nothing. open adds what is not answered.
func (m *Maker) show(e *Exercise, deciding []*judge.Proof, lists [][]*judge.Proof, open bool) {
	var shown, rest []int
	note := func(to *[]int, p *judge.Proof) {
		for _, l := range p.Answers() {
			a := e.Judgement.Case.Asks[l.Ask]
			if !Nameable(a) {
				e.give(l.Ask)
			} else if (a.Answer.Known || open) && l.Ask != e.Hidden && !slices.Contains(shown, l.Ask) && !slices.Contains(*to, l.Ask) {
				*to = append(*to, l.Ask)
			}
		}
	}
	for _, p := range deciding {
		if p != nil {
			note(&shown, p)
		}
	}
	if n := e.Number(); n >= 0 && n != e.Hidden && !slices.Contains(shown, n) {
		shown = append(shown, n)
	}
	for _, list := range lists {
		for _, r := range list {
			note(&rest, r)
		}
	}
	m.fill(e, shown, rest)
}

// fill adds some of the rest to what is shown, and counts what is left.
func (m *Maker) fill(e *Exercise, shown, rest []int) {
	m.rnd.Shuffle(len(rest), func(i, k int) { rest[i], rest[k] = rest[k], rest[i] })
	more := min(len(rest), max(0, mostShown-len(shown)))
	e.Shown, e.Left = append(shown, rest[:more]...), len(rest)-more
	slices.Sort(e.Shown)
	slices.Sort(e.Given)
}

// out makes an exercise about what can be done to one thing.
func (m *Maker) out(e *Exercise, about *judge.Verdict) (*Exercise, error) {
	e.Kind = Out
	var out, other []*judge.Verdict
	for _, v := range e.Judgement.Verdicts {
		switch {
		case v.Target.Path != about.Target.Path || v.Unproven:
		case v.Word == judge.RuledOut:
			out = append(out, v)
		default:
			other = append(other, v)
		}
	}
	if len(out) == 0 || len(other) == 0 {
		return nil, nil
	}
	for _, list := range [][]*judge.Verdict{out, other} {
		m.rnd.Shuffle(len(list), func(i, k int) { list[i], list[k] = list[k], list[i] })
	}
	for _, list := range [][]*judge.Verdict{out, other} { // the verdict that was drawn is among them
		if i := slices.Index(list, about); i > 0 {
			list[0], list[i] = list[i], list[0]
		}
	}
	n := min(len(out), 1+m.rnd.IntN(mostVerdicts/2))
	e.Verdicts = append(slices.Clone(out[:n]), other[:min(len(other), mostVerdicts-n)]...)
	sortByName(e.Verdicts)
	var shown, rest []int
	for _, v := range e.Verdicts {
		if err := m.bearing(e, v, &shown, &rest); err != nil {
			return nil, err
		}
	}
	rest = slices.DeleteFunc(rest, func(n int) bool { return slices.Contains(shown, n) })
	m.fill(e, shown, rest)
	return e, nil
}

// bearing notes what rules a treatment out, or keeps it from being ruled out at the first step that fails, and apart what
// else its ruling-outs read.
func (m *Maker) bearing(e *Exercise, v *judge.Verdict, shown, rest *[]int) error {
	p := e.Judgement.Prove(v)
	var deciding []int
	if v.Word == judge.RuledOut {
		h, err := hold(e.Judgement, v, anything)
		if err != nil {
			return err
		}
		deciding = h.least(h.asks)
	} else if last := shouldHold(p.RulesOut, nil, NoRule).Last(); last != nil {
		for _, l := range last.Answers() {
			deciding = append(deciding, l.Ask)
		}
	}
	add := func(to *[]int, n int) {
		if !Nameable(e.Judgement.Case.Asks[n]) {
			e.give(n)
		} else if !slices.Contains(*to, n) {
			*to = append(*to, n)
		}
	}
	for _, n := range deciding {
		add(shown, n)
	}
	for _, r := range p.RulesOut {
		for _, l := range r.Answers() {
			add(rest, l.Ask)
		}
	}
	return nil
}

// sortByName puts verdicts in an order that tells nothing of them.
func sortByName(list []*judge.Verdict) {
	slices.SortFunc(list, func(a, b *judge.Verdict) int {
		return cmp.Or(cmp.Compare(a.Treatment.Name, b.Treatment.Name), cmp.Compare(a.Target.Path, b.Target.Path))
	})
}

// next makes an exercise about what a treatment waits for, among tests that cannot decide it.
func (m *Maker) next(e *Exercise, v *judge.Verdict) *Exercise {
	if v.Word != judge.TestFirst && e.Changed == nil {
		v = m.one(of(e.Judgement, judge.TestFirst))
	}
	if v == nil || v.Word != judge.TestFirst {
		return nil
	}
	e.Kind, e.Verdict = Next, v
	e.Lead = lead(e.Judgement.Prove(v))
	c := e.Judgement.Case
	var deciding, idle []int
	for _, a := range e.Judgement.Missing(v) {
		deciding = append(deciding, c.Number(a.Thing, a.Question))
	}
	for n, a := range c.Asks {
		if Nameable(a) && !a.Answer.Known && c.Pack.Test(a.Question.ID) != nil && !slices.Contains(v.Open, n) && !slices.Contains(deciding, n) && near(c, v.Target, a.Thing) {
			idle = append(idle, n)
		}
	}
	if len(idle) == 0 {
		return nil
	}
	m.rnd.Shuffle(len(deciding), func(i, k int) { deciding[i], deciding[k] = deciding[k], deciding[i] })
	m.rnd.Shuffle(len(idle), func(i, k int) { idle[i], idle[k] = idle[k], idle[i] })
	n := min(len(deciding), mostAsks/2)
	e.Asks = append(slices.Clone(deciding[:n]), idle[:min(len(idle), mostAsks-n)]...)
	slices.Sort(e.Asks)
	return e
}

// near tells whether a thing is in the reach of a target.
func near(c *evidence.Case, target, t *evidence.Thing) bool {
	return slices.Contains(c.Reach(target, t.Kind), t)
}

// order makes an exercise about the order of some recommended steps of which some have one.
func (m *Maker) order(e *Exercise) *Exercise {
	e.Kind, e.Judgement, e.Changed = Order, m.g, nil // an answer changed has no part in it
	list := of(e.Judgement, judge.Recommended)
	found := pairs(e.Judgement, list)
	if len(found) == 0 {
		return nil
	}
	p := found[m.rnd.IntN(len(found))]
	e.Verdicts = []*judge.Verdict{p.First, p.Then}
	m.rnd.Shuffle(len(list), func(i, k int) { list[i], list[k] = list[k], list[i] })
	for _, v := range list {
		same := func(o *judge.Verdict) bool { return o.Treatment == v.Treatment }
		if len(e.Verdicts) < mostSteps && !slices.ContainsFunc(e.Verdicts, same) {
			e.Verdicts = append(e.Verdicts, v)
		}
	}
	sortByName(e.Verdicts)
	if len(e.Orders()) == 0 {
		return nil // the packs' orders run in a ring here: nothing can be asked
	}
	return e
}

// principle makes the exercise about the principle behind an exercise's leading rule, nil where there is none.
func (m *Maker) principle(e *Exercise) *Exercise {
	if e.Lead == nil || e.Lead.Rule.Principle == "" || e.Kind == Next || len(e.Judgement.Case.Pack.Principles) < 2 {
		return nil
	}
	next := *e
	next.Kind, next.Shown, next.Given, next.Left, next.Hidden, next.PrincipleNext = Principle, nil, nil, 0, -1, false
	var others []*pack.Principle
	for _, p := range e.Judgement.Case.Pack.Principles {
		if p.ID == e.Lead.Rule.Principle {
			next.Principles = append(next.Principles, p)
		} else {
			others = append(others, p)
		}
	}
	m.rnd.Shuffle(len(others), func(i, k int) { others[i], others[k] = others[k], others[i] })
	next.Principles = append(next.Principles, others[:min(len(others), mostPrinciples-1)]...)
	slices.SortFunc(next.Principles, func(a, b *pack.Principle) int { return cmp.Compare(a.ID, b.ID) })
	return &next
}
