package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"tideline/engine/record"
	"tideline/explain/schema"
)

var schemas = []string{"book", "decide", "why", "ask", "whynot", "suppose", "firm", "since", "dose", "tests-out", "tests-in", "export"}

func newSchema(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "schema book|decide|why|ask|whynot|suppose|firm|since|dose|tests-out|tests-in|export",
		Short: "Prints the JSON Schema of a book record, or of what --json prints",
		Long: `Prints a JSON Schema (draft 2020-12): of book records, as editors use to
complete and check them, with the questions and words of the packs; or of what
a command prints with --json: decide, why, ask, whynot, suppose, decide --firm,
decide --since, dose, which measure prints too, tests out, tests in,
and export.`,
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
			case "ask":
				return a.write(string(schema.Ask))
			case "whynot":
				return a.write(string(schema.WhyNot))
			case "suppose":
				return a.write(string(schema.Suppose))
			case "firm":
				return a.write(string(schema.Firm))
			case "since":
				return a.write(string(schema.Since))
			case "dose":
				return a.write(string(schema.Dose))
			case "tests-out":
				return a.write(string(schema.TestsOut))
			case "tests-in":
				return a.write(string(schema.TestsIn))
			case "export":
				return a.write(string(schema.Export))
			}
			return wrongUse{fmt.Errorf("there is no schema %q; there are %s%s", args[0], strings.Join(schemas, ", "), didYouMean(args[0], schemas))}
		},
	}
}
