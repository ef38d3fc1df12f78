package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tideline/engine/judge"
	"tideline/explain/data"
	"tideline/explain/text"
	"tideline/rules/nearest"
	"tideline/rules/pack"
)

func newWhy(a *app) *cobra.Command {
	var all bool
	var foil, reader string
	c := &cobra.Command{
		Use:   "why BOOK TREATMENT [TARGET]",
		Short: "Shows the whole chain of a verdict, down to each test",
		Long: `Shows what a verdict rests on: the rules, why they say it and on which source,
and their conditions down to each answer, with its date, hand and place. What
decides stands first. TREATMENT is an id or a name as 'tideline decide' prints
it; TARGET a path in the record, such as cover/outside/tear-1. Without a target
all of them are shown, the leading one first.`,
		Example: `  tideline why testdata/books/lantern-street-4.yaml "immersion bath" cover
  tideline why testdata/books/lantern-street-4.yaml immersion-bath cover --rather-than "blotter wash"
  tideline why testdata/books/lantern-street-4.yaml immersion-bath cover --for owner
  tideline why testdata/books/lantern-street-4.yaml mend-paste --all`,
		Args:              takes(2, 3),
		ValidArgsFunction: a.completeWhy,
		RunE: func(_ *cobra.Command, args []string) error {
			if err := readers(reader); err != nil {
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
			if foil != "" {
				return a.rather(g, verdicts, foil, all)
			}
			if a.json {
				return a.writeJSON(data.Why(g, verdicts))
			}
			var parts []string
			for _, v := range verdicts {
				if reader == owner {
					parts = append(parts, text.OwnerWhy(g, v, a.style()))
					continue
				}
				parts = append(parts, text.Why(g, v, a.style(), all || reader == apprentice))
			}
			return a.write(strings.Join(parts, "\n\n"))
		},
	}
	a.onFlag(c)
	a.forFlag(c, &reader)
	c.Flags().BoolVar(&all, "all", false, "show also the rules that do not apply, and the branches no value needs")
	c.Flags().StringVar(&foil, "rather-than", "", "show only in what the verdict differs from that of this `TREATMENT`")
	must(c.RegisterFlagCompletionFunc("rather-than", a.completeTreatments))
	return c
}

// chosen finds the verdicts of a treatment: of one target, or of all, the leading one first.
func chosen(g *judge.Judgement, name, target string) ([]*judge.Verdict, error) {
	t, err := treatmentOf(g.Case.Pack, name)
	if err != nil {
		return nil, err
	}
	var verdicts []*judge.Verdict
	var paths []string
	for _, v := range g.Verdicts {
		if v.Treatment == t {
			paths = append(paths, v.Target.Path)
			if target == "" || v.Target.Path == target {
				verdicts = append(verdicts, v)
			}
		}
	}
	switch {
	case len(paths) == 0:
		return nil, wrongUse{fmt.Errorf("%s is not considered in this book: it has no %s that it could be done to", t.Name, t.Of)}
	case len(verdicts) == 0:
		slices.Sort(paths)
		return nil, wrongUse{fmt.Errorf("%s is not considered for %q; it is for %s%s", t.Name, target, strings.Join(paths, ", "), didYouMean(target, paths))}
	}
	return verdicts, nil
}

// treatmentOf finds a treatment by its id or name, whatever the case of the letters.
func treatmentOf(p *pack.Pack, name string) (*pack.Treatment, error) {
	wanted := strings.ToLower(strings.TrimSpace(name))
	var known []string
	for _, t := range p.Treatments {
		if wanted == t.ID || wanted == strings.ToLower(t.Name) || strings.ReplaceAll(wanted, " ", "-") == t.ID {
			return t, nil
		}
		known = append(known, strings.ToLower(t.Name), t.ID)
	}
	var holding []string // names that hold what was given
	for _, t := range p.Treatments {
		if wanted != "" && strings.Contains(strings.ToLower(t.Name)+" "+t.ID, wanted) {
			holding = append(holding, t.ID)
		}
	}
	switch {
	case nearest.Word(wanted, known) != "":
		return nil, wrongUse{fmt.Errorf("there is no treatment %q%s", name, didYouMean(wanted, known))}
	case len(holding) > 0:
		return nil, wrongUse{fmt.Errorf("there is no treatment %q; there are %s", name, strings.Join(holding, ", "))}
	}
	return nil, wrongUse{fmt.Errorf("there is no treatment %q; `tideline decide BOOK --all` names them all", name)}
}

// rather compares each verdict with that of the foil: on the same target, else on the foil's leading one.
func (a *app) rather(g *judge.Judgement, verdicts []*judge.Verdict, foil string, all bool) error {
	others, err := chosen(g, foil, "")
	if err != nil {
		return err
	}
	if others[0].Treatment == verdicts[0].Treatment {
		return wrongUse{fmt.Errorf("%s cannot be compared with itself", others[0].Treatment.Name)}
	}
	var parts []string
	for _, v := range verdicts {
		other := g.Of(others[0].Treatment.ID, v.Target.Path)
		if other == nil {
			other = others[0]
		}
		if a.json {
			return a.writeJSON(data.Why(g, []*judge.Verdict{v, other}))
		}
		parts = append(parts, text.RatherThan(g, v, other, a.style(), all))
	}
	return a.write(strings.Join(parts, "\n\n"))
}
