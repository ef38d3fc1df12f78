package data

import (
	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/explain/account"
	"tideline/explain/words"
)

// Planned is a plan: its steps in order, what it leaves, what follows from tests not done, the next best.
type Planned struct {
	Head
	// Contradictions are answers that cannot all be true; nothing is planned then.
	Contradictions []Contradiction `json:"contradictions"`
	Steps          []Step          `json:"steps"`
	Untreated      []Untreated     `json:"untreated"`
	Alternatives   []Alternative   `json:"alternatives"`
	Waits          []Wait          `json:"waits"`
	Brought        []Brought       `json:"brought"`
	Cost           PlanCost        `json:"cost"`
	Proven         bool            `json:"proven"` // no better plan exists
	Rest           *Brief          `json:"rest"`   // leaving it alone, where that is recommended
	Changes        *PlanChange     `json:"changes,omitempty"`
	Schedule       *Scheduled      `json:"schedule,omitempty"`
}

// Step is a step of a plan.
type Step struct {
	Treatment    string      `json:"treatment"`
	Name         string      `json:"name"`
	Targets      []Target    `json:"targets"`
	Verdict      judge.Word  `json:"verdict"` // on the book it meets
	For          []Purpose   `json:"for"`
	NeededBy     []PlanKey   `json:"needed_by"`
	Meets        []string    `json:"meets"` // findings brought, by path
	Intervention int         `json:"intervention"`
	Retreatable  string      `json:"retreatable"`
	Retests      []Retest    `json:"retests"`
	Settings     []Preset    `json:"settings"`
	Doses        []Setting   `json:"doses"`
	Cautions     []Caution   `json:"cautions"`
	StopSigns    []string    `json:"stop_signs"`
	Materials    []string    `json:"materials"`
	Equipment    []string    `json:"equipment"`
	Minutes      StepMinutes `json:"minutes"`
	Brings       []string    `json:"brings"` // findings, by path
	CanBring     []Mishap    `json:"can_bring"`
	Must         bool        `json:"must"` // no plan does as much without it
}

// StepMinutes are hands-on and waiting.
type StepMinutes struct {
	Active  int `json:"active"`
	Waiting int `json:"waiting"`
}

// PlanKey names a treatment and the thing it is done to.
type PlanKey struct {
	Treatment string `json:"treatment"`
	On        string `json:"on"`
}

// Purpose is something that calls for care.
type Purpose struct {
	On        string   `json:"on"`
	Questions []string `json:"questions"` // empty for a finding
	Aims      []string `json:"aims"`
}

// Preset is a setting as the pack writes it.
type Preset struct {
	What     string   `json:"what"`
	Value    string   `json:"value"`
	Because  string   `json:"because,omitempty"`
	Sources  []Source `json:"sources"`
	Standing string   `json:"standing,omitempty"`
}

// Retest is a test to be done again before a step.
type Retest struct {
	Question string `json:"question"`
	On       string `json:"on"`
	Was      string `json:"was"`
	Expected string `json:"expected"` // what the plan counts on
}

// Mishap is what a step can bring when it goes wrong, and what could be done then.
type Mishap struct {
	Kind string  `json:"kind"`
	On   string  `json:"on"`
	Then []Brief `json:"then"`
}

// Brought is a finding that steps are expected to bring.
type Brought struct {
	Path string    `json:"path"`
	Kind string    `json:"kind"`
	By   []PlanKey `json:"by"`
	Met  *PlanKey  `json:"met"` // null when it is accepted
}

// Untreated is something that calls for care and gets none, or is only lessened.
type Untreated struct {
	Purpose
	Lessened bool    `json:"lessened"`
	Done     string  `json:"done,omitempty"` // the day of a step done for it whose outcome was not said
	Verdicts []Brief `json:"verdicts"`
}

// Alternative is a next best plan.
type Alternative struct {
	With    []PlanKey `json:"with"`
	Without []PlanKey `json:"without"`
	Loses   string    `json:"loses"`
	Cost    PlanCost  `json:"cost"`
}

// PlanCost is what plans are compared by, the weightiest first.
type PlanCost struct {
	Undone   int     `json:"undone"`
	Unmet    int     `json:"unmet"`
	Lessened int     `json:"lessened"`
	Classes  [5]int  `json:"steps_by_intervention"` // the gravest (5) first
	Steps    int     `json:"steps"`
	Support  float64 `json:"support"`
	Active   int     `json:"minutes_active"`
	Waiting  int     `json:"minutes_waiting"`
}

// Wait is a test that could let more be done.
type Wait struct {
	Question string    `json:"question"`
	Asks     string    `json:"asks"`
	On       string    `json:"on"`
	For      []PlanKey `json:"for"`
	Ways     []PlanWay `json:"ways"`
}

// PlanWay is one way in which a test could turn out.
type PlanWay struct {
	Answers []string  `json:"answers"`
	With    []PlanKey `json:"with"`
	Without []PlanKey `json:"without"`
	Cost    PlanCost  `json:"cost"`
	Then    *Wait     `json:"then"`
}

// PlanChange is how a plan differs from an earlier one.
type PlanChange struct {
	Dropped []PlanMove `json:"dropped"`
	Added   []PlanMove `json:"added"`
	Moved   []PlanMove `json:"moved"`
	Kept    int        `json:"kept"`
}

// PlanMove is a step that came, went or moved, with what made it so.
type PlanMove struct {
	PlanKey
	Was     int           `json:"was"` // its place, from 1; 0 for none
	Is      int           `json:"is"`
	Done    bool          `json:"done"`
	Finding *DriftFinding `json:"finding"` // null when its verdict is as it was
}

// Plan gives a plan.
func Plan(p *plan.Plan, waits []*plan.Wait, change *plan.Change) (*Planned, error) {
	w := &Planned{
		Head: head(p.Judgement), Contradictions: contradictions(p.Judgement), Steps: []Step{}, Untreated: []Untreated{}, Alternatives: []Alternative{}, Waits: []Wait{}, Brought: []Brought{},
		Cost: costed(p.Cost), Proven: p.Proven,
	}
	if p.Rest != nil {
		b := brief(p.Rest)
		w.Rest = &b
	}
	for _, s := range p.Steps {
		step, err := stepOf(s)
		if err != nil {
			return nil, err
		}
		w.Steps = append(w.Steps, step)
	}
	for _, l := range p.Left {
		u := Untreated{Purpose: purpose(l.Subject), Lessened: l.Lessened, Verdicts: []Brief{}}
		for _, v := range l.Verdicts {
			u.Verdicts = append(u.Verdicts, brief(v))
		}
		if l.Done != nil {
			u.Done = words.Day(l.Done.Date)
		}
		w.Untreated = append(w.Untreated, u)
	}
	for _, a := range p.Next {
		w.Alternatives = append(w.Alternatives, Alternative{keys(a.With), keys(a.Without), words.Loses(p.Cost, a.Cost), costed(a.Cost)})
	}
	for _, b := range p.Brought {
		one := Brought{Path: b.Path, Kind: b.Kind, By: keys(b.By)}
		if b.Met != nil {
			one.Met = &PlanKey{b.Met.Treatment, b.Met.Path}
		}
		w.Brought = append(w.Brought, one)
	}
	for _, one := range waits {
		w.Waits = append(w.Waits, *wait(one))
	}
	w.Changes = changed(change)
	return w, nil
}

func stepOf(s *plan.Step) (Step, error) {
	t := s.Treatment
	a := account.Of(s.State, s.Verdict)
	v := verdict(s.State, a)
	w := Step{
		Treatment: t.ID, Name: t.Name, Targets: []Target{target(s.Verdict.Target)}, Verdict: s.Verdict.Word, For: []Purpose{}, NeededBy: keys(s.Needed),
		Meets: []string{}, Intervention: t.Intervention, Retreatable: t.Retreatable, Retests: []Retest{}, Settings: []Preset{}, Doses: Settings(s.State, s.Verdict),
		Cautions: v.Cautions, StopSigns: list(t.StopSigns), Materials: list(t.Materials), Equipment: list(t.Equipment),
		Minutes: StepMinutes{t.Active, t.Waiting}, Brings: []string{}, CanBring: []Mishap{}, Must: s.Must,
	}
	for _, sub := range s.For {
		w.For = append(w.For, purpose(sub))
	}
	for _, b := range s.Meets {
		w.Meets = append(w.Meets, b.Path)
	}
	for _, b := range s.Brings {
		w.Brings = append(w.Brings, b.Path)
	}
	for _, r := range s.Retests {
		w.Retests = append(w.Retests, Retest{r.Question.ID, r.Path, r.Question.Text(r.Before), r.Question.Text(r.Expected)})
	}
	for _, set := range t.Settings {
		if set.Dose == nil {
			w.Settings = append(w.Settings, Preset{set.What, set.Value, set.Because, sources(s.State, set.Cite), set.Standing})
		}
	}
	mishaps, err := s.Mishaps()
	for _, m := range mishaps {
		one := Mishap{Kind: m.Kind, On: m.On, Then: []Brief{}}
		for _, v := range m.Then {
			one.Then = append(one.Then, brief(v))
		}
		w.CanBring = append(w.CanBring, one)
	}
	return w, err
}

func purpose(s *plan.Subject) Purpose {
	p := Purpose{On: s.Path, Questions: []string{}, Aims: list(s.Aims)}
	for _, q := range s.Asks {
		p.Questions = append(p.Questions, q.ID)
	}
	return p
}

func keys(of []plan.Key) []PlanKey {
	list := []PlanKey{}
	for _, k := range of {
		list = append(list, PlanKey{k.Treatment, k.Path})
	}
	return list
}

func costed(c plan.Cost) PlanCost {
	return PlanCost{c.Undone, c.Unmet, c.Lessened, c.Classes, c.Steps, float64(c.Support) / 1e6, c.Active, c.Waiting}
}

func wait(w *plan.Wait) *Wait {
	if w == nil {
		return nil
	}
	one := &Wait{Question: w.Ask.Question.ID, Asks: w.Ask.Question.Asks, On: w.Ask.Thing.Path, For: keys(w.For), Ways: []PlanWay{}}
	for _, way := range w.Ways {
		p := PlanWay{Answers: []string{}, With: keys(way.With), Without: keys(way.Without), Cost: costed(way.Plan.Cost), Then: wait(way.Then)}
		for _, a := range way.Answers {
			p.Answers = append(p.Answers, w.Ask.Question.Text(a))
		}
		one.Ways = append(one.Ways, p)
	}
	return one
}

func changed(c *plan.Change) *PlanChange {
	if c == nil {
		return nil
	}
	moves := func(list []*plan.Moved) []PlanMove {
		all := []PlanMove{}
		for _, m := range list {
			one := PlanMove{PlanKey: PlanKey{m.Treatment, m.Path}, Was: m.Was, Is: m.Is, Done: m.Done}
			if m.Finding != nil {
				f := driftFinding(c.Report, *m.Finding)
				one.Finding = &f
			}
			all = append(all, one)
		}
		return all
	}
	return &PlanChange{moves(c.Dropped), moves(c.Added), moves(c.Moved), c.Kept}
}
