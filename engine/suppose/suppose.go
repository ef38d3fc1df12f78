// Package suppose judges a book with some answers taken as others.
//
// In:  a judgement and supposed answers. Out: the judgement with them, and every verdict that is another, with the first
// reason that made the difference. Only what hangs on the supposed answers is judged again: see [judge.Judgement.Again].
package suppose

import (
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Answer is a supposed answer; one not known takes the question as not tested.
type Answer struct {
	Thing    *record.Thing
	Question *vocab.Question
	Answer   vocab.Answer
}

// Result is a judgement beside the one with the supposed answers.
type Result struct {
	Before, After *judge.Judgement
	Changes       []Change // in the order of the later judgement, then what is considered no more
}

// Change is a verdict that is another, or whose support is.
type Change struct {
	Before, After *judge.Verdict // nil where the treatment is not considered
	// Reason is the first rule that speaks otherwise: as it speaks now, or as it spoke where it does no more (Gone).
	Reason *judge.Proof
	Gone   bool
	// Needer is the verdict by which the treatment is needed now or no longer, where no rule of its own speaks otherwise.
	Needer *judge.Verdict
}

// Turned tells whether the verdict itself is another, and not only its support.
func (c *Change) Turned() bool {
	return c.Before == nil || c.After == nil || c.Before.Word != c.After.Word
}

// Judge judges the book with the supposed answers, for the same day. They stand as if given on that day, whatever has
// been done since. The error is a fault of the pack.
func Judge(g *judge.Judgement, answers []Answer) (*judge.Judgement, error) {
	changes := make([]evidence.Change, 0, len(answers))
	for _, a := range answers {
		changes = append(changes, evidence.Change{Number: g.Case.Number(g.Case.At(a.Thing.Path), a.Question), Answer: a.Answer})
	}
	return g.Again(g.Case.With(changes...))
}

// Suppose judges the book with the supposed answers and tells what is other.
func Suppose(g *judge.Judgement, answers []Answer) (*Result, error) {
	after, err := Judge(g, answers)
	if err != nil {
		return nil, err
	}
	return Compare(g, after), nil
}

// Compare tells what is other in one judgement than in another.
func Compare(before, after *judge.Judgement) *Result {
	r := &Result{Before: before, After: after}
	type key struct {
		treatment *pack.Treatment
		path      string
	}
	old := make(map[key]*judge.Verdict, len(before.Verdicts))
	for _, v := range before.Verdicts {
		old[key{v.Treatment, v.Target.Path}] = v
	}
	for _, v := range after.Verdicts {
		key := key{v.Treatment, v.Target.Path}
		if was := old[key]; was == nil || was.Word != v.Word || was.Least != v.Least || was.Most != v.Most {
			r.Changes = append(r.Changes, Change{Before: was, After: v})
		}
		delete(old, key)
	}
	for _, v := range before.Verdicts {
		if old[key{v.Treatment, v.Target.Path}] != nil {
			r.Changes = append(r.Changes, Change{Before: v})
		}
	}
	for i := range r.Changes {
		if c := &r.Changes[i]; c.Before != nil && c.After != nil {
			c.explain(before, after)
		}
	}
	return r
}

// explain finds the first reason that made the difference: among those that decide such a change, one that speaks now
// before one that does no more.
func (c *Change) explain(before, after *judge.Judgement) {
	was, is := before.Prove(c.Before), after.Prove(c.After)
	for _, e := range deciding(c.Before.Word, c.After.Word) {
		old, now := reasons(was, e), reasons(is, e)
		for _, value := range []cond.Truth{cond.True, cond.Open} {
			if c.Reason = first(now, old, value); c.Reason != nil {
				return
			}
			if c.Reason = first(old, now, value); c.Reason != nil {
				c.Gone = true
				return
			}
		}
	}
	for _, pair := range [][2]*judge.VerdictProof{{is, was}, {was, is}} {
		for _, n := range pair[0].NeededBy {
			same := func(o judge.Needer) bool {
				return o.Verdict.Treatment == n.Verdict.Treatment && o.Verdict.Target.Path == n.Verdict.Target.Path && o.Verdict.Word == n.Verdict.Word
			}
			if !slices.ContainsFunc(pair[1].NeededBy, same) {
				c.Needer = n.Verdict
				return
			}
		}
	}
}

// deciding gives the effects that can make one verdict into another, those that decide most first.
func deciding(was, is judge.Word) []pack.Effect {
	bans := func(w judge.Word) bool { return w == judge.RuledOut || w == judge.TestFirst }
	switch {
	case bans(was) != bans(is) || bans(was) && was != is:
		return []pack.Effect{pack.RulesOut, pack.CalledFor}
	case was == judge.NoNeed || is == judge.NoNeed:
		return []pack.Effect{pack.CalledFor}
	}
	return []pack.Effect{pack.For, pack.Against, pack.CalledFor}
}

func reasons(p *judge.VerdictProof, e pack.Effect) []*judge.Proof {
	return map[pack.Effect][]*judge.Proof{pack.RulesOut: p.RulesOut, pack.CalledFor: p.CalledFor, pack.For: p.For, pack.Against: p.Against}[e]
}

// first gives the first reason of that value in a list that has another value, or none, in the other list.
func first(list, other []*judge.Proof, value cond.Truth) *judge.Proof {
	for _, r := range list {
		if r.Value != value || r.Rule.Effect == pack.RulesOut && r.Rule.Withdrawn != nil {
			continue
		}
		same := func(o *judge.Proof) bool {
			return o.Rule == r.Rule && o.Thing.Path == r.Thing.Path && o.Value == r.Value
		}
		if !slices.ContainsFunc(other, same) {
			return r
		}
	}
	return nil
}
