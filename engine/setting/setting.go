// Package setting computes how a treatment is set for the thing it is done to.
//
// In:  a case, a treatment, and what it is done to. Out: a [Computed] for each setting of the treatment that has a dose: the
// value with its working, range and sources; or what is missing; or why it is refused.
//
// The sums are those of package dose; which are asked for, and with what, stands in packs. No verdict reads what comes of
// them: where an answer is missing, a pack may say what to take until it is measured, and the result says so.
package setting

import (
	"slices"

	"tideline/engine/dose"
	"tideline/engine/evidence"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Computed is one setting, computed for one thing or not.
type Computed struct {
	Setting *pack.Setting
	// Result and Value are what the sum gives, when Done.
	Done   bool
	Result dose.Result
	Value  dose.Named
	Danger bool // the work it is for can hurt people
	// Given are the answers it was computed with, Taken those taken until the book has its own, and Missing the questions
	// without which it cannot be computed: each question once.
	Given, Missing []evidence.Ask
	Taken          []Taken
	// Refusal is why it is not computed though nothing need be missing: what is given lies outside what the sum supports.
	Refusal *dose.Refusal
}

// Taken is a question not answered, and the answer taken for it.
type Taken struct {
	Ask    evidence.Ask
	Answer vocab.Answer
}

// Of computes the settings of a treatment for a target, in the order of the pack.
func Of(c *evidence.Case, t *pack.Treatment, target *evidence.Thing) []Computed {
	var list []Computed
	for i := range t.Settings {
		if t.Settings[i].Dose != nil {
			list = append(list, compute(c, &t.Settings[i], target))
		}
	}
	return list
}

// compute makes the call of one setting.
func compute(c *evidence.Case, s *pack.Setting, target *evidence.Thing) Computed {
	out := Computed{Setting: s}
	answers := make([]vocab.Answer, len(s.Dose.Reads))
	for i := range s.Dose.Reads {
		answers[i] = out.answer(ask(c, s.Dose, i, target))
	}
	_, known, refusal := s.Dose.Call.Do(func(n int) vocab.Answer { return answers[n] })
	if refusal != nil {
		out.Refusal = refused(s.Dose.Call, refusal)
	}
	if !known {
		return out
	}
	if computation, ok := dose.ComputationOf(s.Dose.Call.Function.Name); ok {
		out.Danger = computation.Danger()
	}
	result, value, err := dose.Call(s.Dose.Call.Function.Name, values(s.Dose.Call, answers))
	if err != nil {
		out.Refusal = refused(s.Dose.Call, err)
		return out
	}
	out.Done, out.Result, out.Value = true, result, value
	return out
}

// answer notes how a question is answered, and gives the answer to compute with.
func (out *Computed) answer(a evidence.Ask) vocab.Answer {
	same := func(o evidence.Ask) bool { return o.Thing == a.Thing && o.Question == a.Question }
	if a.Answer.Known {
		if !slices.ContainsFunc(out.Given, same) {
			out.Given = append(out.Given, a)
		}
		return a.Answer
	}
	for _, t := range out.Setting.Taken {
		if t.Question != a.Question {
			continue
		}
		if !slices.ContainsFunc(out.Taken, func(o Taken) bool { return same(o.Ask) }) {
			out.Taken = append(out.Taken, Taken{a, t.Answer})
		}
		return t.Answer
	}
	if !slices.ContainsFunc(out.Missing, same) {
		out.Missing = append(out.Missing, a)
	}
	return vocab.Answer{}
}

// ask finds the question of the nth read.
func ask(c *evidence.Case, d *cond.Dose, n int, target *evidence.Thing) evidence.Ask {
	r := d.Reads[n]
	thing := seat(c, d.Vars[d.Args[r.Arg]], target)
	for _, l := range r.Links {
		thing = c.Lead(thing, l.Name)[0]
	}
	return c.Asks[c.Number(thing, r.Question)]
}

// seat finds the thing that a name of the dose stands for.
func seat(c *evidence.Case, v cond.Var, target *evidence.Thing) *evidence.Thing {
	switch v.From {
	case cond.FromBook, cond.FromOwner, cond.FromBench:
		return c.Of(v.Kind)[0]
	case cond.FromPart:
		return target.Part
	case cond.FromSide:
		return target.Side
	}
	return target
}

// values gives the values of a call's parameters, all of them known.
func values(call *cond.Call, answers []vocab.Answer) []vocab.Answer {
	list := make([]vocab.Answer, 0, len(call.Args))
	for _, a := range call.Args {
		if a.Read >= 0 {
			list = append(list, answers[a.Read])
		} else {
			list = append(list, a.Value)
		}
	}
	return list
}

// refused is an error of a function as a refusal.
func refused(call *cond.Call, err error) *dose.Refusal {
	if r, ok := err.(*dose.Refusal); ok {
		return r
	}
	return &dose.Refusal{What: dose.Impossible, Computation: call.Function.Name, Why: err.Error(), Help: "Check the answers it is computed from."}
}
