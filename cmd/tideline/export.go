package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tideline/engine/audit"
	"tideline/engine/judge"
	"tideline/engine/seal"
	"tideline/explain/export"
	"tideline/explain/words"
)

func newExport(a *app) *cobra.Command {
	var as string
	c := &cobra.Command{
		Use:   "export BOOK|FILE --as prov|linked-art",
		Short: "Writes a decision in an open standard, for other programs",
		Long: `Judges the book and writes what came of it in an open standard:

  prov        PROV-JSON (W3C Member Submission, 2013): where each answer came
              from, and which verdict used which answers, by the plan of the packs
  linked-art  Linked Art 1.0 (JSON-LD): the book, its findings as condition
              assessments, its tests, the steps done as modifications

A sealed decision is exported as it was sealed: its own record, packs and day, the
plan recommended then, and what was decided.

What the standard cannot carry is told on standard error and in the document; with
--json, both come as one object. Identifiers follow from the title and the day of
the examination: give two copies of one issue titles of their own.`,
		Example: `  tideline export testdata/books/lantern-street-4.yaml --as prov
  tideline export testdata/books/lantern-street-4.yaml --as linked-art --on record
  tideline export testdata/books/lantern-street-4.yaml --as prov --json
  tideline export testdata/seals/edition-1/gull-street-0001.json --as prov`,
		Args:              takes(1, 1),
		ValidArgsFunction: completeBooks,
		RunE: func(_ *cobra.Command, args []string) error {
			if !slices.Contains(export.Standards, as) {
				return noStandard(as)
			}
			g, sealed, err := a.judgeOrUnseal(args[0])
			if err != nil {
				return err
			}
			d := export.As(as, g, sealed)
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

// judgeOrUnseal judges a book, or what a sealed decision was made from.
func (a *app) judgeOrUnseal(path string) (*judge.Judgement, *export.Sealed, error) {
	s := openSealed(path)
	if s == nil {
		g, err := a.judge(path)
		return g, nil, err
	}
	switch {
	case s.err != nil:
		return nil, nil, badInput{fmt.Errorf("%s %w. `tideline audit %s` tells what of it can be trusted. Nothing was exported.", path, s.err, path)}
	case len(a.packs) > 0 || a.on != "":
		return nil, nil, wrongUse{fmt.Errorf("%s is a sealed decision and brings its own packs and day: leave out --pack and --on", path)}
	}
	body, g, err := audit.New(audit.Options{}).Judge(s.sealed)
	if err != nil {
		return nil, nil, badInput{fmt.Errorf("%s cannot be judged again: %w. Nothing was exported.", path, err)}
	}
	return g, &export.Sealed{Body: body, Sum: s.sealed.Sum}, nil
}

// opened is a file that is a sealed decision, whole or not.
type opened struct {
	sealed *seal.Sealed
	err    error
}

// openSealed opens a sealed decision, nil for any other file: that is told of as a book.
func openSealed(path string) *opened {
	if info, err := os.Stat(path); path == "-" || err != nil || info.IsDir() || filepath.Ext(path) != ".json" {
		return nil
	}
	data, err := seal.Read(path)
	if err != nil || !bytes.HasPrefix(data, []byte(`{"body":`)) {
		return nil
	}
	s, err := seal.Open(data)
	return &opened{s, err}
}

// noStandard says which standards there are.
func noStandard(as string) error {
	all := strings.Join(export.Standards, " or ")
	if as == "" {
		return wrongUse{errors.New("--as is missing: write --as " + all)}
	}
	return wrongUse{fmt.Errorf("--as %q is no standard known here; write %s%s", as, all, didYouMean(as, export.Standards))}
}
