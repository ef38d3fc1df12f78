package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"tideline/engine/numbers"
	"tideline/engine/record"
	"tideline/explain/text"
)

// newNumbers is for who looks after the program: not listed in the help.
func newNumbers(a *app) *cobra.Command {
	var worlds int
	var strict bool
	c := &cobra.Command{
		Use:    "numbers BOOK...",
		Hidden: true,
		Short:  "Measures how well the program keeps what it promises",
		Long: `Measures, over the books given and over random small packs and books, how well
the program keeps what it promises: each promise as a figure, with its target.
With --strict it exits with 1 when a target is missed.`,
		Example: "  tideline numbers testdata/books/lantern-street-4.yaml --worlds 10",
		Args:    takes(1, 0),
		RunE: func(_ *cobra.Command, args []string) error {
			if worlds < 0 || worlds > 100_000 {
				return wrongUse{fmt.Errorf("--worlds %d: give a number from 0 to 100000", worlds)}
			}
			p, err := a.loadPack()
			if err != nil {
				return err
			}
			var list []*record.Book
			for _, path := range args {
				b, err := a.load(path, p)
				if err != nil {
					return err
				}
				list = append(list, b)
			}
			rows, err := numbers.Take(numbers.Input{Pack: p, Books: list, Worlds: worlds})
			if err != nil {
				return internal{err}
			}
			if a.json {
				err = a.writeJSON(rows)
			} else {
				err = a.write(text.Numbers(rows, a.style()))
			}
			if err != nil {
				return err
			}
			for _, r := range rows {
				if strict && r.Met == "no" {
					return attention{fmt.Errorf("%s: target missed", r.Name)}
				}
			}
			return nil
		},
	}
	c.Flags().IntVar(&worlds, "worlds", 100, "make `N` random packs, with six books each")
	c.Flags().BoolVar(&strict, "strict", false, "exit with 1 when a target is missed")
	return c
}
