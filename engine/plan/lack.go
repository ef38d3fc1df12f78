package plan

import (
	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// lacks gives the candidates one of which must be done for a verdict on a foreseen book to let a step be done at all; with own,
// for its own sake.
func (pl *planner) lacks(f *foreseen, n int, own bool) set {
	m := pl.meet(f, n)
	which := 0
	if own {
		which = 1
	}
	if m.help[which] == nil {
		m.help[which] = pl.lack(m.at, n, m, own)
		m.help[which].remove(n)
	}
	return m.help[which]
}

func (pl *planner) lack(f *foreseen, n int, m *meeting, own bool) set {
	k := pl.cands[n]
	if m.v == nil {
		return pl.absent(f, n)
	}
	switch m.v.Word {
	case judge.RuledOut, judge.TestFirst:
		return pl.ruledOut(f, n, m.v)
	case judge.NoNeed:
		return pl.calls(f, n, k.Treatment, m.v)
	}
	if !own {
		return newSet(pl.size)
	}
	if m.v.ServesAim != cond.True {
		return pl.calls(f, n, k.Treatment, m.v)
	}
	return pl.arguments(f, n, m.v)
}

// absent is for a step whose thing is not there, or that is no candidate for it.
func (pl *planner) absent(f *foreseen, n int) set {
	k := pl.cands[n]
	if k.finding >= 0 && !f.there.has(k.finding) {
		if b := pl.broughtAt[k.Path]; b != nil {
			return pl.able(pl.bringersOf[b])
		}
		return newSet(pl.size)
	}
	g := pl.judgement(f)
	return pl.whole(f, n).to(g.Where(k.Treatment, g.Case.At(k.Path)), cond.True)
}

// whole is for conditions of which it is not known what could be added to their lists.
func (pl *planner) whole(f *foreseen, n int) *turn {
	u := &turn{planner: pl, f: f, own: -1, fresh: newSet(pl.size)}
	if n >= 0 {
		u.own = pl.cands[n].finding
	}
	for _, b := range pl.brought {
		u.fresh.join(pl.able(pl.bringersOf[b]))
	}
	return u
}

// ruledOut is for a step that is ruled out, or may be: every ruling-out must come to fail, but for those that hang on nothing but
// answers of findings brought. Those for one of them are enough: the fewest.
func (pl *planner) ruledOut(f *foreseen, n int, v *judge.Verdict) (least set) {
	for _, i := range v.Instances {
		if i.Rule.Effect != pack.RulesOut || i.Rule.Withdrawn != nil || f.g.Exact(i) == cond.False {
			continue
		}
		var could set
		if p := f.g.Reason(i); i.Value == cond.Open && pl.ofBrought(f, p) {
			could = (&turn{planner: pl, f: f, own: -1, fresh: pl.freshFor(i)}).anyOf(p)
			could.join(pl.tiedTo(p, f.g.Case))
			if !pl.ofOthers(f, p) { // it need not change, and does not stand in the way
				continue
			}
		} else {
			could = pl.instance(f, n, i, cond.False)
		}
		if least == nil || could.count() < least.count() {
			least = could
		}
	}
	if least == nil {
		least = newSet(pl.size)
		for m := range pl.cands {
			least.add(m)
		}
	}
	return least
}

// ofBrought tells whether an open answer of a proof is of a finding brought, ofOthers whether one is of anything else.
func (pl *planner) ofBrought(f *foreseen, p *judge.Proof) bool {
	for _, a := range p.Answers() {
		if a.Value == cond.Open && pl.isBrought(a.Thing) {
			return true
		}
	}
	return false
}

func (pl *planner) ofOthers(f *foreseen, p *judge.Proof) bool {
	for _, a := range p.Answers() {
		if a.Value == cond.Open && !pl.isBrought(a.Thing) {
			return true
		}
	}
	return false
}

// calls is for a step that nothing calls for, or not surely.
func (pl *planner) calls(f *foreseen, n int, t *pack.Treatment, v *judge.Verdict) set {
	s, _ := pl.anew(f, n, pack.CalledFor)
	for _, i := range v.Instances {
		if i.Rule.Effect == pack.CalledFor && i.Value != cond.True {
			s.join(pl.instance(f, n, i, cond.True))
		}
	}
	for _, o := range pl.needersOf(t) {
		for _, thing := range f.g.Case.Of(o.Of) {
			if !thing.Unlisted {
				s.join(pl.neederTurns(f, o, thing.Path))
			}
		}
		for _, b := range pl.brought { // a finding brought may need it
			if o.Of == b.thing.Kind {
				s.join(pl.able(pl.bringersOf[b]))
			}
		}
	}
	return s
}

// needersOf gives the treatments that can need one.
func (pl *planner) needersOf(t *pack.Treatment) (list []*pack.Treatment) {
	for _, r := range pl.base.Case.Pack.Rules {
		if r.Effect == pack.Needs && r.Step == t {
			list = append(list, r.Treatments...)
		}
	}
	return list
}

// neederTurns gives the candidates that could make a treatment of a thing need another: all that change whether it is called for,
// ruled out, a candidate, or needs it.
func (pl *planner) neederTurns(f *foreseen, t *pack.Treatment, path string) set {
	n, known := pl.byKey[Key{t.ID, path}]
	if !known { // done already, or does nothing: the book may need it still
		n = -1
	}
	list, considered := f.g.Instances(t.ID, path)
	if !considered {
		return pl.whole(f, -1).to(f.g.Where(t, f.g.Case.At(path)), cond.True)
	}
	s := newSet(pl.size)
	for _, i := range list {
		switch {
		case i.Rule.Effect == pack.Needs || i.Rule.Effect == pack.CalledFor:
			if i.Value != cond.True {
				s.join(pl.instance(f, -1, i, cond.True))
			}
		case i.Rule.Effect == pack.RulesOut && i.Value != cond.False:
			s.join(pl.instance(f, -1, i, cond.False))
		}
	}
	if n >= 0 {
		more, _ := pl.anew(f, n, pack.CalledFor)
		s.join(more)
		more, _ = pl.anew(f, n, pack.Needs)
		s.join(more)
	} else {
		s.join(pl.whole(f, -1).fresh)
	}
	for _, o := range pl.needersOf(t) {
		for _, thing := range f.g.Case.Of(o.Of) {
			if !thing.Unlisted {
				s.join(pl.neederTurns(f, o, thing.Path))
			}
		}
	}
	return s
}

// arguments is for a step whose support is not enough: some argument must come to speak better. None can where all of them
// together would not be enough.
func (pl *planner) arguments(f *foreseen, n int, v *judge.Verdict) set {
	s, best := pl.anew(f, n, pack.For)
	for _, i := range v.Instances {
		weight := 0.0
		if i.Rule.Criterion != nil {
			weight = i.Weighs(pl.base.Weights)
		}
		switch {
		case i.Rule.Effect == pack.For:
			if i.Value == cond.True {
				best += weight
				continue
			}
			could := pl.instance(f, n, i, cond.True)
			if i.Value == cond.Open || !could.empty() {
				best += weight
			}
			s.join(could)
		case i.Rule.Effect == pack.Against && i.Value != cond.False:
			could := pl.instance(f, n, i, cond.False)
			if i.Value == cond.True && could.empty() {
				best -= weight
			}
			s.join(could)
		}
	}
	least := 0.0
	if pl.rest != nil {
		least = pl.rest.Least
	}
	if best < least+5e-7 { // support is rounded to a millionth
		return newSet(pl.size)
	}
	return s
}

// able gives those of some candidates that could ever be done.
func (pl *planner) able(list []int) set {
	s := newSet(pl.size)
	for _, n := range list {
		if !pl.isNever(n) {
			s.add(n)
		}
	}
	return s
}

// isNever is never, once.
func (pl *planner) isNever(n int) bool {
	if !pl.asked.has(n) {
		pl.asked.add(n)
		if pl.never(n) {
			pl.nevers.add(n)
		}
	}
	return pl.nevers.has(n)
}

// never tells that a step can be done on no book that a plan can come to: it is no candidate, ruled out, or called for by
// nothing, whatever is done.
func (pl *planner) never(n int) bool {
	k := pl.cands[n]
	if p := pl.fullBook.Where(k.Treatment, k.thing); p != nil && pl.fixed(p) == cond.False {
		return true
	}
	list, considered := pl.fullBook.Instances(k.Treatment.ID, k.Path)
	if !considered {
		return false
	}
	called := len(pl.needersOf(k.Treatment)) > 0
	for _, i := range list {
		switch i.Rule.Effect {
		case pack.RulesOut:
			if i.Rule.Withdrawn == nil && i.Value == cond.True && (i.Thing == k.thing || pl.stays(i.Thing)) && pl.fixed(pl.fullBook.Reason(i)) == cond.True {
				return true
			}
		case pack.CalledFor:
			called = called || pl.fixed(pl.fullBook.Reason(i)) != cond.False
		}
	}
	return !called
}
