package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"tideline/engine/plan"
	"tideline/explain/data"
	"tideline/explain/text"
	"tideline/explain/words"
)

// planFlags are how a plan is asked for.
type planFlags struct {
	all           bool
	reader        string
	since         string
	with, without []string
	tests, depth  int
	next          int
	limit         time.Duration
	bench         benchFlags
}

func newPlan(a *app) *cobra.Command {
	var f planFlags
	c := &cobra.Command{
		Use:   "plan BOOK",
		Short: "Orders treatments into a plan: the least that serves, step by step",
		Long: `Finds the mildest and shortest set of steps that sees to what calls for care, and
puts them in order. Each step is judged again on the book as it will be when it
comes to it: what steps before it have cleared, brought or made stale. A step
that hangs on a test made stale has that test before it.

A plan tells what each step is for, the dangers before all else, the settings,
when to stop, what it brings and what then; what is left as it is, and why; what
follows if a test not done yet tells more; and the next best plans with what each
would lose. Steps done are taken from the record: say there how they went
(result: as planned, partly, stopped early), and plan again.

--chart lays the steps out in time instead: one person, one of each piece of
equipment, and what can be done while something else waits. --sheet writes a sheet
for the bench: to work from, to tick, and with entries for the record.

Ctrl-C, or --limit, ends the search with the best plan found so far.`,
		Example: `  tideline plan testdata/books/harbour-almanac.yaml
  tideline plan testdata/books/lantern-street-4.yaml --tests 2
  tideline plan testdata/books/lantern-street-4.yaml --without cold-press@cover
  tideline plan testdata/books/lantern-street-4.yaml --for owner
  tideline plan testdata/plans/lamp-room-after.yaml --since testdata/plans/lamp-room-before.yaml
  tideline plan testdata/books/lantern-street-4.yaml --chart --start 2026-10-12
  tideline plan testdata/books/lantern-street-4.yaml --sheet /tmp/lantern-street.html
  tideline plan testdata/books/harbour-almanac.yaml --json`,
		Args:              takes(1, 1),
		ValidArgsFunction: completeBooks,
		RunE:              func(_ *cobra.Command, args []string) error { return a.plan(args[0], f) },
	}
	a.onFlag(c)
	c.Flags().BoolVar(&f.all, "all", false, "show every caution of every step")
	a.forFlag(c, &f.reader)
	c.Flags().StringVar(&f.since, "since", "", "tell what changed since the plan for the earlier record in `FILE`, and which answer changed it")
	c.Flags().StringArrayVar(&f.with, "with", nil, "the plan must hold this `TREATMENT@THING` (repeatable); tells what that costs")
	c.Flags().StringArrayVar(&f.without, "without", nil, "the plan must not hold this `TREATMENT@THING` (repeatable); tells what that costs")
	c.Flags().IntVar(&f.tests, "tests", 1, "work out what follows from so many `TESTS` not done yet")
	c.Flags().IntVar(&f.depth, "depth", 2, "and from so many in a row")
	c.Flags().IntVar(&f.next, "next", 2, "find so many next best plans")
	c.Flags().DurationVar(&f.limit, "limit", 20*time.Second, "search no longer than this `TIME`")
	f.bench.add(c)
	return c
}

func (a *app) plan(path string, f planFlags) error {
	hours, err := f.bench.hours()
	if err != nil {
		return err
	}
	if err := readers(f.reader); err != nil {
		return err
	}
	g, err := a.judge(path)
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	ctx, cancel := context.WithTimeout(ctx, f.limit)
	defer cancel()
	defer a.waiting("looking for a plan; Ctrl-C gives the best so far")()

	o := plan.Options{Next: f.next}
	if o.With, err = planKeys("--with", f.with); err != nil {
		return err
	}
	if o.Without, err = planKeys("--without", f.without); err != nil {
		return err
	}
	for _, k := range append(o.With, o.Without...) {
		if g.Of(k.Treatment, k.Path) == nil {
			return wrongUse{fmt.Errorf("%s is not considered for %s: `tideline decide %s --all` lists what is", k.Treatment, k.Path, path)}
		}
	}
	var change *plan.Change
	var before *plan.Plan
	if f.since != "" {
		old, err := a.judge(f.since)
		if err != nil {
			return err
		}
		if before, err = plan.Make(ctx, old, plan.Options{}); err != nil {
			return internal{err}
		}
		for _, s := range before.Steps {
			o.Earlier = append(o.Earlier, s.Key)
		}
	}
	p, err := plan.Make(ctx, g, o)
	if err != nil {
		return badInput{err}
	}
	if before != nil {
		if change, err = plan.Compare(before, p); err != nil {
			return internal{err}
		}
	}
	if f.bench.instead() {
		return a.benchSide(p, hours, f.bench)
	}
	waits, err := p.Waits(ctx, f.tests, f.depth)
	if err != nil {
		return internal{err}
	}
	if a.json {
		planned, err := data.Plan(p, waits, change)
		if err != nil {
			return internal{err}
		}
		if chart, err := layOut(p, hours); err == nil { // without any day there are no times
			planned.Schedule = data.Schedule(chart)
		}
		return a.writeJSON(planned)
	}
	if f.reader == owner {
		return a.write(text.OwnerPlan(p, a.style()))
	}
	page, err := text.Plan(p, waits, a.style(), f.all, f.reader == apprentice)
	if err != nil {
		return internal{err}
	}
	if change != nil {
		page = text.PlanChange(change, p, a.style()) + page
	}
	if len(o.With)+len(o.Without) > 0 && len(g.Contradictions) == 0 {
		free, err := plan.Make(ctx, g, plan.Options{})
		if err != nil {
			return internal{err}
		}
		page += "\n" + words.AgainstFree(free.Cost, p.Cost) + "\n"
	}
	return a.write(page)
}

// planKeys reads TREATMENT@THING.
func planKeys(flag string, list []string) (keys []plan.Key, err error) {
	for _, s := range list {
		treatment, path, found := strings.Cut(s, "@")
		if !found {
			return nil, wrongUse{fmt.Errorf("%s %q: write TREATMENT@THING, as in cold-press@cover", flag, s)}
		}
		keys = append(keys, plan.Key{Treatment: treatment, Path: path})
	}
	return keys, nil
}

// waiting says on a terminal what takes so long, once it has taken half a second; the function it gives ends that.
func (a *app) waiting(what string) func() {
	timer := time.AfterFunc(500*time.Millisecond, func() {
		if f, ok := a.stderr.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
			fmt.Fprintln(a.stderr, what)
		}
	})
	return func() { timer.Stop() }
}
