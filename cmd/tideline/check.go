package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/explain/words"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

func newCheck(a *app) *cobra.Command {
	c := &cobra.Command{
		Use:   "check BOOK...",
		Short: "Reads book records and says what is wrong with them",
		Long: `Reads book records and says everything that is wrong with them, with file, line
and column. For a record that can be judged it says what was read, and what to
know before judging: results that no longer stand, answers that cannot all be
true, aims not given.`,
		Example: `  tideline check testdata/books/lantern-street-4.yaml
  tideline check testdata/books/*.yaml
  tideline check - < testdata/books/lantern-street-4.yaml`,
		Args:              takes(1, 0),
		ValidArgsFunction: completeManyBooks,
		RunE: func(_ *cobra.Command, args []string) error {
			p, err := a.loadPack()
			if err != nil {
				return err
			}
			return a.check(args, p)
		},
	}
	a.onFlag(c)
	return c
}

// checked is what came of checking one book.
type checked struct {
	Book     string        `json:"book"`
	Title    string        `json:"title,omitempty"`
	Parts    int           `json:"parts"`
	Inks     int           `json:"inks"`
	Findings int           `json:"findings"`
	Answers  int           `json:"answers"`
	Notes    []string      `json:"notes"`
	Faults   []fault.Fault `json:"faults"`
}

// check checks all books, and gives all their faults as one error.
func (a *app) check(paths []string, p *pack.Pack) error {
	var faults fault.Errors
	results := []checked{}
	for _, path := range paths {
		r := checked{Book: path, Notes: []string{}, Faults: []fault.Fault{}}
		g, err := a.checkBook(path, p)
		var found fault.Errors
		switch {
		case errors.As(err, &found):
			r.Faults = found
			faults = append(faults, found...)
		case err != nil:
			return err
		default:
			r.tell(g)
		}
		results = append(results, r)
	}
	if a.json {
		if err := a.writeJSON(results); err != nil {
			return err
		}
	} else if err := a.printChecked(results); err != nil {
		return err
	}
	if len(faults) > 0 {
		return faults
	}
	return nil
}

func (a *app) checkBook(path string, p *pack.Pack) (*judge.Judgement, error) {
	b, err := a.load(path, p)
	if err != nil {
		return nil, err
	}
	return a.judgeBook(b, p)
}

func (r *checked) tell(g *judge.Judgement) {
	b := g.Case.Book
	r.Title = b.Title
	for _, t := range b.Things {
		switch t.Kind {
		case vocab.Part:
			r.Parts++
		case vocab.Ink:
			r.Inks++
		case vocab.Finding:
			r.Findings++
		}
	}
	for _, result := range b.Results {
		if !result.Question.Measured {
			r.Answers++
		}
	}
	r.Notes = append(r.Notes, notes(g)...)
}

// notes says what to know before judging.
func notes(g *judge.Judgement) []string {
	var list []string
	for _, c := range g.Contradictions {
		list = append(list, words.Labelled(words.CannotBothBe, words.Of(words.Thing(c.Thing), c.Never.Because)))
	}
	if g.Case.Book.Aims == nil {
		list = append(list, words.NoAimsGiven)
	}
	type lapse struct{ question, why string }
	var order []lapse
	things := map[lapse][]*evidence.Thing{}
	note := func(ask evidence.Ask, why string) {
		l := lapse{ask.Question.Asks, why}
		if things[l] == nil {
			order = append(order, l)
		}
		things[l] = append(things[l], ask.Thing)
	}
	for _, t := range g.Case.Things {
		if t.Unlisted {
			note(g.Case.Asks[t.Listed], words.ListOpen)
		}
	}
	for _, ask := range g.Case.Asks {
		if ask.Lapsed != nil {
			note(ask, words.Answer(ask))
		}
	}
	for _, l := range order {
		list = append(list, words.Answered(words.Things(things[l]), l.question, l.why))
	}
	return list
}

func (a *app) printChecked(results []checked) error {
	for _, r := range results {
		if len(r.Faults) > 0 {
			continue
		}
		line := fmt.Sprintf("%s: %s: %s\n", r.Book, r.Title, words.Read(r.Parts, r.Inks, r.Findings, r.Answers))
		for _, n := range r.Notes {
			line += "  " + n + "\n"
		}
		if err := a.write(words.Safe(line)); err != nil {
			return err
		}
	}
	return nil
}
