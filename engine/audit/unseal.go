package audit

import (
	"fmt"
	"slices"
	"strconv"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/seal"
	"tideline/engine/seal/edition1"
	"tideline/rules/cond"
	"tideline/rules/vocab"
)

// opener turns sealed proof steps back into proofs over a case. Their references were looked at before: see [digests].
type opener struct {
	b       *edition1.Body
	g       *judge.Judgement
	things  map[string]*evidence.Thing
	results map[*record.Result]string
}

// unseal gives the sealed proof of a verdict as the checker takes it. An error says what the sealed proof names that the
// sealed record and packs do not hold.
func unseal(b *edition1.Body, g *judge.Judgement, w edition1.Verdict) (*judge.VerdictProof, error) {
	o := &opener{b: b, g: g, things: map[string]*evidence.Thing{}, results: seal.Numbers(g.Case.Book)}
	for _, t := range g.Case.Things {
		o.things[t.Path] = t
	}
	return o.verdict(w)
}

func (o *opener) verdict(w edition1.Verdict) (*judge.VerdictProof, error) {
	v, err := o.named(w.Treatment, w.On)
	if err != nil {
		return nil, err
	}
	v.Word, v.EitherWay, v.Unproven = judge.Word(w.Verdict), w.EitherWay, w.Unproven
	if v.Least, err = strconv.ParseFloat(w.Least, 64); err != nil {
		return nil, fmt.Errorf("%q is no number", w.Least)
	}
	if v.Most, err = strconv.ParseFloat(w.Most, 64); err != nil {
		return nil, fmt.Errorf("%q is no number", w.Most)
	}
	p := &judge.VerdictProof{Verdict: v}
	for _, l := range []struct {
		from []string
		to   *[]*judge.Proof
	}{
		{w.RulesOut, &p.RulesOut},
		{w.CalledBy, &p.CalledFor},
		{w.Needs, &p.Needs},
		{w.For, &p.For},
		{w.Against, &p.Against},
		{w.Cautions, &p.Cautions},
	} {
		if *l.to, err = o.reasons(l.from, v.Target); err != nil {
			return nil, err
		}
	}
	if p.NeededBy, err = o.needers(w.NeededBy); err != nil {
		return nil, err
	}
	if p.NotNeededBy, err = o.needers(w.NotNeededBy); err != nil {
		return nil, err
	}
	if w.Cases != "" {
		p.Cases, err = o.step(w.Cases, nil)
	}
	return p, err
}

// named gives a verdict that holds only what it is of.
func (o *opener) named(treatment, on string) (*judge.Verdict, error) {
	t, target := o.g.Case.Pack.Treatment(treatment), o.things[on]
	if t == nil || target == nil {
		return nil, fmt.Errorf("it names %s on %s, which the packs and the record do not hold", treatment, on)
	}
	return &judge.Verdict{Treatment: t, Target: target}, nil
}

func (o *opener) needers(list []edition1.Needer) ([]judge.Needer, error) {
	var all []judge.Needer
	for _, n := range list {
		v, err := o.named(n.Treatment, n.On)
		if err != nil {
			return nil, err
		}
		reasons, err := o.reasons(n.Reasons, v.Target)
		if err != nil {
			return nil, err
		}
		all = append(all, judge.Needer{Verdict: v, Reasons: reasons})
	}
	return all, nil
}

// reasons opens rules asked for a target.
func (o *opener) reasons(refs []string, target *evidence.Thing) ([]*judge.Proof, error) {
	var list []*judge.Proof
	for _, ref := range refs {
		s, err := o.sealed(ref)
		if err != nil {
			return nil, err
		}
		var is *cond.Node
		if r := o.g.Case.Pack.Rule(s.Rule); r != nil && r.When[target.Kind] != nil {
			is = r.When[target.Kind].Root
		}
		p, err := o.step(ref, is)
		if err != nil {
			return nil, err
		}
		list = append(list, p)
	}
	return list, nil
}

// sealed gives the step that a reference names.
func (o *opener) sealed(ref string) (*edition1.ProofStep, error) {
	n, err := strconv.Atoi(ref)
	if err != nil || n < 0 || n >= len(o.b.Steps) {
		return nil, fmt.Errorf("a proof rests on step %q, and there is none", ref)
	}
	return &o.b.Steps[n], nil
}

var truths = map[string]cond.Truth{"true": cond.True, "false": cond.False, "open": cond.Open}

// step opens one step. is is the part of the condition it should be of: from it comes what its answers were compared with.
// Whether it truly is of that part is for the checker.
func (o *opener) step(ref string, is *cond.Node) (*judge.Proof, error) {
	s, err := o.sealed(ref)
	if err != nil {
		return nil, err
	}
	value, ok := truths[s.Value]
	if !ok {
		return nil, fmt.Errorf("%q is no value of a step", s.Value)
	}
	p := &judge.Proof{Text: s.Text, Value: value, Thing: o.things[s.On], About: &judge.About{}}
	if err := p.Step.UnmarshalText([]byte(s.Step)); err != nil {
		return nil, err
	}
	if s.On != "" && p.Thing == nil {
		return nil, fmt.Errorf("it speaks of %s, which the record does not hold", s.On)
	}
	if s.Count != "" {
		if p.Count, err = strconv.Atoi(s.Count); err != nil {
			return nil, fmt.Errorf("%q is no count", s.Count)
		}
	}
	p.Rule, p.Fact = o.g.Case.Pack.Rule(s.Rule), o.g.Case.Pack.Fact(s.Fact)
	if s.Rule != "" && p.Rule == nil || s.Fact != "" && p.Fact == nil {
		return nil, fmt.Errorf("it names %s%s, which the packs do not hold", s.Rule, s.Fact)
	}
	if s.Question != "" {
		if err := o.ask(p, s); err != nil {
			return nil, err
		}
	}
	return p, o.kids(p, s, is)
}

// ask opens the question of a leaf, of cases or of one case.
func (o *opener) ask(p *judge.Proof, s *edition1.ProofStep) error {
	c := o.g.Case
	q := c.Pack.Vocabulary.Question(s.Question)
	if q == nil {
		return fmt.Errorf("it asks %s, which the packs do not", s.Question)
	}
	for _, text := range s.Cells {
		answer, _, err := q.Parse(text)
		if err != nil {
			return err
		}
		p.Cells = append(p.Cells, answer)
	}
	if p.Step == judge.StepCase {
		return nil // the step above says of what; see kids
	}
	if p.Thing == nil || p.Thing.Kind != q.Kind {
		return fmt.Errorf("it asks %s of %s", s.Question, s.On)
	}
	p.Ask = c.Number(p.Thing, q)
	if p.Step == judge.StepAnswer {
		return o.answer(s, q, c.Asks[p.Ask])
	}
	return nil
}

// answer holds a sealed leaf against the record.
func (o *opener) answer(s *edition1.ProofStep, q *vocab.Question, ask evidence.Ask) error {
	result := ""
	if ask.Result != nil {
		result = o.results[ask.Result]
	}
	lapsed := ""
	if ask.Lapsed != nil {
		if lapsed = "out of date"; ask.Lapsed.Step != nil {
			lapsed = "stale"
		}
	}
	if s.Text != "" || len(s.Kids) > 0 {
		return fmt.Errorf("it says more of %s of %s than an answer is", s.Question, s.On)
	}
	if text := seal.AnswerText(q, ask.Answer); s.Answer != text || s.Result != result || s.Lapsed != lapsed {
		return fmt.Errorf("it gives %q as the answer to %s of %s, and the record gives %q", s.Answer, s.Question, s.On, text)
	}
	return nil
}

// kids opens what a step rests on, each with its part of the condition.
func (o *opener) kids(p *judge.Proof, s *edition1.ProofStep, is *cond.Node) error {
	left := partsOf(p, is)
	for i, ref := range s.Kids {
		kid, err := o.sealed(ref)
		if err != nil {
			return err
		}
		var part *cond.Node
		switch p.Step {
		case judge.StepReason, judge.StepFact, judge.StepEach:
			if i == 0 && len(left) > 0 {
				part = left[0]
			}
		case judge.StepAll, judge.StepExists, judge.StepCount:
			part = is // what is said of each stands below it
		case judge.StepNot, judge.StepAnd, judge.StepOr:
			at := slices.IndexFunc(left, func(n *cond.Node) bool { return n.Text == kid.Text })
			if at >= 0 {
				part = left[at]
				left = slices.Delete(slices.Clone(left), at, at+1)
			}
		}
		below, err := o.step(ref, part)
		if err != nil {
			return err
		}
		if p.Step == judge.StepAtom && is != nil && is.Op == cond.OpAtom {
			below.Test = is.Atom.Test
		}
		if below.Step == judge.StepCase {
			below.Ask = p.Ask
		}
		if below.Step == judge.StepDose {
			o.dose(below, is, p.Kids)
		}
		p.Kids = append(p.Kids, below)
	}
	return nil
}

// dose makes the call that a step tells of again, with the answers that stand before it: a seal keeps no number that a
// processor reckoned. A step that tells of no call of the condition is left without one, which the checker finds.
func (o *opener) dose(p *judge.Proof, is *cond.Node, leaves []*judge.Proof) {
	if is == nil || is.Op != cond.OpAtom {
		return
	}
	at := slices.IndexFunc(is.Atom.Calls, func(c *cond.Call) bool { return c.Text == p.Text })
	if at < 0 {
		return
	}
	answers := make([]vocab.Answer, len(is.Atom.Reads))
	left := slices.DeleteFunc(slices.Clone(leaves), func(l *judge.Proof) bool { return l.Step != judge.StepAnswer })
	for i, r := range is.Atom.Reads {
		n := slices.IndexFunc(left, func(l *judge.Proof) bool { return o.g.Case.Asks[l.Ask].Question == r.Question })
		if n >= 0 {
			answers[i] = o.g.Case.Asks[left[n].Ask].Answer
			left = slices.Delete(left, n, n+1)
		} else if same := slices.IndexFunc(is.Atom.Reads[:i], func(b cond.Read) bool { return b.Question == r.Question }); same >= 0 {
			answers[i] = answers[same] // the leaf stands once for both
		}
	}
	p.Dose = judge.MakeCall(is.Atom.Calls[at], answers)
}

// partsOf gives the parts of a condition that the kids of a step are of.
func partsOf(p *judge.Proof, is *cond.Node) []*cond.Node {
	switch {
	case p.Step == judge.StepFact && p.Fact != nil:
		return []*cond.Node{p.Fact.Is.Root}
	case is == nil:
		return nil
	case p.Step == judge.StepReason:
		return []*cond.Node{is}
	}
	return is.Kids
}
