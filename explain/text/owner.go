package text

import (
	"fmt"
	"slices"
	"strings"

	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/explain/account"
	"tideline/explain/words"
	"tideline/rules/vocab"
)

// OwnerPlan writes a plan for the owner of the book, in plain words: what would be done and why, what cannot be undone, what it
// may leave, what stays, and what rests on their word. All of it stands in the plan's proofs.
func OwnerPlan(p *plan.Plan, style Style) string {
	w := &ownerPage{page{Style: style}}
	w.titled(p.Judgement)
	switch {
	case len(p.Judgement.Contradictions) > 0:
		w.clashes(p.Judgement)
		return w.String()
	case len(p.Steps) == 0 && p.Waiting():
		w.heading(words.OwnerWaits)
	case len(p.Steps) == 0:
		w.heading(words.OwnerNothing)
	default:
		w.heading(words.Counted(words.OwnerWillDo, len(p.Steps)))
		w.line(0, words.OwnerTime(p.Cost.Active, p.Cost.Waiting))
	}
	for i, s := range p.Steps {
		w.blank()
		w.item(0, fmt.Sprintf("%d.", i+1), w.strong(words.On(s.Treatment.Name, s.Path)))
		w.line(3, s.Treatment.Says)
		w.treated(3, s.State, s.Verdict)
	}
	var stays []string
	for _, l := range p.Left {
		if !l.Lessened {
			stays = append(stays, words.SubjectIn(p, l.Subject))
		}
	}
	w.points(0, words.OwnerStays, stays)
	w.consent(p)
	if len(p.Steps) > 0 {
		w.blank()
		w.line(0, words.OwnerBench)
	}
	w.blank()
	w.line(0, words.OwnerRecommends)
	return w.String()
}

// OwnerWhy writes a verdict for the owner of the book.
func OwnerWhy(g *judge.Judgement, v *judge.Verdict, style Style) string {
	w := &ownerPage{page{Style: style}}
	w.heading(words.OwnerVerdict(v.Treatment.Name, v.Target.Path, string(v.Word)))
	w.line(2, v.Treatment.Says)
	w.treated(2, g, v)
	return w.String()
}

type ownerPage struct{ page }

// treated tells of one verdict: the reasons that decide it, whether it can be undone, what it may leave, and every danger.
func (p *ownerPage) treated(indent int, g *judge.Judgement, v *judge.Verdict) {
	a := account.Of(g, v)
	reasons := a.Calls
	switch v.Word {
	case judge.RuledOut:
		reasons = a.RulesOut
	case judge.TestFirst:
		reasons = a.MayRule
	}
	var because, dangers []string
	for _, r := range reasons {
		if !slices.Contains(because, r.Rule.Because) {
			because = append(because, r.Rule.Because)
		}
	}
	p.points(indent, words.OwnerWhy, because)
	if v.Word == judge.RuledOut || v.Word == judge.NoNeed {
		return
	}
	switch v.Treatment.Retreatable {
	case "no":
		p.line(indent, words.OwnerNotUndone)
	case "partly":
		p.line(indent, words.OwnerPartUndone)
	}
	if may := slices.Concat(v.Treatment.Brings, v.Treatment.CanBring); len(may) > 0 {
		p.line(indent, words.Labelled(words.OwnerMayBring, strings.Join(may, ", ")))
	}
	for _, c := range a.Cautions {
		if c.Hazard {
			dangers = append(dangers, c.Say)
		}
	}
	p.points(indent, words.OwnerPeople, dangers)
}

// consent lists what the steps read of the owner's limits and agreements, with what was said.
func (p *ownerPage) consent(plan *plan.Plan) {
	var list []string
	for _, s := range plan.Steps {
		for _, i := range s.Verdict.Instances {
			for _, leaf := range s.State.Reason(i).Answers() {
				ask := s.State.Case.Asks[leaf.Ask]
				if ask.Question == nil || ask.Question.Kind != vocab.Owner {
					continue
				}
				said := words.OwnerNotAsked
				if ask.Answer.Known {
					said = map[bool]string{true: words.OwnerYes, false: words.OwnerNo}[ask.Answer.Yes]
				}
				if line := ask.Question.Asks + " " + said; !slices.Contains(list, line) {
					list = append(list, line)
				}
			}
		}
	}
	slices.Sort(list)
	p.points(0, words.OwnerYourWord, list)
}

// points writes lines under a label; at the margin they stand apart.
func (p *ownerPage) points(indent int, label string, lines []string) {
	if len(lines) == 0 {
		return
	}
	if indent == 0 {
		p.blank()
		p.heading(label)
	} else {
		p.line(indent, label+":")
	}
	for _, l := range lines {
		p.item(indent+2, "-", l)
	}
}
