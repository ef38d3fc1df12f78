package bench

import (
	"fmt"
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/plan"
	"tideline/engine/setting"
	"tideline/explain/account"
	"tideline/explain/words"
	"tideline/rules/pack"
)

// mostInFull is how many cautions a step tells in full: those it is the first to have, dangers to people first. What is over
// is told in full in the list before the steps. Dangers to people are named at every step they go with. Nothing is left out.
const mostInFull = 4

// Caution is something to watch for, numbered over the whole sheet.
type Caution struct {
	Number   int
	People   bool // a danger to people
	Open     bool // whether it applies is not known yet
	Say      string
	Protect  string // the protection, when to stop and when to hand over; "" when the pack says none
	Standing string
	Steps    []int
	At       int // the step that tells it in full; 0 for the list before the steps
}

// Text is the caution in full.
func (c *Caution) Text() string { return words.Caution(c.Say, c.Protect, c.People, c.Open) }

// Short names the danger alone.
func (c *Caution) Short() string { return words.Caution(c.Say, "", c.People, c.Open) }

// Told is a caution as a step tells it.
type Told struct {
	*Caution
	Full   bool
	Things string // what it is about, by its paths; "" for what the step is done to
}

// Again are cautions to the book that a step has too, and that are told in full elsewhere.
type Again struct {
	At   int // the step, 0 for the list before the steps
	List []Told
}

// Line names them by their numbers, those that are about something else than the step with what that is.
func (a *Again) Line() string {
	list := slices.Clone(a.List)
	slices.SortFunc(list, func(x, y Told) int { return x.Number - y.Number })
	var plain []int
	var about []string
	for _, t := range list {
		if t.Things == "" {
			plain = append(plain, t.Number)
		} else {
			about = append(about, words.NumberOf(t.Number, t.Things))
		}
	}
	return words.AlsoCautions(plain, about, a.At)
}

// cautions tells what to watch for with a step: the treatment's hazards, those of the tests done again, what rules warn of, and
// what comes with settings computed.
func (m *maker) cautions(w *Step, s *plan.Step) {
	var drafts []draft
	hazards := func(of []pack.Hazard) {
		for i := range of {
			drafts = append(drafts, draft{Caution: m.hazard(&of[i])})
		}
	}
	hazards(s.Treatment.Hazards)
	for _, t := range w.Tests {
		if how := s.State.Case.Pack.Test(t.ID); how != nil {
			hazards(how.Hazards)
		}
	}
	for _, c := range account.Of(s.State, s.Verdict).Cautions {
		if c.Reason != nil {
			rule := c.Reason.Rule
			drafts = append(drafts, draft{
				Caution{People: c.Hazard, Open: c.Open, Say: c.Say, Standing: rule.Standing},
				others(c.Things, s.Verdict.Target),
			})
		}
	}
	for _, c := range setting.Of(s.State.Case, s.Treatment, s.Verdict.Target) {
		for _, say := range c.Result.Cautions {
			drafts = append(drafts, draft{Caution: Caution{People: c.Danger, Say: say}})
		}
	}
	slices.SortStableFunc(drafts, func(a, b draft) int { return a.order() - b.order() })
	m.tell(w, drafts)
}

// draft is a caution that may have been told at an earlier step.
type draft struct {
	Caution
	things string
}

// tell numbers the cautions of a step, each once, and says which it tells in full.
func (m *maker) tell(w *Step, drafts []draft) {
	var list []Told
	for _, d := range drafts {
		one := m.caution(d.Caution)
		if !slices.Contains(one.Steps, w.Number) {
			one.Steps = append(one.Steps, w.Number)
			list = append(list, Told{one, false, d.things})
		}
	}
	full := 0
	for i, t := range list {
		if t.Steps[0] == w.Number && full < mostInFull {
			full++
			list[i].Full, t.At = true, w.Number
		}
	}
	for _, t := range list {
		switch {
		case t.People:
			w.Dangers = append(w.Dangers, t)
		case t.Full:
			w.Watch = append(w.Watch, t)
		default:
			w.again(t)
		}
	}
}

// again notes a caution told in full elsewhere.
func (s *Step) again(t Told) {
	i := slices.IndexFunc(s.Again, func(a *Again) bool { return a.At == t.At })
	if i < 0 {
		i = len(s.Again)
		s.Again = append(s.Again, &Again{At: t.At})
	}
	s.Again[i].List = append(s.Again[i].List, t)
}

// order puts dangers to people before harm to the book, what applies before what may.
func (c *Caution) order() (n int) {
	if !c.People {
		n += 2
	}
	if c.Open {
		n++
	}
	return n
}

// others names the things a caution speaks of, where they are not what the step is done to.
func others(things []*evidence.Thing, target *evidence.Thing) string {
	if len(things) == 0 || len(things) == 1 && things[0] == target {
		return ""
	}
	return words.Things(things)
}

func (m *maker) hazard(h *pack.Hazard) Caution {
	return Caution{People: true, Say: h.Danger, Protect: words.Protect(h), Standing: h.Standing}
}

// caution gives the one caution that says the same, numbered when it is new.
func (m *maker) caution(c Caution) *Caution {
	key := fmt.Sprint(c.Say, "\x00", c.Protect, "\x00", c.People, c.Open)
	if known := m.by[key]; known != nil {
		return known
	}
	c.Number = len(m.sheet.Cautions) + 1
	m.by[key] = &c
	m.sheet.Cautions = append(m.sheet.Cautions, &c)
	return &c
}
