package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"tideline/engine/record"
	"tideline/explain/schema"
)

var schemas = []string{"book", "decide", "why"}

func newSchema(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "schema book|decide|why",
		Short: "Prints the JSON Schema of a book record, or of what --json prints",
		Long: `Prints a JSON Schema (draft 2020-12): of book records, as editors use to
complete and check them, with the questions and words of the packs; or of what
decide --json and why --json print.`,
		Example:   "  tideline schema book --pack testdata/packs/quiet-studio.yaml\n  tideline schema decide",
		Args:      takes(1, 1),
		ValidArgs: schemas,
		RunE: func(_ *cobra.Command, args []string) error {
			switch args[0] {
			case "book":
				p, err := a.loadPack()
				if err != nil {
					return err
				}
				return a.write(string(record.Schema(record.WordsOf(p))))
			case "decide":
				return a.write(string(schema.Decide))
			case "why":
				return a.write(string(schema.Why))
			}
			return wrongUse{fmt.Errorf("there is no schema %q; there are book, decide and why%s", args[0], didYouMean(args[0], schemas))}
		},
	}
}
