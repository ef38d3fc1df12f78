package seal

import (
	"strings"

	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/seal/edition1"
)

// prover writes the proofs of a judgement as one list of steps, in which what is said of several verdicts stands once.
type prover struct {
	g        *judge.Judgement
	results  map[*record.Result]string
	steps    []edition1.ProofStep
	byNode   map[*judge.Proof]string
	bySaying map[saying]string
}

// saying is all that a step says, so that two steps that say the same can be told.
type saying struct{ step, value, text, on, rule, fact, count, question, answer, result, lapsed, cells, kids string }

func newProver(g *judge.Judgement) *prover {
	return &prover{g: g, results: Numbers(g.Case.Book), byNode: map[*judge.Proof]string{}, bySaying: map[saying]string{}}
}

func (p *prover) verdict(v *judge.Verdict) edition1.Verdict {
	proof := p.g.Prove(v)
	w := edition1.Verdict{
		Treatment: v.Treatment.ID, Name: v.Treatment.Name, On: v.Target.Path, Verdict: string(v.Word), Unordered: v.Unordered, EitherWay: v.EitherWay,
		Unproven: v.Unproven, CalledFor: v.CalledFor.String(), ServesAim: v.ServesAim.String(), Least: decimal(v.Least), Most: decimal(v.Most),
		RulesOut: p.list(proof.RulesOut), CalledBy: p.list(proof.CalledFor), Needs: p.list(proof.Needs), For: p.list(proof.For),
		Against: p.list(proof.Against), Cautions: p.list(proof.Cautions), NeededBy: p.needers(proof.NeededBy), NotNeededBy: p.needers(proof.NotNeededBy),
		StopSigns: v.Treatment.StopSigns,
	}
	if v.Rank > 0 {
		w.Rank = whole(v.Rank)
	}
	for _, n := range v.Open {
		ask := p.g.Case.Asks[n]
		w.HangsOn = append(w.HangsOn, edition1.Ask{Question: ask.Question.ID, On: ask.Thing.Path})
	}
	if proof.Cases != nil {
		w.Cases = p.step(proof.Cases)
	}
	for _, h := range v.Treatment.Hazards {
		w.Dangers = append(w.Dangers, h.Danger)
	}
	return w
}

func (p *prover) needers(list []judge.Needer) []edition1.Needer {
	var all []edition1.Needer
	for _, n := range list {
		all = append(all, edition1.Needer{Treatment: n.Verdict.Treatment.ID, On: n.Verdict.Target.Path, Reasons: p.list(n.Reasons)})
	}
	return all
}

func (p *prover) list(list []*judge.Proof) []string {
	if len(list) == 0 {
		return nil
	}
	all := make([]string, 0, len(list))
	for _, n := range list {
		all = append(all, p.step(n))
	}
	return all
}

// step gives the place of a step in the list, where it is put behind those it rests on unless it is there already.
func (p *prover) step(n *judge.Proof) string {
	if at, ok := p.byNode[n]; ok {
		return at
	}
	s := edition1.ProofStep{Step: n.Step.String(), Value: n.Value.String(), Text: n.Text, Kids: p.list(n.Kids)}
	if n.Thing != nil {
		s.On = n.Thing.Path
	}
	if n.Count > 0 {
		s.Count = whole(n.Count)
	}
	switch n.Step {
	case judge.StepReason:
		s.Rule = n.Rule.ID
	case judge.StepFact:
		s.Fact = n.Fact.ID
	case judge.StepAnswer:
		p.answer(&s, n)
	case judge.StepCases, judge.StepCase:
		q := p.g.Case.Asks[n.Ask].Question
		s.Question, s.Unit = q.ID, Unit(q)
		for _, c := range n.Cells {
			s.Cells = append(s.Cells, AnswerText(q, c))
		}
	}
	says := saying{
		s.Step, s.Value, s.Text, s.On, s.Rule, s.Fact, s.Count, s.Question, s.Answer, s.Result, s.Lapsed, strings.Join(s.Cells, "\x00"), strings.Join(s.Kids, " "),
	}
	at, ok := p.bySaying[says]
	if !ok {
		at = whole(len(p.steps))
		p.steps, p.bySaying[says] = append(p.steps, s), at
	}
	p.byNode[n] = at
	return at
}

// answer writes the question of a leaf, its answer, and which result of the record gave it.
func (p *prover) answer(s *edition1.ProofStep, n *judge.Proof) {
	ask := p.g.Case.Asks[n.Ask]
	s.Question, s.On, s.Answer = ask.Question.ID, ask.Thing.Path, AnswerText(ask.Question, ask.Answer)
	if ask.Answer.Known {
		s.Unit = Unit(ask.Question)
	}
	if ask.Result != nil {
		s.Result = p.results[ask.Result]
	}
	switch {
	case ask.Lapsed != nil && ask.Lapsed.Step != nil:
		s.Lapsed = "stale"
	case ask.Lapsed != nil:
		s.Lapsed = "out of date"
	}
}
