package judge

import (
	"slices"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/record"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// The oracle decides by the definition: it goes through all completions one by one and has cel-go evaluate every rule in
// one piece. It shares with the judge the pack, the evidence and the cells, and nothing that reasons.
type oracle struct {
	t      testing.TB
	p      *pack.Pack
	wholes map[string]*cond.Whole
}

func newOracle(t testing.TB, p *pack.Pack) *oracle {
	return &oracle{t: t, p: p, wholes: map[string]*cond.Whole{}}
}

func (o *oracle) whole(text string, vars []cond.Var) *cond.Whole {
	key := text + string(vars[0].Kind) + string(vars[1].Kind)
	if o.wholes[key] == nil {
		w, problems := o.p.Env.Whole(text, vars)
		if problems != nil {
			o.t.Fatal(problems)
		}
		o.wholes[key] = w
	}
	return o.wholes[key]
}

// eval has cel-go evaluate a condition for a target and a thing.
func (o *oracle) eval(c *evidence.Case, text string, vars []cond.Var, target, thing *evidence.Thing) cond.Truth {
	if text == "always" {
		return cond.True
	}
	things := make([]*cond.Thing, 0, len(vars))
	for _, v := range vars {
		things = append(things, c.Cel(o.resolve(c, v.Kind, target, thing)))
	}
	value, _, err := o.whole(text, vars).Eval(things...)
	if err != nil {
		o.t.Fatalf("%s: %v", text, err)
	}
	return value
}

func (o *oracle) resolve(c *evidence.Case, k vocab.Kind, target, thing *evidence.Thing) *evidence.Thing {
	for _, t := range []*evidence.Thing{target, thing} {
		if t.Kind == k {
			return t
		}
	}
	if k == vocab.Part || k == vocab.Side {
		for _, t := range []*evidence.Thing{thing, target} {
			if up := c.Reach(t, k); len(up) == 1 {
				return up[0]
			}
		}
	}
	return c.Of(k)[0]
}

// facts sets the facts of every thing, in the order in which they use one another.
func (o *oracle) facts(c *evidence.Case) {
	for _, f := range o.p.Facts {
		for _, t := range c.Of(f.Kind) {
			_, name, _ := cut(f.ID)
			c.Cel(t).SetFact(name, o.eval(c, f.Is.Text, pack.Scope(f.Kind, f.Kind), t, t), int64(t.Base))
		}
	}
}

func cut(id string) (kind, name string, ok bool) {
	for i := range id {
		if id[i] == '.' {
			return id[:i], id[i+1:], true
		}
	}
	return "", "", false
}

// completions calls visit for every way in which the open answers can turn out. The case is changed in place; assignment
// gives the cell of each open question by "path question".
func (o *oracle) completions(book *record.Book, visit func(c *evidence.Case, assignment map[string]int)) {
	c := evidence.Gather(o.p, book, time.Time{})
	for n, ask := range c.Asks {
		if ask.Question == nil || ask.Answer.Known || ask.Question.Name[max(0, len(ask.Question.Name)-7):] != "_listed" {
			continue
		}
		if ask.Question.Name != "inks_listed" {
			continue // no rule of these worlds reads the other lists
		}
		for i, yes := range []bool{false, true} {
			more := *book
			more.Results = append(slices.Clone(book.Results), record.Result{Question: ask.Question, Thing: ask.Thing.Record, Answer: vocab.Yes(yes)})
			name := ask.Thing.Path + " " + ask.Question.ID
			o.completions(&more, func(c *evidence.Case, a map[string]int) {
				a[name] = i
				visit(c, a)
				delete(a, name)
			})
		}
		_ = n
		return
	}
	var open []int
	for n, ask := range c.Asks {
		if ask.Question != nil && !ask.Answer.Known && !ask.Question.Measured && relevant[ask.Question.ID] {
			open = append(open, n)
		}
	}
	assignment := map[string]int{}
	var assign func(i int)
	assign = func(i int) {
		if i == len(open) {
			o.facts(c)
			for _, n := range o.p.Never {
				for _, t := range c.Of(n.Each) {
					if o.eval(c, n.When.Text, pack.Scope(n.Each, n.Each), t, t) == cond.True {
						return
					}
				}
			}
			visit(c, assignment)
			return
		}
		ask := c.Asks[open[i]]
		cells, _ := o.p.Env.Cells(ask.Question)
		name := ask.Thing.Path + " " + ask.Question.ID
		for k, cell := range cells {
			c.Answer(open[i], cell.Some())
			assignment[name] = k
			assign(i + 1)
		}
		delete(assignment, name)
		c.Answer(open[i], vocab.Answer{})
	}
	assign(0)
}

// relevant are the questions the random rules read.
var relevant = map[string]bool{
	"ink.wet": true, "ink.dry": true, "ink.old": true, "ink.kind": true, "part.ph": true, "part.soft": true,
	"finding.deep": true, "owner.says_no": true, "part.size": true,
}

// outcome is what holds of a verdict in one completion, and what may hold, where a function refuses to compute.
type outcome struct {
	banned, called, serving   bool
	mayBan, mayCall, mayServe bool
	least, most               float64
}

// decide decides everything in one completed case.
func (o *oracle) decide(c *evidence.Case, aims []string, weights map[string]float64) map[string]*outcome {
	all := map[string]*outcome{}
	var get func(t *pack.Treatment, target *evidence.Thing) *outcome
	get = func(t *pack.Treatment, target *evidence.Thing) *outcome {
		key := t.ID + " " + target.Path
		if all[key] != nil {
			return all[key]
		}
		out := &outcome{}
		for _, r := range o.p.Rules {
			if !slices.Contains(r.Treatments, t) {
				continue
			}
			for _, thing := range c.Reach(target, eachOf(r, t)) {
				value := o.eval(c, r.Text, pack.Scope(t.Of, eachOf(r, t)), target, thing)
				if value == cond.False {
					continue
				}
				sure := value == cond.True
				weight := 0.0
				switch r.Effect {
				case pack.RulesOut:
					out.banned, out.mayBan = out.banned || sure, true
				case pack.CalledFor:
					out.called, out.mayCall = out.called || sure, true
				case pack.For:
					weight = weights[r.Criterion.ID] * r.Weight
				case pack.Against:
					weight = -weights[r.Criterion.ID] * r.Weight
				}
				if sure || weight < 0 {
					out.least += weight
				}
				if sure || weight > 0 {
					out.most += weight
				}
			}
		}
		if slices.ContainsFunc(t.Serves, func(a string) bool { return slices.Contains(aims, a) }) {
			out.serving, out.mayServe = out.called, out.mayCall
		}
		for _, r := range o.p.Rules {
			if r.Effect != pack.Needs || r.Step != t {
				continue
			}
			for _, other := range r.Treatments {
				for _, place := range c.Of(other.Of) {
					for _, thing := range c.Reach(place, eachOf(r, other)) {
						value := o.eval(c, r.Text, pack.Scope(other.Of, eachOf(r, other)), place, thing)
						if value != cond.False && slices.Contains(c.Reach(place, t.Of), target) {
							by := get(other, place)
							sure := value == cond.True && !by.mayBan
							out.called, out.serving = out.called || by.called && sure, out.serving || by.serving && sure
							out.mayCall, out.mayServe = out.mayCall || by.mayCall && !by.banned, out.mayServe || by.mayServe && !by.banned
						}
					}
				}
			}
		}
		all[key] = out
		return out
	}
	for _, t := range o.p.Treatments {
		for _, target := range c.Of(t.Of) {
			if !target.Unlisted {
				get(t, target)
			}
		}
	}
	return all
}

func eachOf(r *pack.Rule, t *pack.Treatment) vocab.Kind {
	if r.Each == "" {
		return t.Of
	}
	return r.Each
}

// expected is a verdict by the definition.
type expected struct {
	word        Word
	least, most float64
	deciding    []string // for test first
}

// verdicts decides a book by the definition. It gives nil when the answers allow no completion.
func (o *oracle) verdicts(book *record.Book, aims []string, weights map[string]float64) map[string]*expected {
	type seen struct {
		assignment map[string]int
		outcomes   map[string]*outcome
	}
	var all []seen
	o.completions(book, func(c *evidence.Case, a map[string]int) {
		copied := map[string]int{}
		for k, v := range a {
			copied[k] = v
		}
		all = append(all, seen{copied, o.decide(c, aims, weights)})
	})
	if len(all) == 0 {
		return nil
	}
	verdicts := map[string]*expected{}
	for key := range all[0].outcomes {
		banned, mayBan, called, serving := 0, 0, 0, 0
		e := &expected{least: 1e9, most: -1e9}
		for _, s := range all {
			out := s.outcomes[key]
			banned, mayBan = banned+count(out.banned), mayBan+count(out.mayBan)
			called, serving = called+count(out.mayCall), serving+count(out.serving)
			e.least, e.most = min(e.least, round(out.least)), max(e.most, round(out.most))
		}
		switch {
		case banned == len(all):
			e.word = RuledOut
		case called == 0:
			e.word = NoNeed
		case mayBan > 0:
			e.word = TestFirst
			var assignments []map[string]int
			var bans []int
			for _, s := range all {
				out := s.outcomes[key]
				assignments, bans = append(assignments, s.assignment), append(bans, count(out.banned)+count(out.mayBan))
			}
			e.deciding = deciding(assignments, bans)
		case serving == len(all) && e.least > 0:
			e.word = Recommended
		default:
			e.word = Possible
		}
		verdicts[key] = e
	}
	return verdicts
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}

// deciding gives the questions for which two completions differ in that answer only and in the value.
func deciding(assignments []map[string]int, values []int) []string {
	found := map[string]bool{}
	for i, a := range assignments {
		for j := range i {
			if values[i] == values[j] || len(a) != len(assignments[j]) {
				continue
			}
			differ, name := 0, ""
			for k, v := range a {
				if w, ok := assignments[j][k]; !ok || w != v {
					if differ++; differ > 1 {
						break
					}
					name = k
				}
			}
			if differ == 1 {
				found[name] = true
			}
		}
	}
	var names []string
	for n := range found {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}
