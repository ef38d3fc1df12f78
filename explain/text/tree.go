package text

import (
	"strings"

	"tideline/engine/judge"
	"tideline/explain/account"
	"tideline/explain/words"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// node is one node of a tree as drawn: lines of text, and what hangs below.
type node struct {
	lines []string
	kids  []node
}

// draw writes a tree under an indent.
func (p *page) draw(indent string, list []node) {
	tee, end, bar, gap := "├─ ", "└─ ", "│  ", "   "
	if p.ASCII {
		tee, end, bar = "|- ", "`- ", "|  "
	}
	if p.narrow() {
		tee, end, bar, gap = cut(tee, 1), cut(end, 1), cut(bar, 1), " "
	}
	for i, n := range list {
		first, rest := tee, bar
		if i == len(list)-1 {
			first, rest = end, gap
		}
		below := rest
		if len(n.kids) > 0 {
			below = rest + cut(bar, 1)
		}
		for j, line := range n.lines {
			if j == 0 {
				p.put(indent+first, indent+below+pad(below, rest), line)
			} else {
				p.put(indent+below+pad(below, rest)+"  ", indent+below+pad(below, rest)+"  ", line)
			}
		}
		p.draw(indent+rest, n.kids)
	}
}

// pad keeps details of a node with branches clear of the bar that leads to them.
func pad(below, rest string) string {
	if below == rest {
		return ""
	}
	return " "
}

// tree makes nodes of proofs.
type tree struct {
	g     *judge.Judgement
	all   bool
	brief bool               // branches that no value needs are not counted
	shown map[shownFact]bool // facts shown above: they are not shown twice
}

type shownFact struct {
	fact  *pack.Fact
	thing string
}

func (t *tree) nodes(list []*judge.Proof) []node {
	var nodes []node
	for _, p := range list {
		nodes = append(nodes, t.node(p))
	}
	return nodes
}

func (t *tree) node(p *judge.Proof) node {
	switch p.Step {
	case judge.StepAtom:
		return t.atom(p)
	case judge.StepFact:
		return t.fact(p)
	case judge.StepAnswer:
		return node{lines: t.answer(p, false)}
	case judge.StepAlways:
		return node{lines: []string{words.Step(p.Step, p.Value)}}
	case judge.StepCases:
		ask := t.g.Case.Asks[p.Ask]
		return node{[]string{words.Whatever(ask.Question.Asks, words.Thing(ask.Thing))}, t.nodes(p.Kids)}
	case judge.StepCase:
		q := t.g.Case.Asks[p.Ask].Question
		return node{[]string{words.IfAnswer(words.Cells(q, p.Cells, account.Points(t.g.Case, q)))}, t.nodes(p.Kids)}
	case judge.StepReason:
		return node{lines: []string{
			words.RuleSays(p.Rule.ID, words.Effect(p.Rule.Effect, p.Value), words.Thing(p.Thing)), words.Because(p.Rule.Because),
			words.Condition(p.Rule.Text), words.Founded(p.Rule.Standing, sources(t.g, p.Rule.Cite)),
		}}
	case judge.StepEach:
		return t.branches(p, words.Valued(words.Thing(p.Thing), words.Step(judge.StepAtom, p.Value)))
	case judge.StepAnd, judge.StepOr, judge.StepNot:
		return t.branches(p, words.Step(p.Step, p.Value))
	}
	phrase := words.Step(p.Step, p.Value)
	switch {
	case len(p.Kids) == 0:
		phrase = words.Empty(p.Value)
	case p.Step == judge.StepCount:
		phrase = words.Filled(phrase, p.Count)
	}
	return t.branches(p, words.Valued(p.Text, phrase))
}

// branches gives a node with the branches its value needs; the others are counted, or follow when all are wanted.
func (t *tree) branches(p *judge.Proof, head string) node {
	n := node{lines: []string{head}}
	kids := needed(p)
	if t.all {
		kids = p.Kids
	}
	n.kids = t.nodes(kids)
	if left := len(p.Kids) - len(kids); left > 0 && !t.brief {
		n.lines = append(n.lines, words.NotNeeded(left))
	}
	return n
}

// needed gives the branches to show: those the value needs, and of an open list those that are open.
func needed(p *judge.Proof) []*judge.Proof {
	if p.Value != cond.Open || p.Step == judge.StepAnd || p.Step == judge.StepEach {
		return account.Branches(p)
	}
	var open []*judge.Proof
	for _, k := range p.Kids {
		if k.Value == cond.Open || p.Step == judge.StepCount && k.Value == cond.True {
			open = append(open, k)
		}
	}
	return open
}

func (t *tree) atom(p *judge.Proof) node {
	n := node{lines: []string{words.Valued(p.Text, words.Step(p.Step, p.Value))}}
	for _, k := range p.Kids {
		if k.Step == judge.StepDose {
			n.lines = append(n.lines, words.Dosed(k.Dose, k.Value == cond.True))
			working, from := words.Worked(k.Dose, k.Value == cond.True)
			n.lines = append(append(n.lines, working...), from...)
			continue
		}
		n.lines = append(n.lines, t.answer(k, p.Value == cond.True)...)
	}
	return n
}

// answer tells an answer: what was asked, what came, what was wanted, where it comes from, and what came before.
func (t *tree) answer(p *judge.Proof, passes bool) []string {
	ask := t.g.Case.Asks[p.Ask]
	head := words.Answered(words.Thing(ask.Thing), ask.Question.Asks, words.Answer(ask))
	if p.Test != nil {
		asked := words.Range(p.Test, ask.Question, true)
		if passes {
			head += " " + words.Enough(asked)
		} else {
			head += " " + words.AskedFor(asked)
		}
	}
	lines := []string{head}
	if ask.Result != nil && ask.Lapsed == nil {
		lines = append(lines, words.From(ask.Result))
	}
	if ask.Result != nil && ask.Lapsed != nil {
		lines = append(lines, words.Earlier(ask.Result))
	}
	for i := len(ask.Earlier) - 1; i >= 0; i-- {
		lines = append(lines, words.Earlier(ask.Earlier[i]))
	}
	return lines
}

func (t *tree) fact(p *judge.Proof) node {
	n := node{lines: []string{words.FactOf(words.Step(p.Step, p.Value), p.Fact.Says, words.Thing(p.Thing))}}
	key := shownFact{p.Fact, p.Thing.Path}
	if t.shown[key] {
		n.lines[0] += " " + words.Aside(words.SameAsAbove)
		return n
	}
	t.shown[key] = true
	n.lines = append(n.lines, words.FactMeans(p.Fact.ID, strings.TrimSpace(p.Fact.Is.Text)), words.Founded(p.Fact.Standing, sources(t.g, p.Fact.Cite)))
	n.kids = t.nodes(p.Kids)
	return n
}

func sources(g *judge.Judgement, c pack.Cite) []*pack.Source {
	var list []*pack.Source
	for _, id := range c.Sources {
		if s := g.Case.Pack.Source(id); s != nil {
			list = append(list, s)
		}
	}
	return list
}
