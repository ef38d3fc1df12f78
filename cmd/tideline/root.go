package main

import (
	"io"

	"github.com/spf13/cobra"
)

// app is what every command has at hand: where to read and write, and the flags all share.
type app struct {
	stdin          io.Reader
	stdout, stderr io.Writer

	packs []string // --pack
	json  bool     // --json
	on    string   // --on
}

func newRoot(a *app) *cobra.Command {
	root := &cobra.Command{
		Use:   "tideline",
		Short: "Decides which treatments a printed booklet could be given, and shows why",
		Long: `Tideline judges every treatment that could be done to a stapled, colour-printed booklet, from a record of what the
book is and how its tests came out: recommended, possible, test first, ruled out, or no need. Each verdict comes with
its proof. It recommends; a person decides.

Results go to standard output, everything else to standard error. A book given as - is read from standard input.
What is printed for people may change with any release; --json is a contract, see 'tideline schema'.

Exit codes:
  0  done
  1  a verdict calls for attention, as asked with --fail-on
  2  wrong use of a command
  3  bad input: a file cannot be used as it is; nothing was judged and nothing written
  4  a fault of the program or the machine`,
		Example: `  tideline check testdata/books/lantern-street-4.yaml
  tideline decide testdata/books/lantern-street-4.yaml
  tideline why testdata/books/lantern-street-4.yaml "immersion bath" cover`,
		SilenceUsage: true, SilenceErrors: true,
		SuggestionsMinimumDistance: 2,
	}
	flags := root.PersistentFlags()
	flags.StringArrayVar(&a.packs, "pack", nil, "lay the pack in `FILE|DIR` over the shipped one (repeatable)")
	flags.BoolVar(&a.json, "json", false, "print JSON for programs instead of text for people")
	root.AddCommand(newCheck(a), newDecide(a), newWhy(a), newPack(a), newSchema(a))
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error { return wrongUse{err} })
	return root
}
