package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tideline/engine/evidence"
	"tideline/engine/suppose"
	"tideline/explain/data"
	"tideline/explain/text"
	"tideline/explain/words"
	"tideline/rules/vocab"
)

func newSuppose(a *app) *cobra.Command {
	c := &cobra.Command{
		Use:   "suppose BOOK QUESTION=ANSWER ...",
		Short: "Shows which verdicts would be others if answers were",
		Long: `Judges the book with other answers, any number at once, and shows which verdicts
would be others, with the first reason that makes the difference. A question is
a path in the record and a name: cover/outside/red.wet; the owner's and the
book's are owner.NAME and book.NAME. "not tested" takes an answer away. The
record itself is left as it is.`,
		Example: `  tideline suppose testdata/books/lantern-street-4.yaml cover/outside/red.wet=2
  tideline suppose testdata/books/lantern-street-4.yaml "cover/outside/red.wet=not tested" cover.surface_ph=5
  tideline suppose testdata/books/lantern-street-4.yaml cover/outside/red.wet=2 --json`,
		Args: takes(2, 0),
		ValidArgsFunction: func(c *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
			if len(args) == 0 {
				return completeBooks(c, args, word)
			}
			return a.completeQuestions(args[0], word)
		},
		RunE: func(_ *cobra.Command, args []string) error {
			g, err := a.judge(args[0])
			if err != nil {
				return err
			}
			var answers []suppose.Answer
			for _, arg := range args[1:] {
				answer, err := supposedAnswer(g.Case, arg)
				if err != nil {
					return err
				}
				if slices.ContainsFunc(answers, func(o suppose.Answer) bool { return o.Thing == answer.Thing && o.Question == answer.Question }) {
					return wrongUse{fmt.Errorf("%q: that question is supposed twice", arg)}
				}
				answers = append(answers, answer)
			}
			r, err := suppose.Suppose(g, answers)
			if err != nil {
				return badInput{fmt.Errorf("the pack cannot be judged by: %w", err)}
			}
			if a.json {
				return a.writeJSON(data.Suppose(r, answers))
			}
			return a.write(text.Suppose(r, answers, a.style()))
		},
	}
	a.onFlag(c)
	return c
}

// supposedAnswer reads PATH.NAME=ANSWER.
func supposedAnswer(c *evidence.Case, arg string) (s suppose.Answer, err error) {
	left, right, found := strings.Cut(arg, "=")
	dot := strings.LastIndex(left, ".")
	if !found || dot < 0 {
		return s, wrongUse{fmt.Errorf("%q is not a supposed answer: write PATH.NAME=ANSWER, such as cover/outside/red.wet=4", arg)}
	}
	path, name := strings.TrimSpace(left[:dot]), strings.TrimSpace(left[dot+1:])
	thing := c.At(path)
	if thing == nil {
		var paths []string
		for _, t := range c.Things {
			if !t.Unlisted {
				paths = append(paths, t.Path)
			}
		}
		return s, wrongUse{fmt.Errorf("%q: nothing in the record is called %q%s", arg, path, didYouMean(path, paths))}
	}
	q := c.Pack.Vocabulary.Question(string(thing.Kind) + "." + name)
	if q == nil || q.Measured {
		names := questionNames(c, thing)
		return s, wrongUse{fmt.Errorf("%q: %s is not asked %q%s", arg, words.Thing(thing), name, didYouMean(name, names))}
	}
	s = suppose.Answer{Thing: thing.Record, Question: q}
	if right = strings.TrimSpace(right); right == words.NotTested {
		return s, nil
	}
	answer, near, err := q.Parse(right)
	if err != nil {
		return s, wrongUse{fmt.Errorf("%q: %w, or %q%s", arg, err, words.NotTested, didYouMean(right, []string{near}))}
	}
	s.Answer = answer
	return s, nil
}

// questionNames lists what a thing can be asked.
func questionNames(c *evidence.Case, t *evidence.Thing) (names []string) {
	for _, q := range c.Pack.Vocabulary.Of(t.Kind) {
		if !q.Measured {
			names = append(names, q.Name)
		}
	}
	return names
}

// completeQuestions offers the questions of a book's things, then the words that answer one.
func (a *app) completeQuestions(book, word string) ([]string, cobra.ShellCompDirective) {
	g, err := a.judge(book)
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	var list []string
	for _, t := range g.Case.Things {
		for _, name := range questionNames(g.Case, t) {
			left := t.Path + "." + name + "="
			if t.Unlisted || !strings.HasPrefix(left, word) && !strings.HasPrefix(word, left) {
				continue
			}
			q := g.Case.Pack.Vocabulary.Question(string(t.Kind) + "." + name)
			if !strings.HasPrefix(word, left) {
				list = append(list, cobra.CompletionWithDesc(left, q.Asks))
				continue
			}
			answers := append(slices.Clone(q.Words), words.NotTested)
			if q.Type == vocab.YesNo {
				answers = append(answers, "yes", "no")
			}
			for _, answer := range answers {
				if strings.HasPrefix(left+answer, word) {
					list = append(list, left+answer)
				}
			}
		}
	}
	return list, cobra.ShellCompDirectiveNoSpace | cobra.ShellCompDirectiveNoFileComp
}
