package data

import (
	"tideline/engine/ask"
	"tideline/engine/judge"
)

// Asking is what to test next.
type Asking struct {
	Head
	Value     float64     `json:"value"` // of what is known now, in units of support
	Prices    Prices      `json:"prices"`
	Exact     bool        `json:"exact"`
	CutShort  bool        `json:"cut_short"`
	Draws     int         `json:"draws"`
	Proposals []Proposal  `json:"proposals"`
	Idle      []IdleTest  `json:"idle"`
	Shares    []OpenShare `json:"shares"`
}

// Prices are what a test costs, in units of support.
type Prices struct {
	Minute float64            `json:"minute"`
	Harm   map[string]float64 `json:"harm"`
}

// Proposal is a test, or several that only help together, with the figures behind its place.
type Proposal struct {
	Tests   []NextTest `json:"tests"`
	Gain    float64    `json:"gain"`
	Minutes float64    `json:"minutes"` // priced
	Harm    float64    `json:"harm"`    // priced
	Worth   float64    `json:"worth"`
	Firm    float64    `json:"firm"`
	Exact   bool       `json:"exact"`
	Moves   []Move     `json:"moves"`
}

// NextTest is one test.
type NextTest struct {
	Question string    `json:"question"`
	Asks     string    `json:"asks"`
	On       string    `json:"on"`
	Test     *Method   `json:"test"`
	Chances  string    `json:"chances"` // pack or equal
	Ways     []TestWay `json:"ways"`
}

// TestWay is one way in which a test could turn out.
type TestWay struct {
	Answers []string `json:"answers"` // of a number: points of each stretch
	Chance  float64  `json:"chance"`
	Value   float64  `json:"value"`
	Moves   []Move   `json:"moves"`
}

// Move is a verdict that would be another.
type Move struct {
	Treatment string       `json:"treatment"`
	On        string       `json:"on"`
	From      judge.Word   `json:"from"`
	To        []judge.Word `json:"to"`
}

// IdleTest is an open question that is not proposed.
type IdleTest struct {
	Question string  `json:"question"`
	On       string  `json:"on"`
	Gain     float64 `json:"gain"`
	Refused  bool    `json:"refused"`
}

// OpenShare is in how many of the possible outcomes a verdict is ruled out.
type OpenShare struct {
	Treatment string  `json:"treatment"`
	On        string  `json:"on"`
	RuledOut  float64 `json:"ruled_out"`
	Outcomes  float64 `json:"outcomes"` // 0: too many to count
}

// Ask gives what to test next.
func Ask(r *ask.Report) Asking {
	prices := r.Judgement.Case.Pack.Asking
	a := Asking{
		Head: head(r.Judgement), Value: r.Value, Prices: Prices{prices.Minute, prices.Harm}, Exact: r.Exact, CutShort: r.Cut, Draws: r.Draws,
		Proposals: []Proposal{}, Idle: []IdleTest{}, Shares: []OpenShare{},
	}
	for _, p := range r.Proposals {
		w := Proposal{Tests: []NextTest{}, Gain: p.Gain, Minutes: p.Price.Minutes, Harm: p.Price.Harm, Worth: p.Worth, Firm: p.Firm, Exact: p.Exact, Moves: moves(p.Moves)}
		for _, t := range p.Tests {
			w.Tests = append(w.Tests, nextTest(r, t))
		}
		a.Proposals = append(a.Proposals, w)
	}
	for _, i := range r.Idle {
		a.Idle = append(a.Idle, IdleTest{i.Ask.Question.ID, i.Ask.Thing.Path, i.Gain, i.Refused})
	}
	for _, s := range r.Shares {
		a.Shares = append(a.Shares, OpenShare{s.Verdict.Treatment.ID, s.Verdict.Target.Path, s.Out, s.All})
	}
	return a
}

func nextTest(r *ask.Report, t ask.Test) NextTest {
	w := NextTest{Question: t.Ask.Question.ID, Asks: t.Ask.Question.Asks, On: t.Ask.Thing.Path, Test: method(r.Judgement, t.Test), Chances: "equal", Ways: []TestWay{}}
	if t.Held {
		w.Chances = "pack"
	}
	for _, way := range t.Ways {
		turn := TestWay{Answers: []string{}, Chance: way.Chance, Value: way.Value, Moves: moves(way.Moves)}
		for _, a := range way.Answers {
			turn.Answers = append(turn.Answers, t.Ask.Question.Text(a))
		}
		w.Ways = append(w.Ways, turn)
	}
	return w
}

func moves(list []ask.Move) []Move {
	w := []Move{}
	for _, m := range list {
		w = append(w, Move{m.Verdict.Treatment.ID, m.Verdict.Target.Path, m.Verdict.Word, m.To})
	}
	return w
}
