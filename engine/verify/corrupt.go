package verify

import (
	"math/rand/v2"
	"slices"

	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/vocab"
)

// Tally is how many proofs corrupted in one way were noticed.
type Tally struct {
	Kind          string
	Made, Noticed int
	Missed        []string // where
}

// corruptions are the ways of corrupting a proof. Each changes a copy of one reason at one node, picked at random, and
// gives false where there is nothing of the kind to change.
var corruptions = []struct {
	kind   string
	change func(rnd *rand.Rand, g *judge.Judgement, p *judge.Proof) bool
}{
	{"a value flipped", func(_ *rand.Rand, _ *judge.Judgement, p *judge.Proof) bool {
		p.Value = map[cond.Truth]cond.Truth{cond.True: cond.False, cond.False: cond.True, cond.Open: cond.True}[p.Value]
		return true
	}},
	{"an atom or answer dropped", func(rnd *rand.Rand, _ *judge.Judgement, p *judge.Proof) bool {
		if len(p.Kids) == 0 || p.Step == judge.StepAll || p.Step == judge.StepExists || p.Step == judge.StepCount {
			return false
		}
		at := rnd.IntN(len(p.Kids))
		p.Kids = slices.Delete(slices.Clone(p.Kids), at, at+1)
		return true
	}},
	{"a thing of a list dropped", func(rnd *rand.Rand, _ *judge.Judgement, p *judge.Proof) bool {
		if len(p.Kids) == 0 || p.Step != judge.StepAll && p.Step != judge.StepExists && p.Step != judge.StepCount {
			return false
		}
		at := rnd.IntN(len(p.Kids))
		p.Kids = slices.Delete(slices.Clone(p.Kids), at, at+1)
		return true
	}},
	{"an operator changed", func(_ *rand.Rand, _ *judge.Judgement, p *judge.Proof) bool {
		to, ok := map[judge.Step]judge.Step{
			judge.StepAnd: judge.StepOr, judge.StepOr: judge.StepAnd, judge.StepAll: judge.StepExists,
			judge.StepExists: judge.StepAll, judge.StepNot: judge.StepAnd,
		}[p.Step]
		if ok {
			p.Step = to
		}
		return ok
	}},
	{"a source swapped", func(rnd *rand.Rand, g *judge.Judgement, p *judge.Proof) bool {
		switch p.Step {
		case judge.StepReason:
			other := *p.Rule
			other.Sources = []string{"another"}
			p.Rule = &other
			return true
		case judge.StepAnswer:
			for range 20 {
				n := rnd.IntN(len(g.Case.Asks))
				if o := g.Case.Asks[n]; n != p.Ask && o.Question != nil {
					p.Ask, p.Thing = n, o.Thing
					return true
				}
			}
		}
		return false
	}},
}

// Corrupt corrupts proofs of the judgement in every way, so many times each, and counts what the check notices.
func Corrupt(c *Checker, rnd *rand.Rand, times int) []Tally {
	var list []Tally
	for _, way := range corruptions {
		list = append(list, c.corrupt(rnd, times, way.kind, func(p *judge.VerdictProof) (undo func(), ok bool) {
			reasons := lists(p)
			from := reasons[rnd.IntN(len(reasons))]
			at := rnd.IntN(len(*from))
			copied := clone((*from)[at])
			*from = slices.Clone(*from)
			(*from)[at] = copied
			nodes := flat(copied, nil)
			rnd.Shuffle(len(nodes), func(i, k int) { nodes[i], nodes[k] = nodes[k], nodes[i] })
			return func() {}, slices.ContainsFunc(nodes, func(n *judge.Proof) bool { return way.change(rnd, c.g, n) })
		}))
	}
	list = append(list, c.corrupt(rnd, times, "a rule left out", func(p *judge.VerdictProof) (func(), bool) {
		reasons := lists(p)
		from := reasons[rnd.IntN(len(reasons))]
		at := rnd.IntN(len(*from))
		*from = slices.Delete(slices.Clone(*from), at, at+1)
		return func() {}, true
	}), c.corrupt(rnd, times, "an answer altered", func(p *judge.VerdictProof) (func(), bool) {
		reasons := lists(p)
		from := reasons[rnd.IntN(len(reasons))]
		at := rnd.IntN(len(*from))
		copied := clone((*from)[at])
		*from = slices.Clone(*from)
		(*from)[at] = copied
		nodes := slices.DeleteFunc(flat(copied, nil), func(p *judge.Proof) bool { return p.Step != judge.StepAnswer })
		if len(nodes) == 0 {
			return nil, false
		}
		ask := &c.g.Case.Asks[nodes[rnd.IntN(len(nodes))].Ask]
		if ask.Thing.Unlisted || ask.Question.Type == vocab.YesNo && isList(ask.Question) {
			return nil, false
		}
		old := ask.Answer
		ask.Answer = vocab.Answer{Known: true, Num: old.Num + 0.5, Word: old.Word + "x", Yes: !old.Yes}
		return func() { ask.Answer = old }, true
	}), c.corrupt(rnd, times, "another verdict", func(p *judge.VerdictProof) (func(), bool) {
		words := []judge.Word{judge.Recommended, judge.Possible, judge.TestFirst, judge.RuledOut, judge.NoNeed}
		v := *p.Verdict
		for v.Word == p.Verdict.Word {
			v.Word = words[rnd.IntN(len(words))]
		}
		unproven := p.Verdict.Unproven
		p.Verdict = &v
		return func() {}, !unproven
	}))
	return list
}

func isList(q *vocab.Question) bool { return q.Kind == vocab.Side || q.Kind == vocab.Book }

// corrupt corrupts proofs in one way and checks them.
func (c *Checker) corrupt(rnd *rand.Rand, times int, kind string, change func(*judge.VerdictProof) (undo func(), ok bool)) Tally {
	t := Tally{Kind: kind}
	for tries := 0; t.Made < times && tries < times*40; tries++ {
		v := c.g.Verdicts[rnd.IntN(len(c.g.Verdicts))]
		p := *c.g.Prove(v)
		if len(lists(&p)) == 0 {
			continue
		}
		undo, ok := change(&p)
		if !ok {
			continue
		}
		t.Made++
		n, err := c.Check(&p)
		undo()
		switch {
		case err != nil:
			t.Noticed++
		case n.Unsearched > 0:
			t.Made-- // not searched to the end: the check says so and claims nothing
		default:
			t.Missed = append(t.Missed, v.Treatment.ID+" on "+v.Target.Path)
		}
	}
	return t
}

// lists gives the lists of reasons of a proof that hold any.
func lists(p *judge.VerdictProof) []*[]*judge.Proof {
	all := []*[]*judge.Proof{&p.RulesOut, &p.CalledFor, &p.Needs, &p.For, &p.Against, &p.Cautions}
	return slices.DeleteFunc(all, func(l *[]*judge.Proof) bool { return len(*l) == 0 })
}

// clone copies a proof with all it rests on.
func clone(p *judge.Proof) *judge.Proof {
	c, about := *p, *p.About
	c.About = &about // nodes share it
	c.Kids = make([]*judge.Proof, 0, len(p.Kids))
	for _, k := range p.Kids {
		c.Kids = append(c.Kids, clone(k))
	}
	return &c
}

// flat lists the nodes of a proof.
func flat(p *judge.Proof, list []*judge.Proof) []*judge.Proof {
	list = append(list, p)
	for _, k := range p.Kids {
		list = flat(k, list)
	}
	return list
}

// Leaves lists the numbers of the questions that a proof rests on.
func Leaves(p *judge.VerdictProof) []int {
	var numbers []int
	for _, l := range lists(p) {
		for _, r := range *l {
			for _, n := range flat(r, nil) {
				if n.Step == judge.StepAnswer {
					numbers = append(numbers, n.Ask)
				}
			}
		}
	}
	slices.Sort(numbers)
	return slices.Compact(numbers)
}
