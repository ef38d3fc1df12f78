package main

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"tideline/engine/change"
	"tideline/engine/evidence"
	"tideline/engine/firm"
	"tideline/engine/judge"
	"tideline/explain/data"
	"tideline/explain/text"
)

// withDoubt gives `decide` the flags that ask how well its result stands: --firm and --since. They print that alone.
func (a *app) withDoubt(c *cobra.Command) *cobra.Command {
	var firmly bool
	var since string
	c.Flags().BoolVar(&firmly, "firm", false, "show instead how firm the order is: which other weights would turn it")
	c.Flags().StringVar(&since, "since", "", "show instead what no longer stands of what was settled in the earlier `RECORD`, and why")
	c.MarkFlagsMutuallyExclusive("firm", "since")
	c.MarkFlagsMutuallyExclusive("firm", "fail-on")
	c.MarkFlagsMutuallyExclusive("since", "fail-on")
	c.Example += "\n  tideline decide testdata/books/lantern-street-4.yaml --firm\n" +
		"  tideline decide testdata/books/lantern-street-4.yaml --since testdata/books/lantern-street-4.yaml"
	decide := c.RunE
	c.RunE = func(c *cobra.Command, args []string) error {
		if !firmly && since == "" {
			return decide(c, args)
		}
		g, err := a.judge(args[0])
		if err != nil {
			return err
		}
		if since != "" {
			return a.since(g, since)
		}
		all, err := c.Flags().GetBool("all")
		if err != nil {
			return internal{err}
		}
		r := firm.Of(g)
		if a.json {
			return a.writeJSON(data.Firm(g, r))
		}
		return a.write(text.Firm(r, a.style(), all))
	}
	return c
}

// since prints what no longer stands of what was settled by an earlier record, judged for the last day that it mentions.
func (a *app) since(g *judge.Judgement, path string) error {
	b, err := a.load(path, g.Case.Pack)
	if err != nil {
		return err
	}
	before, err := judge.Judge(evidence.Gather(g.Case.Pack, b, time.Time{}))
	if err != nil {
		return badInput{fmt.Errorf("the pack cannot be judged by: %w", err)}
	}
	exits, err := change.Between(before, g)
	if err != nil {
		return badInput{fmt.Errorf("the pack cannot be judged by: %w", err)}
	}
	if a.json {
		return a.writeJSON(data.Since(g, exits))
	}
	return a.write(text.Since(g, exits, a.style()))
}
