package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"tideline/engine/trial"
	"tideline/explain/text"
	"tideline/explain/words"
	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/pack"
)

func newPack(a *app) *cobra.Command {
	c := &cobra.Command{
		Use:   "pack COMMAND",
		Short: "Checks and tries packs of rules",
		Long: `A pack holds the questions, treatments and rules that books are judged by.
rules/README.md describes how one is written.`,
		Example: "  tideline pack check --pack testdata/packs/quiet-studio.yaml\n  tideline pack trial",
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 0 {
				return unknownCommand(c, args)
			}
			return c.Help()
		},
	}
	c.AddCommand(newPackCheck(a), newPackTrial(a), newPackGuide(a))
	return c
}

func newPackCheck(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "check [--pack FILE|DIR]...",
		Short: "Reads packs and says what is wrong with them",
		Long: `Reads the shipped pack and those laid over it, compiles every condition, and says
everything that is wrong, with file, line and column. When nothing is, it counts
what the packs hold, and notes what they hold in vain: what nothing reads or uses,
and rules that are never or always true or that another makes idle. Notes are no
faults.`,
		Example: "  tideline pack check\n  tideline pack check --pack testdata/packs/quiet-studio.yaml",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			p, err := a.loadWhole()
			if err != nil {
				return err
			}
			if a.json {
				c := counts(p)
				for _, f := range pack.Check(p) {
					c.Notes = append(c.Notes, noted{f.Place, f.Kind, f.What, f.Other})
				}
				return a.writeJSON(c)
			}
			if err := a.printCounts(p); err != nil {
				return err
			}
			return a.write(text.Findings(pack.Check(p), a.style()))
		},
	}
}

// counted is what packs hold, by what it is called.
type counted struct {
	Packs      []string            `json:"packs"` // the lowest first
	Questions  int                 `json:"questions"`
	Facts      int                 `json:"facts"`
	Treatments int                 `json:"treatments"`
	Rules      int                 `json:"rules"`
	ByEffect   map[pack.Effect]int `json:"by_effect"`
	Withdrawn  int                 `json:"withdrawn"`
	Trials     int                 `json:"trials"`
	Samples    int                 `json:"samples"`
	Sources    int                 `json:"sources"`
	Principles int                 `json:"principles"`
	Notes      []noted             `json:"notes"`
}

// noted is something a pack holds in vain.
type noted struct {
	Where fault.Place      `json:"where"`
	Kind  pack.FindingKind `json:"kind"`
	What  string           `json:"what"`
	Other string           `json:"other,omitempty"` // the rule that makes it idle
}

func counts(p *pack.Pack) counted {
	c := counted{
		Questions: len(p.Tests), Facts: len(p.Facts), Treatments: len(p.Treatments), Rules: len(p.Rules), ByEffect: map[pack.Effect]int{},
		Trials: len(p.Trials), Samples: len(p.Samples), Sources: len(p.Sources), Principles: len(p.Principles), Notes: []noted{},
	}
	for _, l := range p.Layers {
		c.Packs = append(c.Packs, l.Name)
	}
	for _, r := range p.Rules {
		c.ByEffect[r.Effect]++
		if r.Withdrawn != nil {
			c.Withdrawn++
		}
	}
	return c
}

func (a *app) printCounts(p *pack.Pack) error {
	var b strings.Builder
	for _, l := range p.Layers {
		fmt.Fprintf(&b, "%s: %s read, no faults\n", words.Safe(l.Name), words.Count(len(l.Files), "file", "files"))
	}
	c := counts(p)
	fmt.Fprintf(&b, "%6d  questions\n%6d  facts\n%6d  treatments\n%6d  rules\n", c.Questions, c.Facts, c.Treatments, c.Rules)
	for _, e := range pack.Effects {
		fmt.Fprintf(&b, "%10d  %s\n", c.ByEffect[e], e)
	}
	if c.Withdrawn > 0 {
		fmt.Fprintf(&b, "%10d  withdrawn\n", c.Withdrawn)
	}
	fmt.Fprintf(&b, "%6d  trials, on %s\n%6d  sources\n%6d  principles\n", c.Trials, words.Count(c.Samples, "sample", "samples"), c.Sources, c.Principles)
	return a.write(b.String())
}

func newPackTrial(a *app) *cobra.Command {
	var mutate bool
	var least float64
	c := &cobra.Command{
		Use:   "trial [--mutate [--least PERCENT]] [--pack FILE|DIR]...",
		Short: "Runs the trials that stand beside the rules",
		Long: `Runs every trial of the packs: a small book with some answers changed, and the
verdicts that must come of it. A trial that does not come out as written is shown
with what came instead, and makes the exit code 3.

With --mutate it changes the packs in small ways, one at a time (a rule dropped,
an atom negated, a threshold shifted by one step, && and || swapped ...), and
lists the changes that no trial notices. With --least as well it exits with 1
when fewer than that many in a hundred are noticed, or when one that touches
safety is not.`,
		Example: "  tideline pack trial\n  tideline pack trial --pack testdata/packs/quiet-studio.yaml\n  tideline pack trial --mutate --pack testdata/packs/tiny.yaml --pack testdata/packs/tiny-trials.yaml\n  tideline pack trial --mutate --least 95",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			asked := c.Flags().Changed("least")
			switch {
			case asked && !mutate:
				return wrongUse{errors.New("--least needs a score, so --mutate as well")}
			case !(least >= 0 && least <= 100):
				return wrongUse{fmt.Errorf("--least: %g is no share in a hundred; give 0 to 100", least)}
			}
			p, err := a.loadWhole()
			if err != nil {
				return err
			}
			if mutate {
				return a.printMutants(p, asked, least)
			}
			return a.tryLayers()
		},
	}
	c.Flags().BoolVar(&mutate, "mutate", false, "list the changes to the packs that no trial notices, and the score")
	c.Flags().Float64Var(&least, "least", 0, "with --mutate: exit with 1 if the score is below `PERCENT`, or a change that touches safety goes unnoticed")
	return c
}

// tryLayers runs the trials of each pack under that pack and those it lies on.
func (a *app) tryLayers() error {
	layers, err := a.layers()
	if err != nil {
		return err
	}
	all := &trial.Report{}
	for n := range layers {
		p, err := compile(layers[:n+1])
		if err != nil {
			return err
		}
		r := trial.RunTop(p)
		all.Trials += r.Trials
		all.Failures, all.Faults, all.Untried = append(all.Failures, r.Failures...), append(all.Faults, r.Faults...), append(all.Untried, r.Untried...)
	}
	return a.printTrials(all)
}

// scored is what trials notice of changes to a pack, for programs.
type scored struct {
	All       trial.Tally `json:"all"`
	Safety    trial.Tally `json:"safety"`
	Left      []string    `json:"left"`      // trials left out, since they do not come out as written
	Unnoticed []mutant    `json:"unnoticed"` // those that may be equivalent are called undecided
}

type mutant struct {
	Where  fault.Place  `json:"where"`
	Of     string       `json:"of"`
	Change trial.Change `json:"change"`
	Was    string       `json:"was"`
	Is     string       `json:"is"`
	Safety bool         `json:"safety"`
	Fate   trial.Fate   `json:"fate"`
}

// printMutants tells what the trials of a pack do not notice, and, where a score was asked for, whether it was reached. How
// far it has come goes to standard error.
func (a *app) printMutants(p *pack.Pack, asked bool, least float64) error {
	if len(p.Trials) == 0 {
		return badInput{errors.New("There are no trials to run.")}
	}
	s := trial.Mutate(p, func(done, all int) {
		if done%500 == 0 {
			fmt.Fprintf(a.stderr, "%d of %d changes tried\n", done, all)
		}
	})
	short := ""
	if asked {
		short = text.Short(s, least, a.style())
	}
	var err error
	if a.json {
		err = a.writeJSON(scoredOf(s))
	} else {
		err = a.write(text.Mutants(s, a.style()) + short)
	}
	if err == nil && short != "" {
		return attention{errors.New(short)}
	}
	return err
}

func scoredOf(s *trial.Score) scored {
	j := scored{All: s.All, Safety: s.Safety, Left: append([]string{}, s.Left...), Unnoticed: []mutant{}}
	for _, m := range s.Mutants {
		if m.Fate == trial.Survived || m.Fate == trial.Undecided {
			j.Unnoticed = append(j.Unnoticed, mutant{m.Place, m.Of, m.Change, m.Was, m.Is, m.Safety, m.Fate})
		}
	}
	return j
}

// tried is what came of trials, for programs.
type tried struct {
	Trials   int       `json:"trials"`
	Failures []failed  `json:"failures"`
	Untried  []untried `json:"untried"`
}

type failed struct {
	Trial    string      `json:"trial"`
	Where    fault.Place `json:"where"`
	Expected string      `json:"expected"`
	Came     string      `json:"came"`
	Because  []string    `json:"because"`
}

type untried struct {
	Where fault.Place `json:"where"`
	What  string      `json:"what"`
}

// printTrials tells what did not come out as written; anything that did not is bad input.
func (a *app) printTrials(r *trial.Report) error {
	if len(r.Faults) > 0 {
		return fault.Errors(r.Faults)
	}
	t := tried{Trials: r.Trials, Failures: []failed{}, Untried: []untried{}}
	for _, f := range r.Failures {
		t.Failures = append(t.Failures, failed{f.Trial.Name, f.Trial.Place, f.Expected, f.Got, because(f)})
	}
	for _, u := range r.Untried {
		t.Untried = append(t.Untried, untried{u.Place, u.What})
	}
	var err error
	if a.json {
		err = a.writeJSON(t)
	} else {
		err = a.write(t.text())
	}
	switch {
	case err != nil:
		return err
	case len(t.Failures) > 0:
		return badInput{fmt.Errorf("%s not as written", words.Count(len(t.Failures), "thing came", "things came"))}
	case t.Trials == 0:
		return badInput{errors.New("There are no trials to run.")}
	}
	return nil
}

func (t tried) text() string {
	var b strings.Builder
	for _, f := range t.Failures {
		fmt.Fprintf(&b, "%s: trial %q\n  expected  %s\n  came      %s\n", f.Where, f.Trial, f.Expected, f.Came)
		for _, s := range f.Because {
			fmt.Fprintf(&b, "            %s\n", s)
		}
	}
	for _, u := range t.Untried {
		fmt.Fprintf(&b, "%s: %s\n", u.Where, u.What)
	}
	switch {
	case t.Trials == 0 || len(t.Failures) > 0:
	case len(t.Untried) > 0:
		fmt.Fprintf(&b, "%s run, all as written; %s untried\n", words.Count(t.Trials, "trial", "trials"), words.Count(len(t.Untried), "thing is", "things are"))
	default:
		fmt.Fprintf(&b, "%s run, all as written\n", words.Count(t.Trials, "trial", "trials"))
	}
	return words.Safe(b.String())
}

// because tells which rules spoke where a trial went astray: those that hold and those that wait.
func because(f trial.Failure) []string {
	list := []string{}
	if f.Verdict == nil {
		return list
	}
	for _, i := range f.Verdict.Instances {
		speaks := i.Rule.Effect == pack.RulesOut || i.Rule.Effect == pack.CalledFor
		if speaks && i.Value != cond.False {
			list = append(list, fmt.Sprintf("%s on %s: %s, %s", i.Rule.ID, i.Thing.Path, i.Rule.Effect, i.Value))
		}
	}
	return list
}
