package data

import (
	"tideline/engine/drift"
	"tideline/engine/judge"
	"tideline/explain/words"
	"tideline/rules/pack"
)

// Drift is why a book would be decided otherwise now.
type Drift struct {
	Changed   int            `json:"changed"`
	Unchanged int            `json:"unchanged"`
	Singly    bool           `json:"singly"` // every change was tried by itself on the verdicts that are the same
	Changes   []DriftChange  `json:"changes"`
	Findings  []DriftFinding `json:"findings"`
}

// DriftFinding is a verdict that is another, or was moved and moved back, or that the programs give otherwise. was, is and
// replayed are "" for no such candidate.
type DriftFinding struct {
	Treatment     string          `json:"treatment"`
	Name          string          `json:"name"`
	On            string          `json:"on"`
	Was           judge.Word      `json:"was"`
	Is            judge.Word      `json:"is"`
	Replayed      judge.Word      `json:"replayed"` // the old side as today's program judges it
	Program       *DriftProgram   `json:"program"`  // null where it does not differ
	Class         drift.Class     `json:"class"`
	EnoughFactors [][]string      `json:"enough_factors"` // of answers, rules and wishes
	NeededFactors [][]string      `json:"needed_factors"`
	Enough        [][]DriftChange `json:"enough"`
	Needed        [][]DriftChange `json:"needed"`
	EnoughTried   int             `json:"enough_tried"` // -1: to the end
	NeededTried   int             `json:"needed_tried"`
	Returns       []DriftReturn   `json:"returns"`
	Then          *Reason         `json:"then"` // the leading reasons, by today's program
	Now           *Reason         `json:"now"`
}

// DriftReturn is changes that moved a verdict, and sets of changes each of which moved it back.
type DriftReturn struct {
	Moved []DriftChange   `json:"moved"`
	To    judge.Word      `json:"to"`
	Back  [][]DriftChange `json:"back"`
	Tried int             `json:"tried"`
}

// DriftChange is a single difference between the sides.
type DriftChange struct {
	Factor   string        `json:"factor"` // answers, rules or wishes
	Kind     drift.Kind    `json:"kind"`
	On       string        `json:"on,omitempty"`
	Question string        `json:"question,omitempty"`
	Old      string        `json:"old,omitempty"`
	New      string        `json:"new,omitempty"`
	Of       pack.EditOf   `json:"of,omitempty"` // of an entry of the packs: its sort
	ID       string        `json:"id,omitempty"`
	Was      *DriftVersion `json:"was,omitempty"`
	Is       *DriftVersion `json:"is,omitempty"`
	Sentence string        `json:"sentence"`
}

// DriftVersion is an entry as one pack has it.
type DriftVersion struct {
	Text  string `json:"text"`
	Place string `json:"place"`
}

// DriftProgram is a verdict that the programs give otherwise.
type DriftProgram struct {
	Sealed      judge.Word  `json:"sealed"`
	Today       judge.Word  `json:"today"`
	SealedProof DriftCheck  `json:"sealed_proof"`
	TodayProof  DriftCheck  `json:"today_proof"`
	Erred       drift.Erred `json:"erred"`
}

// DriftCheck is how a proof fared when it was checked apart.
type DriftCheck struct {
	Given   bool   `json:"given"`
	Holds   bool   `json:"holds"`
	Failure string `json:"failure,omitempty"`
}

var factorNames = map[drift.Factor]string{drift.Answers: "answers", drift.Rules: "rules", drift.Wishes: "wishes"}

// Drifted gives why a book would be decided otherwise now.
func Drifted(r *drift.Report) Drift {
	w := Drift{Changed: r.Changed, Unchanged: r.Unchanged, Singly: r.Singly, Changes: driftSet(r.Items), Findings: []DriftFinding{}}
	for _, f := range r.Findings {
		w.Findings = append(w.Findings, driftFinding(r, f))
	}
	return w
}

func driftFinding(r *drift.Report, f drift.Finding) DriftFinding {
	w := DriftFinding{
		Treatment: f.Treatment, Name: f.Name, On: f.Path, Was: f.Was, Is: f.Is, Replayed: f.Replayed, Class: f.Class,
		EnoughFactors: factorsOf(f.EnoughFactors), NeededFactors: factorsOf(f.NeededFactors), Enough: driftSets(f.Enough), Needed: driftSets(f.Needed),
		EnoughTried: f.EnoughTried, NeededTried: f.NeededTried, Returns: []DriftReturn{},
	}
	for _, back := range f.Returns {
		w.Returns = append(w.Returns, DriftReturn{driftSet(back.Moved), back.To, driftSets(back.Back), back.Tried})
	}
	if p := f.Program; p != nil {
		w.Program = &DriftProgram{p.Sealed, p.Today, driftCheck(p.SealedProof), driftCheck(p.TodayProof), p.Erred}
	}
	w.Then, w.Now = leading(r.Old, f.WasBecause), leading(r.New, f.IsBecause)
	return w
}

func leading(g *judge.Judgement, p *judge.Proof) *Reason {
	if p == nil {
		return nil
	}
	r := reason(g, p)
	return &r
}

func driftCheck(c drift.Check) DriftCheck {
	w := DriftCheck{Given: c.Given, Holds: c.Given && c.Err == nil}
	if c.Err != nil {
		w.Failure = c.Err.Error()
	}
	return w
}

func factorsOf(sets [][]drift.Factor) [][]string {
	list := [][]string{}
	for _, s := range sets {
		var names []string
		for _, f := range s {
			names = append(names, factorNames[f])
		}
		list = append(list, names)
	}
	return list
}

func driftSets(sets []drift.Set) [][]DriftChange {
	list := [][]DriftChange{}
	for _, s := range sets {
		list = append(list, driftSet(s))
	}
	return list
}

func driftSet(s []drift.Item) []DriftChange {
	list := []DriftChange{}
	for _, i := range s {
		c := DriftChange{Factor: factorNames[i.Factor], Kind: i.Kind, Sentence: words.Change(i)}
		switch {
		case i.Kind == drift.Edited:
			c.Of, c.ID, c.Was, c.Is = i.Edit.Of, i.Edit.ID, driftVersion(i.Edit.Was), driftVersion(i.Edit.Is)
		case i.Kind == drift.Weighed:
			c.ID, c.Old, c.New = i.Of.ID, words.Number(i.From), words.Number(i.To)
		default:
			c.On = i.Path
		}
		if i.Question != nil {
			c.Question, c.Old, c.New = i.Question.ID, i.Question.Text(i.Old), i.Question.Text(i.New)
		}
		list = append(list, c)
	}
	return list
}

func driftVersion(v *pack.Version) *DriftVersion {
	if v == nil {
		return nil
	}
	return &DriftVersion{v.Text, v.Place.String()}
}
