package lesson

import (
	"cmp"
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

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
