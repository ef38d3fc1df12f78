package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"tideline/engine/ask"
	"tideline/engine/judge"
	"tideline/engine/verify"
	"tideline/explain/data"
	"tideline/explain/text"
	"tideline/explain/words"
)

// askDraws is under how many other choices of chances the first test is tried.
const askDraws = 200

func newAsk(a *app) *cobra.Command {
	var top int
	c := &cobra.Command{
		Use:   "ask BOOK",
		Short: "Says which tests are worth doing next, and what each could settle",
		Long: `Ranks the open tests by what their answers can be expected to settle, less the
bench time and the harm to the book: what could then be done, at the low end of
its support, over what can be done now. Tests that only help together are told
together. A test that could change no verdict is not asked for, and one that
takes something from the book never stands before a gentler one that settles the
same. The figures behind the order are printed; packs may set the prices under
'asking:' and how likely each answer is under a test's 'chance:'.`,
		Example: `  tideline ask testdata/books/lantern-street-4.yaml
  tideline ask testdata/books/harbour-almanac.yaml --top 1 --on 2026-11-01
  tideline ask testdata/books/lantern-street-4.yaml --json`,
		Args:              takes(1, 1),
		ValidArgsFunction: completeBooks,
		RunE: func(_ *cobra.Command, args []string) error {
			if top < 0 {
				return wrongUse{fmt.Errorf("--top %d: give how many tests to show, 0 for all", top)}
			}
			g, err := a.judge(args[0])
			if err != nil {
				return err
			}
			r := ask.Next(g, ask.Options{Draws: askDraws})
			if a.json {
				return a.writeJSON(data.Ask(r))
			}
			return a.write(text.Ask(r, a.style(), top))
		},
	}
	a.onFlag(c)
	c.Flags().IntVar(&top, "top", 5, "show the first `N` proposals, 0 for all")
	return c
}

// withVerify adds --verify to the command that shows proofs: an independent check of every proof shown.
func withVerify(a *app, c *cobra.Command) *cobra.Command {
	var check bool
	c.Flags().BoolVar(&check, "verify", false, "replay the proofs shown with a checker of their own, and say what was checked")
	c.Example += "\n  tideline why testdata/books/lantern-street-4.yaml \"immersion bath\" cover --verify"
	show := c.RunE
	c.RunE = func(cmd *cobra.Command, args []string) error {
		if err := show(cmd, args); err != nil || !check {
			return err
		}
		g, err := a.judge(args[0])
		if err != nil {
			return err
		}
		target := ""
		if len(args) > 2 {
			target = args[2]
		}
		verdicts, err := chosen(g, args[1], target)
		if err != nil {
			return err
		}
		return a.verify(g, verdicts)
	}
	return c
}

// verify checks the proofs of verdicts. With --json the report goes beside the result.
func (a *app) verify(g *judge.Judgement, verdicts []*judge.Verdict) error {
	checker, all := verify.New(g), verify.Count{}
	for _, v := range verdicts {
		proof := g.Prove(v)
		n, err := checker.Check(proof)
		if err == nil {
			var more verify.Count
			more, err = checker.Premises(proof, g.Premises(v))
			n.Leaves, n.Steps = n.Leaves+more.Leaves, n.Steps+more.Steps
		}
		var failed *verify.Failure
		if errors.As(err, &failed) {
			return internal{fmt.Errorf("the proof does not hold: %w", err)}
		} else if err != nil {
			return internal{err}
		}
		all.Leaves, all.Steps, all.Unsearched = all.Leaves+n.Leaves, all.Steps+n.Steps, all.Unsearched+n.Unsearched
	}
	report := words.Replayed(all.Leaves, all.Steps, len(verdicts)) + "\n"
	if all.Unsearched > 0 {
		report += words.NotGoneThrough(all.Unsearched) + "\n"
	}
	if a.json {
		_, err := fmt.Fprint(a.stderr, report)
		return err
	}
	return a.write("\n" + report)
}
