package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tideline/explain/export"
	"tideline/explain/words"
)

func newExport(a *app) *cobra.Command {
	var as string
	c := &cobra.Command{
		Use:   "export BOOK --as prov|linked-art",
		Short: "Writes a decision in an open standard, for other programs",
		Long: `Judges the book and writes what came of it in an open standard:

  prov        PROV-JSON (W3C Member Submission, 2013): where each answer came
              from, and which verdict used which answers, by the plan of the packs
  linked-art  Linked Art 1.0 (JSON-LD): the book, its findings as condition
              assessments, its tests, the steps done as modifications

What the standard cannot carry is told on standard error and in the document; with
--json, both come as one object. Identifiers follow from the title and the day of
the examination: give two copies of one issue titles of their own.`,
		Example: `  tideline export testdata/books/lantern-street-4.yaml --as prov
  tideline export testdata/books/lantern-street-4.yaml --as linked-art --on record
  tideline export testdata/books/lantern-street-4.yaml --as prov --json`,
		Args:              takes(1, 1),
		ValidArgsFunction: completeBooks,
		RunE: func(_ *cobra.Command, args []string) error {
			if !slices.Contains(export.Standards, as) {
				return noStandard(as)
			}
			g, err := a.judge(args[0])
			if err != nil {
				return err
			}
			d := export.As(as, g)
			content := d.Content
			if a.json {
				content = d
			}
			text, err := export.Encode(content)
			if err != nil {
				return internal{err}
			}
			if !a.json {
				fmt.Fprintln(a.stderr, words.NotCarried(as))
				for _, l := range d.Lost {
					fmt.Fprintln(a.stderr, "  "+words.Safe(l))
				}
			}
			return a.write(string(text))
		},
	}
	a.onFlag(c)
	c.Flags().StringVar(&as, "as", "", "write in this `STANDARD`: "+strings.Join(export.Standards, " or "))
	must(c.RegisterFlagCompletionFunc("as", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return export.Standards, cobra.ShellCompDirectiveNoFileComp
	}))
	return c
}

// noStandard says which standards there are.
func noStandard(as string) error {
	all := strings.Join(export.Standards, " or ")
	if as == "" {
		return wrongUse{errors.New("--as is missing: write --as " + all)}
	}
	return wrongUse{fmt.Errorf("--as %q is no standard known here; write %s%s", as, all, didYouMean(as, export.Standards))}
}
