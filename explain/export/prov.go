package export

import (
	"fmt"
	"slices"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/explain/account"
	"tideline/explain/data"
	"tideline/explain/words"
)

// prov is a PROV-JSON document in the making: by kind of record, then by identifier.
type prov struct {
	*history
	doc    map[string]map[string]map[string]any
	digest string
	count  int                    // of relations
	open   map[*evidence.Ask]bool // questions without an answer that some verdict read
}

// Prov writes a judgement as PROV-JSON, with the plan and the decision it was sealed with; s is nil for one that was not.
func Prov(g *judge.Judgement, s *Sealed) *Document {
	p := &prov{history: historyOf(g), doc: map[string]map[string]map[string]any{}, open: map[*evidence.Ask]bool{}}
	packs := data.Packs(g)
	var hashes []string
	for _, k := range packs {
		hashes = append(hashes, k.Hash)
	}
	p.digest = digest(g, hashes)
	p.record()
	p.answers()
	p.steps()
	agent, plans := p.program(packs)
	p.verdicts(agent, plans)
	if s != nil {
		p.sealed(s, agent, plans)
	}
	lost := append(p.lost(), lostOf(s)...)
	p.add("entity", "book:export/"+p.digest, map[string]any{"prov:type": name("tideline:Export"), "prov:label": words.LeftOut, "tideline:notCarried": lost})

	content := map[string]any{"prefix": map[string]string{
		"book": "urn:uuid:" + bookID(g.Case.Book).String() + "#", "uuid": "urn:uuid:", "tideline": terms,
	}}
	for section, records := range p.doc {
		content[section] = records
	}
	return &Document{Standard: "prov", Lost: lost, Content: content}
}

// add puts a record into a section. Attributes that are empty are left out.
func (p *prov) add(section, id string, attributes map[string]any) {
	for key, v := range attributes {
		if v == "" || v == nil {
			delete(attributes, key)
		} else if list, ok := v.([]string); ok && len(list) == 0 {
			delete(attributes, key)
		}
	}
	if p.doc[section] == nil {
		p.doc[section] = map[string]map[string]any{}
	}
	p.doc[section][id] = attributes
}

// relate puts a relation into a section, under a name that means nothing outside the document.
func (p *prov) relate(section string, pairs ...string) {
	attributes := map[string]any{}
	for i := 0; i < len(pairs); i += 2 {
		attributes[pairs[i]] = pairs[i+1]
	}
	p.count++
	p.add(section, fmt.Sprintf("_:r%06d", p.count), attributes)
}

// name is a value that is itself a name (PROV-JSON, section 3.1.2, from memory).
func name(qualified string) map[string]string {
	return map[string]string{"$": qualified, "type": "xsd:QName"}
}

// activity puts in an activity with the time in which it lies.
func (p *prov) activity(id, kind, label string, when time.Time, more map[string]any) {
	a := map[string]any{"prov:type": name("tideline:" + kind), "prov:label": label}
	if !when.IsZero() {
		a["prov:startTime"], a["prov:endTime"] = span(when)
	}
	for key, v := range more {
		a[key] = v
	}
	p.add("activity", id, a)
}

// by says who carried an activity out.
func (p *prov) by(activity, person string) {
	if person == "" {
		return
	}
	id := "book:person/" + local(person)
	p.add("agent", id, map[string]any{"prov:type": name("prov:Person"), "prov:label": person})
	p.relate("wasAssociatedWith", "prov:activity", activity, "prov:agent", id)
}

func (p *prov) recordID() string { return "book:record/" + p.digest }

// record puts in the book and its record.
func (p *prov) record() {
	b := p.g.Case.Book
	p.add("entity", "book:book", map[string]any{"prov:type": name("tideline:Book"), "prov:label": b.Title})
	p.add("entity", p.recordID(), map[string]any{"prov:type": name("prov:Collection"), "prov:label": b.Title, "tideline:of": name("book:book")})
}

func (p *prov) answerID(r *record.Result) string { return "book:answer/" + local(p.names[r]) }

// answers puts in every answer, and what it came from.
func (p *prov) answers() {
	for i := range p.g.Case.Book.Results {
		r := &p.g.Case.Book.Results[i]
		a := map[string]any{
			"prov:type": name("tideline:Answer"), "prov:label": p.sentence(r), "prov:value": r.Question.Text(r.Answer),
			"tideline:question": r.Question.ID, "tideline:on": r.Thing.Path, "tideline:note": r.Note, "tideline:stands": p.stands(r),
		}
		if r.At != nil {
			a["tideline:at"] = record.Decimal(r.At.X) + " " + record.Decimal(r.At.Y)
		}
		p.add("entity", p.answerID(r), a)
	}
	if len(p.seen) > 0 {
		id := "book:examination/" + local(moment(p.examined()))
		p.activity(id, "Examination", words.Examination, p.examined(), nil)
		p.relate("used", "prov:activity", id, "prov:entity", "book:book")
		p.by(id, p.g.Case.Book.By)
		for _, r := range p.seen {
			p.came(r, id)
		}
	}
	for _, r := range p.tested {
		id := "book:test/" + local(p.names[r])
		p.activity(id, "Test", r.Question.Asks, r.Date, map[string]any{"tideline:question": r.Question.ID, "tideline:on": r.Thing.Path})
		p.relate("used", "prov:activity", id, "prov:entity", "book:book")
		p.by(id, r.By)
		p.came(r, id)
	}
	for _, r := range p.derived {
		p.relate("wasDerivedFrom", "prov:generatedEntity", p.answerID(r), "prov:usedEntity", p.recordID())
	}
}

// came says from which activity an answer came, and that the record holds it.
func (p *prov) came(r *record.Result, activity string) {
	p.relate("wasGeneratedBy", "prov:entity", p.answerID(r), "prov:activity", activity)
	p.relate("hadMember", "prov:collection", p.recordID(), "prov:entity", p.answerID(r))
}

func (p *prov) stepID(d *record.Done) string { return "book:step/" + local(p.names[d]) }

// steps puts in the steps done, what each left behind and which answers it made stale.
func (p *prov) steps() {
	for i := range p.g.Case.Book.Done {
		d := &p.g.Case.Book.Done[i]
		id, thing := p.stepID(d), "book:thing/"+local(d.Target.Path)
		after := "book:after/" + local(p.names[d])
		treatment := p.treatmentName(d.Treatment)
		p.activity(id, "Step", words.StepDone(treatment, d.Target.Path), d.Date, map[string]any{"tideline:treatment": d.Treatment, "tideline:on": d.Target.Path, "tideline:note": d.Note})
		p.by(id, d.By)
		p.add("entity", thing, map[string]any{"prov:type": name("tideline:Thing"), "prov:label": d.Target.Path, "tideline:of": name("book:book")})
		p.add("entity", after, map[string]any{"prov:type": name("tideline:State"), "prov:label": words.Afterwards(d.Target.Path, treatment)})
		p.relate("used", "prov:activity", id, "prov:entity", thing)
		p.relate("wasGeneratedBy", "prov:entity", after, "prov:activity", id)
		p.relate("specializationOf", "prov:specificEntity", after, "prov:generalEntity", thing)
	}
	for i := range p.g.Case.Book.Results {
		r := &p.g.Case.Book.Results[i]
		if d := p.staleBy(r); d != nil && !fromRecord(r.Question) {
			p.relate("wasInvalidatedBy", "prov:entity", p.answerID(r), "prov:activity", p.stepID(d))
		}
	}
}

// program puts in what judged and what it judged by, and gives the agent and the plans.
func (p *prov) program(packs []data.Pack) (agent string, plans []string) {
	agent = "uuid:" + named(ours, "program").String()
	p.add("agent", agent, map[string]any{"prov:type": name("prov:SoftwareAgent"), "prov:label": "Tideline"})
	for _, k := range packs {
		id := "uuid:" + named(ours, "pack "+k.Hash).String()
		p.add("entity", id, map[string]any{"prov:type": name("prov:Plan"), "prov:label": k.Name, "tideline:sha256": k.Hash})
		plans = append(plans, id)
	}
	return agent, plans
}

// verdicts puts in every verdict, the judging it came from, and what that read.
func (p *prov) verdicts(agent string, plans []string) {
	for _, v := range p.g.Verdicts {
		what := p.digest + "/" + v.Treatment.ID + "/" + v.Target.Path
		id, judging := "book:verdict/"+local(what), "book:judging/"+local(what)
		results, open := p.reads(v)
		for _, ask := range open {
			p.open[ask] = true
		}
		var hangsOn []string
		for _, n := range v.Open {
			ask := p.g.Case.Asks[n]
			hangsOn = append(hangsOn, ask.Thing.Path+" "+ask.Question.ID)
		}
		label := words.VerdictOn(v.Treatment.Name, v.Target.Path, string(v.Word))
		e := map[string]any{
			"prov:type": name("tideline:Verdict"), "prov:label": label, "prov:value": string(v.Word),
			"tideline:treatment": v.Treatment.ID, "tideline:on": v.Target.Path, "tideline:hangsOn": hangsOn,
		}
		a := account.Of(p.g, v)
		e["tideline:reason"], e["tideline:caution"] = reasons(a), cautions(a)
		if v.Rank > 0 {
			e["tideline:rank"] = v.Rank
		}
		if v.EitherWay {
			e["tideline:eitherWay"] = true
		}
		p.add("entity", id, e)
		p.activity(judging, "Judging", label, p.g.Case.On.Truncate(24*time.Hour), nil)
		for _, r := range results {
			p.relate("used", "prov:activity", judging, "prov:entity", p.answerID(r))
		}
		for _, plan := range plans {
			p.relate("wasAssociatedWith", "prov:activity", judging, "prov:agent", agent, "prov:plan", plan)
		}
		p.relate("wasGeneratedBy", "prov:entity", id, "prov:activity", judging)
	}
}

// reasons gives the deciding rules of a verdict, each with what it says, once.
func reasons(a *account.Account) (list []string) {
	for _, r := range a.Deciding() {
		if s := words.Reason(r.Rule, r.Value); !slices.Contains(list, s) {
			list = append(list, s)
		}
	}
	return list
}

// cautions gives what to watch for, dangers to people first, for what can be done or may turn out to be.
func cautions(a *account.Account) (list []string) {
	if a.Word == judge.RuledOut || a.Word == judge.NoNeed {
		return nil
	}
	for _, c := range a.Cautions {
		protect := ""
		if c.Danger != nil {
			protect = words.Protect(c.Danger)
		}
		if s := words.Caution(c.Say, protect, c.Hazard, c.Open); !slices.Contains(list, s) {
			list = append(list, s)
		}
	}
	return append(list, words.LocalRules)
}

// lost gives what PROV could not carry of this judgement.
func (p *prov) lost() []string {
	lost := []string{words.LostProofs, words.LostSupport, words.LostDuration, words.LostZone, words.LostPersons, words.LostCopies, words.LostTerms}
	return append(lost, counted([]count{
		{len(p.open), words.LostOpen},
		{p.undated(), words.LostUndated},
		{p.replaced(), words.LostReplaced},
		{p.mapped(), words.LostMapped},
		{len(p.g.Contradictions), words.LostClashes},
	})...)
}
