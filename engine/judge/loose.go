package judge

import (
	"slices"
	"strings"

	"tideline/engine/evidence"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Clear stands for recommended or possible where a verdict is asked for; no verdict has this word.
const Clear Word = "clear"

// Loose is a case in which answers that could be others are taken as open, so that what a verdict would be with other
// answers is found by putting cells into formulas and not by judging the case again.
type Loose struct {
	j      *judge
	start  State
	free   []bool
	nevers []*formula      // the never statements that some answers would break
	broken []bool          // of those: whether the answers given break it already
	of     []*LooseVerdict // by place
	work   int
}

// State gives each question of a case, by number, one of its cells; -1 leaves it open.
type State []int16

// Loosen takes the answers for which free is true as ones that could be others. What nobody can be asked is never so:
// questions of things not listed, and whether a list said to be complete is.
func (g *Judgement) Loosen(free func(evidence.Ask) bool) (*Loose, error) {
	c := evidence.Gather(g.Case.Pack, g.Case.Book, g.Case.On)
	l := &Loose{free: make([]bool, len(c.Asks)), start: make(State, len(c.Asks))}
	lists := map[int]bool{}
	for _, t := range c.Things {
		lists[t.Listed] = lists[t.Listed] || t.Unlisted
	}
	j := newJudge(c)
	j.asIs = map[int][]cond.Cell{}
	for n := range c.Asks {
		l.start[n] = -1
		ask := g.Case.Asks[n]
		q := ask.Question
		if c.Asks[n].Answer != ask.Answer {
			c.Answer(n, ask.Answer)
		}
		if q == nil || q.Measured || ask.Thing.Unlisted || strings.HasSuffix(q.Name, "_listed") && !lists[n] || !free(ask) {
			continue
		}
		l.free[n] = true
		if ask.Answer.Known {
			cells := j.cells(n)
			j.asIs[n] = append(slices.Clip(cells), cond.Cell{Answers: []vocab.Answer{ask.Answer}})
			l.start[n] = int16(len(cells))
			c.Answer(n, vocab.Answer{})
		}
	}
	l.j, l.of = j, make([]*LooseVerdict, j.places)
	j.nevers()
	l.nevers, j.space.forbidden = j.space.forbidden, nil
	for _, f := range l.nevers {
		l.broken = append(l.broken, l.put(f, l.start).known() == cond.True)
	}
	return l, j.err
}

// Work counts the steps that exact values have taken so far, so that whoever searches with them can stop.
func (l *Loose) Work() int { return l.work }

// LooseVerdict is one verdict of a loosened case.
type LooseVerdict struct {
	Treatment *pack.Treatment
	Target    *evidence.Thing

	l                           *Loose
	where, ban, called, serving *formula
	bans                        []*formula // of each ruling-out that could hold
	terms                       []term
	calls                       []*formula // of each thing that could call for it
	asks                        []int      // the questions it could hang on, never statements included
	leaves                      []*leaf
}

// Of loosens one verdict.
func (l *Loose) Of(v *Verdict) *LooseVerdict {
	lv := l.verdict(v.Treatment, l.j.c.Things[v.Target.Index])
	if lv.asks == nil {
		lv.asks = l.closed(append([]*formula{lv.where, lv.ban, lv.called, lv.serving}, formulasOf(lv.terms)...)...)
		seen := map[*leaf]bool{}
		for _, f := range append(slices.Clone(l.nevers), append(formulasOf(lv.terms), lv.where, lv.ban, lv.called, lv.serving)...) {
			f.gather(seen, &lv.leaves)
		}
	}
	return lv
}

func (f *formula) gather(seen map[*leaf]bool, list *[]*leaf) {
	if f.leaf != nil && !seen[f.leaf] {
		seen[f.leaf] = true
		*list = append(*list, f.leaf)
	}
	for _, k := range f.kids {
		k.gather(seen, list)
	}
}

// verdict writes out all that a verdict is decided by. Rings of needs are refused when a pack is loaded.
func (l *Loose) verdict(t *pack.Treatment, target *evidence.Thing) *LooseVerdict {
	place := l.j.place(t, target)
	if lv := l.of[place]; lv != nil {
		return lv
	}
	j := l.j
	lv := &LooseVerdict{Treatment: t, Target: target, l: l, where: always, serving: neverHold}
	if t.Where != nil {
		lv.where = j.write(t.Where.Root, j.of(t.Where, target))
	}
	for _, i := range j.instances(t, target).Instances {
		if i.Value == cond.False || i.Rule.Withdrawn != nil && i.Rule.Effect == pack.RulesOut {
			continue
		}
		f := j.formula(i)
		switch {
		case f.known() == cond.False:
		case i.Rule.Effect == pack.RulesOut:
			lv.bans = append(lv.bans, f)
		case i.Rule.Effect == pack.CalledFor:
			lv.calls = append(lv.calls, f)
		case i.Rule.Effect == pack.For:
			lv.terms = append(lv.terms, term{f, i.Weighs(j.weights)})
		case i.Rule.Effect == pack.Against:
			lv.terms = append(lv.terms, term{f, -i.Weighs(j.weights)})
		}
	}
	lv.ban, lv.called = or(lv.bans...), or(lv.calls...)
	if slices.ContainsFunc(t.Serves, func(a string) bool { return slices.Contains(j.aims, a) }) {
		lv.serving = lv.called
	}
	for _, n := range l.neededBy(lv) {
		by := l.verdict(n.treatment, n.target)
		permitted := and(by.where, n.needs, not(by.ban))
		lv.called = or(lv.called, and(permitted, by.called))
		for _, f := range by.calls {
			if f = and(permitted, f); f.known() != cond.False {
				lv.calls = append(lv.calls, f)
			}
		}
		lv.serving = or(lv.serving, and(permitted, by.serving))
	}
	l.of[place] = lv
	return lv
}

// looseNeed is another treatment that could need this one, and the formula by which it does.
type looseNeed struct {
	treatment *pack.Treatment
	target    *evidence.Thing
	needs     *formula
}

// neededBy gives the treatments that could need this one.
func (l *Loose) neededBy(v *LooseVerdict) (list []looseNeed) {
	j := l.j
	for _, r := range j.needers[v.Treatment.ID] {
		for _, t := range r.Treatments {
			for _, target := range j.c.Of(t.Of) {
				if target.Unlisted || !j.candidate(t, target) || !slices.Contains(j.c.Reach(target, v.Target.Kind), v.Target) {
					continue
				}
				needs := neverHold
				for _, i := range j.instances(t, target).Instances {
					if i.Rule == r && i.Value != cond.False {
						needs = or(needs, j.formula(i))
					}
				}
				if needs.known() != cond.False {
					list = append(list, looseNeed{t, target, needs})
				}
			}
		}
	}
	return list
}

// closed gives the questions that could be answered otherwise and bear on the formulas, directly or by way of never
// statements, rising.
func (l *Loose) closed(formulas ...*formula) []int {
	list := []int{}
	for _, f := range append(slices.Clone(formulas), l.tied(formulas...)...) {
		for _, n := range f.asks() {
			if l.free[n] {
				list = append(list, n)
			}
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// tied gives the never statements that tie the questions of the formulas to others.
func (l *Loose) tied(formulas ...*formula) []*formula {
	return (&space{forbidden: l.nevers}).tied(formulas...)
}

// Start is the state in which every answer is as it was given.
func (l *Loose) Start() State { return slices.Clone(l.start) }

// Asks gives the numbers of the questions that could be answered otherwise and bear on the verdict, rising.
func (v *LooseVerdict) Asks() []int { return v.asks }

// Option is a way in which a question could be answered otherwise: answers that bear on the verdict alike.
type Option struct {
	Cell    int16
	Answers []vocab.Answer
}

// Options gives the answers to a question that would bear on the verdict otherwise than the one given.
func (v *LooseVerdict) Options(number int) []Option {
	cells := v.l.j.cells(number)
	now := v.l.start[number]
	var options []Option
	for i := range cells {
		if now >= 0 && (int16(i) == now || v.alike(number, i, int(now))) {
			continue
		}
		k := slices.IndexFunc(options, func(o Option) bool { return v.alike(number, i, int(o.Cell)) })
		if k < 0 {
			options = append(options, Option{Cell: int16(i)})
			k = len(options) - 1
		}
		options[k].Answers = append(options[k].Answers, cells[i].Answers...)
	}
	return options
}

// alike tells whether no leaf of the verdict tells two cells of a question apart.
func (v *LooseVerdict) alike(number, a, b int) bool {
	for _, l := range v.leaves {
		at := slices.Index(l.asks, number)
		if at < 0 {
			continue
		}
		inner := 1
		for _, size := range l.sizes[at+1:] {
			inner *= size
		}
		for i := range l.values {
			if i/inner%l.sizes[at] == a && l.value(i+(b-a)*inner) != l.value(i) {
				return false
			}
		}
	}
	return true
}

// Word gives the verdict in a state; "" when the treatment is no candidate there.
func (v *LooseVerdict) Word(s State) Word {
	l := v.l
	if l.put(v.where, s).known() == cond.False {
		return ""
	}
	ban, called := l.exact(v.ban, l.tied(v.ban), s), l.exact(v.called, l.tied(v.called), s)
	switch {
	case ban == cond.True:
		return RuledOut
	case called == cond.False:
		return NoNeed
	case ban == cond.Open:
		return TestFirst
	case v.recommended(s):
		return Recommended
	}
	return Possible
}

// recommended tells whether a clear verdict is recommended in a state.
func (v *LooseVerdict) recommended(s State) bool {
	l := v.l
	if l.exact(v.serving, l.tied(v.serving), s) != cond.True {
		return false
	}
	terms := make([]term, 0, len(v.terms))
	for _, t := range v.terms {
		terms = append(terms, term{l.put(t.f, s), t.weight})
	}
	never := l.open(s, l.tied(formulasOf(v.terms)...))
	l.j.space.steps = 0
	least, _, ok := l.j.space.support(terms, never)
	if !ok {
		least, _, _ = bounds(terms)
	}
	return round(least) > 0
}

// open gives the never statements that are still open in a state.
func (l *Loose) open(s State, nevers []*formula) (list []*formula) {
	for _, f := range nevers {
		if f = l.put(f, s); f.known() == cond.Open {
			list = append(list, f)
		}
	}
	return list
}

// exact is the value of a formula in a state: true or false if it is so in every completion. tied are the never
// statements that tie its questions to others.
func (l *Loose) exact(f *formula, tied []*formula, s State) cond.Truth {
	if v := l.kleene(f, s); v != cond.Open {
		return v
	}
	if f = l.put(f, s); f.known() != cond.Open {
		return f.known()
	}
	l.j.space.forbidden, l.j.space.steps = l.open(s, tied), 0
	defer func() {
		l.work += l.j.space.steps
		l.j.space.forbidden = nil
	}()
	return l.j.space.value(f)
}

// kleene is the value of a formula in a state by Kleene's logic.
func (l *Loose) kleene(f *formula, s State) cond.Truth {
	switch f.op {
	case cond.OpConst:
		return f.known()
	case cond.OpAtom:
		at := 0
		for i, n := range f.leaf.asks {
			if s[n] < 0 {
				return cond.Open
			}
			at = at*f.leaf.sizes[i] + int(s[n])
		}
		return f.leaf.value(at)
	case cond.OpNot:
		return cond.Not(l.kleene(f.kids[0], s))
	case cond.OpCount:
		holds, open := 0, 0
		for _, k := range f.kids {
			switch l.kleene(k, s) {
			case cond.True:
				holds++
			case cond.Open:
				open++
			}
		}
		return cond.AtLeast(f.count, holds, open)
	}
	decides := cond.Of(f.op == cond.OpOr)
	v := cond.Not(decides)
	for _, k := range f.kids {
		switch l.kleene(k, s) {
		case decides:
			return decides
		case cond.Open:
			v = cond.Open
		}
	}
	return v
}

// put puts the cells of a state into a formula.
func (l *Loose) put(f *formula, s State) *formula {
	switch f.op {
	case cond.OpConst:
		return f
	case cond.OpAtom:
		rest := f
		for _, n := range f.leaf.asks {
			if s[n] >= 0 {
				rest = rest.assign(n, int(s[n]))
			}
		}
		return rest
	case cond.OpNot:
		return not(l.put(f.kids[0], s))
	}
	kids := make([]*formula, 0, len(f.kids))
	for _, k := range f.kids {
		kids = append(kids, l.put(k, s))
	}
	if f.op == cond.OpCount {
		return atLeast(f.count, kids)
	}
	return join(f.op, kids...)
}
