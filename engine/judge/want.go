package judge

import (
	"slices"

	"tideline/rules/cond"
)

// Want is one thing that must hold for a verdict to be as wanted. Whether it holds depends on the answers to its
// questions only.
type Want struct {
	// Asks are the numbers of the questions that could be answered otherwise and bear on it, rising.
	Asks []int

	met, hopeless func(State) bool
	memo          map[string]bool
	key           []byte
}

// Met tells whether the want holds in a state.
func (w *Want) Met(s State) bool {
	w.key = w.key[:0]
	for _, n := range w.Asks {
		w.key = append(w.key, byte(s[n]), byte(s[n]>>8))
	}
	if v, known := w.memo[string(w.key)]; known {
		return v
	}
	v := w.met(s)
	w.memo[string(w.key)] = v
	return v
}

// Hopeless tells that the want fails whatever the questions that are open in the state turn out to be.
func (w *Want) Hopeless(s State) bool { return w.hopeless(s) }

func (v *LooseVerdict) want(met, hopeless func(State) bool, formulas ...*formula) *Want {
	return &Want{Asks: v.l.closed(formulas...), met: met, hopeless: hopeless, memo: map[string]bool{}}
}

// exactly wants a formula to have a value in every completion. A conjunction wanted true is one want for each part, and
// so is a disjunction wanted false.
func (v *LooseVerdict) exactly(f *formula, value bool) (list []*Want) {
	switch {
	case f.op == cond.OpNot:
		return v.exactly(f.kids[0], !value)
	case f.op == cond.OpAnd && value, f.op == cond.OpOr && !value:
		for _, k := range f.kids {
			list = append(list, v.exactly(k, value)...)
		}
		return list
	}
	l, wanted, tied := v.l, cond.Of(value), v.l.tied(f)
	return []*Want{v.want(func(s State) bool { return l.exact(f, tied, s) == wanted },
		func(s State) bool { return l.kleene(f, s) == cond.Not(wanted) }, f)}
}

// other wants a formula not to have a value in every completion.
func (v *LooseVerdict) other(f *formula, value cond.Truth) *Want {
	l, tied := v.l, v.l.tied(f)
	return v.want(func(s State) bool { return l.exact(f, tied, s) != value }, func(s State) bool { return l.kleene(f, s) == value }, f)
}

// Goal is a way in which a verdict could become as wanted: all its wants must hold.
type Goal struct{ Wants []*Want }

// Goals gives the ways in which the verdict could become one of the word, or [Clear]: one of them must hold. Each
// includes that the answers break no never statement that they did not break before.
func (v *LooseVerdict) Goals(to Word) []Goal {
	common := append(v.consistent(), v.other(v.where, cond.False))
	all := func(lists ...[]*Want) []Goal {
		return []Goal{{slices.Concat(append(lists, common)...)}}
	}
	arguments := append(formulasOf(v.terms), v.serving)
	hopeless := func(State) bool { return false }
	switch to {
	case Clear:
		return v.wanted(v.exactly(v.ban, false), common)
	case Recommended:
		supported := v.want(v.recommended, hopeless, arguments...)
		return all(v.exactly(v.ban, false), v.exactly(v.serving, true), []*Want{supported})
	case Possible:
		short := v.want(func(s State) bool { return !v.recommended(s) }, hopeless, arguments...)
		return v.wanted(v.exactly(v.ban, false), []*Want{short}, common)
	case NoNeed:
		return all([]*Want{v.other(v.ban, cond.True)}, v.exactly(v.called, false))
	case TestFirst:
		tied := v.l.tied(v.ban)
		open := v.want(func(s State) bool { return v.l.exact(v.ban, tied, s) == cond.Open },
			func(s State) bool { return v.l.kleene(v.ban, s) != cond.Open }, v.ban)
		return v.wanted([]*Want{open}, common)
	}
	var goals []Goal
	for _, group := range v.banGroups() {
		goals = append(goals, all(v.exactly(or(group...), true))...)
	}
	return goals
}

// wanted adds that something calls for the treatment in some completion. Where nothing does as things stand, each thing
// that could is a goal of its own.
func (v *LooseVerdict) wanted(lists ...[]*Want) (goals []Goal) {
	rest := slices.Concat(lists...)
	if called := v.other(v.called, cond.False); called.Met(v.l.start) {
		return []Goal{{append(rest, called)}}
	}
	for _, f := range v.calls {
		goals = append(goals, Goal{append(slices.Clip(rest), v.other(f, cond.False))})
	}
	return goals
}

// banGroups splits the ruling-outs into groups that share no question left open as things stand: either way needs
// several of one group, so that one group must rule out by itself.
func (v *LooseVerdict) banGroups() [][]*formula {
	open := make([][]int, len(v.bans)) // by ruling-out: the questions open as things stand
	for i, f := range v.bans {
		for _, g := range append(v.l.tied(f), f) {
			for _, n := range g.asks() {
				if v.l.start[n] < 0 {
					open[i] = append(open[i], n)
				}
			}
		}
	}
	return grouped(v.bans, open)
}

// grouped puts the formulas together that share a number, directly or by way of others.
func grouped(list []*formula, numbers [][]int) [][]*formula {
	group := make([]int, len(list))
	for i := range group {
		group[i] = i
	}
	reader := map[int]int{}
	for i := range list {
		for _, n := range numbers[i] {
			if k, read := reader[n]; read && group[k] != group[i] {
				from, to := max(group[k], group[i]), min(group[k], group[i])
				for m := range group {
					if group[m] == from {
						group[m] = to
					}
				}
			}
			reader[n] = i
		}
	}
	var groups [][]*formula
	at := map[int]int{}
	for i, f := range list {
		k, known := at[group[i]]
		if !known {
			k = len(groups)
			at[group[i]] = k
			groups = append(groups, nil)
		}
		groups[k] = append(groups[k], f)
	}
	return groups
}

// consistent wants the answers to leave some completion, for each group of never statements that the verdict is tied to.
// What the answers given break already is let stand.
func (v *LooseVerdict) consistent() (list []*Want) {
	l := v.l
	var nevers []*formula
	for _, f := range l.tied(append(formulasOf(v.terms), v.where, v.ban, v.called, v.serving)...) {
		if !l.broken[slices.Index(l.nevers, f)] {
			nevers = append(nevers, f)
		}
	}
	numbers := make([][]int, len(nevers))
	for i, f := range nevers {
		numbers[i] = f.asks()
	}
	for _, group := range grouped(nevers, numbers) {
		met := func(s State) bool {
			for _, f := range group {
				if l.put(f, s).known() == cond.True {
					return false
				}
			}
			l.j.space.steps = 0
			holds, _ := l.j.space.outcomes(always, l.open(s, group))
			return holds
		}
		hopeless := func(s State) bool {
			return slices.ContainsFunc(group, func(f *formula) bool { return l.kleene(f, s) == cond.True })
		}
		if met(l.start) {
			list = append(list, v.want(met, hopeless, group...))
		}
	}
	return list
}
