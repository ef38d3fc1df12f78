package export

import (
	"strings"
	"time"

	"tideline/engine/judge"
	"tideline/explain/words"
	"tideline/rules/vocab"
)

// object is a JSON object of Linked Art.
type object map[string]any

// The terms of the Art & Architecture Thesaurus that Linked Art asks for or recommends (linked.art, Required Vocabulary
// Terms and Recommended Vocabulary Terms, model 1.0).
var (
	primaryName  = aat("300404670", "Primary Name")
	briefText    = aat("300418049", "Brief Text")
	description  = statementOf("300435416", "Description")
	conditionOf  = statementOf("300435425", "Condition Statement")
	artDocuments = "https://linked.art/ns/v1/linked-art.json"
)

func aat(number, label string) object {
	return object{"id": "http://vocab.getty.edu/aat/" + number, "type": "Type", "_label": label}
}

// statementOf is a kind of statement, marked as one by its own type.
func statementOf(number, label string) object {
	kind := aat(number, label)
	kind["classified_as"] = []object{briefText}
	return kind
}

// art is a Linked Art record in the making.
type art struct {
	*history
	book string // the URN of the book
}

// LinkedArt writes a judgement as one Linked Art record of the book, with the plan and the decision it was sealed with; s is
// nil for one that was not.
func LinkedArt(g *judge.Judgement, s *Sealed) *Document {
	a := &art{history: historyOf(g), book: "urn:uuid:" + bookID(g.Case.Book).String()}
	texts, lost := []object{a.judged()}, a.lost()
	if s != nil {
		if s.Body.Plan != nil {
			texts = append(texts, a.planText(s.Body.Plan))
		}
		if s.Body.Decision != nil {
			texts = append(texts, a.decisionText(s.Body.Decision))
		}
		lost = append(append(lost, words.LostPlan), lostOf(s)...)
	}
	title := g.Case.Book.Title
	top := object{
		"@context": artDocuments, "id": a.book, "type": "HumanMadeObject", "_label": title,
		"identified_by":  []object{{"type": "Name", "content": title, "classified_as": []object{primaryName}}},
		"referred_to_by": append(texts, statement(words.LeftOut, strings.Join(lost, "\n"), description)),
	}
	for key, list := range map[string][]object{"attributed_by": a.conditions(), "used_for": a.examinations(), "modified_by": a.modifications()} {
		if len(list) > 0 {
			top[key] = list
		}
	}
	return &Document{Standard: "linked-art", Lost: lost, Content: top}
}

func statement(label, content string, kind object) object {
	return object{"type": "LinguisticObject", "_label": label, "content": content, "classified_as": []object{kind}}
}

// concept is a type by one of the packs' words: of a finding, a test or a treatment.
func concept(space, word, label string) object {
	return object{"id": "urn:uuid:" + named(ours, space+" "+word).String(), "type": "Type", "_label": label}
}

// event is an activity with its label, time and people.
func (a *art) event(class, label string, when time.Time, by string) object {
	e := object{"type": class, "_label": label}
	if !when.IsZero() {
		start, end := span(when)
		e["timespan"] = object{"type": "TimeSpan", "begin_of_the_begin": start, "end_of_the_end": end}
	}
	if by != "" {
		e["carried_out_by"] = []object{{"id": a.book + "#person/" + local(by), "type": "Person", "_label": by}}
	}
	return e
}

// conditions gives one condition assessment for each finding.
func (a *art) conditions() (list []object) {
	for _, t := range a.g.Case.Things {
		if t.Kind != vocab.Finding || t.Unlisted {
			continue
		}
		kind, lines := "", []string{}
		for i := range a.g.Case.Asks[t.Base : t.Base+a.g.Case.Pack.Env.Slots(t.Kind)] {
			ask := a.g.Case.Asks[t.Base+i]
			switch {
			case ask.Question == nil || !ask.Answer.Known:
			case ask.Question.Name == "kind":
				kind = ask.Answer.Word
			default:
				lines = append(lines, words.Answered(words.Thing(t), ask.Question.Asks, ask.Question.Text(ask.Answer)))
			}
		}
		b := a.g.Case.Book
		e := a.event("AttributeAssignment", words.Found(kind, t.Path), b.Examined, b.By)
		e["identified_by"] = []object{{"type": "Name", "content": words.Found(kind, t.Path)}}
		e["assigned_property"], e["assigned"] = "classified_as", []object{concept("finding", kind, kind)}
		if len(lines) > 0 {
			e["referred_to_by"] = []object{statement(kind, strings.Join(lines, "\n"), conditionOf)}
		}
		list = append(list, e)
	}
	return list
}

// examinations gives the examination, with all that it found beside the findings, and each test.
func (a *art) examinations() (list []object) {
	var lines []string
	for _, r := range a.seen {
		if r.Thing.Kind != vocab.Finding {
			lines = append(lines, a.sentence(r))
		}
	}
	if len(lines) > 0 {
		b := a.g.Case.Book
		e := a.event("Activity", words.Examination, b.Examined, b.By)
		e["referred_to_by"] = []object{statement(words.Examination, strings.Join(lines, "\n"), conditionOf)}
		list = append(list, e)
	}
	for _, r := range a.tested {
		e := a.event("Activity", words.Answered(r.Thing.Path, r.Question.Asks, r.Question.Text(r.Answer)), r.Date, r.By)
		e["technique"] = []object{concept("test", r.Question.ID, r.Question.Asks)}
		e["referred_to_by"] = []object{statement(r.Question.Asks, a.sentence(r)+"\n"+words.From(r), description)}
		list = append(list, e)
	}
	return list
}

// modifications gives the steps done.
func (a *art) modifications() (list []object) {
	for i := range a.g.Case.Book.Done {
		d := &a.g.Case.Book.Done[i]
		label := words.StepDone(a.treatmentName(d.Treatment), d.Target.Path)
		e := a.event("Modification", label, d.Date, d.By)
		e["technique"] = []object{concept("treatment", d.Treatment, a.treatmentName(d.Treatment))}
		text := label
		if d.Note != "" {
			text += ": " + d.Note
		}
		e["referred_to_by"] = []object{statement(label, text, description)}
		list = append(list, e)
	}
	return list
}

// judged tells the verdicts as one text, but for what there is no need of.
func (a *art) judged() object {
	lines := []string{words.TreatmentsJudged + ", " + words.Day(a.g.Case.On.Truncate(24*time.Hour))}
	for _, v := range a.g.Verdicts {
		if v.Word != judge.NoNeed {
			lines = append(lines, words.VerdictOn(v.Treatment.Name, v.Target.Path, string(v.Word)))
		}
	}
	lines = append(lines, words.LostCautions, words.LocalRules, words.PersonDecides)
	return statement(words.TreatmentsJudged, strings.Join(lines, "\n"), description)
}

// lost gives what Linked Art could not carry of this judgement.
func (a *art) lost() []string {
	open := 0
	for _, ask := range a.g.Case.Asks {
		if ask.Question != nil && !ask.Thing.Unlisted && !ask.Question.Measured && ask.Result == nil {
			open++
		}
	}
	lost := []string{words.LostVerdicts, words.LostSupport, words.LostCautions, words.LostStructure, words.LostVocabulary, words.LostDuration, words.LostZone, words.LostPersons, words.LostCopies}
	return append(lost, counted([]count{
		{open, words.LostUnanswered},
		{a.undated(), words.LostUndated},
		{a.replaced(), words.LostReplaced},
		{a.stale(), words.LostStale},
		{a.mapped(), words.LostMapped},
		{len(a.g.Contradictions), words.LostClashes},
	})...)
}
