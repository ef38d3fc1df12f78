package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tideline/engine/judge"
	"tideline/engine/whynot"
	"tideline/explain/data"
	"tideline/explain/text"
)

func newWhyNot(a *app) *cobra.Command {
	var all bool
	var to string
	c := &cobra.Command{
		Use:   "whynot BOOK TREATMENT [TARGET]",
		Short: "Shows which answers would have to be others for another verdict",
		Long: `Shows all smallest sets of answers that would turn a verdict, the fewest and
mildest first: what is ruled out, waits for a test or has no need to one that is
clear, what is clear to ruled out, or to the one of --to. Each answer stands with
what it is now, what it would have to be, and how it is found out. What is given
with the paper is left as it is.

That nothing would do is said only when it is proved; where there were too many
sets to try, it says up to how many answers all were tried.`,
		Example: `  tideline whynot testdata/books/lantern-street-4.yaml "immersion bath" cover
  tideline whynot testdata/books/lantern-street-4.yaml immersion-bath --to "no need"
  tideline whynot testdata/books/lantern-street-4.yaml immersion-bath cover --json`,
		Args:              takes(2, 3),
		ValidArgsFunction: a.completeWhy,
		RunE: func(_ *cobra.Command, args []string) error {
			wanted, err := wantedVerdict(to)
			if err != nil {
				return err
			}
			g, err := a.judge(args[0])
			if err != nil {
				return err
			}
			verdicts, err := chosen(g, args[1], strings.Join(args[2:], ""))
			if err != nil {
				return err
			}
			return a.whyNot(g, verdicts, wanted, all)
		},
	}
	a.onFlag(c)
	c.Flags().BoolVar(&all, "all", false, "show all sets, not only the first few")
	c.Flags().StringVar(&to, "to", "", "turn it to this `VERDICT`, or to clear (recommended or possible)")
	must(c.RegisterFlagCompletionFunc("to", func(c *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective) {
		words, how := completeVerdicts(c, args, begun)
		return append(words, string(judge.Clear)), how
	}))
	return c
}

// whyNot prints what would turn verdicts.
func (a *app) whyNot(g *judge.Judgement, verdicts []*judge.Verdict, wanted judge.Word, all bool) error {
	var results []*whynot.Result
	var parts []string
	for _, v := range verdicts {
		to := wanted
		if to == "" {
			to = whynot.To(v)
		}
		r, err := whynot.Find(g, v, to)
		if err != nil {
			return badInput{fmt.Errorf("the pack cannot be judged by: %w", err)}
		}
		results = append(results, r)
		parts = append(parts, text.WhyNot(g, r, a.style(), all))
	}
	if a.json {
		return a.writeJSON(data.WhyNot(g, results))
	}
	return a.write(strings.Join(parts, "\n\n"))
}

// wantedVerdict reads --to.
func wantedVerdict(word string) (judge.Word, error) {
	word = strings.ToLower(strings.TrimSpace(word))
	known := []string{string(judge.Clear)}
	for _, w := range allVerdicts {
		known = append(known, string(w))
	}
	if word == "" || slices.Contains(known, word) {
		return judge.Word(word), nil
	}
	return "", wrongUse{fmt.Errorf("--to: %q is not a verdict; they are %s%s", word, strings.Join(known, ", "), didYouMean(word, known))}
}
