package main

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"tideline/engine/judge"
	"tideline/engine/lesson"
	"tideline/engine/verify"
	"tideline/explain/data"
	dialogue "tideline/explain/lesson"
)

// lessonFlags are the flags of `tideline lesson`.
type lessonFlags struct {
	questions    int
	seed         uint64
	notes, score string
}

// mostQuestions is how many exercises one run may ask for.
const mostQuestions = 500

func newLesson(a *app) *cobra.Command {
	var f lessonFlags
	c := &cobra.Command{
		Use:   "lesson BOOK",
		Short: "Questions an apprentice on the proofs of a book",
		Long: `Asks an apprentice what is ruled out and by which results, what to test next, in
what order steps come, and which principle lies behind a rule. Each exercise
hides one node of a real proof: first the verdict, once that is known the results
it rests on, then the answer to look for. Many take one decisive answer of the
book otherwise, so that no two of a run are alike; the record is left as it is.

What is named as a reason is judged with nothing else known: any results that are
enough are right. A wrong answer is answered by the first step at which it fails,
and what was missed by its rule, reason and source.

Answers are typed as numbers or words; ? gives a hint, pass shows the answer, q
stops. All is plain lines, so that a pipe and a screen reader can use it.

What an apprentice got wrong is asked again, and known rules less. That is kept
in one file for each apprentice, not in the book: lesson-notes.json in the
tideline folder where this machine keeps the settings of programs, or the file
of --notes. It is written whole after every exercise and never written over when
it is damaged. --score adds a sheet for the teacher to a CSV file. --json prints
the exercises with what is accepted, each taken as answered right, and asks
nothing.`,
		Example: `  tideline lesson testdata/books/lantern-street-4.yaml
  tideline lesson testdata/books/lantern-street-4.yaml --questions 5 --notes /tmp/first-year.json --score /tmp/score.csv
  tideline lesson testdata/books/lantern-street-4.yaml --questions 3 --seed 7 --json`,
		Args:              takes(1, 1),
		ValidArgsFunction: completeBooks,
		RunE: func(cmd *cobra.Command, args []string) error {
			if !cmd.Flags().Changed("seed") {
				f.seed = uint64(rand.Uint32N(1_000_000)) // short enough to be typed again
			}
			return a.lesson(args[0], f)
		},
	}
	a.onFlag(c)
	c.Flags().IntVar(&f.questions, "questions", 10, "ask `N` exercises at most")
	c.Flags().Uint64Var(&f.seed, "seed", 0, "give the exercises that the number `N` gives (default another every time)")
	c.Flags().StringVar(&f.notes, "notes", "", "keep the notes of this apprentice in `FILE`")
	c.Flags().StringVar(&f.score, "score", "", "add a score sheet to the CSV file `FILE`")
	return c
}

func (a *app) lesson(path string, f lessonFlags) error {
	switch {
	case f.questions < 1 || f.questions > mostQuestions:
		return wrongUse{fmt.Errorf("--questions %d: give a number from 1 to %d", f.questions, mostQuestions)}
	case a.json && f.score != "":
		return wrongUse{errors.New("--json asks nothing, so there is nothing to score; leave out --json or --score")}
	case !a.json && path == "-":
		return wrongUse{errors.New("the answers are read from standard input, so the book must be a file")}
	}
	g, err := a.judge(path)
	if err != nil {
		return err
	}
	keep, notes, err := openNotes(f.notes)
	if err != nil {
		return err
	}
	m, err := lesson.NewMaker(g, f.seed, notes)
	if err != nil {
		return badInput{err}
	}
	if a.json {
		return a.lessonSet(g, m, notes, f)
	}
	if _, err := scoreFile(f.score).read(); err != nil {
		return err
	}
	return a.lead(g, m, notes, keep, f)
}

// lead leads through the exercises. The score sheet is written whatever ended the run.
func (a *app) lead(g *judge.Judgement, m *lesson.Maker, notes *lesson.Notes, keep *notesFile, f lessonFlags) error {
	sheet := &lesson.Sheet{Title: g.Case.Book.Title, Seed: f.seed}
	s := &dialogue.Session{
		Maker: m, Notes: notes, Save: keep.save, Questions: f.questions, Style: a.style(), In: a.stdin, Out: a.stdout, Echo: !typed(a.stdin),
	}
	err := lessonFault(s.Run(sheet))
	return errors.Join(err, scoreFile(f.score).add(sheet))
}

// typed tells whether a person types where this is read from, and so sees what was typed.
func typed(in any) bool {
	f, ok := in.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// lessonSet prints a set of exercises.
func (a *app) lessonSet(g *judge.Judgement, m *lesson.Maker, notes *lesson.Notes, f lessonFlags) error {
	var list []*lesson.Exercise
	for len(list) < f.questions {
		e, err := m.Next()
		if err != nil {
			return lessonFault(err)
		}
		if e == nil {
			break
		}
		e.Note(notes, nil, lesson.Right)
		list = append(list, e)
	}
	w, err := data.Lesson(g, f.seed, list)
	if err != nil {
		return lessonFault(err)
	}
	return a.writeJSON(w)
}

// lessonFault tells whose fault it is that a lesson broke off.
func lessonFault(err error) error {
	var proof *verify.Failure
	var line *dialogue.LineError
	switch {
	case err == nil || errors.As(err, &badInput{}) || errors.As(err, &internal{}):
		return err
	case errors.As(err, &proof) || errors.As(err, &line):
		return internal{err}
	}
	return badInput{fmt.Errorf("the pack cannot be judged by: %w", err)}
}
