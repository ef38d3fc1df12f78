package main

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/fault"
	"tideline/rules/pack"
)

// onFlag adds --on.
func (a *app) onFlag(c *cobra.Command) {
	c.Flags().StringVar(&a.on, "on", "", "judge for this `DATE`, or for the last day the `record` mentions; results go out of date by it (default today)")
}

// load reads a book. Its faults are the error.
func (a *app) load(path string, p *pack.Pack) (*record.Book, error) {
	faults := &fault.List{}
	name := path
	b := record.Load(path, a.stdin, record.WordsOf(p), time.Now(), faults)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	if b == nil {
		return nil, internal{fmt.Errorf("%s was not read, and no fault was told", name)}
	}
	return b, nil
}

// gather makes a book a case for the day of --on.
func (a *app) gather(b *record.Book, p *pack.Pack) (*evidence.Case, error) {
	last := evidence.Gather(p, b, time.Time{})
	if a.on == "record" {
		return last, nil
	}
	on := time.Now()
	if a.on != "" {
		var err error
		if on, err = time.Parse(time.DateOnly, a.on); err != nil {
			return nil, wrongUse{fmt.Errorf("--on %q is not a date: write 2026-10-12, or record", a.on)}
		}
	}
	day := time.Date(on.Year(), on.Month(), on.Day(), 0, 0, 0, 0, time.UTC)
	if a.on != "" && day.Before(last.On.Truncate(24*time.Hour)) {
		return nil, wrongUse{fmt.Errorf("--on %s is before %s, the last day the record mentions: what was found later cannot be left out",
			a.on, last.On.Format(time.DateOnly))}
	}
	return evidence.Gather(p, b, day), nil
}

// judge reads a book and judges it.
func (a *app) judge(path string) (*judge.Judgement, error) {
	p, err := a.loadPack()
	if err != nil {
		return nil, err
	}
	b, err := a.load(path, p)
	if err != nil {
		return nil, err
	}
	return a.judgeBook(b, p)
}

func (a *app) judgeBook(b *record.Book, p *pack.Pack) (*judge.Judgement, error) {
	c, err := a.gather(b, p)
	if err != nil {
		return nil, err
	}
	g, err := judge.Judge(c)
	if err != nil {
		return nil, badInput{fmt.Errorf("the pack cannot be judged by: %w", err)}
	}
	return g, nil
}
