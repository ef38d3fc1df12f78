package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"tideline/explain/words"
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
		Long: `Tideline judges every treatment that could be done to a stapled,
colour-printed booklet, from a record of what the book is and how its tests came
out: recommended, possible, test first, ruled out, or no need. Each verdict
comes with its proof. It recommends; a person decides.

Results go to standard output, everything else to standard error. A book given
as - is read from standard input. What is printed for people may change with any
release; --json is a contract, see 'tideline schema'.

Exit codes:
  0  done
  1  a verdict, audit or score calls for attention, as asked with --fail-on or
     --least
  2  wrong use of a command
  3  bad input: a file cannot be used as it is; nothing was judged
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
	root.AddCommand(
		newCheck(a),
		a.withDoubt(newDecide(a)),
		withVerify(a, newWhy(a)),
		newWhyNot(a),
		newSuppose(a),
		newAsk(a),
		newPlan(a),
		newDose(a),
		newMeasure(a),
		newSeal(a),
		newAudit(a),
		newLesson(a),
		newTests(a),
		newExport(a),
		newPack(a),
		newSchema(a),
		newNumbers(a),
	)
	root.SetHelpCommand(newHelp(root))
	root.InitDefaultCompletionCmd()
	for _, c := range root.Commands() {
		if c.Name() == "completion" {
			c.Example = "  tideline completion bash"
			for _, shell := range c.Commands() {
				shell.Example = "  tideline completion " + shell.Name()
			}
		}
	}
	return root
}

// newHelp is `tideline help`, which takes an unknown command for wrong use.
func newHelp(root *cobra.Command) *cobra.Command {
	return &cobra.Command{
		Use:     "help [COMMAND]",
		Short:   "Shows what a command does, with an example",
		Example: "  tideline help decide",
		RunE: func(_ *cobra.Command, args []string) error {
			c, rest, err := root.Find(args)
			if err != nil || len(rest) > 0 {
				return unknownCommand(root, args)
			}
			return c.Help()
		},
	}
}

// unknownCommand says that a command has no such command, and offers the nearest.
func unknownCommand(c *cobra.Command, args []string) error {
	word := strings.Join(args, " ")
	var names []string
	for _, known := range c.Commands() {
		names = append(names, known.Name())
	}
	return wrongUse{fmt.Errorf("there is no command %q%s", strings.TrimSpace(c.CommandPath()+" "+word), didYouMean(word, names))}
}

// takes checks the number of arguments, and says which there should be.
func takes(least, most int) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) < least || most > 0 && len(args) > most {
			return wrongUse{fmt.Errorf("%s given, but it is `%s`", words.Count(len(args), "argument was", "arguments were"), c.UseLine())}
		}
		return nil
	}
}
