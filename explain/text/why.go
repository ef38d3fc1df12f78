package text

import (
	"slices"
	"strings"

	"tideline/engine/judge"
	"tideline/explain/account"
	"tideline/explain/words"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// Why writes the whole chain of a verdict, the deciding branch first. all adds the rest: branches no value needs, rules
// the verdict does not rest on, and rules that do not apply.
func Why(g *judge.Judgement, v *judge.Verdict, style Style, all bool) string {
	p := &whyPage{page: page{Style: style}, tree: tree{g: g, all: all, shown: map[shownFact]bool{}}, a: account.Of(g, v)}
	p.head()
	p.deciding()
	p.neededBy()
	p.reasons(words.NoLongerStands, p.a.Withdrawn)
	p.settings()
	p.rest()
	p.blank()
	p.line(0, words.SeeGuide)
	return p.String()
}

type whyPage struct {
	page
	tree
	a    *account.Account
	told []*judge.Proof // reasons written so far
}

func (p *whyPage) head() {
	a := p.a
	p.heading(words.Judged(a.Treatment.Name, a.Target.Path, string(a.Word)))
	p.line(2, a.Treatment.Says)
	if a.Word == judge.Recommended || a.Word == judge.Possible {
		s := a.Support
		p.line(2, words.Support(s.For, s.Against, s.OpenFor, s.OpenAgainst))
	}
	if a.Standing != "" && !firm(a.Standing) && a.Word != judge.TestFirst {
		p.line(2, words.Sentence(words.RestsOn(a.Standing)))
	}
	if a.Done != nil {
		p.line(2, words.Sentence(words.AlreadyDone(a.Target.Path, a.Done)))
	}
	if text := grounds(a); text != "" {
		p.line(2, words.Sentence(text))
	}
	if a.Unproven {
		p.line(2, words.Sentence(words.Unproven))
	}
	if a.Sampled {
		p.line(2, words.Sentence(words.Sampled))
	}
	if a.Refused {
		p.line(2, words.Sentence(words.CannotCompute))
	}
}

// deciding writes what the verdict rests on.
func (p *whyPage) deciding() {
	a := p.a
	switch a.Word {
	case judge.RuledOut:
		p.ruledOut()
	case judge.TestFirst:
		p.tests(words.ToTest)
		p.reasons(words.WouldRuleOut, a.MayRule)
	case judge.NoNeed:
		var none []*judge.Proof
		for _, r := range a.Proof.CalledFor {
			if r.Value == cond.False {
				none = append(none, r)
			}
		}
		p.reasons(words.NoCall, none)
	default:
		p.tests(words.HangsOn)
		p.reasons(words.Calls, a.Calls)
		p.reasons(words.MayCall, a.MayCall)
		p.arguments()
		p.reasons(words.NeedsFirst, a.Needs)
		p.cautions()
	}
}

func (p *whyPage) ruledOut() {
	a := p.a
	if a.EitherWay {
		p.blank()
		p.heading(words.EitherWay)
		p.draw("  ", p.nodes([]*judge.Proof{a.Proof.Cases}))
		p.reasons(words.WouldRuleOut, a.MayRule)
		return
	}
	p.blank()
	p.heading(words.SettlesAlone)
	for _, l := range account.Sufficient(a.RulesOut[0]) {
		ask := p.g.Case.Asks[l.Ask]
		enough := words.Answer(ask)
		if l.Test != nil {
			enough = words.Range(l.Test, ask.Question, l.Passes)
		}
		p.item(2, "*", words.Answered(words.Thing(ask.Thing), ask.Question.Asks, enough))
	}
	p.rule(a.RulesOut[:1])
	p.reasons(words.AlsoRulesOut, a.RulesOut[1:])
}

func (p *whyPage) arguments() {
	for _, s := range []struct {
		heading string
		list    []account.Argument
		effect  pack.Effect
	}{{words.SpeaksFor, p.a.Arguments, pack.For}, {words.SpeaksAgainst, p.a.Arguments, pack.Against}, {words.StillOpen, p.a.Open, ""}} {
		var list []*judge.Proof
		for _, argument := range s.list {
			if s.effect == "" || argument.Rule.Effect == s.effect {
				list = append(list, argument.Proof)
			}
		}
		p.reasons(s.heading, list)
	}
}

// reasons writes reasons under a heading, those of one rule together.
func (p *whyPage) reasons(heading string, list []*judge.Proof) {
	if len(list) == 0 {
		return
	}
	p.blank()
	p.heading(words.Counted(heading, len(list)))
	var done []*pack.Rule
	for _, r := range list {
		if slices.Contains(done, r.Rule) {
			continue
		}
		done = append(done, r.Rule)
		var same []*judge.Proof
		for _, o := range list {
			if o.Rule == r.Rule {
				same = append(same, o)
			}
		}
		p.rule(same)
	}
}

// rule writes one rule and the proofs that it does what it does, one for each thing.
func (p *whyPage) rule(list []*judge.Proof) {
	r := list[0].Rule
	effect := words.Effect(r.Effect, list[0].Value)
	var nodes []node
	for _, proof := range list {
		p.told = append(p.told, proof)
		nodes = append(nodes, p.reason(proof)...)
	}
	if r.Criterion != nil {
		effect += " " + words.Aside(words.Weighed(r.Criterion, p.g.Weights[r.Criterion.ID], r.Weight))
	}
	p.item(2, "-", words.Valued(r.ID, effect))
	if r.Say != "" {
		p.line(4, words.Caution(r.Say, "", r.Hazard, list[0].Value == cond.Open))
	}
	if r.Step != nil {
		p.line(4, words.ComesFirst(r.Step.Name))
	}
	p.line(4, words.Because(r.Because))
	if r.Withdrawn != nil {
		p.line(4, words.Labelled(words.NoLongerStands, words.Withdrawn(r.Withdrawn)))
	}
	if principle := p.g.Case.Pack.Principle(r.Principle); principle != nil {
		p.line(4, words.Principle(principle.Says)+" "+words.Aside(words.Grounded(principle.Standing, sources(p.g, principle.Cite))))
	}
	p.line(4, words.Founded(r.Standing, sources(p.g, r.Cite)))
	for _, id := range r.Disagrees {
		if other := p.g.Case.Pack.Rule(id); other != nil {
			p.line(4, words.Disagrees(other.ID, other.Because))
		}
	}
	p.line(4, words.Condition(r.Text))
	p.draw("    ", nodes)
}

// reason gives the nodes under a rule. Of a rule asked of each of many things the thing stands on top; one asked of the
// target itself needs no such node, and one that always applies needs none at all.
func (p *whyPage) reason(r *judge.Proof) []node {
	plain := r.Rule.Each == "" || r.Thing == p.a.Target
	if len(r.Kids) == 1 && r.Kids[0].Step == judge.StepAlways && plain {
		return nil
	}
	kids := p.nodes(r.Kids)
	if plain {
		return kids
	}
	return []node{{[]string{words.Valued(words.Thing(r.Thing), words.Step(judge.StepAtom, r.Value))}, kids}}
}

// tests writes the tests a verdict hangs on, with how they are done.
func (p *whyPage) tests(heading string) {
	if len(p.a.Missing) == 0 {
		return
	}
	p.blank()
	p.heading(words.Counted(heading, len(p.a.Missing)))
	for _, m := range p.a.Missing {
		p.item(2, "-", words.Asked(m.Question.Asks, words.Things(m.Things()))+turnsOf(m))
		for _, ask := range m.Asks {
			if ask.Lapsed != nil {
				p.line(4, words.Answered(words.Thing(ask.Thing), ask.Question.Asks, words.Answer(ask)))
			}
		}
		if m.Test == nil {
			continue
		}
		for i := range m.Test.Hazards {
			p.line(4, words.Caution(m.Test.Hazards[i].Danger, words.Protect(&m.Test.Hazards[i]), true, false))
		}
		for _, line := range words.How(m.Test) {
			p.line(4, line)
		}
	}
}

// cautions writes all cautions, dangers to people first, each with the rule it comes from.
func (p *whyPage) cautions() {
	if len(p.a.Cautions) == 0 {
		return
	}
	p.blank()
	p.heading(words.Counted(words.WatchFor, len(p.a.Cautions)))
	hazard := false
	for _, c := range p.a.Cautions {
		hazard = hazard || c.Hazard
		if c.Danger != nil {
			p.item(2, "-", words.Caution(c.Say, protect(c), true, false))
			p.line(4, words.Founded(c.Danger.Standing, sources(p.g, c.Danger.Cite)))
			continue
		}
		var list []*judge.Proof
		for _, r := range p.a.Proof.Cautions {
			if r.Rule == c.Reason.Rule && (r.Value == cond.Open) == c.Open && r.Value != cond.False {
				list = append(list, r)
			}
		}
		p.rule(list)
	}
	if hazard {
		p.line(2, words.LocalRules)
	}
}

// neededBy writes which other treatments need this one. That cannot help what is ruled out, so there it is only named.
func (p *whyPage) neededBy() {
	if len(p.a.Proof.NeededBy) > 0 && p.a.Word == judge.RuledOut && !p.all {
		var names []string
		for _, n := range p.a.Proof.NeededBy {
			names = append(names, words.Judged(n.Verdict.Treatment.Name, n.Verdict.Target.Path, string(n.Verdict.Word)))
		}
		p.blank()
		p.line(0, words.Labelled(words.NeededBy, strings.Join(names, "; ")))
		return
	}
	for _, n := range p.a.Proof.NeededBy {
		v := n.Verdict
		p.reasons(words.Labelled(words.NeededBy, words.Judged(v.Treatment.Name, v.Target.Path, string(v.Word))), n.Reasons)
	}
}

// rest writes or counts what the verdict does not rest on.
func (p *whyPage) rest() {
	var speak, idle []*judge.Proof
	a := p.a.Proof
	for _, list := range [][]*judge.Proof{a.RulesOut, a.CalledFor, a.Needs, a.For, a.Against, a.Cautions} {
		for _, r := range list {
			switch {
			case slices.Contains(p.told, r):
			case r.Value == cond.False:
				idle = append(idle, r)
			default:
				speak = append(speak, r)
			}
		}
	}
	if p.all {
		for _, e := range pack.Effects {
			for _, value := range []cond.Truth{cond.True, cond.Open} {
				p.reasons(words.SpeaksToo(words.Effect(e, value)), pickReasons(speak, e, value))
			}
		}
		p.reasons(words.DoNotApply, idle)
		p.premises()
		return
	}
	if len(speak)+len(idle) > 0 {
		p.blank()
	}
	if len(speak) > 0 {
		p.line(0, words.AlsoSpeak(len(speak)))
	}
	if len(idle) > 0 {
		p.line(0, words.MoreRules(len(idle)))
	}
}

// premises writes what the verdict rests on besides the rules.
func (p *whyPage) premises() {
	rests := p.g.Premises(p.a.Verdict)
	if len(rests.Never) > 0 {
		p.blank()
		p.heading(words.TiedTogether)
	}
	for _, t := range rests.Never {
		p.item(2, "-", words.Of(words.Thing(t.Thing), t.Never.Because))
		for _, leaf := range t.Proof.Answers() {
			p.line(4, answerLine(p.g.Case.Asks[leaf.Ask]))
		}
	}
	if len(rests.Listed) > 0 {
		p.blank()
		p.heading(words.TakenAsWhole)
	}
	for _, leaf := range rests.Listed {
		p.item(2, "-", answerLine(p.g.Case.Asks[leaf.Ask]))
	}
}

func pickReasons(list []*judge.Proof, e pack.Effect, value cond.Truth) (picked []*judge.Proof) {
	for _, r := range list {
		if r.Rule.Effect == e && r.Value == value {
			picked = append(picked, r)
		}
	}
	return picked
}
