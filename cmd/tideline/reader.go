package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
)

// The readers that a result can be told to: one proof, in the words each needs.
const (
	conservator = "conservator"
	apprentice  = "apprentice"
	owner       = "owner"
)

var allReaders = []string{conservator, apprentice, owner}

// forFlag adds --for.
func (a *app) forFlag(c *cobra.Command, reader *string) {
	c.Flags().StringVar(reader, "for", conservator, "tell it to this `READER`: conservator, apprentice (every reason, with its principle) or owner (plain words)")
	must(c.RegisterFlagCompletionFunc("for", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return allReaders, cobra.ShellCompDirectiveNoFileComp
	}))
}

// readers checks --for.
func readers(reader string) error {
	if slices.Contains(allReaders, reader) {
		return nil
	}
	return wrongUse{fmt.Errorf("--for: there is no reader %q; they are %s%s", reader, strings.Join(allReaders, ", "), didYouMean(reader, allReaders))}
}
