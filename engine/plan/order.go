package plan

import (
	"cmp"
	"slices"

	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// levels tells how far down the orders of the pack each treatment stands: 0 for those before which none must come.
func levels(p *pack.Pack) map[string]int {
	earlier := map[string][]string{}
	for _, t := range p.Treatments {
		earlier[t.ID] = append(earlier[t.ID], t.After...)
		for _, b := range t.Before {
			earlier[b] = append(earlier[b], t.ID)
		}
	}
	for _, r := range p.Rules {
		if r.Effect == pack.Needs {
			for _, t := range r.Treatments {
				earlier[t.ID] = append(earlier[t.ID], r.Step.ID)
			}
		}
	}
	level := map[string]int{}
	var find func(id string) int
	find = func(id string) int {
		if n, known := level[id]; known {
			return n
		}
		level[id] = 0 // a pack has no ring of orders; see pack.Load
		n := 0
		for _, e := range earlier[id] {
			n = max(n, find(e)+1)
		}
		level[id] = n
		return n
	}
	for _, t := range p.Treatments {
		find(t.ID)
	}
	return level
}

// before orders candidates as they are tried: an order given by an earlier plan, then the orders of the pack, then names.
func (pl *planner) before(a, b *candidate) int {
	return cmp.Or(cmp.Compare(pl.was(a.Key), pl.was(b.Key)), cmp.Compare(a.level, b.level), a.Key.Compare(b.Key))
}

// was is the place of a step in the earlier plan; that of a new one is after all of them.
func (pl *planner) was(k Key) int {
	if at, known := pl.earlier[k]; known {
		return at
	}
	return len(pl.earlier)
}

// first tells whether the pack has a come before b: where they have a part in common.
func (pl *planner) first(a, b *candidate) bool {
	if !slices.Contains(a.Before, b.Treatment.ID) && !slices.Contains(b.After, a.Treatment.ID) {
		return false
	}
	return slices.ContainsFunc(a.parts, func(p string) bool { return slices.Contains(b.parts, p) })
}

// order looks for an order in which the steps of a set hold together. It notes, for every step that could not be done where it
// was tried, the candidates that could change that: a greater set that holds together has one of them, for the first of these
// steps to come where it could not.
type order struct {
	*planner
	of     set   // the set: candidates, and what is accepted of what they bring
	steps  []int // its candidates
	failed map[string]bool
	help   set
	placed set // steps that could be done somewhere
	left   int // how many more books to look at; when it is used up the search is given up
	gaveUp bool
}

// at is a place in an order: the steps so far, with the book that each met.
type at struct {
	f       *foreseen
	done    set
	steps   []int
	met     []*foreseen
	pending set // steps there only for others, that none has needed so far
	unmet   set // what was brought and not met since
}

// extend puts the rest of the set after the steps placed; nil where there is no way.
func (o *order) extend(a at) []int {
	if !o.hopes(a) {
		return nil
	}
	if len(a.steps) == len(o.steps) {
		return append([]int{}, a.steps...)
	}
	stopped := o.stopped // a short search goes on when time has run out
	if o.left--; o.left < 0 || !stopped && o.stop() {
		o.gaveUp = true
		return nil
	}
	name := a.f.name + a.done.key() + a.pending.key() + a.unmet.key()
	if o.failed[name] {
		return nil
	}
	var next []at
	for _, n := range o.steps {
		if a.done.has(n) {
			continue
		}
		b, ok := o.place(a, n)
		if !ok {
			continue
		}
		o.placed.add(n)
		if !b.pending.has(n) && o.harmless(a, n) { // as good here as anywhere
			next = []at{b}
			break
		}
		next = append(next, b)
	}
	for _, b := range next {
		if found := o.extend(b); found != nil || o.gaveUp {
			return found
		}
	}
	o.failed[name] = true
	return nil
}

// hopes tells whether the steps still to come could do what those placed owe: need the pending ones, meet what is brought and not
// accepted.
func (o *order) hopes(a at) bool {
	ok, later := true, o.of.minus(a.done)
	for i, n := range a.steps {
		if a.pending.has(n) && !o.servers(n).meets(later) {
			ok = false
			o.help.join(o.servers(n))
			o.help.join(o.lacks(a.met[i], n, true))
		}
	}
	for _, b := range o.brought {
		if a.unmet.has(b.n) && !o.of.has(b.n) && !slices.ContainsFunc(o.meetersOf[b], later.has) {
			ok = false
			o.help.join(o.meeting(b))
		}
	}
	return ok
}

// meeting is what can be done about a finding brought: to meet it, or to accept it.
func (pl *planner) meeting(b *Brought) set { return pl.able(pl.meetersOf[b]).with(b.n) }

// place does a step next, if it can be.
func (o *order) place(a at, n int) (b at, ok bool) {
	k := o.cands[n]
	for _, m := range o.steps {
		if m == n || a.done.has(m) {
			continue
		}
		if o.first(o.cands[m], k) {
			return b, false
		}
		if early := o.tooEarly(a, n, m); early != nil {
			o.help.join(o.meeting(early))
			return b, false
		}
	}
	m := o.meet(a.f, n)
	if !m.may {
		o.help.join(o.lacks(a.f, n, false))
		return b, false
	}
	pending := a.pending.clone()
	if !o.needsMet(a, n, m, pending) {
		return b, false
	}
	if !m.own && !o.meetsNow(a.f, n) {
		if o.servers(n).both(o.of).minus(a.done).empty() {
			o.help.join(o.servers(n))
			o.help.join(o.lacks(a.f, n, true))
			return b, false
		}
		pending.add(n)
	}
	return at{
		f: o.next(a.f, n), done: a.done.with(n), steps: append(a.steps[:len(a.steps):len(a.steps)], n),
		met: append(a.met[:len(a.met):len(a.met)], a.f), pending: pending, unmet: o.owes(a.unmet, n),
	}, true
}

// tooEarly gives something that m is yet to bring and n is the last to meet, unless it is accepted.
func (o *order) tooEarly(a at, n, m int) *Brought {
	for _, b := range o.cands[m].brings {
		if o.of.has(b.n) || !slices.Contains(o.cands[n].meets, b) {
			continue
		}
		if !slices.ContainsFunc(o.steps, func(other int) bool {
			return other != n && !a.done.has(other) && slices.Contains(o.cands[other].meets, b)
		}) {
			return b
		}
	}
	return nil
}

// needsMet tells whether all that a step needs was done before it, and takes those done for it off the pending.
func (o *order) needsMet(a at, n int, m *meeting, pending set) bool {
	for _, need := range o.needs(m) {
		met := need.done
		for _, w := range need.ways {
			if a.done.has(w) {
				met = true
				pending.remove(w)
			}
		}
		if !met {
			o.help.join(o.otherwise(m.at, n, need))
			return false
		}
	}
	return true
}

// need is something that must come before a step: one of the ways.
type need struct {
	instance *judge.Instance
	thing    string // what it is to be done to
	ways     []int
	done     bool // before the plan
}

// needs gives what a step needs on a foreseen book: of each thing in reach one of the treatment named and its variants, where
// any of them can be a candidate.
func (pl *planner) needs(m *meeting) (list []need) {
	g := m.at.g
	for _, i := range m.v.Instances {
		if i.Rule.Effect != pack.Needs || i.Value == cond.False || i.Rule.Withdrawn != nil {
			continue
		}
		for _, z := range g.Case.Reach(i.Thing, i.Rule.Step.Of) {
			need, considered := need{instance: i, thing: z.Path}, false
			for _, t := range g.Case.Pack.Treatments {
				if !isWay(t, i.Rule.Step) || t.DoesNothing {
					continue
				}
				considered = considered || g.Considers(t, z)
				if w, known := pl.byKey[Key{t.ID, z.Path}]; known {
					need.ways = append(need.ways, w)
				} else if pl.isDone(Key{t.ID, z.Path}) {
					need.done = true
				}
			}
			if considered {
				list = append(list, need)
			}
		}
	}
	return list
}

// otherwise gives the candidates one of which must be done for a need to be met or to fall away.
func (pl *planner) otherwise(f *foreseen, n int, need need) set {
	s := newSet(pl.size, need.ways...)
	s.join(pl.instance(f, n, need.instance, cond.False))
	z := f.g.Case.At(need.thing)
	if z.Kind == vocab.Finding {
		s.join(pl.able(pl.clearersOf[pl.full.At(z.Path).Index]))
	}
	for _, w := range need.ways {
		if p := f.g.Where(pl.cands[w].Treatment, z); p != nil {
			s.join(pl.whole(f, -1).to(p, cond.False))
		}
	}
	s.remove(n)
	return s
}

// harmless tells whether a step changes nothing that a step not yet placed rests on, and meets nothing that one brings.
func (o *order) harmless(a at, n int) bool {
	for _, m := range o.steps {
		if m == n || a.done.has(m) {
			continue
		}
		if o.touches(n, m) || slices.ContainsFunc(o.cands[m].brings, func(b *Brought) bool { return slices.Contains(o.cands[n].meets, b) }) {
			return false
		}
	}
	return true
}

// rests is all that a verdict can rest on: answers and findings, by their numbers in the full case.
type rests struct {
	asks, findings set
	all            bool // it is not known what
}

// touches tells whether a step changes anything that another rests on.
func (pl *planner) touches(n, m int) bool {
	k, r := pl.cands[n], pl.restsOn(m)
	if r.all {
		return len(k.sets)+len(k.clears)+len(k.brings) > 0
	}
	for _, s := range k.sets {
		if r.asks.has(s.ask) {
			return true
		}
	}
	for _, f := range k.clears {
		if r.findings.has(f) {
			return true
		}
	}
	return slices.ContainsFunc(k.brings, func(b *Brought) bool { return r.findings.has(b.thing.Index) })
}

// restsOn finds what the verdict of a candidate can rest on, whatever the plan: all that its rules, and those of whatever could
// need it, read in the full case.
func (pl *planner) restsOn(n int) *rests {
	k := pl.cands[n]
	if k.rests != nil {
		return k.rests
	}
	r := &rests{asks: newSet(len(pl.full.Asks)), findings: newSet(len(pl.full.Things))}
	k.rests = r
	if k.finding >= 0 {
		r.findings.add(k.finding)
	}
	for _, b := range k.meets {
		r.findings.add(b.thing.Index)
	}
	pl.rest1(r, k.Treatment, k.Path)
	for _, o := range pl.bearers(k.Treatment) {
		for _, thing := range pl.full.Of(o.Of) {
			if !thing.Unlisted {
				pl.rest1(r, o, thing.Path)
			}
		}
	}
	for _, ask := range r.asks.list() { // never statements tie answers to others
		for _, other := range pl.tiedAsks[pl.full.Asks[ask].Question] {
			r.asks.add(other)
		}
	}
	return r
}

// bearers gives all treatments that can need one, directly or by way of others.
func (pl *planner) bearers(t *pack.Treatment) (list []*pack.Treatment) {
	for _, o := range pl.needersOf(t) {
		if !slices.Contains(list, o) {
			list = append(list, o)
			list = append(list, pl.bearers(o)...)
		}
	}
	return list
}

// rest1 adds what the rules of one treatment of a thing read.
func (pl *planner) rest1(r *rests, t *pack.Treatment, path string) {
	list, considered := pl.fullBook.Instances(t.ID, path)
	if p := pl.fullBook.Where(t, pl.full.At(path)); p != nil {
		r.read(p)
	}
	r.all = r.all || !considered
	for _, i := range list {
		if i.Rule.Effect != pack.Caution {
			o := pl.instanceRests(i)
			r.asks.join(o.asks)
			r.findings.join(o.findings)
		}
	}
}

// instanceRests adds what a rule instance of the full case reads, once.
func (pl *planner) instanceRests(i *judge.Instance) *rests {
	at := place{i.Rule, i.Target.Path, i.Thing.Path}
	if r := pl.read[at]; r != nil {
		return r
	}
	r := &rests{asks: newSet(len(pl.full.Asks)), findings: newSet(len(pl.full.Things))}
	pl.read[at] = r
	if i.Thing.Kind == vocab.Finding {
		r.findings.add(i.Thing.Index)
	}
	r.read(pl.fullBook.Reason(i))
	if i.Rule.Effect == pack.Needs {
		pl.needRests(r, i)
	}
	return r
}

// needRests adds what it can rest on whether a need asks for anything.
func (pl *planner) needRests(r *rests, i *judge.Instance) {
	for _, z := range pl.full.Reach(i.Thing, i.Rule.Step.Of) {
		if z.Kind == vocab.Finding {
			r.findings.add(z.Index)
		}
		for _, w := range pl.full.Pack.Treatments {
			if !isWay(w, i.Rule.Step) {
				continue
			}
			if p := pl.fullBook.Where(w, z); p != nil {
				r.read(p)
			}
		}
	}
}

// read adds what a proof of the full case reads.
func (r *rests) read(p *judge.Proof) {
	switch {
	case p.Step == judge.StepAnswer:
		r.asks.add(p.Ask)
	case p.Step == judge.StepEach && p.Thing.Kind == vocab.Finding:
		r.findings.add(p.Thing.Index)
	}
	for _, kid := range p.Kids {
		r.read(kid)
	}
}
