package verify

import (
	"slices"

	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// cases checks a proof by cases: the cases of each question are all there are, no two the same, and in each a rule rules
// out by itself.
func (c *Checker) cases(n *Count, p *judge.VerdictProof, target *node) error {
	want := map[*pack.Rule][]instance{}
	for _, i := range c.r.instances(p.Verdict.Treatment, target) {
		want[i.rule] = append(want[i.rule], i)
	}
	s := &searcher{c: c}
	where := p.Verdict.Treatment.ID + " on " + p.Verdict.Target.Path
	var walk func(p *judge.Proof, plus supposed) error
	walk = func(p *judge.Proof, plus supposed) error {
		ask := c.g.Case.Asks[p.Ask]
		q := c.r.ask(c.r.byPath[ask.Thing.Path], ask.Question)
		if _, twice := plus[q]; p.Step != judge.StepCases || c.r.answers[q].stands || twice || p.Thing != ask.Thing {
			return &Failure{where, "", "it goes by cases over what is answered already"}
		}
		n.Steps++
		for _, a := range c.points(q.asks) {
			plus[q] = a
			var in []*judge.Proof
			for _, way := range p.Kids {
				if slices.Contains(way.Cells, a) {
					in = append(in, way)
				}
			}
			s.steps = 0
			switch {
			case len(in) == 0 && !s.broken(plus) && s.possible(plus):
				return &Failure{where, "", pointed(q, a) + " is not among the cases"}
			case len(in) > 1:
				return &Failure{where, "", pointed(q, a) + " stands in two cases"}
			case len(in) == 1:
				if err := c.way(n, where, in[0], plus, want, walk, p.Ask); err != nil {
					return err
				}
			}
			delete(plus, q)
		}
		return nil
	}
	return walk(p.Cases, supposed{})
}

func pointed(q *question, a vocab.Answer) string {
	return q.of.path + " " + q.asks.ID + " = " + q.asks.Text(a)
}

// way checks one case under one of its answers.
func (c *Checker) way(n *Count, where string, way *judge.Proof, plus supposed, want map[*pack.Rule][]instance,
	walk func(*judge.Proof, supposed) error, ask int,
) error {
	if way.Step != judge.StepCase || len(way.Kids) != 1 || way.Ask != ask || way.Value != cond.True {
		return &Failure{where, "", "a case has not one ground"}
	}
	k := way.Kids[0]
	if k.Step == judge.StepCases {
		return walk(k, plus)
	}
	n.Steps++
	for _, i := range want[k.Rule] {
		if k.Thing != nil && i.thing.path == k.Thing.Path && i.rule.Effect == pack.RulesOut && i.rule.Withdrawn == nil && k.Text == i.rule.Text && k.Value == cond.True {
			c.l.plus = plus
			if c.l.holds(i) == cond.True {
				return nil
			}
		}
	}
	return &Failure{where, k.Text, "this rule does not rule out in that case"}
}
