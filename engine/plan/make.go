package plan

import (
	"cmp"
	"context"
	"fmt"
	"slices"

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
}

// planner is one plan in the making.
type planner struct {
	ctx        context.Context
	base       *judge.Judgement
	rest       *judge.Verdict
	levels     map[string]int
	kinds      map[string]string // of the findings, by path
	subjects   []*Subject
	deals      map[Key]map[*Subject]int // what treatments called for do
	cands      []*candidate
	byKey      map[Key]int
	considered map[Key]bool
	brought    []*Brought // what candidates bring
	bringable  []*Brought // what any treatment considered would
	earlier    map[Key]int
	states     map[string]*foreseen
	marked     map[string]*foreseen
	sets       map[string]arrangement
	clauses    []clause
	stopped    bool
}

// Make finds the best plan for a judged book. When the context is done before, it gives the best found so far, not proven. The
// error is a fault of the pack.
func Make(ctx context.Context, g *judge.Judgement, o Options) (*Plan, error) {
	if len(g.Contradictions) > 0 { // not all that is said can be true
		return &Plan{Judgement: g, Proven: true}, nil
	}
	pl := &planner{
		ctx: ctx, base: g, kinds: map[string]string{}, deals: map[Key]map[*Subject]int{}, byKey: map[Key]int{}, considered: map[Key]bool{},
		earlier: map[Key]int{}, states: map[string]*foreseen{}, marked: map[string]*foreseen{}, sets: map[string]arrangement{},
	}
	for i, k := range o.Earlier {
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
	if err := pl.findCandidates(); err != nil {
		return nil, err
	}
	for _, s := range pl.subjects {
		s.clearable = slices.ContainsFunc(pl.cands, func(c *candidate) bool { return c.deals[s] == clears })
	}
	best, err := pl.solve(o)
	if err != nil {
		return nil, err
	}
	return pl.plan(best, o)
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

// arranged is arrange, once for each set. What it learns from a set without an order is kept: see [clause].
func (pl *planner) arranged(set []int) (arrangement, error) {
	name := fmt.Sprint(set)
	if a, known := pl.sets[name]; known {
		return a, nil
	}
	a, err := pl.arrange(set)
	if err != nil || pl.stopped {
		return a, err
	}
	pl.sets[name] = a
	if a.steps == nil {
		core := set
		if few := pl.neededBy(set, a.stuck); len(few) < len(set) {
			small, err := pl.arranged(few)
			if err != nil {
				return a, err
			}
			if small.steps == nil && !slices.ContainsFunc(small.help, func(h int) bool { return slices.Contains(set, h) }) {
				return a, nil // the fewer have taught it
			}
		}
		pl.clauses = append(pl.clauses, clause{core, a.help})
	}
	return a, nil
}

// clause says that a set with all of the core in it holds together only with one of the others.
type clause struct{ core, help []int }

// neededBy gives the steps of a set without which a step cannot be: itself, those it needs, what brings the finding it is
// done to, and so on; the whole set for none.
func (pl *planner) neededBy(set []int, n int) []int {
	if n < 0 {
		return set
	}
	few := []int{n}
	for i := 0; i < len(few); i++ {
		for _, m := range set {
			brings := slices.ContainsFunc(pl.cands[m].brings, func(b *Brought) bool { return b.Path == pl.cands[few[i]].Path })
			needed := slices.ContainsFunc(pl.cands[few[i]].needs, func(need need) bool { return need.meets(pl.cands[m]) })
			opens := slices.ContainsFunc(pl.cands[few[i]].bars, func(bar leaves) bool { return m != few[i] && pl.cands[m].moves(pl.cands[few[i]], bar) })
			serves := pl.cands[few[i]].verdict.Word != judge.Recommended && pl.servedBy(m, few[i])
			if (brings || needed || opens || serves) && !slices.Contains(few, m) {
				few = append(few, m)
			}
		}
	}
	return sorted(few)
}

// groups are candidates that have to do with each other: they deal with the same, one needs the other, meets what it brings,
// or could make it permitted.
func (pl *planner) groups() []int {
	of := make([]int, len(pl.cands))
	for i := range of {
		of[i] = i
	}
	first := map[*Subject]int{}
	for i, c := range pl.cands {
		for s := range c.deals {
			if j, known := first[s]; known {
				join(of, i, j)
			} else {
				first[s] = i
			}
		}
		for j, o := range pl.cands {
			if i != j && (slices.ContainsFunc(c.needs, func(n need) bool { return n.meets(o) }) || slices.ContainsFunc(c.bars, func(bar leaves) bool { return o.moves(c, bar) }) || pl.servedBy(i, j)) {
				join(of, i, j)
			}
		}
	}
	return of
}

// join makes two groups one.
func join(of []int, a, b int) {
	x, y := of[a], of[b]
	if x == y {
		return
	}
	for i := range of {
		if of[i] == y {
			of[i] = x
		}
	}
}

// solution is the best set of each group, and what they cost.
type solution struct {
	of   []int         // the group of each candidate
	sets map[int][]int // by group
	cost Cost
	all  []int // the order of the whole
}

// solve finds the best set of each group alone, and then an order for all of them. Groups that turn out to have to do with each
// other are made one, and searched again.
func (pl *planner) solve(o Options) (*solution, error) {
	of := pl.groups()
	forced, barred := pl.indexes(o.With), map[int]bool{}
	for _, n := range pl.indexes(o.Without) {
		barred[n] = true
	}
	for {
		s := &solution{of: of, sets: map[int][]int{}}
		again := false
		for _, group := range groupsOf(of) {
			found, err := pl.best(of, group, nil, forced, barred)
			if err != nil {
				return nil, err
			}
			for h := range found.outside {
				if of[h] != group && !pl.stopped {
					join(of, found.group[0], h)
					again = true
				}
			}
			if again {
				break
			}
			s.sets[group] = found.set
			s.cost = s.cost.plus(found.cost)
		}
		if again {
			continue
		}
		var set []int
		for _, part := range s.sets {
			set = append(set, part...)
		}
		slices.Sort(set)
		a, err := pl.arranged(set)
		if err != nil {
			return nil, err
		}
		if a.steps != nil || len(groupsOf(of)) <= 1 {
			s.all = a.steps
			s.cost.Undone += pl.hopeless()
			return s, nil
		}
		if err := pl.merge(of, s.sets); err != nil {
			return nil, err
		}
	}
}

// merge joins groups whose best sets do not go together.
func (pl *planner) merge(of []int, sets map[int][]int) error {
	groups := groupsOf(of)
	for i, a := range groups {
		for _, b := range groups[:i] {
			both, err := pl.arranged(sorted(append(slices.Clone(sets[a]), sets[b]...)))
			if err != nil {
				return err
			}
			if both.steps == nil {
				join(of, indexOf(of, a), indexOf(of, b))
				return nil
			}
		}
	}
	for _, g := range groups[1:] {
		join(of, indexOf(of, groups[0]), indexOf(of, g))
	}
	return nil
}

func indexOf(of []int, group int) int { return slices.Index(of, group) }

func groupsOf(of []int) []int {
	list := slices.Clone(of)
	slices.Sort(list)
	return slices.Compact(list)
}

// hopeless counts the subjects that no candidate deals with.
func (pl *planner) hopeless() (n int) {
	for _, s := range pl.subjects {
		if !slices.ContainsFunc(pl.cands, func(c *candidate) bool { return c.deals[s] > 0 }) {
			n++
		}
	}
	return n
}

// best searches one group.
func (pl *planner) best(of []int, group int, not [][]int, forced []int, barred map[int]bool) (*search, error) {
	s := &search{planner: pl, not: not, outside: map[int]bool{}}
	seen := map[*Subject]bool{}
	for i, g := range of {
		if g != group {
			continue
		}
		s.group = append(s.group, i)
		for sub := range pl.cands[i].deals {
			if !seen[sub] {
				seen[sub] = true
				s.subjects = append(s.subjects, sub)
			}
		}
	}
	slices.SortFunc(s.subjects, func(a, b *Subject) int {
		return cmp.Compare(slices.Index(pl.subjects, a), slices.Index(pl.subjects, b))
	})
	var mine []int
	for _, f := range forced {
		if of[f] == group {
			mine = append(mine, f)
		}
	}
	s.run(mine, barred)
	return s, s.err
}

func (pl *planner) indexes(keys []Key) (list []int) {
	for _, k := range keys {
		if n, known := pl.byKey[k]; known {
			list = append(list, n)
		}
	}
	return list
}
