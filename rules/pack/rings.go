package pack

import (
	"fmt"
	"slices"
	"strings"

	"tideline/rules/cond"
	"tideline/rules/fault"
)

// orderFacts puts each fact after those it uses. A ring of facts is a fault that names it.
func (l *loader) orderFacts() {
	uses := func(f *Fact) []string {
		var ids []string
		if f != nil && f.Is != nil {
			f.Is.Root.Walk(func(n *cond.Node) {
				if n.Op == cond.OpFact {
					ids = append(ids, n.Fact)
				}
			})
		}
		return ids
	}
	own := slices.DeleteFunc(slices.Clone(l.Facts), func(f *Fact) bool { return l.Fact(f.ID) != f }) // less those whose name is taken
	order, ring := sorted(names(own, func(f *Fact) string { return f.ID }), func(id string) []string { return uses(l.Fact(id)) })
	if ring != nil {
		l.ring("facts", ring, l.Fact(ring[0]).Place)
		return
	}
	facts := make([]*Fact, 0, len(order))
	for _, id := range order {
		if f := l.Fact(id); f != nil {
			facts = append(facts, f)
		}
	}
	l.Facts = facts
}

// orderNeeds refuses a ring of treatments that need one another.
func (l *loader) orderNeeds() {
	steps := map[string][]string{}
	for _, r := range l.Rules {
		if r.Effect == Needs && r.Step != nil {
			for _, t := range r.Treatments {
				if l.Treatment(t.ID) != t { // its name is taken
					continue
				}
				steps[t.ID] = append(steps[t.ID], r.Step.ID)
			}
		}
	}
	_, ring := sorted(names(l.Treatments, func(t *Treatment) string { return t.ID }), func(id string) []string { return steps[id] })
	if ring != nil {
		l.ring("treatments that need one another", ring, l.Treatment(ring[0]).Place)
	}
}

// orderSteps refuses a ring of treatments each of which comes before, or must come before, the next.
func (l *loader) orderSteps() {
	earlier := map[string][]string{}
	for _, t := range l.Treatments {
		if l.Treatment(t.ID) != t {
			continue
		}
		earlier[t.ID] = append(earlier[t.ID], t.After...)
		for _, b := range t.Before {
			earlier[b] = append(earlier[b], t.ID)
		}
	}
	for _, r := range l.Rules {
		if r.Effect == Needs && r.Step != nil {
			for _, t := range r.Treatments {
				earlier[t.ID] = append(earlier[t.ID], r.Step.ID)
			}
		}
	}
	if _, ring := sorted(names(l.Treatments, func(t *Treatment) string { return t.ID }), func(id string) []string { return earlier[id] }); ring != nil {
		l.ring("treatments that each come after the next", ring, l.Treatment(ring[0]).Place)
	}
}

func (l *loader) ring(what string, ring []string, place fault.Place) {
	l.faults.Add(fault.Fault{
		Where: place, Summary: fmt.Sprintf("%s run in a ring: %s", what, strings.Join(append(ring, ring[0]), " → ")),
		Help: "Cut it at one place.",
	})
}

func names[T any](list []T, name func(T) string) []string {
	ids := make([]string, 0, len(list))
	for _, v := range list {
		ids = append(ids, name(v))
	}
	return ids
}

// sorted puts each id after those it leads to, keeping the given order otherwise, or gives a ring.
func sorted(ids []string, leadsTo func(id string) []string) (order, ring []string) {
	const entered, left = 1, 2
	state := map[string]int{}
	var path []string
	var visit func(id string) bool
	visit = func(id string) bool {
		switch state[id] {
		case left:
			return true
		case entered:
			for i, p := range path {
				if p == id {
					ring = append([]string(nil), path[i:]...)
				}
			}
			return false
		}
		state[id] = entered
		path = append(path, id)
		for _, next := range leadsTo(id) {
			if !visit(next) {
				return false
			}
		}
		path = path[:len(path)-1]
		state[id] = left
		order = append(order, id)
		return true
	}
	for _, id := range ids {
		if !visit(id) {
			return nil, ring
		}
	}
	return order, nil
}
