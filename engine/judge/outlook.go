package judge

import (
	"cmp"
	"maps"
	"slices"

	"tideline/engine/evidence"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Outlook is a judgement with some of its open questions supposed answered. It holds the formulas that the verdicts hang
// on, so that an answer can be supposed without judging the book again. An Outlook is never changed.
type Outlook struct {
	g        *Judgement
	never    []*formula
	views    []*view
	readers  map[int][]int // by question: the places of the verdicts that an answer to it can move
	tied     map[int]bool  // the questions that a never statement reads
	supposed []Supposal
	ways     map[int][]Way
}

// Supposal is an answer supposed: the number of a question, and one of its cells.
type Supposal struct{ Number, Cell int }

// View is how a verdict looks in an outlook.
type View struct {
	Word        Word
	Least, Most float64    // of the support; wider than need be unless the treatment is clear and called for
	Banned      cond.Truth // ruled out
	Unproven    bool
}

// Clear tells whether the treatment is surely not ruled out, and not known to be unneeded.
func (v *View) Clear() bool { return v.Word == Recommended || v.Word == Possible }

// Way is a set of answers to a question between which nothing that hangs on it can tell.
type Way struct {
	Cells   []int
	Answers []vocab.Answer
	Then    *Outlook // with the first of the cells supposed
}

// view holds the formulas of one verdict.
type view struct {
	verdict              *Verdict
	ban, called, serving *formula
	terms                []term
	base                 float64 // of the arguments that hold
	steps                []wanted
	seen                 *View
	// banned, calls and serves are the values of ban, called and serving, once asked for.
	banned, calls, serves sought
}

// sought is a value that is searched for when it is first asked for.
type sought struct {
	known bool
	value cond.Truth
}

// wanted is a step that a treatment needs first: the formula by which it does, and the places of the step's verdicts.
type wanted struct {
	when   *formula
	places []int
}

// Outlook gives the judgement with nothing supposed yet.
func (g *Judgement) Outlook() *Outlook {
	o := &Outlook{g: g, never: g.j.space.forbidden, readers: map[int][]int{}, tied: map[int]bool{}, ways: map[int][]Way{}}
	places := map[*Verdict]int{}
	for i, v := range g.Verdicts {
		places[v] = i
	}
	for i, v := range g.Verdicts {
		w := g.j.view(v, places)
		o.views = append(o.views, w)
		for n := range o.reach(w) {
			o.readers[n] = append(o.readers[n], i)
		}
	}
	for _, f := range o.never {
		for _, n := range f.asks() {
			o.tied[n] = true
		}
	}
	return o
}

// view writes out what a verdict hangs on.
func (j *judge) view(v *Verdict, places map[*Verdict]int) *view {
	c := j.calledFor(v)
	w := &view{verdict: v, ban: j.ban(v), called: c.called, serving: c.serving}
	for _, i := range v.Instances {
		switch i.Rule.Effect {
		case pack.For, pack.Against:
			weight := i.Weighs(j.weights)
			if i.Rule.Effect == pack.Against {
				weight = -weight
			}
			w.terms = append(w.terms, term{j.valued(i), weight})
		case pack.Needs:
			if i.Value == cond.False {
				continue
			}
			step := wanted{when: j.valued(i)}
			for _, t := range j.c.Reach(v.Target, i.Rule.Step.Of) {
				if other := j.verdicts[j.place(i.Rule.Step, t)]; other != nil {
					step.places = append(step.places, places[other])
				}
			}
			w.steps = append(w.steps, step)
		}
	}
	w.settle()
	return w
}

// valued is an instance's condition as a formula: a constant where its value is known.
func (j *judge) valued(i *Instance) *formula {
	if i.Value != cond.Open {
		return constant(i.Value == cond.True)
	}
	return j.formula(i)
}

// settle takes the terms that are known into the base.
func (w *view) settle() {
	var open []term
	for _, t := range w.terms {
		switch t.f.known() {
		case cond.True:
			w.base += t.weight
		case cond.Open:
			open = append(open, t)
		}
	}
	w.terms = open
}

// formulas lists what the view hangs on.
func (w *view) formulas() []*formula {
	list := append([]*formula{w.ban, w.called, w.serving}, formulasOf(w.terms)...)
	for _, s := range w.steps {
		list = append(list, s.when)
	}
	return list
}

// reach gives every question whose answer can move the view: those its formulas read, and those that never statements tie
// to them.
func (o *Outlook) reach(w *view) map[int]bool {
	asks := map[int]bool{}
	s := space{forbidden: o.never}
	own := w.formulas()
	for _, f := range append(own, s.tied(own...)...) {
		for _, n := range f.asks() {
			asks[n] = true
		}
	}
	return asks
}

// assign puts a cell into the view.
func (w *view) assign(number, cell int) *view {
	a := &view{verdict: w.verdict, ban: w.ban.assign(number, cell), called: w.called.assign(number, cell), base: w.base}
	if a.serving = a.called; w.serving != w.called {
		a.serving = w.serving.assign(number, cell)
	}
	for _, t := range w.terms {
		a.terms = append(a.terms, term{t.f.assign(number, cell), t.weight})
	}
	for _, s := range w.steps {
		a.steps = append(a.steps, wanted{s.when.assign(number, cell), s.places})
	}
	a.settle()
	return a
}

// Suppose supposes one answer more. It gives nil when the never statements do not allow it.
func (o *Outlook) Suppose(number, cell int) *Outlook {
	next := &Outlook{g: o.g, never: o.never, views: slices.Clone(o.views), readers: o.readers, tied: o.tied, ways: map[int][]Way{}}
	if o.tied[number] {
		left, ok := assignNever(o.never, number, cell)
		s := space{forbidden: left, size: o.g.j.space.size}
		if !ok || !s.possible(s.tied(o.asksOf(number))) {
			return nil
		}
		next.never = left
	}
	next.supposed = append(slices.Clip(slices.Clone(o.supposed)), Supposal{number, cell})
	slices.SortFunc(next.supposed, func(a, b Supposal) int { return cmp.Compare(a.Number, b.Number) })
	for _, i := range o.readers[number] {
		next.views[i] = o.views[i].assign(number, cell)
	}
	return next
}

// outlookSteps bounds one search in an outlook, of which a look ahead makes thousands. One that reaches it takes it that
// the value could be either, so that nothing counts as clear that is not proved to be.
const outlookSteps = 1500

func (o *Outlook) space() *space {
	return &space{forbidden: o.never, size: o.g.j.space.size, steps: stepLimit - outlookSteps}
}

// Supposed gives what is supposed, by the numbers of the questions.
func (o *Outlook) Supposed() []Supposal { return o.supposed }

// Judgement gives the judgement the outlook started from.
func (o *Outlook) Judgement() *Judgement { return o.g }

// View gives the verdict at a place of [Judgement.Verdicts] as it would then be.
func (o *Outlook) View(place int) *View {
	w := o.views[place]
	if w.seen != nil {
		return w.seen
	}
	v := &View{Banned: o.banned(w)}
	switch {
	case v.Banned == cond.True:
		v.Word = RuledOut
	case o.called(w) == cond.False:
		v.Word = NoNeed
	case v.Banned == cond.Open:
		v.Word = TestFirst
	}
	o.weigh(w, v)
	switch {
	case v.Word != "":
	case o.serves(w) == cond.True && v.Least > 0:
		v.Word = Recommended
	default:
		v.Word = Possible
	}
	w.seen = v
	return v
}

// Recommends tells whether the verdict at a place would be recommended, without looking at more than that needs.
func (o *Outlook) Recommends(place int) bool {
	w := o.views[place]
	return o.banned(w) == cond.False && o.serves(w) == cond.True && o.View(place).Word == Recommended
}

func (o *Outlook) banned(w *view) cond.Truth {
	return w.banned.get(func() cond.Truth { return o.value(w.ban) })
}

func (o *Outlook) called(w *view) cond.Truth {
	if len(o.supposed) == 0 { // found already, with more time
		return w.verdict.CalledFor
	}
	return w.calls.get(func() cond.Truth { return o.value(w.called) })
}

// serves tells whether the treatment is called for by something that serves an aim.
func (o *Outlook) serves(w *view) cond.Truth {
	switch {
	case len(o.supposed) == 0:
		return w.verdict.ServesAim
	case w.serving == w.called:
		return o.called(w)
	}
	return w.serves.get(func() cond.Truth { return o.value(w.serving) })
}

func (s *sought) get(search func() cond.Truth) cond.Truth {
	if !s.known {
		s.known, s.value = true, search()
	}
	return s.value
}

// weigh bounds the support: exactly where the treatment is clear and called for, else with each argument by itself.
func (o *Outlook) weigh(w *view, v *View) {
	least, most, _ := bounds(w.terms)
	if v.Banned == cond.False && len(w.terms) > 0 && o.serves(w) == cond.True {
		s := o.space()
		if low, high, ok := s.support(w.terms, s.tied(formulasOf(w.terms)...)); ok {
			least, most = low, high
		}
		v.Unproven = s.gaveUp
	}
	v.Least, v.Most = round(w.base+least), round(w.base+most)
}

// manyAsks is how many questions a formula must read to be taken as open until it folds to a constant: a look ahead of a
// few answers does not settle it, and nothing counts as clear that is not proved to be.
const manyAsks = 14

// value is the exact value of a formula, open where the search is too long.
func (o *Outlook) value(f *formula) cond.Truth {
	if len(f.asks()) > manyAsks {
		return f.known()
	}
	return o.space().value(f)
}

// Ready tells whether a treatment could be begun: it is clear, and every step that it may need first is surely not ruled
// out and can be begun itself.
func (o *Outlook) Ready(place int) bool {
	if !o.View(place).Clear() {
		return false
	}
	return o.stepsReady(place)
}

func (o *Outlook) stepsReady(place int) bool {
	for _, s := range o.views[place].steps {
		if o.value(s.when) == cond.False {
			continue
		}
		for _, p := range s.places {
			if o.banned(o.views[p]) != cond.False || !o.stepsReady(p) {
				return false
			}
		}
	}
	return true
}

// Hangs gives the questions a person could answer that the verdict at a place may hang on: those that decide whether it is
// ruled out or called for, those of its open arguments where these decide whether it is recommended, and those of the
// steps it may need. Rising.
func (o *Outlook) Hangs(place int) []int {
	found := map[int]bool{}
	o.hangs(place, found)
	return slices.Sorted(maps.Keys(found))
}

func (o *Outlook) hangs(place int, found map[int]bool) {
	w := o.views[place]
	add := func(list []int) {
		for _, n := range list {
			if o.Answerable(n) {
				found[n] = true
			}
		}
	}
	if w.verdict.Word == TestFirst && len(o.supposed) == 0 {
		add(w.verdict.Open)
	} else {
		add(o.deciding(w.ban))
	}
	list := []*formula{w.called, w.serving}
	if v := o.View(place); v.Least <= 0 && v.Most > 0 { // else the arguments decide nothing: recommended or not, it stays so
		list = append(list, formulasOf(w.terms)...)
	}
	for _, s := range w.steps {
		list = append(list, s.when)
	}
	for _, f := range list {
		add(o.deciding(f))
	}
	for _, s := range w.steps {
		if s.when.known() != cond.False {
			for _, p := range s.places {
				o.hangs(p, found)
			}
		}
	}
}

// fewAsks is up to how many questions a formula may read to have those found that it exactly hangs on.
const fewAsks = 8

// deciding gives the questions a formula hangs on: exactly where they are few, else all it reads.
func (o *Outlook) deciding(f *formula) []int {
	if len(f.asks()) > fewAsks {
		return f.asks()
	}
	if f.op == cond.OpConst {
		return nil
	}
	return o.space().deciding(f)
}

// Answerable tells whether a person could answer the question: not one of a thing that is not listed, and not one that
// the record's geometry answers.
func (o *Outlook) Answerable(number int) bool {
	ask := o.g.Case.Asks[number]
	return ask.Question != nil && !ask.Question.Measured && !ask.Thing.Unlisted && !ask.Answer.Known
}

// Moves gives the places of the verdicts that an answer to the question can move.
func (o *Outlook) Moves(number int) []int { return o.readers[number] }

// Cells gives the cells of a question, by which its answers are told apart.
func (o *Outlook) Cells(number int) []cond.Cell { return o.g.j.cells(number) }

// Ways gives the ways in which a question could turn out, as far as anything that hangs on it can tell them apart. What
// the never statements do not allow is left out.
func (o *Outlook) Ways(number int) []Way {
	if ways, ok := o.ways[number]; ok {
		return ways
	}
	var ways []Way
	for cell, c := range o.Cells(number) {
		then := o.Suppose(number, cell)
		if then == nil {
			continue
		}
		at := slices.IndexFunc(ways, func(w Way) bool { return sameOutlook(w.Then, then, o.readers[number]) })
		if at < 0 {
			ways = append(ways, Way{Then: then})
			at = len(ways) - 1
		}
		ways[at].Cells = append(ways[at].Cells, cell)
		ways[at].Answers = append(ways[at].Answers, c.Answers...)
	}
	o.ways[number] = ways
	return ways
}

// Holds gives the value of a condition about one thing, by Kleene's logic.
func (g *Judgement) Holds(c *cond.Cond, t *evidence.Thing) cond.Truth {
	return g.j.eval(c.Root, g.j.of(c, t))
}
