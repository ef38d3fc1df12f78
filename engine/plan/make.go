package plan

import (
	"cmp"
	"context"
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/rules/vocab"
)

// Options say how to plan.
type Options struct {
	// Earlier is an earlier plan: of plans as good as each other the one nearer to it is taken, and its order kept.
	Earlier []Key
	// With are steps that the plan must hold, Without steps that it must not.
	With, Without []Key
	// Next is how many of the next best plans to find.
	Next int
	// Must asks which steps no plan can do without: see [Step.Must].
	Must bool
}

// planner is one plan in the making.
type planner struct {
	ctx      context.Context
	base     *judge.Judgement
	rest     *judge.Verdict
	kinds    map[string]string // of the findings of the book, by path
	subjects []*Subject
	deals    map[Key]map[*Subject]int // what treatments called for do
	brought  []*Brought               // what any candidate brings
	// broughtAt gives these by path.
	broughtAt map[string]*Brought
	full      *evidence.Case // the book with all of them
	fullBook  *judge.Judgement
	cands     []*candidate
	byKey     map[Key]int
	size      int // of sets: candidates, then what stands for accepting a finding brought
	earlier   map[Key]int

	settersOf, clearersOf map[int][]int // candidates, by question and by finding
	bringersOf, meetersOf map[*Brought][]int
	dealers               map[*Subject][]int
	tied                  map[*vocab.Question]set
	tiedAsks              map[*vocab.Question][]int // questions by number that never statements tie to a question
	fresh                 map[place]set
	read                  map[place]*rests
	start                 *foreseen
	states                map[string]*foreseen
	sets                  map[string]*arrangement
	clauses               []*clause
	barred                set // candidates not wanted, or that can never be done
	forced                set
	asked, nevers         set           // candidates of which it was asked whether they can ever be done, and those that cannot
	linked                map[int]*link // candidates that could have a place in a plan
	together              [][]int       // candidates found to belong in one group
	stopped               bool
	fault                 error
}

// Make finds the best plan for a judged book. When the context is done before, it gives the best found so far, not proven. The
// error is a [Refusal] where the steps asked for cannot be had, else a fault of the pack.
func Make(ctx context.Context, g *judge.Judgement, o Options) (*Plan, error) {
	if len(g.Contradictions) > 0 { // not all that is said can be true
		return &Plan{Judgement: g, Proven: true}, nil
	}
	pl := prepare(ctx, g, o.Earlier)
	if err := pl.ask(o); err != nil {
		return nil, err
	}
	for {
		s := pl.solve()
		if pl.fault != nil {
			return nil, pl.fault
		}
		if s.none {
			return nil, &Refusal{NeverTogether, o.With}
		}
		p, again := pl.plan(s, o)
		if pl.fault != nil {
			return nil, pl.fault
		}
		if !again {
			return p, nil
		}
	}
}

// prepare finds what calls for care and what could be done.
func prepare(ctx context.Context, g *judge.Judgement, earlier []Key) *planner {
	pl := &planner{
		ctx: ctx, base: g, kinds: map[string]string{}, deals: map[Key]map[*Subject]int{}, broughtAt: map[string]*Brought{}, byKey: map[Key]int{},
		earlier: map[Key]int{}, dealers: map[*Subject][]int{}, fresh: map[place]set{}, read: map[place]*rests{}, states: map[string]*foreseen{},
		sets: map[string]*arrangement{}, linked: map[int]*link{},
	}
	for i, k := range earlier {
		pl.earlier[k] = i
	}
	for _, v := range g.Verdicts {
		if v.Treatment.DoesNothing && v.Word == judge.Recommended && (pl.rest == nil || v.Least > pl.rest.Least) {
			pl.rest = v
		}
	}
	if q := g.Case.Pack.Vocabulary.Question(string(vocab.Finding) + ".kind"); q != nil {
		for _, f := range g.Case.Of(vocab.Finding) {
			pl.kinds[f.Path] = g.Case.Asks[g.Case.Number(f, q)].Answer.Word
		}
	}
	pl.findSubjects()
	pl.findCandidates()
	pl.barred, pl.forced, pl.asked, pl.nevers = newSet(pl.size), newSet(pl.size), newSet(pl.size), newSet(pl.size)
	pl.tie()
	pl.fullBook = judge.Begin(pl.full)
	pl.start = pl.asIs()
	for n, k := range pl.cands {
		for s := range k.deals {
			pl.dealers[s] = append(pl.dealers[s], n)
		}
	}
	return pl
}

// ask takes the steps that must be in the plan, and those that must not.
func (pl *planner) ask(o Options) error {
	for _, k := range o.Without {
		if n, known := pl.byKey[k]; known {
			pl.barred.add(n)
		}
	}
	for _, k := range o.With {
		n, known := pl.byKey[k]
		switch {
		case pl.isDone(k):
			return &Refusal{DoneAlready, []Key{k}}
		case !known:
			return &Refusal{NoCandidate, []Key{k}}
		case pl.barred.has(n):
			return &Refusal{BothWays, []Key{k}}
		}
		pl.forced.add(n)
	}
	return nil
}

func (pl *planner) stop() bool {
	if !pl.stopped {
		select {
		case <-pl.ctx.Done():
			pl.stopped = true
		default:
		}
	}
	return pl.stopped
}

// link is what a candidate has to do with: the sets of others, or of findings accepted, of each of which it could need one.
type link struct {
	helps set // nil where it can be done by itself
}

// relate adds a candidate that could have a place in a plan, and all that could help it to one.
func (pl *planner) relate(n int) {
	if pl.linked[n] != nil || n >= len(pl.cands) {
		return
	}
	k, l := pl.cands[n], &link{}
	pl.linked[n] = l
	if pl.isNever(n) {
		pl.barred.add(n)
		return
	}
	alone := newSet(pl.size, n)
	for _, b := range k.brings {
		alone.add(b.n)
	}
	if a, _ := pl.arrange(alone, long); a != nil && a.steps == nil {
		l.helps = a.help
		for _, h := range a.help.list() {
			pl.relate(h)
		}
	}
	for _, b := range k.brings {
		meeting := pl.meeting(b)
		meeting.remove(n)
		pl.learn(&clause{newSet(pl.size, n), meeting, 1})
		for _, m := range pl.meetersOf[b] {
			pl.relate(m)
		}
	}
}

// prune bars candidates that can never be done: nothing that could help them can be.
func (pl *planner) prune() {
	for more := true; more; {
		more = false
		for n, l := range pl.linked {
			if !pl.barred.has(n) && l.helps != nil && l.helps.minus(pl.barred).empty() {
				pl.barred.add(n)
				more = true
			}
		}
	}
}

// groups joins candidates that have to do with each other: they deal with the same, bring or meet the same, or one could help the
// other.
func (pl *planner) groups() []set {
	of := make([]int, pl.size)
	for i := range of {
		of[i] = i
	}
	var find func(i int) int
	find = func(i int) int {
		if of[i] != i {
			of[i] = find(of[i])
		}
		return of[i]
	}
	join := func(a int, others ...int) {
		for _, b := range others {
			if b < len(pl.cands) && (pl.linked[b] == nil || pl.barred.has(b)) {
				continue
			}
			x, y := find(a), find(b)
			of[max(x, y)] = min(x, y)
		}
	}
	for n, l := range pl.linked {
		if pl.barred.has(n) {
			continue
		}
		if l.helps != nil {
			join(n, l.helps.list()...)
		}
		for s := range pl.cands[n].deals {
			join(n, pl.dealers[s]...)
		}
		for _, b := range pl.cands[n].brings {
			join(n, append(pl.meetersOf[b], b.n)...)
		}
	}
	for _, more := range pl.together {
		join(more[0], more[1:]...)
	}
	var list []set
	at := map[int]int{}
	for n := range pl.size {
		if n < len(pl.cands) && (pl.linked[n] == nil || pl.barred.has(n)) {
			continue
		}
		root := find(n)
		if _, known := at[root]; !known {
			at[root] = len(list)
			list = append(list, newSet(pl.size))
		}
		list[at[root]].add(n)
	}
	return slices.DeleteFunc(list, func(s set) bool { return s.list()[0] >= len(pl.cands) })
}

// solution is the best set of each group, and what they cost together.
type solution struct {
	groups []*search
	cost   Cost
	bound  Cost
	order  []int
	none   bool // no set holds together with the steps asked for
}

// solve finds the best set of each group alone, and then an order for all of them. Groups that turn out to have to do with each
// other are made one, and searched again.
func (pl *planner) solve() *solution {
	for _, s := range pl.subjects {
		for _, n := range pl.dealers[s] {
			if !pl.stop() {
				pl.relate(n)
			}
		}
	}
	for _, n := range pl.forced.list() {
		pl.relate(n)
	}
	all := !pl.stopped
	for {
		pl.prune()
		s := &solution{}
		if s.none = pl.forced.meets(pl.barred); s.none {
			return s
		}
		again := false
		for _, group := range pl.groups() {
			found := pl.search(group)
			found.run()
			if pl.fault != nil {
				return s
			}
			if again = pl.outside(found) && !pl.stopped; again {
				break
			}
			if !found.outside.empty() && pl.stopped {
				found.stopped, found.bound = true, found.least(found.root())
			}
			pl.nearest(found)
			s.groups = append(s.groups, found)
		}
		if again {
			continue
		}
		if pl.finish(s) {
			if !all { // what no candidate was found for could have one
				s.bound = Cost{}
			}
			return s
		}
	}
}

// search makes the search of a group.
func (pl *planner) search(group set) *search {
	s := &search{planner: pl, group: group, out: pl.barred, forced: pl.forced.both(group)}
	for _, sub := range pl.subjects {
		if slices.ContainsFunc(pl.dealers[sub], group.has) {
			s.subjects = append(s.subjects, sub)
		}
	}
	return s
}

// outside takes candidates that might have helped a group into it, and tells whether there were any that could.
func (pl *planner) outside(found *search) (joined bool) {
	for _, n := range found.outside.list() {
		pl.relate(n)
		pl.prune()
		if !pl.barred.has(n) {
			pl.together = append(pl.together, []int{found.group.list()[0], n})
			joined = true
		}
	}
	return joined
}

// nearest takes of the sets that cost the same the one nearest to the earlier plan, then the first by name.
func (pl *planner) nearest(s *search) {
	if s.best == nil || len(s.ties) == 0 {
		return
	}
	all := append(s.ties, s.best)
	distance := func(of set) (n int) {
		for _, m := range s.group.list() {
			if m < len(pl.cands) && of.has(m) != (pl.was(pl.cands[m].Key) < len(pl.earlier)) {
				n++
			}
		}
		return n
	}
	slices.SortFunc(all, func(a, b set) int {
		return cmp.Or(cmp.Compare(distance(a), distance(b)), slices.Compare(a.list(), b.list()))
	})
	s.best, s.ties = all[0], all[1:]
}

// finish puts the best sets of the groups together. It tells whether that is the plan; if not, groups were made one.
func (pl *planner) finish(s *solution) bool {
	all := newSet(pl.size)
	for _, g := range s.groups {
		bound := g.cost
		if g.stopped {
			bound = g.bound
		} else if g.best == nil {
			s.none = true
			return true
		}
		s.bound = s.bound.plus(bound)
		if g.best != nil {
			all.join(g.best)
		}
	}
	s.bound.Undone += pl.hopeless(s.groups)
	if pl.stopped {
		pl.salvage(s)
		return true
	}
	a, clash := pl.union(s)
	if clash != nil {
		pl.merge(clash)
		return false
	}
	if a == nil {
		pl.salvage(s)
		return true
	}
	s.order = a.steps
	s.cost = pl.costOf(all, pl.subjects)
	return true
}

// union puts the best sets of the groups together one after the other, and gives steps of them that do not hold together; nothing
// where time ran out.
func (pl *planner) union(s *solution) (a *arrangement, clash set) {
	all := newSet(pl.size)
	a, _ = pl.arrange(all, quick)
	for i, g := range s.groups {
		all.join(g.best)
		if a, _ = pl.arrange(all, quick); a != nil && a.steps != nil {
			continue
		}
		for _, o := range s.groups[:i] {
			both := g.best.clone()
			both.join(o.best)
			if b := pl.arranged(both); b != nil && b.steps == nil {
				return nil, both
			}
		}
		if a = pl.arranged(all); a == nil {
			return nil, nil
		}
		if a.steps == nil {
			return nil, all
		}
	}
	return a, nil
}

// merge joins the groups of steps that were learnt not to hold together, and what could help them to.
func (pl *planner) merge(all set) {
	for _, c := range pl.clauses {
		if c.broken(all) {
			pl.together = append(pl.together, append(c.core.list(), c.help.list()...))
			return
		}
	}
}

// hopeless counts the subjects that no candidate can deal with.
func (pl *planner) hopeless(groups []*search) int {
	n := len(pl.subjects)
	for _, g := range groups {
		n -= len(g.subjects)
	}
	return n
}
