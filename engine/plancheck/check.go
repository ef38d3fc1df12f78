package plancheck

import (
	"cmp"
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/engine/record"
	"tideline/rules/pack"
)

// checker is one check in the making.
type checker struct {
	p       *plan.Plan
	g       *judge.Judgement
	pack    *pack.Pack
	all     []*subject
	keys    []plan.Key
	brought map[string]*record.Thing // findings that the plan brings, by path

	states []*State // as each step meets the book, its retests not yet done; last, as the plan leaves it
	tested []*State // with its retests done
	seen   []seen   // what each step gets there
	looked map[glance]seen
	faults []*Fault
	err    error // the first condition that could not be evaluated
}

type glance struct {
	s *State
	k plan.Key
}

// seen is what a step was judged to be, in a state.
type seen struct {
	c     *evidence.Case
	word  judge.Word
	v     *judge.Verdict // nil when it is no candidate
	needs []need
}

// Check checks a plan from its first step to its last. The error is a fault of the pack: a condition that could not be
// evaluated.
func Check(p *plan.Plan) (*Report, error) {
	_, r, err := check(p)
	return r, err
}

func check(p *plan.Plan) (*checker, *Report, error) {
	c := &checker{p: p, g: p.Judgement, pack: p.Judgement.Case.Pack, brought: map[string]*record.Thing{}, looked: map[glance]seen{}}
	c.all = c.subjects()
	for _, s := range p.Steps {
		c.keys = append(c.keys, s.Key)
	}
	for _, b := range p.Brought {
		c.bring(b)
	}
	s := start(c.g)
	for i := range p.Steps {
		s = c.step(i, s)
	}
	c.states = append(c.states, s)
	for i := range p.Steps {
		c.may(i)
		c.claims(i)
		if !c.missed(i) {
			c.fault(i, Fault{Kind: Idle})
		}
	}
	c.met()
	c.left()
	c.costs()
	slices.SortStableFunc(c.faults, func(a, b *Fault) int {
		return cmp.Or(cmp.Compare(place(a), place(b)), cmp.Compare(slices.Index(Kinds, a.Kind), slices.Index(Kinds, b.Kind)))
	})
	return c, &Report{Faults: c.faults, States: c.states}, c.err
}

// place puts faults of the whole plan last.
func place(f *Fault) int {
	if f.Step == Whole {
		return int(^uint(0) >> 1)
	}
	return f.Step
}

// fault notes what is wrong with a step.
func (c *checker) fault(step int, f Fault) {
	if f.Step = step; step != Whole {
		f.Key = c.keys[step]
	}
	c.faults = append(c.faults, &f)
}

// step looks at one step in the state that it meets, and gives the state that it leaves.
func (c *checker) step(i int, s *State) *State {
	k := c.keys[i]
	c.states = append(c.states, s)
	tested := s.tested(c.retests(i, s)...)
	c.tested = append(c.tested, tested)
	c.seen = append(c.seen, c.look(tested, k))
	t, target := c.pack.Treatment(k.Treatment), s.At(k.Path)
	if t == nil || c.p.Steps[i].Treatment != t {
		c.fault(i, Fault{Kind: NotOfPack})
	}
	if c.done(k) || slices.Contains(c.keys[:i], k) {
		c.fault(i, Fault{Kind: Repeated})
	}
	if target == nil {
		c.fault(i, Fault{Kind: NoTarget, Path: k.Path})
	}
	if t == nil || target == nil {
		return tested
	}
	if t.DoesNothing {
		c.fault(i, Fault{Kind: DoesNothing})
	}
	for _, earlier := range c.keys[:i] {
		if c.misordered(s, earlier, k) {
			c.fault(i, Fault{Kind: Order, Other: earlier})
		}
		if e := c.pack.Treatment(earlier.Treatment); e != nil && earlier.Path == k.Path && inPlace(e, t) {
			c.fault(i, Fault{Kind: InPlace, Other: earlier})
		}
	}
	return tested.after(t, target, c.brings(k))
}

// look judges a step in a state.
func (c *checker) look(s *State, k plan.Key) seen {
	at := glance{s, k}
	is, known := c.looked[at]
	if !known {
		is = c.judge(s, k)
		c.looked[at] = is
	}
	return is
}

func (c *checker) judge(s *State, k plan.Key) seen {
	if c.pack.Treatment(k.Treatment) == nil || s.At(k.Path) == nil {
		return seen{}
	}
	g, v, err := s.judge(k.Treatment, k.Path)
	if err != nil && c.err == nil {
		c.err = err
	}
	if v == nil {
		return seen{}
	}
	return seen{g.Case, v.Word, v, c.needs(s, g, v)}
}

// may asks whether a step may be done in the state that it meets: by its verdict, by what it needs, and by the tests listed.
func (c *checker) may(i int) {
	is, k := c.seen[i], c.keys[i]
	open := c.tested[i].open()
	all := is
	if len(open) > 0 { // were they all tested again
		all = c.look(c.tested[i].tested(open...), k)
	}
	switch excused := c.excused(c.tested[i], k, c.keys[i+1:]) || slices.ContainsFunc(c.keys[i+1:], func(later plan.Key) bool { return c.neededBy(i, later) }); {
	case c.states[i].At(k.Path) == nil: // told
	case is.passes(excused) && len(is.hangs(c.tested[i])) == 0:
	case all.passes(excused):
		c.fault(i, c.absent(i, is, open))
	case all.word == judge.Possible:
		c.fault(i, Fault{Kind: Unneeded, Word: is.word, Verdict: is.v})
	default:
		c.fault(i, Fault{Kind: Verdict, Word: is.word, Verdict: is.v})
	}
	if n, unmet := c.unmet(is, c.keys[:i]); unmet {
		if _, still := c.unmet(all, c.keys[:i]); still || all.v == nil {
			c.fault(i, Fault{Kind: Need, Other: n.key()})
		} else {
			c.fault(i, c.absent(i, is, open))
		}
	}
	told := c.p.Steps[i].Verdict
	if is.v != nil && told != nil && (told.Word != is.word || told.Least != is.v.Least) {
		c.fault(i, Fault{Kind: Told, Word: is.word, Claimed: told.Word, Verdict: is.v})
	}
	c.idleRetests(i)
}

// hangs gives the stale answers that a verdict hangs on.
func (is seen) hangs(s *State) (list []ask) {
	if is.v == nil {
		return nil
	}
	for _, n := range is.v.Open {
		q := is.c.Asks[n]
		if a := (ask{q.Thing.Record, q.Question}); a.thing != nil {
			if _, stale := s.stale[a]; stale {
				list = append(list, a)
			}
		}
	}
	return list
}

// passes tells whether a step may be done by its verdict.
func (is seen) passes(excused bool) bool {
	return is.word == judge.Recommended || is.word == judge.Possible && excused
}

// unmet gives a need that nothing before meets.
func (c *checker) unmet(is seen, before []plan.Key) (need, bool) {
	for _, n := range is.needs {
		if !c.metBefore(n, before) {
			return n, true
		}
	}
	return need{}, false
}

// excused tells whether a step need not be recommended in a state: it meets what another brings, or a later one needs it.
func (c *checker) excused(s *State, k plan.Key, later []plan.Key) bool {
	t, target := c.pack.Treatment(k.Treatment), s.At(k.Path)
	if t == nil || target == nil {
		return false
	}
	meets := func(f *record.Thing) bool { return c.brought[f.Path] == f }
	needs := func(l plan.Key) bool {
		return slices.ContainsFunc(c.look(s, l).needs, func(n need) bool { return n.meets(c.pack, k) })
	}
	return slices.ContainsFunc(s.findings(target, slices.Concat(t.Clears, t.Lessens)), meets) || slices.ContainsFunc(later, needs)
}

// neededBy tells whether a later step needs an earlier one: in the state that the earlier one meets, or in its own.
func (c *checker) neededBy(i int, later plan.Key) bool {
	j := slices.Index(c.keys, later)
	return j > i && slices.ContainsFunc(slices.Concat(c.look(c.tested[i], later).needs, c.seen[j].needs), func(n need) bool { return n.meets(c.pack, c.keys[i]) })
}
