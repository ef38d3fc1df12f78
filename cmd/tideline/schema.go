package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"tideline/engine/record"
	"tideline/explain/schema"
)

// schemas are the schemas of what --json prints, by name, in the order of the work.
var schemas = []struct {
	name, of string
	text     []byte
}{
	{"decide", "decide", schema.Decide},
	{"why", "why", schema.Why},
	{"ask", "ask", schema.Ask},
	{"whynot", "whynot", schema.WhyNot},
	{"suppose", "suppose", schema.Suppose},
	{"firm", "decide --firm", schema.Firm},
	{"since", "decide --since", schema.Since},
	{"plan", "plan", schema.Plan},
	{"dose", "dose and measure", schema.Dose},
	{"seal", "seal", schema.Seal},
	{"audit", "audit", schema.Audit},
	{"lesson", "lesson", schema.Lesson},
	{"tests-out", "tests out", schema.TestsOut},
	{"tests-in", "tests in", schema.TestsIn},
	{"export", "export", schema.Export},
}

func newSchema(a *app) *cobra.Command {
	names, list := []string{"book"}, ""
	for _, s := range schemas {
		names = append(names, s.name)
		list += fmt.Sprintf("\n  %-10s tideline %s", s.name, s.of)
	}
	return &cobra.Command{
		Use:   "schema NAME",
		Short: "Prints the JSON Schema of a book record, or of what --json prints",
		Long: `Prints a JSON Schema (draft 2020-12): with the name book, of book records, as
editors use to complete and check them, with the questions and words of the
packs; with one of these, of what a command prints with --json:
` + list,
		Example:   "  tideline schema book --pack testdata/packs/quiet-studio.yaml\n  tideline schema decide",
		Args:      takes(1, 1),
		ValidArgs: names,
		RunE: func(_ *cobra.Command, args []string) error {
			if args[0] == "book" {
				p, err := a.loadPack()
				if err != nil {
					return err
				}
				return a.write(string(record.Schema(record.WordsOf(p))))
			}
			for _, s := range schemas {
				if s.name == args[0] {
					return a.write(string(s.text))
				}
			}
			return wrongUse{fmt.Errorf("there is no schema %q; there are %s%s", args[0], strings.Join(names, ", "), didYouMean(args[0], names))}
		},
	}
}
