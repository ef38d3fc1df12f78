package plancheck

import (
	"slices"
	"strings"

	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/engine/record"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// subject is something that calls for care: a finding, or what some questions ask of another thing. What is called for
// whatever the answers is a subject of its own for each rule.
type subject struct {
	id    subjectID
	thing *record.Thing
	calls []*judge.Instance
}

type subjectID struct{ path, asks, rule string }

// deal is what a step does for a subject, the more the better.
type deal int

const (
	nothing deal = iota
	lessens
	clears
)

// subjects finds what calls for care in the book as it is, and serves an aim of the owner's.
func (c *checker) subjects() (list []*subject) {
	at := map[subjectID]*subject{}
	for _, v := range c.g.Verdicts {
		if v.Treatment.DoesNothing || !slices.ContainsFunc(v.Treatment.Serves, func(a string) bool { return slices.Contains(c.g.Aims, a) }) {
			continue
		}
		for _, i := range v.Instances {
			if i.Rule.Effect != pack.CalledFor || i.Value != cond.True || i.Thing.Record == nil {
				continue
			}
			id := c.subjectOf(i)
			if at[id] == nil {
				at[id] = &subject{id: id, thing: i.Thing.Record}
				list = append(list, at[id])
			}
			at[id].calls = append(at[id].calls, i)
		}
	}
	return c.fold(list)
}

// fold puts calls that rest on a finding with that finding, where the plan does: "the part has a stain and is yellow" may be
// told with the part or with the stain.
func (c *checker) fold(list []*subject) []*subject {
	for _, s := range c.told() {
		host := c.find(list, s)
		if host == nil || host.thing.Kind != vocab.Finding {
			continue
		}
		for _, m := range list {
			if m == host || !strings.Contains(m.id.asks, string(vocab.Finding)+".") || !touches(m.thing, host.thing) {
				continue
			}
			m.calls = slices.DeleteFunc(m.calls, func(i *judge.Instance) bool {
				moves := slices.Contains(s.Calls, i)
				if moves && !slices.Contains(host.calls, i) {
					host.calls = append(host.calls, i)
				}
				return moves
			})
		}
	}
	return slices.DeleteFunc(list, func(m *subject) bool { return len(m.calls) == 0 })
}

// told lists the subjects that the plan speaks of.
func (c *checker) told() (list []*plan.Subject) {
	for _, s := range c.p.Steps {
		list = append(list, s.For...)
	}
	for _, l := range c.p.Left {
		list = append(list, l.Subject)
	}
	return list
}

func (c *checker) subjectOf(i *judge.Instance) subjectID {
	id := subjectID{path: i.Thing.Path}
	if i.Thing.Kind == vocab.Finding {
		return id
	}
	asks := map[string]bool{}
	c.reads(i.Rule.When[i.Target.Kind].Root, asks)
	if id.asks = joined(asks); id.asks == "" {
		id.rule = i.Rule.ID
	}
	return id
}

// reads notes the questions that a formula reads, those of the facts it uses too.
func (c *checker) reads(n *cond.Node, asks map[string]bool) {
	n.Walk(func(k *cond.Node) {
		switch k.Op {
		case cond.OpAtom:
			for _, r := range k.Atom.Reads {
				asks[r.Question.ID] = true
			}
		case cond.OpFact:
			c.reads(c.pack.Fact(k.Fact).Is.Root, asks)
		}
	})
}

func joined(asks map[string]bool) string {
	var list []string
	for id := range asks {
		list = append(list, id)
	}
	slices.Sort(list)
	return strings.Join(list, " ")
}

// claimed gives the subject that a plan speaks of, nil when there is none.
func (c *checker) claimed(s *plan.Subject) *subject { return c.find(c.all, s) }

func (c *checker) find(list []*subject, s *plan.Subject) *subject {
	asks := map[string]bool{}
	for _, q := range s.Asks {
		asks[q.ID] = true
	}
	id := subjectID{path: s.Path, asks: joined(asks)}
	for _, m := range list {
		rule := m.id.rule == "" || slices.ContainsFunc(s.Calls, func(i *judge.Instance) bool { return i.Rule.ID == m.id.rule })
		if m.id.path == id.path && m.id.asks == id.asks && rule {
			return m
		}
	}
	return nil
}

// deals tells what a step does for a subject in the state that it meets.
func (c *checker) deals(s *State, k plan.Key, m *subject) deal {
	t, target := c.pack.Treatment(k.Treatment), s.At(k.Path)
	if t == nil || target == nil || t.DoesNothing {
		return nothing
	}
	if m.thing.Kind == vocab.Finding {
		switch {
		case s.At(m.id.path) != m.thing:
			return nothing
		case slices.Contains(s.findings(target, t.Clears), m.thing):
			return clears
		case slices.Contains(s.findings(target, t.Lessens), m.thing):
			return lessens
		}
	}
	if slices.ContainsFunc(m.calls, func(i *judge.Instance) bool {
		return i.Target.Path == k.Path && slices.Contains(i.Rule.Treatments, t)
	}) {
		return clears
	}
	return nothing
}
