package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/worlds"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// oracle finds the best plans by the definition in doc.go alone: it goes through every ordered subset of steps that can be
// done one after the other, each time writing the steps into the record as done and judging the whole book anew. It shares
// with the planner the judge and the exported types.
type oracle struct {
	t      testing.TB
	base   *judge.Judgement
	rest   float64 // support of leaving the book alone, where that is recommended; else far below any
	deals  map[Key]map[string]int
	cares  map[string]bool // subjects, and whether something could clear them
	coming map[string]*brought
	all    *evidence.Case // the book with all that could come
	sum    map[Key]int64  // support
	limit  int            // of sequences
	plans  map[string]*found
}

// brought is a finding that some treatment could bring.
type brought struct {
	kind   string
	record *record.Thing
}

// found is the best order of a set of steps.
type found struct {
	set   []Key // by name
	order []Key
	cost  Cost
}

// most is how many sequences of steps are gone through for most books; for some ten times as many.
const most = 800

// consult gives an oracle that has looked at all; nil when there is too much to look at.
func consult(t testing.TB, g *judge.Judgement, most int) *oracle {
	o := newOracle(t, g)
	o.limit = most
	o.goOn(&walk{})
	if o.limit < 0 {
		return nil
	}
	return o
}

// newOracle gives an oracle that has looked at no plan.
func newOracle(t testing.TB, g *judge.Judgement) *oracle {
	o := &oracle{
		t: t, base: g, rest: math.Inf(-1), deals: map[Key]map[string]int{}, cares: map[string]bool{}, coming: map[string]*brought{},
		sum: map[Key]int64{}, plans: map[string]*found{},
	}
	for _, v := range g.Verdicts {
		if v.Treatment.DoesNothing && v.Word == judge.Recommended {
			o.rest = max(o.rest, v.Least)
		}
	}
	o.findCares()
	o.findComing()
	o.all = evidence.Gather(g.Case.Pack, o.with(o.bookOf(nil), time.Time{}, o.paths()...), g.Case.On)
	return o
}

func (o *oracle) wants(t *pack.Treatment) bool {
	return !t.DoesNothing && slices.ContainsFunc(t.Serves, func(a string) bool { return slices.Contains(o.base.Aims, a) })
}

func (o *oracle) kindOf(path string) string {
	f := o.base.Case.At(path)
	if f == nil || f.Kind != vocab.Finding {
		return ""
	}
	return o.base.Case.Asks[o.base.Case.Number(f, o.base.Case.Pack.Vocabulary.Question("finding.kind"))].Answer.Word
}

// does tells what a treatment does to findings of a kind: 2 clears, 1 lessens, 0 nothing.
func does(t *pack.Treatment, kind string) int {
	switch {
	case slices.Contains(t.Clears, kind):
		return 2
	case slices.Contains(t.Lessens, kind):
		return 1
	}
	return 0
}

// findCares finds what calls for care.
func (o *oracle) findCares() {
	note := func(k Key, subject string, level int) {
		if o.deals[k] == nil {
			o.deals[k] = map[string]int{}
		}
		o.deals[k][subject] = max(o.deals[k][subject], level)
		o.cares[subject] = o.cares[subject] || level == 2
	}
	for _, v := range o.base.Verdicts {
		if !o.wants(v.Treatment) {
			continue
		}
		for _, i := range v.Instances {
			if i.Rule.Effect != pack.CalledFor || i.Value != cond.True {
				continue
			}
			k, about := Key{v.Treatment.ID, v.Target.Path}, 0
			asks := map[string]bool{}
			for _, a := range o.base.Reason(i).Answers() {
				ask := o.base.Case.Asks[a.Ask]
				asks[ask.Question.ID] = true
				if level := does(v.Treatment, o.kindOf(ask.Thing.Path)); level > 0 && !ask.Thing.Unlisted {
					note(k, ask.Thing.Path, level)
					about++
				}
			}
			for _, path := range []string{i.Thing.Path, v.Target.Path} {
				if kind := o.kindOf(path); kind != "" {
					note(k, path, max(1, does(v.Treatment, kind)))
					about++
				}
			}
			if about == 0 {
				var names []string
				for a := range asks {
					names = append(names, a)
				}
				slices.Sort(names)
				if len(names) == 0 {
					names = []string{"rule " + i.Rule.ID}
				}
				note(k, i.Thing.Path+" "+strings.Join(names, " "), 2)
			}
		}
	}
	// Whatever reaches a finding that calls for care and clears or lessens it deals with it.
	for _, t := range o.base.Case.Pack.Treatments {
		for _, z := range o.base.Case.Of(t.Of) {
			for _, f := range o.base.Case.Reach(z, vocab.Finding) {
				if level := does(t, o.kindOf(f.Path)); level > 0 && o.wants(t) && o.known(f.Path) && !isDone(o.base.Case, t, z) {
					note(Key{t.ID, z.Path}, f.Path, level)
				}
			}
		}
	}
}

func (o *oracle) known(subject string) bool { _, known := o.cares[subject]; return known }

// findComing finds all findings that treatments of the book, and of what they bring, could bring.
func (o *oracle) findComing() {
	for more := -1; more != len(o.coming); {
		more = len(o.coming)
		b := o.with(o.bookOf(nil), time.Time{}, o.paths()...)
		for _, t := range o.base.Case.Pack.Treatments {
			for _, z := range b.Things {
				if z.Kind == t.Of && !t.DoesNothing {
					o.brings(t, z)
				}
			}
		}
	}
}

func (o *oracle) paths() (list []string) {
	for p := range o.coming {
		list = append(list, p)
	}
	slices.Sort(list)
	return list
}

// brings gives the paths of what a treatment of a thing brings.
func (o *oracle) brings(t *pack.Treatment, target *record.Thing) (list []string) {
	var sides []*record.Thing
	switch {
	case target.Kind == vocab.Side:
		sides = append(sides, target)
	case target.Side != nil:
		sides = append(sides, target.Side)
	default:
		done := map[*record.Thing]bool{}
		for _, s := range o.base.Case.Book.Things {
			reached := target.Kind.Singular() || s.Part == target || target.Kind == vocab.Fastener && (target.Holds == nil || slices.Contains(target.Holds, s.Part))
			if s.Kind == vocab.Side && reached && !done[s.Part] {
				done[s.Part] = true
				sides = append(sides, s)
			}
		}
	}
	for _, kind := range t.Brings {
		for _, s := range sides {
			path := s.Path + "/" + kind + " to come"
			if o.coming[path] == nil {
				o.coming[path] = &brought{kind, &record.Thing{Kind: vocab.Finding, Name: kind + " to come", Path: path, Part: s.Part, Side: s}}
			}
			if !slices.Contains(list, path) {
				list = append(list, path)
			}
		}
	}
	return list
}

func (o *oracle) bookOf(done []record.Done) *record.Book {
	b := *o.base.Case.Book
	b.Things, b.Results, b.Done = slices.Clone(b.Things), slices.Clone(b.Results), append(slices.Clone(b.Done), done...)
	return &b
}

// with adds findings that were found at a time; a zero one is that of the judgement.
func (o *oracle) with(b *record.Book, at time.Time, paths ...string) *record.Book {
	for _, p := range paths {
		r := o.coming[p].record
		r.Found = at
		if at.IsZero() {
			r.Found = o.base.Case.On
		}
		b.Things = append(b.Things, r)
		b.Results = append(b.Results, record.Result{Question: o.base.Case.Pack.Vocabulary.Question("finding.kind"), Thing: r, Answer: vocab.Word(o.coming[p].kind), Date: r.Found})
	}
	return b
}

func (o *oracle) judge(b *record.Book) *judge.Judgement {
	g, err := judge.Judge(evidence.Gather(o.base.Case.Pack, b, o.base.Case.On))
	if err != nil {
		o.t.Fatal(err)
	}
	return g
}

// support is that of a step on the book as it is; where it is not clear there, on the book with all findings added that some
// treatment would bring and it would clear or lessen.
func (o *oracle) support(t *pack.Treatment, path string) int64 {
	k := Key{t.ID, path}
	if s, known := o.sum[k]; known {
		return s
	}
	clear := func(g *judge.Judgement) (int64, bool) {
		v := g.Of(k.Treatment, k.Path)
		if v == nil || v.Word != judge.Recommended && v.Word != judge.Possible {
			return 0, false
		}
		return int64(math.Round(v.Least * 1e6)), true
	}
	s, is := clear(o.base)
	if !is {
		var add []string
		for _, f := range o.all.Reach(o.all.At(path), vocab.Finding) {
			if b := o.coming[f.Path]; b != nil && (does(t, b.kind) > 0 || f.Path == path) {
				add = append(add, f.Path)
			}
		}
		s, _ = clear(o.judge(o.with(o.bookOf(nil), time.Time{}, add...)))
	}
	o.sum[k] = s
	return s
}

// walk is a sequence of steps.
type walk struct {
	steps  []Key
	parts  [][]string
	done   []record.Done
	brings [][]string
	meets  [][]string
	served []bool // whether it may be there for its own sake, or is for another
	cost   Cost
}

// state judges the book after the steps, with the answers that these made stale as they were.
func (o *oracle) state(w *walk) *judge.Judgement {
	b := o.bookOf(w.done)
	last := map[string]int{}
	for i, list := range w.brings {
		for _, p := range list {
			last[p] = i
		}
	}
	for i, list := range w.brings {
		for _, p := range list {
			if last[p] == i {
				o.with(b, w.done[i].Date.Add(time.Minute), p)
			}
		}
	}
	c := evidence.Gather(o.base.Case.Pack, b, o.base.Case.On)
	for n, a := range o.expected(w, c) {
		if c.Asks[n].Lapsed != nil && a.Known {
			c.Answer(n, a)
		}
	}
	g, err := judge.Judge(c)
	if err != nil {
		o.t.Fatal(err)
	}
	return g
}

// expected gives what each question is expected to be answered after the steps: as before, or as the last step that settles it
// has it; by number. What is not known, or was out of date before the first step, stays so.
func (o *oracle) expected(w *walk, c *evidence.Case) map[int]vocab.Answer {
	all := map[int]vocab.Answer{}
	for _, z := range o.base.Case.Things {
		if now := c.At(z.Path); now != nil {
			for _, q := range c.Pack.Vocabulary.Of(z.Kind) {
				all[c.Number(now, q)] = o.base.Case.Asks[o.base.Case.Number(z, q)].Answer
			}
		}
	}
	for i, d := range w.done {
		for _, s := range c.Pack.Treatment(d.Treatment).Sets {
			for _, z := range o.all.Reach(o.all.At(d.Target.Path), s.Question.Kind) { // what it was done to may be gone since
				now := c.At(z.Path)
				if now == nil {
					continue
				}
				n := c.Number(now, s.Question)
				there := o.coming[z.Path] == nil || slices.ContainsFunc(w.brings[:i], func(list []string) bool { return slices.Contains(list, z.Path) })
				again := slices.ContainsFunc(w.brings[i:], func(list []string) bool { return slices.Contains(list, z.Path) })
				if there && !again && (all[n].Known || !slices.Contains(c.Pack.Treatment(d.Treatment).MakesStale, s.Question.ID)) {
					all[n] = s.Answer
				}
			}
		}
	}
	return all
}

// goOn goes on from a sequence in every way, and notes it when it is a plan.
func (o *oracle) goOn(w *walk) {
	if o.limit--; o.limit < 0 {
		return
	}
	o.note(w)
	g := o.state(w)
	for _, v := range g.Verdicts {
		if next := o.step(w, g, v); next != nil {
			o.goOn(next)
		}
	}
}

func isDone(c *evidence.Case, t *pack.Treatment, thing *evidence.Thing) bool {
	d := c.Done(t.ID, thing)
	return d != nil && d.Outcome != record.Partly && d.Outcome != record.Stopped
}

// step gives the sequence with one step more, nil where it cannot be done.
func (o *oracle) step(w *walk, g *judge.Judgement, v *judge.Verdict) *walk {
	k := Key{v.Treatment.ID, v.Target.Path}
	if v.Treatment.DoesNothing || isDone(g.Case, v.Treatment, v.Target) {
		return nil
	}
	own := v.Word == judge.Recommended && v.Least > o.rest
	waits := v.Word == judge.TestFirst && !slices.ContainsFunc(v.Open, func(n int) bool { return o.coming[g.Case.Asks[n].Thing.Path] == nil })
	if v.Word != judge.Recommended && v.Word != judge.Possible && !waits {
		return nil
	}
	for i, before := range w.steps { // nor may it be done in place of one of them
		t := g.Case.Pack.Treatment(before.Treatment)
		if w.steps[i].Path == k.Path && (slices.Contains(t.InPlaceOf, v.Treatment.ID) || slices.Contains(v.Treatment.InPlaceOf, t.ID)) {
			return nil
		}
	}
	var parts []string
	for _, p := range g.Case.Reach(v.Target, vocab.Part) {
		parts = append(parts, p.Path)
	}
	for i, before := range w.steps { // none of which may have to come after it
		t := g.Case.Pack.Treatment(before.Treatment)
		ordered := slices.Contains(t.After, v.Treatment.ID) || slices.Contains(v.Treatment.Before, t.ID)
		if ordered && slices.ContainsFunc(parts, func(p string) bool { return slices.Contains(w.parts[i], p) }) {
			return nil
		}
	}
	next := &walk{
		steps: append(slices.Clone(w.steps), k), parts: append(slices.Clone(w.parts), parts), served: append(slices.Clone(w.served), own),
		brings: append(slices.Clone(w.brings), o.brings(v.Treatment, v.Target.Record)), cost: w.cost,
	}
	if !o.needs(next, g, v) {
		return nil
	}
	var meets []string
	for _, f := range g.Case.Reach(v.Target, vocab.Finding) {
		if b := o.coming[f.Path]; b != nil && does(v.Treatment, b.kind) > 0 {
			meets = append(meets, f.Path)
			next.served[len(w.steps)] = true
		}
	}
	next.meets = append(slices.Clone(w.meets), meets)
	next.done = append(slices.Clone(w.done), record.Done{
		Treatment: k.Treatment, Target: v.Target.Record, Outcome: record.AsPlanned, Date: o.base.Case.On.Add(24*time.Hour + time.Duration(len(w.steps)+1)*time.Hour),
	})
	t := v.Treatment
	next.cost.Classes[5-t.Intervention]++
	next.cost.Steps++
	next.cost.Support += o.support(t, k.Path)
	next.cost.Active += t.Active
	next.cost.Waiting += t.Waiting
	return next
}

// needs tells whether what a step needs was done, and marks the steps of the sequence that are there for it.
func (o *oracle) needs(next *walk, g *judge.Judgement, v *judge.Verdict) bool {
	for _, i := range v.Instances {
		if i.Rule.Effect != pack.Needs || i.Value == cond.False {
			continue
		}
		for _, z := range g.Case.Reach(i.Thing, i.Rule.Step.Of) {
			done, could := false, false
			for _, t := range g.Case.Pack.Treatments {
				if t != i.Rule.Step && (t.VariantOf != i.Rule.Step.ID || t.Of != i.Rule.Step.Of) || t.DoesNothing {
					continue
				}
				could = could || g.Of(t.ID, z.Path) != nil
				done = done || isDone(g.Case, t, z)
				if n := slices.Index(next.steps, Key{t.ID, z.Path}); n >= 0 && n < len(next.steps)-1 {
					next.served[n] = true
				}
			}
			if could && !done {
				return false
			}
		}
	}
	return true
}

// note takes a sequence as a plan if it is one, and the best order of its steps so far.
func (o *oracle) note(w *walk) {
	if slices.Contains(w.served, false) {
		return
	}
	cost := w.cost
	for subject, clearable := range o.cares {
		level := 0
		for _, k := range w.steps {
			level = max(level, o.deals[k][subject])
		}
		if level == 0 {
			cost.Undone++
		} else if level == 1 && clearable {
			cost.Lessened++
		}
	}
	for path := range o.coming {
		met := true
		for i := range w.steps {
			if slices.Contains(w.meets[i], path) {
				met = true
			}
			if slices.Contains(w.brings[i], path) {
				met = false
			}
		}
		if !met {
			cost.Unmet++
		}
	}
	set := slices.SortedFunc(slices.Values(w.steps), Key.Compare)
	name := fmt.Sprint(set)
	if f := o.plans[name]; f == nil || cost.Compare(f.cost) < 0 {
		o.plans[name] = &found{set, w.steps, cost}
	}
}

// idle tells whether a plan would do as much without some of its steps.
func (o *oracle) idle(f *found) bool {
	for _, less := range o.plans {
		if len(less.set) < len(f.set) && !slices.ContainsFunc(less.set, func(k Key) bool { return !slices.Contains(f.set, k) }) &&
			less.cost.Undone <= f.cost.Undone && less.cost.Unmet <= f.cost.Unmet && less.cost.Lessened <= f.cost.Lessened {
			return true
		}
	}
	return false
}

// ranked gives all plans without idle steps, the best first.
func (o *oracle) ranked() (list []*found) {
	for _, f := range o.plans {
		if !o.idle(f) {
			list = append(list, f)
		}
	}
	slices.SortFunc(list, func(a, b *found) int { return a.cost.Compare(b.cost) })
	return list
}

// replay goes through the steps of a plan in its order, and gives its cost; ok is false where it does not hold together.
func (o *oracle) replay(steps []Key) (cost Cost, at int, ok bool) {
	w := &walk{}
	for n, k := range steps {
		g := o.state(w)
		v := g.Of(k.Treatment, k.Path)
		if v == nil {
			return cost, n, false
		}
		next := o.step(w, g, v)
		if next == nil {
			return cost, n, false
		}
		w = next
	}
	one := *o
	one.plans = map[string]*found{}
	one.note(w)
	for _, f := range one.plans {
		return f.cost, 0, true
	}
	return cost, slices.Index(w.served, false), false
}

// judged judges a book.
func judged(t testing.TB, w *worlds.World, b *record.Book) *judge.Judgement {
	g, err := judge.Judge(evidence.Gather(w.Pack, b, time.Time{}))
	if err != nil {
		t.Fatal(err)
	}
	return g
}
