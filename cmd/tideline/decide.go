package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tideline/engine/judge"
	"tideline/explain/data"
	"tideline/explain/text"
	"tideline/rules/nearest"
)

func newDecide(a *app) *cobra.Command {
	var all bool
	var failOn string
	c := &cobra.Command{
		Use:   "decide BOOK",
		Short: "Judges every treatment for a book, and ranks them",
		Long: `Judges every treatment for everything in the book it could be done to, and ranks
what can be done:

  recommended  clear, it serves an aim, and what speaks for it outweighs what
               speaks against it, however the open tests come out
  possible     clear otherwise, with what it hangs on
  test first   an open test decides whether it is ruled out
  ruled out    by a rule that applies; or either way, however the open tests
               come out
  no need      nothing found calls for it`,
		Example: `  tideline decide testdata/books/lantern-street-4.yaml
  tideline decide testdata/books/lantern-street-4.yaml --all --on 2026-11-01
  tideline decide testdata/books/lantern-street-4.yaml --json --pack testdata/packs/quiet-studio.yaml
  tideline decide testdata/books/lantern-street-4.yaml --fail-on "ruled out|test first" || echo "look at it"`,
		Args:              takes(1, 1),
		ValidArgsFunction: completeBooks,
		RunE: func(_ *cobra.Command, args []string) error {
			stop, err := verdictWords(failOn)
			if err != nil {
				return err
			}
			g, err := a.judge(args[0])
			if err != nil {
				return err
			}
			if a.json {
				err = a.writeJSON(data.Decide(g))
			} else {
				err = a.write(text.Decide(g, a.style(), all))
			}
			if err != nil {
				return err
			}
			if slices.ContainsFunc(g.Verdicts, func(v *judge.Verdict) bool { return slices.Contains(stop, v.Word) }) {
				return attention{errors.New("a verdict calls for attention")}
			}
			return nil
		},
	}
	a.onFlag(c)
	c.Flags().BoolVar(&all, "all", false, "show everything that is otherwise only counted")
	c.Flags().StringVar(&failOn, "fail-on", "", "exit with 1 if any verdict is one of these `VERDICTS`, joined by |: \"ruled out|test first\"")
	must(c.RegisterFlagCompletionFunc("fail-on", completeVerdicts))
	return c
}

// allVerdicts are the verdicts, as --fail-on takes them.
var allVerdicts = []judge.Word{judge.Recommended, judge.Possible, judge.TestFirst, judge.RuledOut, judge.NoNeed}

// verdictWords reads --fail-on.
func verdictWords(list string) (found []judge.Word, err error) {
	var known []string
	for _, w := range allVerdicts {
		known = append(known, string(w))
	}
	for word := range strings.SplitSeq(list, "|") {
		word = strings.ToLower(strings.TrimSpace(word))
		switch {
		case word == "":
		case slices.Contains(known, word):
			found = append(found, judge.Word(word))
		default:
			return nil, wrongUse{fmt.Errorf("--fail-on: %q is not a verdict; they are %s%s", word, strings.Join(known, ", "), didYouMean(word, known))}
		}
	}
	return found, nil
}

// didYouMean offers the known word nearest to one not known.
func didYouMean(word string, known []string) string {
	if near := nearest.Word(word, known); near != "" {
		return fmt.Sprintf(". Did you mean %q?", near)
	}
	return ""
}

// write prints a result.
func (a *app) write(s string) error {
	if _, err := io.WriteString(a.stdout, s); err != nil {
		return internal{fmt.Errorf("write the result: %w", err)}
	}
	return nil
}
