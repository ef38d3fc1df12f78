package pack

import (
	"fmt"
	"slices"

	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/yamlfile"
)

// setting reads one setting of a treatment. One with a dose is computed for the thing the treatment is done to.
func (l *loader) setting(n *yamlfile.Node, t *Treatment) {
	m := n.Map("a setting", keys("what", "value", "dose", "taken as", "because")...)
	s := Setting{What: m.Need("what", "").Text(), Value: m.Text("value"), Because: m.Text("because"), Cite: l.cite(m, false)}
	at := len(t.Settings)
	t.Settings = append(t.Settings, s)
	dose := m.Get("dose")
	if dose == nil {
		m.Need("value", "How it is set; or `dose:`, to have it computed.")
	}
	taken := m.Get("taken as")
	l.compile = append(l.compile, func() {
		if dose == nil || t.Of == "" {
			if taken != nil {
				taken.Fault("`taken as` goes with a dose", "It gives answers to compute with until the book has its own.")
			}
			return
		}
		l.dose(dose, Scope(t.Of, t.Of), func(d *cond.Dose) {
			t.Settings[at].Dose = d
			t.Settings[at].Taken = l.taken(taken, d)
		})
	})
}

// dose compiles what a setting is computed by, and gives it to keep when it is sound.
func (l *loader) dose(n *yamlfile.Node, vars []cond.Var, keep func(*cond.Dose)) {
	if !n.IsScalar() || n.IsFolded() {
		n.Fault("a dose is a call on one line", l.Env.CallHelp())
		return
	}
	d, problems := l.Env.CompileDose(n.Text(), vars)
	for _, p := range problems {
		n.FaultAt(p.Line, p.Col, p.Width, p.Summary, p.Help, p.Nearest)
	}
	if problems == nil {
		keep(d)
	}
}

// taken reads the answers that stand in for those the book does not have.
func (l *loader) taken(n *yamlfile.Node, d *cond.Dose) (list []Taken) {
	for _, p := range n.Map("answers by question").Pairs() {
		id := p.Key.Raw()
		q := l.Vocabulary.Question(id)
		reads := func(r cond.Read) bool { return r.Question == q }
		if q == nil || !slices.ContainsFunc(d.Reads, reads) {
			p.Key.Fault(fmt.Sprintf("%q is not read by the dose", id), fmt.Sprintf("It reads %s.", readBy(d)))
			continue
		}
		answer, _, err := q.Parse(p.Value.Raw())
		if err != nil {
			p.Value.Fault(err.Error(), "")
			continue
		}
		list = append(list, Taken{q, answer})
	}
	return list
}

func readBy(d *cond.Dose) string {
	text := "no question"
	for i, r := range d.Reads {
		if i == 0 {
			text = r.Question.ID
		} else {
			text += ", " + r.Question.ID
		}
	}
	return text
}

// remembered refuses a ruling-out that rests, itself or by way of facts, on a function whose values are in no source.
func (l *loader) remembered() {
	for _, r := range l.Rules {
		if r.Effect != RulesOut {
			continue
		}
		for _, of := range r.targets() {
			if name := l.fromMemory(r.When[of].Root, map[string]bool{}); name != "" {
				l.faults.Add(fault.Fault{
					Where: r.Place, Summary: fmt.Sprintf("%s may not rule out by %s", r.ID, name),
					Help: "What that function gives is from memory: no source was opened for it. Caution, argue against, or ask for a test.",
				})
				break
			}
		}
	}
}

// fromMemory names a function from memory that a formula calls, "" for none.
func (l *loader) fromMemory(n *cond.Node, seen map[string]bool) (name string) {
	n.Walk(func(n *cond.Node) {
		switch {
		case n.Op == cond.OpAtom:
			for _, c := range n.Atom.Calls {
				if c.Function.Memory {
					name = c.Function.Name
				}
			}
		case n.Op == cond.OpFact && !seen[n.Fact] && l.Fact(n.Fact) != nil && l.Fact(n.Fact).Is != nil:
			seen[n.Fact] = true
			if by := l.fromMemory(l.Fact(n.Fact).Is.Root, seen); by != "" {
				name = by
			}
		}
	})
	return name
}
