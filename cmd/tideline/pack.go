package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"tideline/engine/trial"
	"tideline/explain/words"
	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/pack"
)

func newPack(a *app) *cobra.Command {
	c := &cobra.Command{
		Use:     "pack",
		Short:   "Checks and tries packs of rules",
		Long:    "A pack holds the questions, treatments and rules that books are judged by. rules/README.md describes how one is written.",
		Example: "  tideline pack check --pack testdata/packs/quiet-studio.yaml\n  tideline pack trial",
		Args:    cobra.NoArgs,
	}
	c.AddCommand(newPackCheck(a), newPackTrial(a))
	return c
}

func newPackCheck(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "check [--pack FILE|DIR]...",
		Short: "Reads packs and says what is wrong with them",
		Long: `Reads the shipped pack and those laid over it, compiles every condition, and says everything that is wrong, with file,
line and column. When nothing is, it counts what the packs hold.`,
		Example: "  tideline pack check\n  tideline pack check --pack testdata/packs/quiet-studio.yaml",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			p, err := a.loadPack()
			if err != nil {
				return err
			}
			a.printCounts(p)
			return nil
		},
	}
}

func (a *app) printCounts(p *pack.Pack) {
	effects := map[pack.Effect]int{}
	for _, r := range p.Rules {
		effects[r.Effect]++
	}
	for _, l := range p.Layers {
		fmt.Fprintf(a.stdout, "%s: %s read, no faults\n", l.Name, words.Count(len(l.Files), "file", "files"))
	}
	for _, line := range []struct {
		n    int
		what string
	}{
		{len(p.Tests), "questions"}, {len(p.Facts), "facts"}, {len(p.Treatments), "treatments"}, {len(p.Rules), "rules"},
	} {
		fmt.Fprintf(a.stdout, "%6d  %s\n", line.n, line.what)
	}
	for _, e := range pack.Effects {
		fmt.Fprintf(a.stdout, "%8d  %s\n", effects[e], e)
	}
	fmt.Fprintf(a.stdout, "%6d  trials on %d samples\n%6d  sources\n%6d  principles\n", len(p.Trials), len(p.Samples), len(p.Sources), len(p.Principles))
}

func newPackTrial(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "trial [--pack FILE|DIR]...",
		Short: "Runs the trials that stand beside the rules",
		Long: `Runs every trial of the packs: a small book with some answers changed, and the verdicts that must come of it. A trial
that does not come out as written is shown with what came instead.`,
		Example: "  tideline pack trial\n  tideline pack trial --pack testdata/packs/quiet-studio.yaml",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			p, err := a.loadPack()
			if err != nil {
				return err
			}
			return a.printTrials(trial.Run(p))
		},
	}
}

// printTrials tells what did not come out as written; anything that did not is bad input.
func (a *app) printTrials(r *trial.Report) error {
	if len(r.Faults) > 0 {
		return fault.Errors(r.Faults)
	}
	for _, f := range r.Failures {
		fmt.Fprintf(a.stdout, "%s: trial %q\n  expected  %s\n  came      %s\n", f.Trial.Place, f.Trial.Name, words.Safe(f.Expected), words.Safe(f.Got))
		for _, s := range because(f) {
			fmt.Fprintf(a.stdout, "            %s\n", words.Safe(s))
		}
	}
	for _, u := range r.Untried {
		fmt.Fprintf(a.stdout, "%s: %s\n", u.Place, u.What)
	}
	if n := len(r.Failures); n > 0 {
		return badInput{fmt.Errorf("%s run: %s not as written", words.Count(r.Trials, "trial", "trials"), words.Count(n, "thing came", "things came"))}
	}
	if r.Trials == 0 {
		return badInput{errors.New("there are no trials to run")}
	}
	fmt.Fprintf(a.stdout, "%s run, all as written", words.Count(r.Trials, "trial", "trials"))
	if n := len(r.Untried); n > 0 {
		fmt.Fprintf(a.stdout, "; %s untried", words.Count(n, "thing is", "things are"))
	}
	fmt.Fprintln(a.stdout)
	return nil
}

// because tells which rules spoke where a trial went astray: those that hold and those that wait.
func because(f trial.Failure) []string {
	if f.Verdict == nil {
		return nil
	}
	var list []string
	for _, i := range f.Verdict.Instances {
		speaks := i.Rule.Effect == pack.RulesOut || i.Rule.Effect == pack.CalledFor
		if speaks && i.Value != cond.False {
			list = append(list, fmt.Sprintf("%s on %s: %s, %s", i.Rule.ID, i.Thing.Path, i.Rule.Effect, i.Value))
		}
	}
	return list
}
