package pack

import (
	"cmp"
	"slices"

	"tideline/rules/cond"
	"tideline/rules/vocab"
)

// Blend holds the entries of two packs side by side, so that a book can be judged with some edits made and others not.
//
// Entries belong together by their id. A question, fact, criterion or test that only one pack has is there for whatever
// reads it. An entry whose condition cannot be read by the questions as they are then answered, or whose treatment is not
// there, says nothing; a rule of a family speaks of the treatments that are of that family then.
type Blend struct {
	Edits []Edit

	old, new   *Pack
	at         map[editKey]int
	rules      []pair[Rule]
	facts      []pair[Fact]
	nevers     []pair[Never]
	treatments []pair[Treatment]
	tests      []pair[Test]
	criteria   []pair[Criterion]
	aims       []pair[Aim]
	wefts      map[string]*weft // by which questions are answered in the new way
}

type editKey struct {
	of EditOf
	id string
}

// pair is an entry as the old and the new pack have it; nil where one does not.
type pair[T any] struct {
	id       string
	old, new *T
}

// weft is both packs' conditions compiled against one vocabulary.
type weft struct {
	vocabulary *vocab.Vocabulary
	env        *cond.Env
	conds      map[condKey]*cond.Cond // absent: it cannot be read by these questions
	isFact     map[string]bool
}

type condKey struct {
	text         string
	target, each vocab.Kind
}

// NewBlend compares two packs, each loaded without a fault.
func NewBlend(old, new *Pack) *Blend {
	b := &Blend{old: old, new: new, at: map[editKey]int{}, wefts: map[string]*weft{}}
	b.rules = pairs(old.Rules, new.Rules, func(r *Rule) string { return r.ID })
	b.facts = pairs(old.Facts, new.Facts, func(f *Fact) string { return f.ID })
	b.nevers = pairs(old.Never, new.Never, func(n *Never) string { return n.ID })
	b.treatments = pairs(old.Treatments, new.Treatments, func(t *Treatment) string { return t.ID })
	b.tests = pairs(old.Tests, new.Tests, func(t *Test) string { return t.Question.ID })
	b.criteria = pairs(old.Criteria, new.Criteria, func(c *Criterion) string { return c.ID })
	b.aims = pairs(old.Aims, new.Aims, func(a *Aim) string { return a.ID })
	if old != new {
		b.edits()
	}
	return b
}

// pairs joins two lists by id, rising.
func pairs[T any](old, new []*T, id func(*T) string) []pair[T] {
	at := map[string]*pair[T]{}
	find := func(v *T) *pair[T] {
		p := at[id(v)]
		if p == nil {
			p = &pair[T]{id: id(v)}
			at[p.id] = p
		}
		return p
	}
	for _, v := range old {
		find(v).old = v
	}
	for _, v := range new {
		find(v).new = v
	}
	list := make([]pair[T], 0, len(at))
	for _, p := range at {
		list = append(list, *p)
	}
	slices.SortFunc(list, func(a, b pair[T]) int { return cmp.Compare(a.id, b.id) })
	return list
}

// Pack gives the pack with those edits made for which made is true. It serves for judging only, and not even for that where
// fit is false: facts, or treatments that need one another, would run in a ring.
func (b *Blend) Pack(made func(edit int) bool) (p *Pack, fit bool) {
	if len(b.Edits) == 0 {
		return b.new, true
	}
	m := &mix{Blend: b, made: made, weft: b.weft(made), absent: map[string]bool{}}
	m.p = &Pack{Layers: b.new.Layers, Vocabulary: m.vocabulary, Env: m.env, Asking: b.new.Asking, ids: map[string]any{}, layerOf: map[any]int{}}
	m.declare()
	fit = m.orderFacts()
	m.judgeBy()
	return m.p, fit && !m.needsRing()
}

// mix is one choice of edits being made a pack.
type mix struct {
	*Blend
	*weft
	made   func(edit int) bool
	p      *Pack
	absent map[string]bool // facts that cannot be read, directly or by way of others
}

// pick gives the version of an entry that the choice has; nil when it has none.
func pick[T any](m *mix, of EditOf, p pair[T]) *T {
	switch i, edited := m.at[editKey{of, p.id}]; {
	case edited && m.made(i), !edited && p.new != nil:
		return p.new
	}
	return p.old
}

// isNew tells whether the choice has the new version of what an edit is of.
func (b *Blend) isNew(made func(int) bool, of EditOf, id string) bool {
	i, edited := b.at[editKey{of, id}]
	return !edited || made(i)
}

// declare chooses everything that has a name and no condition.
func (m *mix) declare() {
	for _, p := range m.criteria {
		c := p.new
		if c == nil {
			c = p.old
		}
		m.p.Criteria = append(m.p.Criteria, c)
		m.p.ids[c.ID] = c
	}
	for _, p := range m.aims {
		if a := pick(m, OfAim, p); a != nil {
			m.p.Aims = append(m.p.Aims, a)
		}
	}
	for _, p := range m.tests {
		if q := m.vocabulary.Question(p.id); q != nil {
			t := *pick(m, OfGoodFor, p)
			t.Question = q
			m.p.Tests = append(m.p.Tests, &t)
			m.p.ids[p.id] = &t
		}
	}
	for _, p := range m.facts {
		f := pick(m, OfFact, p)
		if !m.isFact[p.id] {
			continue
		}
		own := *f
		own.Is = m.conds[condKey{f.Is.Text, f.Kind, f.Kind}]
		m.p.Facts = append(m.p.Facts, &own)
		m.p.ids[p.id] = &own
		m.absent[p.id] = own.Is == nil
	}
}

// orderFacts puts facts after those they use and leaves out those that cannot be read; false for a ring.
func (m *mix) orderFacts() bool {
	uses := func(id string) []string {
		if f := m.p.Fact(id); f.Is != nil {
			return factsIn(f.Is)
		}
		return nil
	}
	order, ring := sorted(names(m.p.Facts, func(f *Fact) string { return f.ID }), uses)
	if ring != nil {
		return false
	}
	m.p.Facts = nil
	for _, id := range order {
		if f := m.p.Fact(id); f.Is == nil || slices.ContainsFunc(factsIn(f.Is), func(id string) bool { return m.absent[id] }) {
			m.absent[id] = true
			delete(m.p.ids, id)
			continue
		}
		m.p.Facts = append(m.p.Facts, m.p.Fact(id))
	}
	return true
}

func factsIn(c *cond.Cond) (ids []string) {
	c.Root.Walk(func(n *cond.Node) {
		if n.Op == cond.OpFact {
			ids = append(ids, n.Fact)
		}
	})
	return ids
}

// judgeBy chooses what has conditions: never statements, treatments, and the rules about them.
func (m *mix) judgeBy() {
	for _, p := range m.nevers {
		if n := pick(m, OfNever, p); n != nil {
			if c := m.cond(n.When.Text, n.Each, n.Each); c != nil {
				own := *n
				own.When = c
				m.p.Never = append(m.p.Never, &own)
			}
		}
	}
	for _, p := range m.treatments {
		t := pick(m, OfTreatment, p)
		if t == nil {
			continue
		}
		own := *t
		if t.Where != nil {
			if own.Where = m.cond(t.Where.Text, t.Of, t.Of); own.Where == nil {
				continue
			}
		}
		m.p.Treatments = append(m.p.Treatments, &own)
		m.p.ids[own.ID] = &own
	}
	for _, p := range m.rules {
		if r := pick(m, OfRule, p); r != nil {
			m.rule(r, p)
		}
	}
}

// cond gives a condition compiled for the choice, nil when it cannot be read there.
func (m *mix) cond(text string, target, each vocab.Kind) *cond.Cond {
	c := m.conds[condKey{text, target, each}]
	if c == nil || slices.ContainsFunc(factsIn(c), func(id string) bool { return m.absent[id] }) {
		return nil
	}
	return c
}

// rule adds a rule with the treatments and the withdrawal that the choice has.
func (m *mix) rule(r *Rule, p pair[Rule]) {
	own := *r
	own.Treatments, own.When = nil, map[vocab.Kind]*cond.Cond{}
	for _, t := range m.p.Treatments {
		if !r.SpeaksOf(t) {
			continue
		}
		if own.When[t.Of] == nil {
			if own.When[t.Of] = m.cond(r.Text, t.Of, cmp.Or(r.Each, t.Of)); own.When[t.Of] == nil {
				return
			}
		}
		own.Treatments = append(own.Treatments, t)
	}
	if r.Step != nil {
		own.Step = m.p.Treatment(r.Step.ID)
	}
	if len(own.Treatments) == 0 || r.Effect == Needs && own.Step == nil {
		return
	}
	if r.Criterion != nil {
		own.Criterion, _ = m.p.ids[r.Criterion.ID].(*Criterion)
	}
	own.Withdrawn = m.withdrawn(p)
	m.p.Rules = append(m.p.Rules, &own)
}

// withdrawn gives the withdrawal of a rule that the choice has.
func (m *mix) withdrawn(p pair[Rule]) *Withdrawal {
	was, is := withdrawal(p.old), withdrawal(p.new)
	if i, edited := m.at[editKey{OfWithdrawal, p.id}]; edited && !m.made(i) || !edited && is == nil {
		return was
	}
	return is
}

// SpeaksOf tells whether a rule is about a treatment, be it of another pack: by its id, or by the families it has there.
func (r *Rule) SpeaksOf(t *Treatment) bool {
	if r.Families == nil {
		return slices.ContainsFunc(r.Treatments, func(own *Treatment) bool { return own.ID == t.ID })
	}
	return slices.ContainsFunc(r.Families, func(f string) bool { return slices.Contains(t.Families, f) })
}

// needsRing tells whether treatments need one another in a ring.
func (m *mix) needsRing() bool {
	steps := map[string][]string{}
	for _, r := range m.p.Rules {
		for _, t := range r.Treatments {
			if r.Effect == Needs {
				steps[t.ID] = append(steps[t.ID], r.Step.ID)
			}
		}
	}
	_, ring := sorted(names(m.p.Treatments, func(t *Treatment) string { return t.ID }), func(id string) []string { return steps[id] })
	return ring != nil
}

// names lists what conditions may name, of both packs: questions and facts, rising.
func (b *Blend) names() []string {
	ids := append(b.old.Vocabulary.IDs(), b.new.Vocabulary.IDs()...)
	for _, p := range b.facts {
		ids = append(ids, p.id)
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}

// weft compiles the conditions of both packs, once for every way in which the questions are answered.
func (b *Blend) weft(made func(int) bool) *weft {
	key := ""
	for i, e := range b.Edits {
		if e.Of == OfQuestion {
			key += map[bool]string{true: "n", false: "o"}[made(i)]
		}
	}
	if w := b.wefts[key]; w != nil {
		return w
	}
	w := &weft{vocabulary: vocab.NewVocabulary(), conds: map[condKey]*cond.Cond{}, isFact: map[string]bool{}}
	b.wefts[key] = w
	var facts []string
	for _, id := range b.names() {
		from := b.old
		if b.isNew(made, OfQuestion, id) && b.definition(b.new, id) != nil {
			from = b.new
		}
		if from.Fact(id) != nil {
			facts, w.isFact[id] = append(facts, id), true
		} else {
			w.vocabulary.Add(from.Vocabulary.Question(id))
		}
	}
	env, err := cond.NewEnv(w.vocabulary, facts)
	if err != nil { // both packs were loaded in such a one
		panic(err)
	}
	w.env = env
	w.compile(b.conditions())
	return w
}

func (w *weft) compile(keys []condKey) {
	sources := make([]cond.Source, 0, len(keys))
	for _, k := range keys {
		sources = append(sources, cond.Source{Text: k.text, Vars: Scope(k.target, k.each)})
	}
	conds, problems := w.env.CompileAll(sources)
	for i, k := range keys {
		if problems[i] == nil {
			w.conds[k] = conds[i]
		}
	}
}

// conditions lists every condition of both packs, for every kind of target it may be asked of.
func (b *Blend) conditions() []condKey {
	seen := map[condKey]bool{}
	var keys []condKey
	add := func(text string, target, each vocab.Kind) {
		if k := (condKey{text, target, each}); !seen[k] {
			seen[k] = true
			keys = append(keys, k)
		}
	}
	for _, p := range b.treatments {
		for _, t := range []*Treatment{p.old, p.new} {
			if t != nil && t.Where != nil {
				add(t.Where.Text, t.Of, t.Of)
			}
		}
	}
	for _, p := range b.facts {
		for _, f := range []*Fact{p.old, p.new} {
			if f != nil {
				add(f.Is.Text, f.Kind, f.Kind)
			}
		}
	}
	for _, p := range b.nevers {
		for _, n := range []*Never{p.old, p.new} {
			if n != nil {
				add(n.When.Text, n.Each, n.Each)
			}
		}
	}
	for _, p := range b.rules {
		for _, r := range []*Rule{p.old, p.new} {
			if r == nil {
				continue
			}
			for _, of := range b.targets(r) {
				add(r.Text, of, cmp.Or(r.Each, of))
			}
		}
	}
	return keys
}

// targets gives the kinds of what the treatments are done to that a rule may speak of, in either pack.
func (b *Blend) targets(r *Rule) (kinds []vocab.Kind) {
	for _, p := range b.treatments {
		for _, t := range []*Treatment{p.old, p.new} {
			if t != nil && r.SpeaksOf(t) && !slices.Contains(kinds, t.Of) {
				kinds = append(kinds, t.Of)
			}
		}
	}
	return kinds
}
