package decision

import (
	"time"

	"tideline/engine/judge"
	"tideline/engine/seal/edition1"
)

// Sealed gives a decision as it is sealed.
func (d *Decision) Sealed() *edition1.Decision {
	w := &edition1.Decision{By: d.By, Date: day(d.Date)}
	for _, a := range d.Accepted {
		w.Accepted = append(w.Accepted, edition1.Accepted{Step: a.Verdict.Treatment.ID, On: a.Verdict.Target.Path, Cautions: a.Cautions})
	}
	for _, p := range d.Departures {
		e := edition1.Departure{Test: p.Test, On: p.On, Did: p.Did, Left: p.Left, Because: p.Because, Cautions: p.Cautions}
		if p.Verdict != nil {
			e.Step, e.On = p.Verdict.Treatment.ID, p.Verdict.Target.Path
		}
		w.Departures = append(w.Departures, e)
	}
	if d.Consent != nil {
		w.Consent = &edition1.Consent{By: d.Consent.By, Date: day(d.Consent.Date), Form: d.Consent.Form}
	}
	return w
}

func day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

// Overrides gives the verdicts that say "ruled out" and are departed from by doing the step.
func (d *Decision) Overrides() []Departure {
	var list []Departure
	for _, p := range d.Departures {
		if p.Verdict != nil && p.Did != "" && p.Verdict.Word == judge.RuledOut {
			list = append(list, p)
		}
	}
	return list
}

// ToDo gives the verdicts of the steps that are to be done: those accepted, and those departed to.
func (d *Decision) ToDo() []*judge.Verdict {
	var list []*judge.Verdict
	for _, a := range d.Accepted {
		list = append(list, a.Verdict)
	}
	for _, p := range d.Departures {
		if p.Verdict != nil && p.Did != "" {
			list = append(list, p.Verdict)
		}
	}
	return list
}
