package account

import (
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// Caution is something to watch for.
type Caution struct {
	Say    string
	Hazard bool // a danger to people
	Open   bool // whether it applies is not known yet
	// Of a treatment's own hazard; nil for a rule's caution.
	Danger *pack.Hazard
	// Of a rule's caution; nil for a hazard.
	Reason *judge.Proof
	Things []*evidence.Thing // what the rule speaks of
}

// Order is where a caution stands: dangers to people before harm to the book, what applies before what may.
func (c Caution) order() int {
	switch {
	case c.Danger != nil:
		return 0
	case c.Hazard && !c.Open:
		return 1
	case c.Hazard:
		return 2
	case !c.Open:
		return 3
	}
	return 4
}

// cautions gathers the hazards of a treatment and the cautions of rules that hold or may. One rule's caution stands once,
// with all the things it is about.
func cautions(t *pack.Treatment, reasons []*judge.Proof) []Caution {
	var list []Caution
	for i := range t.Hazards {
		list = append(list, Caution{Say: t.Hazards[i].Danger, Hazard: true, Danger: &t.Hazards[i]})
	}
	for _, r := range reasons {
		if r.Value == cond.False {
			continue
		}
		open := r.Value == cond.Open
		i := slices.IndexFunc(list, func(c Caution) bool { return c.Reason != nil && c.Reason.Rule == r.Rule && c.Open == open })
		if i < 0 {
			list = append(list, Caution{Say: r.Rule.Say, Hazard: r.Rule.Hazard, Open: open, Reason: r})
			i = len(list) - 1
		}
		list[i].Things = append(list[i].Things, r.Thing)
	}
	slices.SortStableFunc(list, func(a, b Caution) int { return a.order() - b.order() })
	return list
}
