package export

import (
	"strconv"
	"strings"
	"time"

	"tideline/engine/seal"
	"tideline/engine/seal/edition1"
	"tideline/explain/words"
)

// Sealed is a sealed decision that a judgement was read from: the plan and what the person decided come from it.
type Sealed struct {
	Body *edition1.Body
	Sum  string // its hash
}

// sealed puts in the seal, the plan and the decision.
func (p *prov) sealed(s *Sealed, agent string, plans []string) {
	b := s.Body
	sealID := "book:seal/" + local(s.Sum)
	p.add("entity", sealID, map[string]any{
		"prov:type": name("tideline:SealedDecision"), "prov:label": words.SealOf(b.Case, b.Number), "tideline:sha256": s.Sum,
		"tideline:ownersSheet": seal.Number(s.Sum), "tideline:previous": b.Previous, "tideline:sealedAt": b.At, "tideline:signer": b.Signer,
	})
	p.relate("wasDerivedFrom", "prov:generatedEntity", sealID, "prov:usedEntity", p.recordID())
	plan := ""
	if b.Plan != nil {
		plan = p.plan(b.Plan, agent, plans)
		p.relate("wasDerivedFrom", "prov:generatedEntity", sealID, "prov:usedEntity", plan)
	}
	if b.Decision != nil {
		p.relate("wasDerivedFrom", "prov:generatedEntity", sealID, "prov:usedEntity", p.decision(b.Decision, plan))
	}
}

// verdictID names a verdict of this judgement, "" for one there is none of: what a step brings about is judged only in a plan.
func (p *prov) verdictID(treatment, on string) string {
	if p.g.Of(treatment, on) == nil {
		return ""
	}
	return "book:verdict/" + local(p.digest+"/"+treatment+"/"+on)
}

// plan puts in the plan recommended, with its steps in order and the verdicts they rest on.
func (p *prov) plan(b *edition1.Plan, agent string, packs []string) string {
	id, planning := "book:plan/"+p.digest, "book:planning/"+p.digest
	e := map[string]any{"prov:type": []any{name("prov:Plan"), name("prov:Collection")}, "prov:label": words.PlanRecommended, "tideline:notProven": nil}
	if b.Unproven {
		e["tideline:notProven"] = words.PlanUnproven
	}
	p.add("entity", id, e)
	p.activity(planning, "Planning", words.PlanRecommended, p.g.Case.On.Truncate(24*time.Hour), nil)
	p.relate("wasGeneratedBy", "prov:entity", id, "prov:activity", planning)
	for _, pack := range packs {
		p.relate("wasAssociatedWith", "prov:activity", planning, "prov:agent", agent, "prov:plan", pack)
	}
	for i, s := range b.Steps {
		step := "book:planned/" + p.digest + "/" + strconv.Itoa(i+1)
		on := strings.Join(s.Targets, ", ")
		var doses, retests []string
		for _, d := range s.Doses {
			doses = append(doses, strings.TrimSpace(words.Of(d.What, d.Value+" "+d.Unit)))
		}
		for _, r := range s.Retests {
			retests = append(retests, words.Of(r.On, r.Question))
		}
		cautions := s.Cautions
		if len(cautions) > 0 {
			cautions = append(cautions[:len(cautions):len(cautions)], words.LocalRules)
		}
		p.add("entity", step, map[string]any{
			"prov:type": name("tideline:PlannedStep"), "prov:label": words.StepOfPlan(i+1, p.treatmentName(s.Treatment), on), "tideline:place": i + 1,
			"tideline:treatment": s.Treatment, "tideline:on": on, "tideline:for": s.For, "tideline:caution": cautions, "tideline:stopSign": s.StopSigns,
			"tideline:setting": doses, "tideline:testAgain": retests, "tideline:minutesActive": s.Minutes.Active, "tideline:minutesWaiting": s.Minutes.Waiting,
		})
		p.relate("hadMember", "prov:collection", id, "prov:entity", step)
		for _, target := range s.Targets {
			if v := p.verdictID(s.Treatment, target); v != "" {
				p.relate("used", "prov:activity", planning, "prov:entity", v)
				p.relate("wasDerivedFrom", "prov:generatedEntity", step, "prov:usedEntity", v)
			}
		}
	}
	return id
}

// decision puts in what the person decided, by whom, and the owner's consent.
func (p *prov) decision(d *edition1.Decision, plan string) string {
	id, deciding := "book:decision/"+p.digest, "book:deciding/"+p.digest
	taken, departed := said(p.history, d)
	p.add("entity", id, map[string]any{"prov:type": name("tideline:Decision"), "prov:label": words.PersonDecided, "tideline:accepted": taken, "tideline:departure": departed})
	day, _ := time.Parse(time.DateOnly, d.Date)
	p.activity(deciding, "Deciding", words.PersonDecided, day, nil)
	p.relate("wasGeneratedBy", "prov:entity", id, "prov:activity", deciding)
	p.by(deciding, d.By)
	if plan != "" {
		p.relate("used", "prov:activity", deciding, "prov:entity", plan)
	}
	for _, a := range d.Accepted {
		if v := p.verdictID(a.Step, a.On); v != "" {
			p.relate("used", "prov:activity", deciding, "prov:entity", v)
		}
	}
	if c := d.Consent; c != nil {
		consenting := "book:consent/" + p.digest
		day, _ := time.Parse(time.DateOnly, c.Date)
		p.activity(consenting, "Consent", words.OwnerConsented, day, map[string]any{"tideline:form": c.Form})
		p.by(consenting, c.By)
		p.relate("used", "prov:activity", consenting, "prov:entity", id)
	}
	return id
}

// said gives what was accepted and what was decided otherwise, in sentences.
func said(h *history, d *edition1.Decision) (taken, departed []string) {
	for _, a := range d.Accepted {
		taken = append(taken, words.StepDone(h.treatmentName(a.Step), a.On))
	}
	for _, x := range d.Departures {
		what := words.StepDone(x.Test, x.On)
		if x.Step != "" {
			what = words.StepDone(h.treatmentName(x.Step), x.On)
		}
		departed = append(departed, words.Departed(what, x.Did, x.Left, x.Because))
	}
	return taken, departed
}

// lostOf gives what neither standard carries of a sealed decision.
func lostOf(s *Sealed) (list []string) {
	if s == nil {
		return nil
	}
	list = append(list, words.LostSeal)
	if s.Body.Plan != nil {
		list = append(list, words.LostPlanReasons)
	}
	return list
}

// planText tells the plan as one text.
func (a *art) planText(p *edition1.Plan) object {
	var lines []string
	for i, s := range p.Steps {
		lines = append(lines, words.StepOfPlan(i+1, a.treatmentName(s.Treatment), strings.Join(s.Targets, ", ")))
		lines = append(lines, s.Cautions...)
		for _, sign := range s.StopSigns {
			lines = append(lines, words.StopAt(sign))
		}
	}
	if p.Unproven {
		lines = append(lines, words.PlanUnproven)
	}
	lines = append(lines, words.LocalRules, words.PersonDecides)
	return statement(words.PlanRecommended, strings.Join(lines, "\n"), description)
}

// decisionText tells what the person decided as one text.
func (a *art) decisionText(d *edition1.Decision) object {
	taken, departed := said(a.history, d)
	lines := []string{strings.TrimSpace(words.PersonDecided + " " + words.Aside(strings.TrimSpace(d.By+" "+d.Date)))}
	for _, t := range taken {
		lines = append(lines, words.TakenUp(t))
	}
	lines = append(lines, departed...)
	if c := d.Consent; c != nil {
		lines = append(lines, words.ConsentOf(c.By, c.Date, c.Form))
	}
	return statement(words.PersonDecided, strings.Join(lines, "\n"), description)
}
