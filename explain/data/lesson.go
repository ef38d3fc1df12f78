package data

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/lesson"
	"tideline/explain/account"
	"tideline/explain/words"
)

// Exercises is a set of exercises with what is accepted.
type Exercises struct {
	Head
	Seed      uint64     `json:"seed"`
	Exercises []Exercise `json:"exercises"`
}

// Exercise is one exercise. Accepted holds answers any of which is right: each a set of what must be named.
type Exercise struct {
	Kind     lesson.Kind     `json:"kind"`
	About    string          `json:"about"`
	Verdict  *Brief          `json:"verdict"` // what it is about; null for out and order
	Changed  *SupposedAnswer `json:"changed"` // the answer taken otherwise than recorded
	Shown    []Shown         `json:"shown"`
	Given    []Shown         `json:"given"` // what nobody tests
	Asked    *Shown          `json:"asked"` // of an answer: the question whose answer is asked for
	Choices  []string        `json:"choices"`
	Accepted [][]string      `json:"accepted"`
	More     bool            `json:"more"` // there may be other sets that are right
	Reasons  []Reason        `json:"reasons"`
}

// Shown is an answer that an exercise tells.
type Shown struct {
	Question string `json:"question"`
	Asks     string `json:"asks"`
	On       string `json:"on"`
	Answer   string `json:"answer"`
}

// Lesson gives exercises.
func Lesson(g *judge.Judgement, seed uint64, list []*lesson.Exercise) (Exercises, error) {
	w := Exercises{Head: head(g), Seed: seed, Exercises: []Exercise{}}
	for _, e := range list {
		x, err := exercise(e)
		if err != nil {
			return w, err
		}
		w.Exercises = append(w.Exercises, x)
	}
	return w, nil
}

func exercise(e *lesson.Exercise) (Exercise, error) {
	g := e.Judgement
	w := Exercise{Kind: e.Kind, About: words.LessonAbout(e), Shown: []Shown{}, Given: []Shown{}, Choices: []string{}, Reasons: []Reason{}}
	if e.Verdict != nil {
		b := brief(e.Verdict)
		w.Verdict = &b
	}
	if c := e.Changed; c != nil {
		w.Changed = &SupposedAnswer{c.Question.ID, c.Thing.Path, words.Answer(e.Recorded()), c.Question.Text(c.Answer)}
	}
	for _, n := range e.Shown {
		w.Shown = append(w.Shown, shown(g.Case.Asks[n]))
	}
	for _, n := range e.Given {
		w.Given = append(w.Given, shown(g.Case.Asks[n]))
	}
	if e.Hidden >= 0 {
		asked := shown(g.Case.Asks[e.Hidden])
		w.Asked = &asked
	}
	for _, v := range e.Verdicts {
		w.Choices = append(w.Choices, words.On(v.Treatment.ID, v.Target.Path))
		if v.Word == judge.RuledOut {
			w.Reasons = append(w.Reasons, ruling(g, v)...)
		}
	}
	for _, n := range e.Asks {
		w.Choices = append(w.Choices, words.Path(g.Case.Asks[n]))
	}
	for _, p := range e.Principles {
		w.Choices = append(w.Choices, p.ID)
	}
	if e.Lead != nil {
		w.Reasons = append(w.Reasons, reason(g, e.Lead))
	}
	return w, accepted(e, &w)
}

func shown(a evidence.Ask) Shown {
	return Shown{a.Question.ID, a.Question.Asks, a.Thing.Path, words.Answer(a)}
}

// ruling gives the reasons that rule a treatment out.
func ruling(g *judge.Judgement, v *judge.Verdict) (list []Reason) {
	for _, r := range account.Of(g, v).RulesOut {
		list = append(list, reason(g, r))
	}
	return list
}

// accepted fills in what is right.
func accepted(e *lesson.Exercise, w *Exercise) error {
	path := func(n int) string { return words.Path(e.Judgement.Case.Asks[n]) }
	switch e.Kind {
	case lesson.Verdict:
		w.Accepted = [][]string{{string(e.Verdict.Word)}}
	case lesson.Reason:
		sets, more, err := e.Enough()
		if err != nil {
			return err
		}
		w.More = more
		for _, s := range sets {
			var names []string
			for _, n := range s {
				names = append(names, path(n))
			}
			w.Accepted = append(w.Accepted, names)
		}
	case lesson.Answer:
		list, err := e.Accepted()
		if err != nil {
			return err
		}
		q := e.Judgement.Case.Asks[e.Hidden].Question
		w.Accepted = [][]string{{words.Ranges(q, list, account.Points(e.Judgement.Case, q))}}
	case lesson.Out:
		w.Accepted = [][]string{{}}
		for i, v := range e.Verdicts {
			if v.Word == judge.RuledOut {
				w.Accepted[0] = append(w.Accepted[0], w.Choices[i])
			}
		}
	case lesson.Next:
		for _, n := range e.Deciding() {
			w.Accepted = append(w.Accepted, []string{path(n)})
		}
	case lesson.Order:
		for _, order := range e.Orders() {
			var names []string
			for _, i := range order {
				names = append(names, w.Choices[i])
			}
			w.Accepted = append(w.Accepted, names)
		}
	default:
		w.Accepted = [][]string{{e.Lead.Rule.Principle}}
	}
	return nil
}

// ScoreHead is the first line of a score sheet for a spreadsheet.
var ScoreHead = []string{"number", "book", "seed", "kind", "about", "changed", "said", "outcome", "points", "tries", "hints", "not needed", "topics", "sources"}

// Score writes the rows of a score sheet as CSV (RFC 4180), without the head. No cell can be taken for a formula.
func Score(s *lesson.Sheet) []byte {
	var list [][]string
	for i, r := range s.Rows {
		e := r.Exercise
		changed := ""
		if c := e.Changed; c != nil {
			changed = fmt.Sprintf("%s.%s=%s", c.Thing.Path, c.Question.Name, c.Question.Text(c.Answer))
		}
		var topics []string
		for _, t := range e.Topics() {
			topics = append(topics, words.LessonTopic(t))
		}
		list = append(list, []string{
			fmt.Sprint(i + 1), s.Title, fmt.Sprint(s.Seed), string(e.Kind), words.LessonAbout(e), changed, r.Said, string(r.Outcome),
			words.Number(r.Outcome.Points()), fmt.Sprint(r.Tries), fmt.Sprint(r.Hints), fmt.Sprint(r.Needless), strings.Join(topics, "; "), cited(e),
		})
	}
	return CSV(list)
}

// cited names the sources of the rules an exercise rests on, or how well they are founded where they name none.
func cited(e *lesson.Exercise) string {
	var list []string
	note := func(r *judge.Proof) {
		names := []string{r.Rule.Standing}
		if len(r.Rule.Sources) > 0 {
			names = nil
		}
		for _, id := range r.Rule.Sources {
			if s := e.Judgement.Case.Pack.Source(id); s != nil {
				names = append(names, words.Source(s))
			}
		}
		for _, name := range names {
			if !slices.Contains(list, name) {
				list = append(list, name)
			}
		}
	}
	if e.Lead != nil {
		note(e.Lead)
	}
	for _, v := range e.Verdicts {
		if rules := account.Of(e.Judgement, v).RulesOut; len(rules) > 0 && e.Kind == lesson.Out {
			note(rules[0])
		}
	}
	return strings.Join(list, "; ")
}

// CSV writes rows. What a spreadsheet would reckon with is marked as text by an apostrophe, as spreadsheets themselves do.
func CSV(rows [][]string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	for _, row := range rows {
		cells := make([]string, len(row))
		for i, cell := range row {
			if cell = words.Safe(cell); cell != "" && strings.ContainsRune("=+-@\t\r", rune(cell[0])) {
				cell = "'" + cell
			}
			cells[i] = cell
		}
		w.Write(cells) // a Buffer takes everything
	}
	w.Flush()
	return b.Bytes()
}
