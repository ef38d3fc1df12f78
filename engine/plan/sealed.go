package plan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"tideline/engine/dose"
	"tideline/engine/seal"
	"tideline/engine/seal/edition1"
	"tideline/engine/setting"
)

// Sealed gives a plan as it is sealed. A step carries what must be at hand by its verdict on the book it meets, and by the
// one on the book as it is: none of what the decision was warned of is missing from the plan.
func (p *Plan) Sealed() *edition1.Plan {
	w := &edition1.Plan{Unproven: !p.Proven}
	for _, s := range p.Steps {
		w.Steps = append(w.Steps, p.sealedStep(s))
	}
	for _, l := range p.Left {
		w.Untreated = append(w.Untreated, edition1.Untreated{On: l.Subject.name(), Because: l.because()})
	}
	for _, a := range p.Next {
		w.Alternatives = append(w.Alternatives, p.sealedNext(a))
	}
	return w
}

func (p *Plan) sealedStep(s *Step) edition1.PlanStep {
	w := edition1.PlanStep{
		Treatment: s.Key.Treatment, Targets: []string{s.Path}, Minutes: minutes(s.Treatment.Active, s.Treatment.Waiting), Doses: s.doses(),
	}
	for _, sub := range s.For {
		w.For = append(w.For, sub.name())
	}
	for _, b := range s.Meets {
		w.For = append(w.For, b.Path)
	}
	for _, k := range s.Needed {
		w.For = append(w.For, k.String())
	}
	w.Cautions, w.StopSigns = s.Verdict.AtHand()
	if now := p.Judgement.Of(s.Key.Treatment, s.Path); now != nil {
		cautions, stopSigns := now.AtHand()
		w.Cautions, w.StopSigns = joined(cautions, w.Cautions), joined(stopSigns, w.StopSigns)
	}
	for _, r := range s.Retests {
		one := edition1.Retest{Question: r.Question.ID, On: r.Path, Was: seal.AnswerText(r.Question, r.Before), Expected: seal.AnswerText(r.Question, r.Expected)}
		if one.Was+one.Expected != "" {
			one.Unit = seal.Unit(r.Question)
		}
		w.Retests = append(w.Retests, one)
	}
	return w
}

// joined gives the texts of both lists, each once.
func joined(a, b []string) []string {
	for _, text := range b {
		if !slices.Contains(a, text) {
			a = append(a, text)
		}
	}
	return a
}

// sealedNext gives the steps that a next best plan has instead of others. Of those that are no candidates on the book as it
// is only the name can be told.
func (p *Plan) sealedNext(a *Alternative) edition1.Alternative {
	w := edition1.Alternative{Loses: a.Cost.loses(p.Cost)}
	for _, k := range a.With {
		step := edition1.PlanStep{Treatment: k.Treatment, Targets: []string{k.Path}}
		if t := p.Judgement.Case.Pack.Treatment(k.Treatment); t != nil {
			step.Minutes = minutes(t.Active, t.Waiting)
		}
		if v := p.Judgement.Of(k.Treatment, k.Path); v != nil {
			step.Cautions, step.StopSigns = v.AtHand()
		}
		w.Steps = append(w.Steps, step)
	}
	for _, k := range a.Without {
		w.Without = append(w.Without, k.String())
	}
	return w
}

// String names a step as a person types it: TREATMENT@THING.
func (k Key) String() string { return k.Treatment + "@" + k.Path }

// name is the path of a subject, with its questions.
func (s *Subject) name() string {
	names := []string{s.Path}
	for _, q := range s.Asks {
		names = append(names, q.ID)
	}
	return strings.Join(names, " ")
}

// because lists the verdicts of what could ease what is left; "" when nothing that serves the owner's aims does.
func (l *Left) because() string {
	var list []string
	if l.Done != nil {
		list = append(list, strings.TrimSpace("done, outcome not said: "+l.Done.Treatment+" "+day(l.Done.Date)))
	}
	for _, v := range l.Verdicts {
		list = append(list, fmt.Sprintf("%s@%s: %s", v.Treatment.ID, v.Target.Path, v.Word))
	}
	return strings.Join(list, "; ")
}

func day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

// loses names the first place in which a cost is more than the best, and by how much.
func (c Cost) loses(best Cost) string {
	type place struct {
		name   string
		is, by int
	}
	places := []place{
		{"undone", c.Undone, best.Undone},
		{"brought and not met", c.Unmet, best.Unmet},
		{"only lessened", c.Lessened, best.Lessened},
	}
	for i := range c.Classes {
		places = append(places, place{fmt.Sprintf("steps of intervention %d", 5-i), c.Classes[i], best.Classes[i]})
	}
	places = append(places, place{"steps", c.Steps, best.Steps}, place{"support in millionths", int(c.Support), int(best.Support)},
		place{"minutes at the bench", c.Active, best.Active}, place{"minutes waiting", c.Waiting, best.Waiting})
	for _, p := range places {
		if p.is != p.by {
			return fmt.Sprintf("%s: %+d", p.name, p.is-p.by)
		}
	}
	return ""
}

func minutes(active, waiting int) edition1.Minutes {
	return edition1.Minutes{Active: strconv.Itoa(active), Waiting: strconv.Itoa(waiting)}
}

// doses gives the settings of a step: those the pack writes, then those computed for the book it meets.
func (s *Step) doses() (list []edition1.Dose) {
	for _, c := range s.Treatment.Settings {
		if c.Dose == nil {
			list = append(list, edition1.Dose{What: c.What, Value: c.Value})
		}
	}
	for _, c := range setting.Of(s.State.Case, s.Treatment, s.Verdict.Target) {
		list = append(list, sealedDose(c))
	}
	return list
}

// sealedDose writes a number as it is printed, so that no processor's last digit gets in.
func sealedDose(c setting.Computed) edition1.Dose {
	w := edition1.Dose{What: c.Setting.What}
	var working []string
	switch {
	case c.Done && c.Value.Text != "":
		w.Value = c.Value.Text
	case c.Done:
		q := c.Value.Quantity
		w.Value, w.Unit = dose.Quantity{Value: q.Value, PlusMinus: q.PlusMinus}.String(), q.Unit.Symbol
	case c.Refusal != nil:
		working = append(working, "refused: "+c.Refusal.Why)
	}
	for _, l := range c.Result.Working {
		working = append(working, l.Formula+": "+l.Put)
	}
	for _, t := range c.Taken {
		working = append(working, fmt.Sprintf("taken until measured: %s of %s: %s", t.Ask.Question.ID, t.Ask.Thing.Path, seal.AnswerText(t.Ask.Question, t.Answer)))
	}
	for _, m := range c.Missing {
		working = append(working, fmt.Sprintf("not known: %s of %s", m.Question.ID, m.Thing.Path))
	}
	w.Working = strings.Join(working, "; ")
	return w
}
