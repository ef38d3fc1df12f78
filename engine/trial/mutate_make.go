package trial

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// maker makes a change in the pack of a workshop.
type maker func(w *workshop) *attempt

// attempt is a change made to the pack of a workshop.
type attempt struct {
	touched
	undo   func()
	redo   func()    // of a change to a condition: makes it again
	env    *cond.Env // with the atoms of the change
	safety bool
	fate   Fate // what becomes of the mutant when no trial notices it
	// stale and warns name the treatment or question of which something is no longer told.
	stale, warns string
}

// mutants lists every change to a pack, in a fixed order.
func mutants(p *pack.Pack) []*Mutant {
	var list []*Mutant
	for _, r := range p.Rules {
		if r.Withdrawn == nil {
			list = append(list, ruleMutants(p, r)...)
		}
	}
	facts := slices.Clone(p.Facts)
	slices.SortFunc(facts, func(a, b *pack.Fact) int { return strings.Compare(a.ID, b.ID) })
	for _, f := range facts {
		list = append(list, factMutants(p, f)...)
	}
	for _, t := range p.Treatments {
		list = append(list, treatmentMutants(t)...)
	}
	for _, t := range p.Tests {
		for i, h := range t.Hazards {
			list = append(list, &Mutant{Change: DropHazard, Of: t.Question.ID, Place: t.Place, Was: h.Danger, make: func(w *workshop) *attempt {
				own := w.pack.Test(t.Question.ID)
				return w.drop(&own.Hazards, i, own.Question.ID)
			}})
		}
	}
	return list
}

func ruleMutants(p *pack.Pack, r *pack.Rule) []*Mutant {
	mutant := func(c Change, was, is string, make maker) *Mutant {
		return &Mutant{Change: c, Of: r.ID, Place: r.Place, Was: was, Is: is, make: make}
	}
	list := []*Mutant{mutant(DropRule, r.Text, "", func(w *workshop) *attempt {
		return w.rewrite(r.ID, edit{node: 0, by: func(*cond.Env, *cond.Cond, *cond.Node) (*cond.Node, error) { return neverHolds(), nil }})
	})}
	switch r.Effect {
	case pack.RulesOut:
		list = append(list, mutant(Weaken, string(r.Effect), string(pack.Against), func(w *workshop) *attempt { return w.turn(r.ID, pack.Against) }))
	case pack.For:
		list = append(list, mutant(SwapArgument, string(r.Effect), string(pack.Against), func(w *workshop) *attempt { return w.turn(r.ID, pack.Against) }))
	case pack.Against:
		list = append(list, mutant(SwapArgument, string(r.Effect), string(pack.For), func(w *workshop) *attempt { return w.turn(r.ID, pack.For) }))
	case pack.Caution:
		if r.Hazard {
			list = append(list, mutant(UnmarkHazard, "hazard: yes", "", func(w *workshop) *attempt { return w.unmark(r.ID) }))
		}
	}
	for _, k := range vocab.Kinds {
		if c := r.When[k]; c != nil {
			for _, e := range edits(p.Env, c) {
				list = append(list, mutant(e.change, e.was, e.is, func(w *workshop) *attempt { return w.rewrite(r.ID, e) }))
			}
			break // the condition is the same for every kind of target
		}
	}
	return list
}

func factMutants(p *pack.Pack, f *pack.Fact) []*Mutant {
	drop := edit{node: 0, change: DropFact, was: f.Is.Text, by: func(*cond.Env, *cond.Cond, *cond.Node) (*cond.Node, error) { return neverHolds(), nil }}
	var list []*Mutant
	for _, e := range append([]edit{drop}, edits(p.Env, f.Is)...) {
		list = append(list, &Mutant{
			Change: e.change, Of: f.ID, Place: f.Place, Was: e.was, Is: e.is,
			make: func(w *workshop) *attempt { return w.restate(f.ID, e) },
		})
	}
	return list
}

func treatmentMutants(t *pack.Treatment) []*Mutant {
	var list []*Mutant
	for i, q := range t.MakesStale {
		list = append(list, &Mutant{Change: DropStale, Of: t.ID, Place: t.Place, Was: q, make: func(w *workshop) *attempt {
			own := w.pack.Treatment(t.ID)
			all := own.MakesStale
			own.MakesStale = slices.Delete(slices.Clone(all), i, i+1)
			return &attempt{undo: func() { own.MakesStale = all }, safety: true, fate: Survived, stale: t.ID}
		}})
	}
	for i, s := range t.Sets {
		list = append(list, &Mutant{Change: DropSet, Of: t.ID, Place: t.Place, Was: s.Question.ID, make: func(w *workshop) *attempt {
			own := w.pack.Treatment(t.ID)
			all := own.Sets
			own.Sets = slices.Delete(slices.Clone(all), i, i+1)
			fate := Survived
			if slices.Contains(t.MakesStale, s.Question.ID) { // only expected: plans read it, no verdict does
				fate = Equivalent
			}
			return &attempt{undo: func() { own.Sets = all }, fate: fate, stale: t.ID}
		}})
	}
	for i, h := range t.Hazards {
		list = append(list, &Mutant{Change: DropHazard, Of: t.ID, Place: t.Place, Was: h.Danger, make: func(w *workshop) *attempt {
			own := w.pack.Treatment(t.ID)
			return w.drop(&own.Hazards, i, own.ID)
		}})
	}
	return list
}

// drop takes one hazard off a list.
func (w *workshop) drop(hazards *[]pack.Hazard, i int, of string) *attempt {
	all := *hazards
	*hazards = slices.Delete(slices.Clone(all), i, i+1)
	return &attempt{undo: func() { *hazards = all }, safety: true, fate: Survived, warns: of}
}

// ofRule is what a change to a rule touches.
func (w *workshop) ofRule(r *pack.Rule) touched {
	one := map[string]bool{r.ID: true}
	t := touched{rules: one, speakers: one, of: r.ID, prune: true, verdicts: func(string) bool { return false }}
	if r.Effect != pack.Caution {
		t.verdicts = func(treatment string) bool {
			return slices.ContainsFunc(r.Treatments, func(about *pack.Treatment) bool { return slices.Contains(w.needs[treatment], about.ID) })
		}
	}
	return t
}

// turn gives a rule another effect.
func (w *workshop) turn(id string, to pack.Effect) *attempt {
	r := w.pack.Rule(id)
	was := *r
	m := &attempt{touched: w.ofRule(r), undo: func() { *r = was }, safety: r.Effect == pack.RulesOut}
	nothing := map[vocab.Kind]*cond.Cond{}
	for k, c := range r.When {
		nothing[k] = &cond.Cond{Vars: c.Vars, Root: neverHolds()}
	}
	_, m.fate = w.relation(w.pack.Env, r.When, nothing, r.Treatments) // a rule that never holds may have any effect
	if r.Effect = to; r.Criterion == nil && len(w.pack.Criteria) > 0 {
		r.Criterion, r.Weight = w.pack.Criteria[0], 1
	}
	if r.Criterion == nil {
		r.Criterion = &pack.Criterion{}
	}
	return m
}

// unmark makes a caution one that is not for people.
func (w *workshop) unmark(id string) *attempt {
	r := w.pack.Rule(id)
	r.Hazard = false
	return &attempt{undo: func() { r.Hazard = true }, safety: true, fate: Survived, touched: touched{rules: map[string]bool{}}, warns: r.ID}
}

// rewrite changes the condition of a rule, for every kind of target.
func (w *workshop) rewrite(id string, e edit) *attempt {
	r := w.pack.Rule(id)
	was, env := r.When, w.pack.Env.Fork()
	is := map[vocab.Kind]*cond.Cond{}
	for _, k := range vocab.Kinds {
		if was[k] != nil {
			is[k] = e.apply(env, was[k])
		}
	}
	m := &attempt{touched: w.ofRule(r), undo: func() { r.When = was }, redo: func() { r.When = is }, env: env}
	m.redo()
	weaker, fate := w.relation(env, was, is, r.Treatments)
	m.fate = fate
	m.safety = r.Effect == pack.RulesOut && weaker || r.Effect == pack.Caution && e.change == ""
	if r.Effect == pack.Caution && r.Hazard {
		m.warns = r.ID
	}
	return m
}

// restate changes the condition of a fact.
func (w *workshop) restate(id string, e edit) *attempt {
	f, u := w.pack.Fact(id), w.uses[id]
	was, env := f.Is, w.pack.Env.Fork()
	is := e.apply(env, was)
	m := &attempt{touched: touched{of: id, rules: u.rules, facts: u.facts, speakers: u.rules, prune: !u.everywhere}, env: env, undo: func() { f.Is = was }, redo: func() { f.Is = is }}
	m.verdicts = func(treatment string) bool {
		return u.everywhere || slices.ContainsFunc(w.needs[treatment], func(t string) bool {
			return slices.ContainsFunc(w.about[t], func(r *pack.Rule) bool { return u.rules[r.ID] && r.Effect != pack.Caution })
		})
	}
	_, m.fate = w.relation(env, map[vocab.Kind]*cond.Cond{f.Kind: was}, map[vocab.Kind]*cond.Cond{f.Kind: is}, nil)
	m.redo()
	return m
}

func neverHolds() *cond.Node { return &cond.Node{Op: cond.OpConst, Text: "never"} }

// edit is a change to one node of a condition.
type edit struct {
	node    int // among the nodes of the condition
	change  Change
	was, is string
	by      func(env *cond.Env, c *cond.Cond, n *cond.Node) (*cond.Node, error)
}

// apply gives the changed condition. It was tried when the edit was made, so that it cannot fail.
func (e edit) apply(env *cond.Env, c *cond.Cond) *cond.Cond {
	old := nodes(c.Root)[e.node]
	by, err := e.by(env, c, old)
	if err != nil {
		panic(fmt.Sprintf("mutate %q: %v", c.Text, err))
	}
	return &cond.Cond{Text: c.Text, Vars: c.Vars, Root: c.Root.Replace(old, by)}
}

// nodes lists the nodes of a formula, parents first, each once.
func nodes(root *cond.Node) []*cond.Node {
	var list []*cond.Node
	root.Walk(func(n *cond.Node) {
		if !slices.Contains(list, n) {
			list = append(list, n)
		}
	})
	return list
}

// edits lists the changes that can be made to a condition. Those that would not compile are left out.
func edits(env *cond.Env, c *cond.Cond) []edit {
	var list []edit
	fork := env.Fork()
	for i, n := range nodes(c.Root) {
		add := func(change Change, by func(env *cond.Env, c *cond.Cond, n *cond.Node) (*cond.Node, error)) {
			e := edit{node: i, change: change, was: n.Text, by: by}
			if to, err := by(fork, c, n); err == nil {
				e.is = to.Text
				list = append(list, e)
			}
		}
		switch n.Op {
		case cond.OpAtom:
			add(NegateAtom, negate)
			if n.Atom.Test != nil {
				for _, v := range variations(env, n.Atom) {
					add(v.change, func(env *cond.Env, c *cond.Cond, n *cond.Node) (*cond.Node, error) {
						return env.Vary(c.Vars, n, v.test)
					})
				}
			}
			if v, ok := n.Atom.Limit(); ok {
				for _, to := range []float64{round4(v * 0.95), round4(v * 1.05)} {
					add(ShiftThreshold, func(env *cond.Env, c *cond.Cond, n *cond.Node) (*cond.Node, error) {
						return env.VaryLimit(c.Vars, n, to)
					})
				}
			}
		case cond.OpFact:
			add(NegateAtom, negate)
		case cond.OpAnd, cond.OpOr:
			for k := range n.Kids {
				add(DropOperand, func(_ *cond.Env, _ *cond.Cond, n *cond.Node) (*cond.Node, error) { return without(n, k), nil })
			}
			add(SwapJunction, swapJunction)
		case cond.OpAll, cond.OpExists:
			add(SwapQuantifier, swapQuantifier)
		case cond.OpCount:
			for _, count := range []int{n.Count - 1, n.Count + 1} {
				if count > 0 {
					add(ShiftThreshold, func(_ *cond.Env, _ *cond.Cond, n *cond.Node) (*cond.Node, error) { return counting(n, count), nil })
				}
			}
		}
	}
	return list
}

func negate(_ *cond.Env, _ *cond.Cond, n *cond.Node) (*cond.Node, error) {
	return &cond.Node{Op: cond.OpNot, Text: "!(" + n.Text + ")", Kids: []*cond.Node{n}}, nil
}

// junction writes the kids of a node with the word between them.
func junction(op cond.Op, kids []*cond.Node) string {
	word, other := " && ", cond.OpOr
	if op == cond.OpOr {
		word, other = " || ", cond.OpAnd
	}
	var texts []string
	for _, k := range kids {
		if k.Op == other {
			texts = append(texts, "("+k.Text+")")
		} else {
			texts = append(texts, k.Text)
		}
	}
	return strings.Join(texts, word)
}

func without(n *cond.Node, kid int) *cond.Node {
	kids := slices.Delete(slices.Clone(n.Kids), kid, kid+1)
	if len(kids) == 1 {
		return kids[0]
	}
	return &cond.Node{Op: n.Op, Text: junction(n.Op, kids), Kids: kids}
}

func swapJunction(_ *cond.Env, _ *cond.Cond, n *cond.Node) (*cond.Node, error) {
	op := cond.OpAnd
	if n.Op == cond.OpAnd {
		op = cond.OpOr
	}
	return &cond.Node{Op: op, Text: junction(op, n.Kids), Kids: n.Kids}, nil
}

func swapQuantifier(_ *cond.Env, _ *cond.Cond, n *cond.Node) (*cond.Node, error) {
	to := *n
	from, word := ".exists(", ".all("
	to.Op = cond.OpAll
	if n.Op == cond.OpAll {
		from, word, to.Op = word, from, cond.OpExists
	}
	to.Text = strings.Replace(n.Text, from, word, 1)
	return &to, nil
}

func counting(n *cond.Node, count int) *cond.Node {
	to := *n
	to.Count = count
	to.Text = strings.Replace(n.Text, fmt.Sprintf(".atLeast(%d,", n.Count), fmt.Sprintf(".atLeast(%d,", count), 1)
	return &to
}

// variation is another test in the place of an atom's.
type variation struct {
	change Change
	test   cond.Test
}

// variations lists the tests an atom's could be mistaken for.
func variations(env *cond.Env, a *cond.Atom) []variation {
	q := a.Reads[0].Question
	switch {
	case q.Type == vocab.Words:
		return otherWords(q, a.Test)
	case q.Type == vocab.YesNo || a.Test.Op == "in":
		return nil
	}
	var list []variation
	for _, v := range steps(env, q, a.Test.Values[0].Num) {
		list = append(list, variation{ShiftThreshold, cond.Test{Op: a.Test.Op, Values: []vocab.Answer{vocab.Num(v)}}})
	}
	if op := map[string]string{"<": "<=", "<=": "<", ">": ">=", ">=": ">"}[a.Test.Op]; op != "" {
		flipped := cond.Test{Op: op, Values: a.Test.Values}
		if q.Type != vocab.Grade || !slices.ContainsFunc(list, func(v variation) bool { return sameGrades(q, v.test, flipped) }) {
			list = append(list, variation{FlipStrictness, flipped})
		}
	}
	return list
}

// sameGrades tells whether two tests pass the same grades: below 4-5 is 4 or below.
func sameGrades(q *vocab.Question, a, b cond.Test) bool {
	for g := 1.0; g <= 5; g += 0.5 {
		if a.Holds(q, vocab.Num(g)) != b.Holds(q, vocab.Num(g)) {
			return false
		}
	}
	return true
}

// steps gives the values one step below and above: half a grade; of a number the next value that some condition compares
// it with, or 5 % where there is none.
func steps(env *cond.Env, q *vocab.Question, v float64) []float64 {
	below, above := v-0.5, v+0.5
	if q.Type == vocab.Number {
		below, above = round4(v-math.Abs(v)*0.05), round4(v+math.Abs(v)*0.05)
		lower, higher := math.Inf(-1), math.Inf(1)
		for _, a := range env.Atoms() {
			if a.Test == nil || a.Reads[0].Question != q {
				continue
			}
			for _, cut := range a.Test.Values {
				if cut.Num < v {
					lower = max(lower, cut.Num)
				} else if cut.Num > v {
					higher = min(higher, cut.Num)
				}
			}
		}
		if !math.IsInf(lower, 0) {
			below = lower
		}
		if !math.IsInf(higher, 0) {
			above = higher
		}
	}
	var list []float64
	for _, s := range []float64{below, above} {
		if s != v && s >= q.From && s <= q.To {
			list = append(list, s)
		}
	}
	return list
}

// round4 rounds to four decimals.
func round4(v float64) float64 { return math.Round(v*1e4) / 1e4 }

// otherWords puts, for each word of a comparison, the next one of the question's that does not stand in it.
func otherWords(q *vocab.Question, t *cond.Test) []variation {
	var list []variation
	for i, v := range t.Values {
		at := slices.Index(q.Words, v.Word)
		for step := 1; step < len(q.Words); step++ {
			word := vocab.Word(q.Words[(at+step)%len(q.Words)])
			if !slices.Contains(t.Values, word) {
				values := slices.Clone(t.Values)
				values[i] = word
				list = append(list, variation{ChangeWord, cond.Test{Op: t.Op, Values: values}})
				break
			}
		}
	}
	return list
}
