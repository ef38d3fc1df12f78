package plancheck

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/rules/pack"
)

// Planted is a kind of fault put into plans, and how often the checker noticed it.
type Planted struct {
	Kind          string
	Made, Noticed int
	// Missed are the faults not noticed, as a maintainer reads them.
	Missed []string
}

// planting is a plan with one fault put into it, and the kinds of fault one of which must then be found.
type planting struct {
	kind string
	what string
	plan *plan.Plan
	want []Kind
}

// Corrupt puts faults of every kind into a plan, one at a time, and checks each. A fault counts as noticed when it is found and
// was not in the plan before.
//
// At most so many of a kind are drawn.
func Corrupt(p *plan.Plan, rnd *rand.Rand, most int) ([]Planted, error) {
	c, before, err := check(p)
	if err != nil {
		return nil, err
	}
	var list []Planted
	all := slices.Concat(c.moved(), c.steps(), c.lists(), c.sayings())
	rnd.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	of := map[string]int{}
	for _, m := range all {
		if of[m.kind]++; of[m.kind] > most {
			continue
		}
		after, err := Check(m.plan)
		if err != nil {
			return nil, err
		}
		i := slices.IndexFunc(list, func(k Planted) bool { return k.Kind == m.kind })
		if i < 0 {
			i, list = len(list), append(list, Planted{Kind: m.kind})
		}
		list[i].Made++
		if noticed(before, after, m.want) {
			list[i].Noticed++
		} else {
			list[i].Missed = append(list[i].Missed, m.what)
		}
	}
	return list, nil
}

// noticed tells whether a fault of one of the kinds is found that was not there before.
func noticed(before, after *Report, want []Kind) bool {
	known := map[string]bool{}
	for _, f := range before.Faults {
		known[f.name()] = true
	}
	return slices.ContainsFunc(after.Faults, func(f *Fault) bool { return slices.Contains(want, f.Kind) && !known[f.name()] })
}

// name tells faults apart, wherever their step stands.
func (f *Fault) name() string {
	q := ""
	if f.Question != nil {
		q = f.Question.ID
	}
	return fmt.Sprint(f.Kind, f.Key, f.Other, f.Path, f.Finding, q, f.Asks, f.Cost)
}

// altered copies a plan and its steps, and alters the copy.
func (c *checker) altered(alter func(p *plan.Plan)) *plan.Plan {
	p := *c.p
	p.Steps = nil
	for _, s := range c.p.Steps {
		step := *s
		p.Steps = append(p.Steps, &step)
	}
	p.Left, p.Brought = slices.Clone(c.p.Left), nil
	copies := map[*plan.Brought]*plan.Brought{}
	for _, b := range c.p.Brought {
		brought := *b
		copies[b] = &brought
		p.Brought = append(p.Brought, &brought)
	}
	for _, s := range p.Steps {
		for _, list := range []*[]*plan.Brought{&s.Brings, &s.Meets} {
			*list = slices.Clone(*list)
			for i, b := range *list {
				(*list)[i] = copies[b]
			}
		}
	}
	alter(&p)
	return &p
}

// step makes a step of the plan's kind of a treatment, saying nothing of it.
func (c *checker) bare(k plan.Key) *plan.Step {
	return &plan.Step{Key: k, Treatment: c.pack.Treatment(k.Treatment)}
}

// moved puts steps in another order: two that the pack orders swapped; one put behind a step that opens an answer it hangs on.
func (c *checker) moved() (list []planting) {
	for i, a := range c.keys {
		for j := i + 1; j < len(c.keys); j++ {
			b := c.keys[j]
			move := func(p *plan.Plan) {
				s := p.Steps[i]
				p.Steps = slices.Insert(slices.Delete(p.Steps, i, i+1), j, s)
			}
			what := fmt.Sprint(a, " after ", b)
			switch {
			case c.misordered(c.states[j], b, a):
				list = append(list, planting{"order swapped", what, c.altered(move), []Kind{Order, NoTarget}})
			case len(c.p.Steps[i].Retests) == 0 && c.opens(i, j):
				list = append(list, planting{"done after its test went stale", what, c.altered(move), []Kind{RetestAbsent, Verdict, Need}})
			}
		}
	}
	return list
}

// opens tells whether a step, left out at its place and done as it stands after a later one, would have to wait for a test.
func (c *checker) opens(i, j int) bool {
	s := c.states[i]
	for n := i + 1; n <= j; n++ {
		s = s.tested(c.retested(n)...)
		t, target := c.pack.Treatment(c.keys[n].Treatment), s.At(c.keys[n].Path)
		if t == nil || target == nil {
			return false
		}
		s = s.after(t, target, c.brings(c.keys[n]))
	}
	is := c.look(s, c.keys[i])
	return is.word == judge.TestFirst && len(is.hangs(s)) > 0
}

// retested gives the questions that a step lists to be tested again.
func (c *checker) retested(i int) (list []ask) {
	for _, r := range c.p.Steps[i].Retests {
		list = append(list, ask{c.states[i].At(r.Path), r.Question})
	}
	return list
}

// steps drops, adds and replaces steps.
func (c *checker) steps() (list []planting) {
	add := func(kind string, i int, k plan.Key, want ...Kind) {
		list = append(list, planting{kind, fmt.Sprint(k, " at ", i+1), c.altered(func(p *plan.Plan) { p.Steps = slices.Insert(p.Steps, i, c.bare(k)) }), want})
	}
	for i, k := range c.keys {
		drop := c.altered(func(p *plan.Plan) { p.Steps = slices.Delete(p.Steps, i, i+1) })
		if slices.ContainsFunc(c.keys[i+1:], func(l plan.Key) bool { return c.onlyFor(i, l) }) {
			list = append(list, planting{"needed step dropped", fmt.Sprint(k), drop, []Kind{Need, RetestAbsent}})
		}
		if slices.ContainsFunc(c.p.Brought, func(b *plan.Brought) bool { return b.Met != nil && *b.Met == k }) {
			list = append(list, planting{"step that meets what is brought dropped", fmt.Sprint(k), drop, []Kind{MetWrong}})
		}
		add("step done twice", len(c.keys), k, Repeated)
		for _, t := range c.pack.Treatments {
			if inPlace(t, c.p.Steps[i].Treatment) {
				add("a step in place of one that stays", i, plan.Key{Treatment: t.ID, Path: k.Path}, InPlace)
			}
		}
		for _, v := range c.g.Verdicts {
			other := plan.Key{Treatment: v.Treatment.ID, Path: k.Path}
			if v.Target.Path == k.Path && c.look(c.tested[i], other).word == judge.RuledOut {
				replace := func(p *plan.Plan) { p.Steps[i] = c.bare(other) }
				list = append(list, planting{"ruled-out step in place of another", fmt.Sprint(other, " for ", k), c.altered(replace), []Kind{Verdict}})
			}
		}
	}
	for _, d := range c.g.Case.Book.Done {
		if k := (plan.Key{Treatment: d.Treatment, Path: d.Target.Path}); c.done(k) && c.g.Case.At(k.Path) != nil {
			add("step of the record done again", 0, k, Repeated)
		}
	}
	for _, v := range c.g.Verdicts {
		k := plan.Key{Treatment: v.Treatment.ID, Path: v.Target.Path}
		switch {
		case v.Treatment.DoesNothing:
			add("leaving alone made a step", 0, k, DoesNothing)
		case (v.Word == judge.Recommended || v.Word == judge.Possible) && !slices.Contains(c.keys, k) && c.adds(k) == nothing:
			add("idle step added", 0, k, Idle, Verdict, Unneeded, Need)
		}
	}
	return list
}

// onlyFor tells whether a later step needs an earlier one, and nothing else before it would do.
func (c *checker) onlyFor(i int, later plan.Key) bool {
	j := slices.Index(c.keys, later)
	return slices.ContainsFunc(c.seen[j].needs, func(n need) bool {
		others := slices.Delete(slices.Clone(c.keys[:j]), i, i+1)
		return n.meets(c.pack, c.keys[i]) && !c.metBefore(n, others)
	})
}

// adds gives the most that a treatment, done first, would do for something that the plan does not deal with as well.
func (c *checker) adds(k plan.Key) (best deal) {
	for _, m := range c.all {
		if d := c.deals(c.states[0], k, m); d > c.dealt(m, c.states, c.keys) {
			best = max(best, d)
		}
	}
	return best
}

// lists takes things out of lists, or puts others in.
func (c *checker) lists() (list []planting) {
	add := func(kind, what string, want Kind, alter func(p *plan.Plan)) {
		list = append(list, planting{kind, what, c.altered(alter), []Kind{want}})
	}
	for i, s := range c.p.Steps {
		for n, r := range s.Retests {
			at := fmt.Sprint(s.Key, " ", r.Path, " ", r.Question.ID)
			if !slices.ContainsFunc(c.faults, func(f *Fault) bool { return f.Step == i && f.Kind == RetestIdle }) && !c.placed(s.Key, r) {
				add("retest dropped", at, RetestAbsent, func(p *plan.Plan) { p.Steps[i].Retests = slices.Delete(slices.Clone(s.Retests), n, n+1) })
			}
			add("retest listed twice", at, RetestIdle, func(p *plan.Plan) { p.Steps[i].Retests = append(slices.Clone(s.Retests), r) })
		}
		for n, m := range s.For {
			at := fmt.Sprint(s.Key, " ", m.Path)
			add("what a step deals with left out", at, ForAbsent, func(p *plan.Plan) { p.Steps[i].For = slices.Delete(slices.Clone(s.For), n, n+1) })
		}
		for n, b := range s.Brings {
			at := fmt.Sprint(s.Key, " ", b.Path)
			add("what a step brings left out of its step", at, BringsWrong, func(p *plan.Plan) { p.Steps[i].Brings = slices.Delete(slices.Clone(s.Brings), n, n+1) })
		}
	}
	for n, b := range c.p.Brought {
		is := func(o *plan.Brought) bool { return o.Path == b.Path }
		add("what steps bring not told", b.Path, BringsAbsent, func(p *plan.Plan) {
			p.Brought = slices.Delete(p.Brought, n, n+1)
			for _, s := range p.Steps {
				s.Brings, s.Meets = slices.DeleteFunc(s.Brings, is), slices.DeleteFunc(s.Meets, is)
			}
		})
	}
	for n, l := range c.p.Left {
		add("what is left not listed", l.Subject.Path, LeftAbsent, func(p *plan.Plan) { p.Left = slices.Delete(p.Left, n, n+1) })
		m := c.claimed(l.Subject)
		if m == nil || l.Done != nil {
			continue
		}
		without, other := *l, *l
		without.Verdicts = nil
		other.Verdicts = slices.DeleteFunc(slices.Clone(c.g.Verdicts), func(v *judge.Verdict) bool { return c.saysWhy(m, v) })
		add("what is left without a reason", l.Subject.Path, LeftNoWhy, func(p *plan.Plan) { p.Left[n] = &without })
		add("what is left by verdicts that are no reason", l.Subject.Path, LeftNoWhy, func(p *plan.Plan) { p.Left[n] = &other })
	}
	return list
}

// sayings makes a plan say what is not so.
func (c *checker) sayings() (list []planting) {
	add := func(kind, what string, want Kind, alter func(p *plan.Plan)) {
		list = append(list, planting{kind, what, c.altered(alter), []Kind{want}})
	}
	for i, s := range c.p.Steps {
		at := fmt.Sprint(s.Key)
		if s.Verdict != nil {
			word := *s.Verdict
			word.Word = judge.NoNeed
			add("another verdict told", at, Told, func(p *plan.Plan) { p.Steps[i].Verdict = &word })
		}
		if len(s.Treatment.Hazards)+len(s.Treatment.StopSigns) > 0 {
			safe := *s.Treatment
			safe.Hazards, safe.StopSigns = []pack.Hazard{}, nil
			add("hazards and stop signs not told", at, NotOfPack, func(p *plan.Plan) { p.Steps[i].Treatment = &safe })
		}
		if last := c.keys[len(c.keys)-1]; i < len(c.keys)-1 && !c.neededBy(i, last) {
			add("needed by a step that does not need it", at, NeededWrong, func(p *plan.Plan) { p.Steps[i].Needed = append(slices.Clone(s.Needed), last) })
		}
		for _, m := range c.told() {
			if d := c.claimed(m); d != nil && c.deals(c.states[i], s.Key, d) == nothing {
				add("said to deal with something else", at+" "+m.Path, ForWrong, func(p *plan.Plan) { p.Steps[i].For = append(slices.Clone(s.For), m) })
				break
			}
		}
	}
	for n, b := range c.p.Brought {
		if b.Met == nil {
			continue
		}
		by := func(i int) bool { return slices.Contains(c.meets(i), b) }
		for i, k := range c.keys {
			if !by(i) || i < c.lastBy(b) {
				add("met by another step", b.Path+" "+fmt.Sprint(k), MetWrong, func(p *plan.Plan) { p.Brought[n].Met = &k })
			}
		}
		for i, k := range c.keys {
			if !by(i) {
				add("said to meet what it does not meet", b.Path+" "+fmt.Sprint(k), MeetsWrong, func(p *plan.Plan) {
					p.Steps[i].Meets = append(slices.Clone(p.Steps[i].Meets), p.Brought[n])
				})
				break
			}
		}
		add("met, and said to be accepted", b.Path, MetWrong, func(p *plan.Plan) { p.Brought[n].Met = nil })
	}
	for _, alter := range []func(p *plan.Plan){
		func(p *plan.Plan) { p.Cost.Undone++ },
		func(p *plan.Plan) { p.Cost.Unmet++ },
		func(p *plan.Plan) { p.Cost.Lessened++ },
		func(p *plan.Plan) { p.Cost.Classes[0]++ },
		func(p *plan.Plan) { p.Cost.Classes[1]++ },
		func(p *plan.Plan) { p.Cost.Classes[2]++ },
		func(p *plan.Plan) { p.Cost.Classes[3]-- },
		func(p *plan.Plan) { p.Cost.Classes[4]-- },
		func(p *plan.Plan) { p.Cost.Steps++ },
		func(p *plan.Plan) { p.Cost.Active++ },
		func(p *plan.Plan) { p.Cost.Waiting-- },
	} {
		altered := c.altered(alter)
		add("cost wrong", fmt.Sprintf("%+v", altered.Cost), CostsDiffer, alter)
	}
	return list
}
