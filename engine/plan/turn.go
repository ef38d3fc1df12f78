package plan

import (
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// turn looks for what could make a condition come out as it does not on a foreseen book: candidates one of which must be done
// for that, whatever else is. A step changes a condition by an answer it gives, a finding it clears, a finding it brings. What it
// makes stale changes nothing, since tests are expected to turn out as before.
type turn struct {
	*planner
	f     *foreseen
	own   int // the finding that the step in question is done to, which must not be cleared; -1 for none
	fresh set // candidates that could add something to the lists of the condition
}

// to gives the candidates that could make a proof come out as wanted.
func (u *turn) to(p *judge.Proof, want cond.Truth) set {
	switch p.Step {
	case judge.StepNot:
		return u.to(p.Kids[0], cond.Not(want))
	case judge.StepAnd, judge.StepOr:
		return u.some(p, want, (p.Step == judge.StepAnd) == (want == cond.True), false)
	case judge.StepAll:
		return u.some(p, want, want == cond.True, want == cond.False)
	case judge.StepExists:
		return u.some(p, want, want == cond.False, want == cond.True)
	case judge.StepCount:
		return u.some(p, want, false, want == cond.True)
	case judge.StepAtom:
		return u.answers(p, want)
	case judge.StepEach:
		s := u.kids(p, want)
		if p.Thing.Kind == vocab.Finding && !p.Thing.Unlisted {
			if t := u.full.At(p.Thing.Path); t != nil && t.Index != u.own {
				s.join(u.able(u.clearersOf[t.Index]))
			}
		}
		return s
	case judge.StepAnswer: // whether a list is complete
		return u.setters(p, nil)
	}
	return u.kids(p, want)
}

// kids gives the candidates that could turn any of the parts.
func (u *turn) kids(p *judge.Proof, want cond.Truth) set {
	s := newSet(u.size)
	for _, kid := range p.Kids {
		s.join(u.to(kid, want))
	}
	return s
}

// some gives the candidates for a proof with several parts. Where each part must come out as wanted, those for one that surely
// does not are enough: the fewest. fresh tells that something added to the list would do as well.
func (u *turn) some(p *judge.Proof, want cond.Truth, every, fresh bool) set {
	s := newSet(u.size)
	var least set
	for _, kid := range p.Kids {
		if kid.Value == want {
			continue
		}
		could := u.to(kid, want)
		if every && kid.Value == cond.Not(want) && (least == nil || could.count() < least.count()) {
			least = could
		}
		s.join(could)
	}
	if least != nil {
		return least
	}
	if fresh {
		s.join(u.fresh)
	}
	return s
}

// answers gives the candidates that could give an atom answers by which it comes out as wanted.
func (u *turn) answers(p *judge.Proof, want cond.Truth) set {
	s := newSet(u.size)
	leaves := p.Answers()
	for _, a := range leaves {
		var does func(vocab.Answer) bool
		if a.Test != nil && len(leaves) == 1 {
			q := u.f.g.Case.Asks[a.Ask].Question
			does = func(v vocab.Answer) bool { return a.Test.Holds(q, v) == (want == cond.True) }
		}
		s.join(u.setters(a, does))
	}
	return s
}

// setters gives the candidates that give a question an answer that does; or open it, by bringing its finding anew.
func (u *turn) setters(a *judge.Proof, does func(vocab.Answer) bool) set {
	s := newSet(u.size)
	ask := u.numberOf(u.f.g.Case, a.Ask)
	if ask < 0 {
		return s
	}
	for _, n := range u.settersOf[ask] {
		for _, g := range u.cands[n].sets {
			if g.ask == ask && (does == nil || does(g.answer)) && !u.isNever(n) {
				s.add(n)
			}
		}
	}
	if b := u.broughtAt[u.full.Asks[ask].Thing.Path]; b != nil && u.answer(u.f, ask) != u.full.Asks[ask].Answer {
		s.join(u.able(u.bringersOf[b]))
	}
	return s
}

// anyOf gives all candidates that change anything that a proof reads.
func (u *turn) anyOf(p *judge.Proof) set {
	s := u.fresh.clone()
	for _, a := range p.Answers() {
		s.join(u.setters(a, nil))
	}
	var walk func(p *judge.Proof)
	walk = func(p *judge.Proof) {
		if p.Step == judge.StepEach && p.Thing.Kind == vocab.Finding {
			if t := u.full.At(p.Thing.Path); t != nil {
				s.join(u.able(u.clearersOf[t.Index]))
			}
		}
		for _, kid := range p.Kids {
			walk(kid)
		}
	}
	walk(p)
	return s
}

// instance gives the candidates that could make a rule instance come out as wanted: by its condition, or, where it is to fail,
// because the thing it is asked of is no more.
func (pl *planner) instance(f *foreseen, n int, i *judge.Instance, want cond.Truth) set {
	u := &turn{planner: pl, f: f, own: -1, fresh: pl.freshFor(i)}
	if n >= 0 {
		u.own = pl.cands[n].finding
	}
	p := f.g.Reason(i)
	s := u.to(p, want)
	if want == cond.False && i.Thing.Kind == vocab.Finding {
		if t := pl.full.At(i.Thing.Path); t != nil && t.Index != u.own {
			s.join(pl.able(pl.clearersOf[t.Index]))
		}
	}
	if i.Value == cond.Open {
		s.join(pl.tiedTo(p, f.g.Case))
	}
	return s
}

// tiedTo gives the candidates that give answers which never statements tie to those open in a proof.
func (pl *planner) tiedTo(p *judge.Proof, c *evidence.Case) set {
	s := newSet(pl.size)
	for _, a := range p.Answers() {
		if q := c.Asks[a.Ask].Question; q != nil && pl.tied[q] != nil {
			s.join(pl.tied[q])
		}
	}
	return s
}

// tie finds which candidates change something that never statements tie to a question.
func (pl *planner) tie() {
	var groups [][]*vocab.Question
	for _, n := range pl.base.Case.Pack.Never {
		read := pl.reads(n.When.Root)
		groups = slices.DeleteFunc(groups, func(g []*vocab.Question) bool {
			if slices.ContainsFunc(g, func(q *vocab.Question) bool { return slices.Contains(read, q) }) {
				read = append(read, g...)
				return true
			}
			return false
		})
		groups = append(groups, read)
	}
	pl.tied, pl.tiedAsks = map[*vocab.Question]set{}, map[*vocab.Question][]int{}
	for _, g := range groups {
		var asks []int
		for ask := range pl.full.Asks {
			if slices.Contains(g, pl.full.Asks[ask].Question) {
				asks = append(asks, ask)
			}
		}
		s := newSet(pl.size)
		for n, k := range pl.cands {
			gives := slices.ContainsFunc(k.sets, func(s settled) bool { return slices.Contains(g, pl.full.Asks[s.ask].Question) })
			lists := len(k.clears)+len(k.brings) > 0 && slices.ContainsFunc(g, func(q *vocab.Question) bool { return q.Kind == vocab.Finding })
			if gives || lists {
				s.add(n)
			}
		}
		for _, q := range g {
			pl.tied[q], pl.tiedAsks[q] = s, asks
		}
	}
}

// reads gives the questions that a condition reads.
func (pl *planner) reads(n *cond.Node) (list []*vocab.Question) {
	n.Walk(func(n *cond.Node) {
		switch n.Op {
		case cond.OpFact:
			list = append(list, pl.reads(pl.base.Case.Pack.Fact(n.Fact).Is.Root)...)
		case cond.OpAtom:
			for _, r := range n.Atom.Reads {
				list = append(list, r.Question)
			}
		}
	})
	return list
}

// place of a rule instance in the full case.
type place struct {
	rule         *pack.Rule
	target, path string
}

// freshFor gives the candidates that bring something which could count in a list of a rule instance.
func (pl *planner) freshFor(i *judge.Instance) set {
	at := place{i.Rule, i.Target.Path, i.Thing.Path}
	if s, known := pl.fresh[at]; known {
		return s
	}
	s := newSet(pl.size)
	pl.fresh[at] = s
	full := pl.inFull(i.Rule.Treatments, at)
	if full == nil { // no candidate in the full case, or of a thing not listed
		for _, b := range pl.brought {
			s.join(pl.able(pl.bringersOf[b]))
		}
		return s
	}
	pl.count(pl.fullBook.Reason(full), s)
	return s
}

// inFull finds a rule instance of the full case.
func (pl *planner) inFull(of []*pack.Treatment, at place) *judge.Instance {
	target := pl.full.At(at.target)
	for _, t := range of {
		if target == nil || t.Of != target.Kind {
			continue
		}
		list, _ := pl.fullBook.Instances(t.ID, at.target)
		for _, i := range list {
			if i.Rule == at.rule && i.Thing.Path == at.path {
				return i
			}
		}
	}
	return nil
}

// count adds those who bring a finding that counts for something in a list of a proof of the full case: unless it is settled
// whatever is done that it does not.
func (pl *planner) count(p *judge.Proof, s set) {
	for _, kid := range p.Kids {
		if kid.Step == judge.StepEach && kid.Thing != nil {
			if b := pl.broughtAt[kid.Thing.Path]; b != nil && pl.fixed(kid.Kids[0]) != cond.Of(p.Step == judge.StepAll) {
				s.join(pl.able(pl.bringersOf[b]))
			}
		}
		pl.count(kid, s)
	}
}

// fixed gives the value that a proof of the full case has on every book that a plan can come to: open where a step could change it.
func (pl *planner) fixed(p *judge.Proof) cond.Truth {
	switch p.Step {
	case judge.StepAlways:
		return p.Value
	case judge.StepReason, judge.StepFact, judge.StepEach:
		if len(p.Kids) > 1 { // of a thing that may not be there
			return cond.Open
		}
		return pl.fixed(p.Kids[0])
	case judge.StepNot:
		return cond.Not(pl.fixed(p.Kids[0]))
	case judge.StepAtom:
		for _, kid := range p.Kids {
			if kid.Step != judge.StepAnswer || len(pl.settersOf[kid.Ask]) > 0 || kid.Thing.Unlisted {
				return cond.Open
			}
		}
		return p.Value
	}
	return pl.fixedList(p)
}

// fixedList is fixed for a proof with several parts. Of a list, all that can ever be in it is there in the full case; what can be
// cleared, or is yet to be brought, may not be.
func (pl *planner) fixedList(p *judge.Proof) cond.Truth {
	holds, fails, open := 0, 0, 0
	for _, kid := range p.Kids {
		v := pl.fixed(kid)
		if kid.Step == judge.StepEach && !pl.stays(kid.Thing) && v == cond.Of(p.Step != judge.StepAll) {
			v = cond.Open
		}
		switch v {
		case cond.True:
			holds++
		case cond.False:
			fails++
		default:
			open++
		}
	}
	switch p.Step {
	case judge.StepAnd, judge.StepAll:
		return cond.Not(cond.AtLeast(1, fails, open))
	case judge.StepOr, judge.StepExists:
		return cond.AtLeast(1, holds, open)
	}
	return cond.AtLeast(p.Count, holds, open)
}

// stays tells whether a thing of the full case is there on every book that a plan can come to.
func (pl *planner) stays(t *evidence.Thing) bool {
	return t.Kind != vocab.Finding || !t.Unlisted && pl.broughtAt[t.Path] == nil && len(pl.clearersOf[t.Index]) == 0
}

// anew gives the candidates that bring a finding of which rules with an effect, looking at each finding, could hold; and what
// the arguments among them weigh at most.
func (pl *planner) anew(f *foreseen, n int, effect pack.Effect) (s set, weight float64) {
	s = newSet(pl.size)
	k := pl.cands[n]
	list, considered := pl.fullBook.Instances(k.Treatment.ID, k.Path)
	if !considered { // nothing is known of it there: all that brings anything
		for _, b := range pl.brought {
			s.join(pl.able(pl.bringersOf[b]))
		}
		return s, 1e9
	}
	for _, i := range list {
		b := pl.broughtAt[i.Thing.Path]
		if i.Rule.Effect != effect || b == nil || f.there.has(b.thing.Index) || i.Thing.Path == k.Path || pl.fixed(pl.fullBook.Reason(i)) == cond.False {
			continue
		}
		s.join(pl.able(pl.bringersOf[b]))
		if effect == pack.For {
			weight += i.Weighs(pl.base.Weights)
		}
	}
	return s, weight
}
