package data

import (
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/setting"
	"tideline/explain/words"
	"tideline/rules/cond"
	"tideline/rules/vocab"
)

// Call is what a function in a condition was given, and what it gives.
type Call struct {
	Function string    `json:"function"`
	Values   []Given   `json:"values"`            // of its parameters, in order
	Gives    *Quantity `json:"gives,omitempty"`   // when it was computed
	Refusal  string    `json:"refusal,omitempty"` // why it cannot be computed, whatever is answered
	Memory   bool      `json:"from_memory"`       // no source was opened for what it gives
	Working  []string  `json:"working"`           // a line each
	Sources  []string  `json:"sources"`
}

// Given is one value given to a function.
type Given struct {
	Name  string `json:"name"`
	Known bool   `json:"known"`
	Shown string `json:"shown"` // as printed; "" when not known
}

// Quantity is a number in a unit of conditions.
type Quantity struct {
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
	Shown string  `json:"shown"`
}

func call(p *judge.Proof) *Call {
	d := p.Dose
	working, from := words.Worked(d, p.Value == cond.True)
	w := &Call{Function: d.Call.Function.Name, Values: []Given{}, Memory: d.Call.Function.Memory, Working: list(working), Sources: list(from)}
	for i, v := range d.Values {
		param := d.Call.Function.Params[i]
		g := Given{Name: param.Name, Known: v.Known}
		if v.Known {
			q := vocab.Question{Type: vocab.Number, Unit: param.Unit}
			if len(param.Words) > 0 {
				q.Type = vocab.Words
			}
			g.Shown = q.Text(v)
		}
		w.Values = append(w.Values, g)
	}
	if p.Value == cond.True {
		unit := d.Call.Function.Unit
		w.Gives = &Quantity{d.Value, unit, words.Measure(unit, d.Value)}
	}
	if d.Refusal != nil {
		w.Refusal = words.Refusal(d.Refusal)
	}
	return w
}

// Setting is a setting computed for a target: the value with its working, or what is missing, or why it is refused.
type Setting struct {
	What     string       `json:"what"`
	Written  string       `json:"written,omitempty"` // what the pack says beside it
	Because  string       `json:"because,omitempty"`
	Dose     string       `json:"dose"` // the call as written
	Value    *DoseValue   `json:"value,omitempty"`
	Result   *DoseResult  `json:"result,omitempty"`
	Given    []Answer     `json:"given"`   // the answers it was computed with
	Taken    []Taken      `json:"taken"`   // answers taken until the book has its own
	Missing  []Lacking    `json:"missing"` // without these it cannot be computed
	Refusal  *DoseRefusal `json:"refusal,omitempty"`
	Sources  []Source     `json:"sources"`
	Standing string       `json:"standing,omitempty"`
}

// Lacking is a question that is not answered.
type Lacking struct {
	Question string `json:"question"`
	Asks     string `json:"asks"`
	On       string `json:"on"`
}

// Taken is a question that is not answered, and the answer taken for it until it is measured.
type Taken struct {
	Lacking
	As string `json:"as"`
}

// Settings gives the settings computed for the target of a verdict.
func Settings(g *judge.Judgement, v *judge.Verdict) []Setting {
	list := []Setting{}
	for _, c := range setting.Of(g.Case, v.Treatment, v.Target) {
		s := c.Setting
		w := Setting{
			What: s.What, Written: s.Value, Because: s.Because, Dose: s.Dose.Text, Given: []Answer{}, Taken: []Taken{}, Missing: []Lacking{},
			Sources: sources(g, s.Cite), Standing: s.Standing,
		}
		if c.Done {
			w.Result = Dosed(c.Result, c.Danger, "").Result
			for i := range w.Result.Values {
				if w.Result.Values[i].Name == c.Value.Name {
					w.Value = &w.Result.Values[i]
				}
			}
		}
		if c.Refusal != nil {
			w.Refusal = DoseRefused(c.Refusal).Refusal
		}
		for _, ask := range c.Given {
			number := g.Case.Number(ask.Thing, ask.Question)
			w.Given = append(w.Given, *answer(g, &judge.Proof{Step: judge.StepAnswer, Value: cond.True, Thing: ask.Thing, Ask: number, About: &judge.About{}}))
		}
		for _, t := range c.Taken {
			w.Taken = append(w.Taken, Taken{lacking(t.Ask), t.Ask.Question.Text(t.Answer)})
		}
		for _, ask := range c.Missing {
			w.Missing = append(w.Missing, lacking(ask))
		}
		list = append(list, w)
	}
	return list
}

func lacking(ask evidence.Ask) Lacking {
	return Lacking{ask.Question.ID, ask.Question.Asks, ask.Thing.Path}
}
