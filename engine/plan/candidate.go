package plan

import (
	"math"
	"slices"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// candidate is a treatment of a thing that a plan may hold.
type candidate struct {
	Key
	*pack.Treatment
	verdict *judge.Verdict // on the book as it is, with findings brought where it was found only so
	level   int            // how far down the orders of the pack the treatment stands
	parts   []string       // the parts it has to do with, sorted
	deals   map[*Subject]int
	brings  []*Brought
	meets   []*Brought
	moved   []*Brought // of what others bring, what could count for it
	freed   []*Brought // and what could make a ruling-out of it fail
	sets    []Ask      // answers it gives
	takes   []string   // findings it clears
	needs   []need
	bars    []leaves // what keeps it from being done now; each must be seen to
	support int64    // at its lowest, in millionths
}

// need is something that must come first: one of the ways, unless what it rests on comes to be otherwise.
type need struct {
	ways []Key
	on   leaves
}

// meets tells whether a candidate does away with a need.
func (n need) meets(c *candidate) bool { return slices.Contains(n.ways, c.Key) || c.touches(n.on) }

// Ask names a question of a thing.
type Ask struct{ Path, Question string }

// leaves is what a reason rests on: answers, and findings.
type leaves struct {
	asks     map[Ask]bool
	findings map[string]bool
	bans     bool // of ruling-outs
}

// findCandidates finds all that may stand in a plan: treatments for a subject; those that they need; those that meet what
// any of them brings; those that could make one of them permitted. What a treatment brings can call for others, so that the
// book is judged again with it until nothing new is brought.
func (pl *planner) findCandidates() error {
	for g := pl.base; ; {
		before := len(pl.brought)
		pl.gather(g)
		if len(pl.brought) == before {
			break
		}
		book, since := *pl.base.Case.Book, map[*Brought]time.Time{}
		for _, b := range pl.brought {
			since[b] = pl.base.Case.On
		}
		pl.place(&book, since)
		var err error
		if g, err = judge.Judge(evidence.Gather(pl.base.Case.Pack, &book, pl.base.Case.On)); err != nil {
			return err
		}
	}
	slices.SortFunc(pl.cands, func(a, b *candidate) int { return pl.before(a, b) })
	for n, c := range pl.cands {
		pl.byKey[c.Key] = n
	}
	return nil
}

// gather adds the candidates among the verdicts of a judgement.
func (pl *planner) gather(g *judge.Judgement) {
	var all []*candidate
	for _, v := range g.Verdicts {
		pl.considered[Key{v.Treatment.ID, v.Target.Path}] = true
	}
	for _, v := range g.Verdicts {
		k := Key{v.Treatment.ID, v.Target.Path}
		if _, known := pl.byKey[k]; !known && !v.Treatment.DoesNothing && !pl.isDone(k) {
			all = append(all, pl.candidate(g, v))
		}
	}
	for _, c := range all {
		c.brings = pl.bring(g.Case, c)
		pl.look(g, c, c.verdict)
	}
	for _, c := range all {
		if v := c.verdict; v.Word == judge.RuledOut || v.Word == judge.TestFirst || v.Word == judge.Possible && len(c.deals) > 0 {
			c.bars = pl.inTheWay(g, v, c, append(pl.cands[:len(pl.cands):len(pl.cands)], all...))
		}
	}
	for _, c := range pl.cands {
		if v := g.Of(c.Treatment.ID, c.Path); v != nil {
			pl.look(g, c, v)
		}
	}
	all = pl.permitted(all)
	others := append(pl.cands[:len(pl.cands):len(pl.cands)], all...)
	for more := true; more; {
		more = false
		for _, c := range all {
			if _, known := pl.byKey[c.Key]; !known && pl.useful(c, others) {
				pl.byKey[c.Key] = len(pl.cands)
				pl.cands, more = append(pl.cands, c), true
				pl.brought = append(pl.brought, pl.fresh(c)...)
			}
		}
	}
	for _, c := range pl.cands {
		c.meets = nil
		for _, b := range pl.brought {
			if f := g.Case.At(b.Path); f != nil && !slices.Contains(c.brings, b) && pl.easesKind(c.Treatment, b.Kind) && slices.Contains(g.Case.Reach(g.Case.At(c.Path), vocab.Finding), f) {
				c.meets = append(c.meets, b)
			}
		}
	}
}

// candidate makes a candidate of a verdict.
func (pl *planner) candidate(g *judge.Judgement, v *judge.Verdict) *candidate {
	c := &candidate{
		Key: Key{v.Treatment.ID, v.Target.Path}, Treatment: v.Treatment, verdict: v, level: pl.levels[v.Treatment.ID],
		deals: map[*Subject]int{}, support: int64(math.Round(v.Least * 1e6)),
	}
	c.parts = partsOf(g.Case, v.Target)
	for s, level := range pl.deals[c.Key] {
		c.deals[s] = level
	}
	for _, f := range g.Case.Reach(v.Target, vocab.Finding) {
		if level := pl.eases(v.Treatment, f.Path); level > 0 {
			if level == clears {
				c.takes = append(c.takes, f.Path)
			}
			if s := pl.subjectAt(f.Path); s != nil && pl.wanted(v.Treatment) {
				c.deals[s] = max(level, c.deals[s])
			}
		}
	}
	for _, s := range v.Treatment.Sets {
		for _, t := range g.Case.Reach(v.Target, s.Question.Kind) {
			c.sets = append(c.sets, Ask{t.Path, s.Question.ID})
		}
	}
	for _, i := range v.Instances {
		switch {
		case i.Value == cond.False || i.Rule.Withdrawn != nil:
		case i.Rule.Effect == pack.Needs:
			for _, ways := range pl.needs(g.Case, i) {
				c.needs = append(c.needs, need{ways, pl.leaves(g, toFail, i)})
			}
		}
	}
	return c
}

// What a change of a reason is wanted for.
type wanted int

const (
	toFail wanted = iota // a ruling-out or a need, that it come to fail
	toHold               // that it come to hold
)

// needs gives what a need asks for: of each thing in reach one of the treatment named and its variants.
func (pl *planner) needs(c *evidence.Case, i *judge.Instance) (list [][]Key) {
	for _, z := range c.Reach(i.Thing, i.Rule.Step.Of) {
		var ways []Key
		for _, t := range c.Pack.Treatments {
			if (t == i.Rule.Step || t.VariantOf == i.Rule.Step.ID && t.Of == i.Rule.Step.Of) && pl.considered[Key{t.ID, z.Path}] {
				ways = append(ways, Key{t.ID, z.Path})
			}
		}
		if len(ways) > 0 && !slices.ContainsFunc(ways, pl.isDone) {
			list = append(list, ways)
		}
	}
	return list
}

// leaves gives what rule instances rest on.
func (pl *planner) leaves(g *judge.Judgement, want wanted, list ...*judge.Instance) leaves {
	l := newLeaves()
	for _, i := range list {
		pl.rests(g, &l, want, i)
	}
	return l
}

func newLeaves() leaves {
	return leaves{asks: map[Ask]bool{}, findings: map[string]bool{}}
}

// rests adds what a rule instance rests on.
func (pl *planner) rests(g *judge.Judgement, l *leaves, want wanted, i *judge.Instance) {
	if i.Thing.Kind == vocab.Finding && want == toFail {
		l.findings[i.Thing.Path] = true
	}
	pl.walk(g, g.Reason(i), want, l)
}

// inTheWay gives what keeps a verdict from allowing a step, or from being a reason to do it for its own sake; each must be seen
// to. Of a verdict that does not allow it: every ruling-out that holds, or could. Of another: that nothing surely calls for it,
// and that what speaks for it does not surely outweigh what speaks against. some are those that may be there to change it.
func (pl *planner) inTheWay(g *judge.Judgement, v *judge.Verdict, c *candidate, some []*candidate) (bars []leaves) {
	if v.Word == judge.RuledOut || v.Word == judge.TestFirst {
		return pl.bans(g, v)
	}
	if v.CalledFor != cond.True || v.ServesAim != cond.True {
		calls := newLeaves()
		for _, i := range v.Instances {
			if i.Rule.Effect == pack.CalledFor && i.Value != cond.True {
				pl.rests(g, &calls, toHold, i)
			}
		}
		bars = append(bars, calls)
	}
	if v.Word == judge.Possible && v.Least <= 0 {
		bars = append(bars, pl.arguments(g, v, c, some))
	}
	return bars
}

// bans gives the ruling-outs that hold, or do in some way the open answers could turn out.
func (pl *planner) bans(g *judge.Judgement, v *judge.Verdict) (bars []leaves) {
	for _, i := range v.Instances {
		if i.Rule.Effect == pack.RulesOut && i.Rule.Withdrawn == nil && g.Exact(i) != cond.False {
			l := pl.leaves(g, toFail, i)
			l.bans = true
			bars = append(bars, l)
		}
	}
	return bars
}

// arguments gives what could move the arguments so far that those for a step outweigh those against: nothing, if it could not.
func (pl *planner) arguments(g *judge.Judgement, v *judge.Verdict, c *candidate, some []*candidate) leaves {
	all, best := newLeaves(), 0.0
	for _, i := range v.Instances {
		if i.Rule.Effect != pack.For && i.Rule.Effect != pack.Against {
			continue
		}
		want, weight := toHold, i.Weighs(g.Weights)
		if i.Rule.Effect == pack.Against {
			want, weight = toFail, -weight
		}
		now := i.Value == cond.True || i.Value == cond.Open && want == toFail
		if now == (want == toHold) { // as good as it can be
			if now {
				best += weight
			}
			continue
		}
		l := pl.leaves(g, want, i)
		if slices.ContainsFunc(some, func(o *candidate) bool { return o != c && o.moves(c, l) }) {
			pl.rests(g, &all, want, i)
			now = want == toHold
		}
		if now {
			best += weight
		}
	}
	for _, b := range c.moved { // what is brought could speak for it
		best += pl.speaks(v, b)
	}
	if best <= 0 {
		return newLeaves()
	}
	return all
}

// speaks gives the most that a finding brought could add for a treatment.
func (pl *planner) speaks(v *judge.Verdict, b *Brought) (most float64) {
	for _, r := range pl.rulesOf(v.Treatment) {
		if r.Effect == pack.For && r.Criterion != nil {
			most += pl.base.Weights[r.Criterion.ID] * r.Weight
		}
	}
	return most
}

// walk notes the answers at the leaves of a proof, and the findings of its lists whose clearing would bring nearer what is
// wanted.
func (pl *planner) walk(g *judge.Judgement, p *judge.Proof, want wanted, l *leaves) {
	fewer := false // fewer things would do
	switch p.Step {
	case judge.StepAnswer:
		if a := &g.Case.Asks[p.Ask]; a.Question != nil {
			l.asks[Ask{a.Thing.Path, a.Question.ID}] = true
		}
	case judge.StepNot:
		want = toHold - want + toFail
	case judge.StepAll:
		fewer = want == toHold
	case judge.StepExists, judge.StepCount:
		fewer = want == toFail
	}
	for _, kid := range p.Kids {
		if fewer && kid.Thing != nil && kid.Thing.Kind == vocab.Finding {
			l.findings[kid.Thing.Path] = true
		}
		pl.walk(g, kid, want, l)
	}
}

// touches tells whether a step changes something that a reason rests on: answers it gives, findings it clears. What it makes
// stale never permits anything.
func (c *candidate) touches(l leaves) bool {
	return slices.ContainsFunc(c.sets, func(a Ask) bool { return l.asks[a] }) ||
		slices.ContainsFunc(c.takes, func(f string) bool { return l.findings[f] })
}

// moves tells whether a step could change a verdict: what it rests on, or by what it brings.
func (c *candidate) moves(o *candidate, l leaves) bool {
	by := o.moved
	if l.bans {
		by = o.freed
	}
	if c.touches(l) && !slices.Contains(c.takes, o.Path) { // cleared, it is no more to be done to
		return true
	}
	return slices.ContainsFunc(c.brings, func(b *Brought) bool { return slices.Contains(by, b) })
}

// permitted gives those that could be done in some plan: what bars them can be seen to by others that could.
func (pl *planner) permitted(all []*candidate) []*candidate {
	could := slices.Clone(pl.cands)
	for more := true; more; {
		more = false
		for _, c := range all {
			barred := c.verdict.Word != judge.Possible && slices.ContainsFunc(c.bars, func(bar leaves) bool {
				return !slices.ContainsFunc(could, func(o *candidate) bool { return o != c && o.moves(c, bar) })
			})
			if !barred && !slices.Contains(could, c) {
				could, more = append(could, c), true
			}
		}
	}
	return slices.DeleteFunc(all, func(c *candidate) bool { return !slices.Contains(could, c) })
}

// useful tells whether a candidate could have a place in a plan with those found so far; all are those that there are.
func (pl *planner) useful(c *candidate, all []*candidate) bool {
	if len(c.deals) > 0 && c.verdict.Word != judge.NoNeed && pl.worthwhile(c, all) {
		return true
	}
	return slices.ContainsFunc(pl.cands, func(o *candidate) bool {
		return slices.ContainsFunc(o.needs, func(n need) bool { return n.meets(c) }) ||
			slices.ContainsFunc(o.bars, func(bar leaves) bool { return c.moves(o, bar) }) ||
			slices.ContainsFunc(o.brings, func(b *Brought) bool { return pl.reaches(c, b) })
	})
}

// worthwhile tells whether a step may be done for its own sake: it is recommended, more so than leaving the book alone where
// that is, or could come to be.
func (pl *planner) worthwhile(c *candidate, all []*candidate) bool {
	switch c.verdict.Word {
	case judge.Recommended:
		return pl.rest == nil || pl.rest.Least < c.verdict.Least
	case judge.Possible:
		return !slices.ContainsFunc(c.bars, func(bar leaves) bool {
			return !slices.ContainsFunc(all, func(o *candidate) bool { return o != c && o.moves(c, bar) })
		})
	}
	return true
}

// reaches tells whether a candidate clears or lessens what another brings.
func (pl *planner) reaches(c *candidate, b *Brought) bool {
	if !pl.easesKind(c.Treatment, b.Kind) {
		return false
	}
	return c.Path == b.Path || c.Of != vocab.Finding && slices.Contains(c.parts, b.record.Part.Path) && (c.Of != vocab.Side || c.Path == b.On)
}

func (pl *planner) easesKind(t *pack.Treatment, kind string) bool {
	return slices.Contains(t.Clears, kind) || slices.Contains(t.Lessens, kind)
}

// bring gives the findings that a candidate is expected to bring: on the side it is done to or the finding lies on, else on
// the first side of each part it reaches. Steps that bring the same kind to the same side bring one finding.
func (pl *planner) bring(c *evidence.Case, k *candidate) (list []*Brought) {
	target := c.At(k.Path)
	sides := sidesOf(c, target)
	for _, kind := range k.Brings {
		for _, side := range sides {
			b := pl.broughtAt(side.Record, kind)
			if !slices.Contains(list, b) {
				list = append(list, b)
			}
		}
	}
	return list
}

func (pl *planner) broughtAt(side *record.Thing, kind string) *Brought {
	for _, b := range pl.bringable {
		if b.On == side.Path && b.Kind == kind {
			return b
		}
	}
	name := kind + " to come"
	r := &record.Thing{Kind: vocab.Finding, Name: name, Path: side.Path + "/" + name, Part: side.Part, Side: side}
	b := &Brought{Path: r.Path, Kind: kind, On: side.Path, record: r}
	pl.bringable = append(pl.bringable, b)
	return b
}

// fresh gives what a candidate brings that none before it did.
func (pl *planner) fresh(c *candidate) (list []*Brought) {
	for _, b := range c.brings {
		if !slices.Contains(pl.brought, b) {
			list = append(list, b)
		}
	}
	return list
}

// isDone tells whether a step was done already, whether or not its outcome was said.
func (pl *planner) isDone(k Key) bool { return pl.doneOf(k) != nil }

func (pl *planner) doneOf(k Key) *record.Done {
	t := pl.base.Case.At(k.Path)
	if t == nil || t.Record == nil {
		return nil
	}
	d := pl.base.Case.Done(k.Treatment, t)
	if d == nil || d.Outcome == record.Partly || d.Outcome == record.Stopped {
		return nil
	}
	return d
}

func (pl *planner) subjectAt(path string) *Subject {
	for _, s := range pl.subjects {
		if s.Path == path && s.key() == "" {
			return s
		}
	}
	return nil
}

func (pl *planner) rulesOf(t *pack.Treatment) (list []*pack.Rule) {
	for _, r := range pl.base.Case.Pack.Rules {
		if slices.Contains(r.Treatments, t) {
			list = append(list, r)
		}
	}
	return list
}

// partsOf gives the parts that something done to a thing has to do with.
func partsOf(c *evidence.Case, t *evidence.Thing) (parts []string) {
	for _, p := range c.Reach(t, vocab.Part) {
		parts = append(parts, p.Path)
	}
	return parts
}

// look finds the findings brought that a verdict of a candidate could hang on: those that a rule looks at and that do not fail
// its condition by what they are alone. A ruling-out can fail by one only where it speaks of all findings.
func (pl *planner) look(g *judge.Judgement, c *candidate, v *judge.Verdict) {
	c.moved, c.freed = nil, nil
	for _, i := range v.Instances {
		if i.Rule.Effect == pack.Caution || i.Rule.Effect == pack.Needs {
			continue
		}
		p := g.Reason(i)
		for _, b := range pl.brought {
			switch {
			case i.Rule.Effect != pack.RulesOut && (looksAt(g.Case, p, b) || i.Thing.Path == b.Path && !failsAlone(g.Case, p, b)):
				c.moved = append(c.moved, b)
			case i.Rule.Effect == pack.RulesOut && looksAt(g.Case, p, b):
				c.freed = append(c.freed, b)
			}
		}
	}
}

// looksAt tells whether a proof goes through a list in which a finding brought counts for something.
func looksAt(c *evidence.Case, p *judge.Proof, b *Brought) bool {
	if p.Step == judge.StepEach && p.Thing != nil && p.Thing.Path == b.Path && !failsAlone(c, p, b) {
		return true
	}
	return slices.ContainsFunc(p.Kids, func(kid *judge.Proof) bool { return looksAt(c, kid, b) })
}

// failsAlone tells whether a condition fails for a finding by its own answers, whatever else may change.
func failsAlone(c *evidence.Case, p *judge.Proof, b *Brought) bool {
	if p.Value != cond.False {
		return false
	}
	does := func(kid *judge.Proof) bool { return failsAlone(c, kid, b) }
	switch p.Step {
	case judge.StepAnd:
		return slices.ContainsFunc(p.Kids, does)
	case judge.StepReason, judge.StepFact, judge.StepEach, judge.StepOr:
		return len(p.Kids) > 0 && !slices.ContainsFunc(p.Kids, func(kid *judge.Proof) bool { return !does(kid) })
	case judge.StepAtom, judge.StepAnswer:
		return len(p.Answers()) > 0 && !slices.ContainsFunc(p.Answers(), func(a *judge.Proof) bool { return c.Asks[a.Ask].Thing.Path != b.Path })
	}
	return false
}
