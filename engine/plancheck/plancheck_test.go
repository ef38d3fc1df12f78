package plancheck

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"tideline/engine/dose"
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/engine/record"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
	"tideline/rules/vocab"
)

var update = flag.Bool("update", false, "write the golden file anew")

type planned struct {
	name string
	plan *plan.Plan
}

// books are the plans of the example books, made once.
var books = sync.OnceValues(func() ([]planned, error) {
	layer, err := packs.Shipped()
	if err != nil {
		return nil, err
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{layer}, faults, dose.Functions()...)
	files, err := filepath.Glob("../../testdata/books/*.yaml")
	if err != nil || len(files) == 0 {
		return nil, fmt.Errorf("no books: %w", err)
	}
	var list []planned
	for _, f := range files {
		b := record.Load(f, nil, record.WordsOf(p), time.Time{}, faults)
		if err := faults.Err(); err != nil {
			return nil, err
		}
		pl, err := made(p, b)
		if err != nil {
			return nil, err
		}
		list = append(list, planned{strings.TrimSuffix(filepath.Base(f), ".yaml"), pl})
	}
	return list, nil
})

func made(p *pack.Pack, b *record.Book) (*plan.Plan, error) {
	g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
	if err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	return plan.Make(ctx, g, plan.Options{})
}

func shipped(t *testing.T) []planned {
	t.Helper()
	list, err := books()
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// line writes a fault for the golden file.
func (f *Fault) line() string {
	parts := []string{string(f.Kind)}
	if f.Step != Whole {
		parts = append([]string{fmt.Sprintf("%d %s on %s", f.Step+1, f.Key.Treatment, f.Key.Path)}, parts...)
	}
	if f.Other != (plan.Key{}) {
		parts = append(parts, f.Other.Treatment+" on "+f.Other.Path)
	}
	parts = append(parts, f.Path, f.Finding, strings.Join(f.Asks, " "), string(f.Word), f.Cost)
	if f.Question != nil {
		parts = append(parts, f.Question.ID)
	}
	if f.Cost != "" {
		parts = append(parts, fmt.Sprintf("%d, adds up to %d", f.Got, f.Want))
	}
	return strings.Join(strings.Fields(strings.Join(parts, " ")), " ")
}

// TestBooks checks the plans of the example books. What the planner and the checker do not agree on stands in the golden file,
// one line each: it must not grow, and shrinks when one of the two is mended.
func TestBooks(t *testing.T) {
	var b bytes.Buffer
	for _, p := range shipped(t) {
		r, err := Check(p.plan)
		if err != nil {
			t.Fatal(err)
		}
		if len(r.States) != len(p.plan.Steps)+1 {
			t.Errorf("%s: %d states of %d steps", p.name, len(r.States), len(p.plan.Steps))
		}
		if len(r.Faults) == 0 {
			fmt.Fprintf(&b, "%s: holds together\n", p.name)
		}
		for _, f := range r.Faults {
			fmt.Fprintf(&b, "%s: %s\n", p.name, f.line())
		}
	}
	golden(t, "testdata/books.golden", b.Bytes())
}

// golden holds what came against a file, or writes it.
func golden(t *testing.T, file string, got []byte) {
	t.Helper()
	if *update {
		if os.Getenv("CI") != "" {
			t.Fatal("golden files are not written where CI is set")
		}
		if err := os.WriteFile(file, got, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// TestPlanted puts faults into plans that hold together: all of them are noticed, and there are some of every kind.
func TestPlanted(t *testing.T) {
	rnd, total, clean := rand.New(rand.NewPCG(1, 1)), map[string]int{}, 0
	for _, p := range shipped(t) {
		if len(p.plan.Steps) > 15 { // each fault is a check of the whole plan
			continue
		}
		r := setRight(t, p.plan)
		if f := r.First(); f != nil {
			t.Logf("%s is left out: %s", p.name, f.line())
			continue
		}
		clean++
		list, err := Corrupt(p.plan, rnd, 2)
		if err != nil {
			t.Fatal(err)
		}
		for _, k := range list {
			total[k.Kind] += k.Made
			for _, m := range k.Missed {
				t.Errorf("%s: %s not noticed: %s", p.name, k.Kind, m)
			}
		}
	}
	if len(total) < 26 || clean < 7 {
		t.Errorf("only %d kinds of fault were planted, in %d plans: %v", len(total), clean, total)
	}
}

// setRight rights what a plan says of itself, so that faults can be put into one that holds together. What its steps are it
// leaves as it is.
func setRight(t *testing.T, p *plan.Plan) *Report {
	t.Helper()
	for range 5 {
		c, r, err := check(p)
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Faults) == 0 {
			return r
		}
		*p = *c.altered(func(n *plan.Plan) {
			for _, f := range r.Faults {
				c.right(n, f)
			}
		})
	}
	r, err := Check(p)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func (c *checker) right(p *plan.Plan, f *Fault) {
	switch f.Kind {
	case CostsDiffer:
		if f.Cost == "support" {
			p.Cost.Support = f.Want
		}
	case RetestIdle:
		s := p.Steps[f.Step]
		s.Retests = slices.DeleteFunc(slices.Clone(s.Retests), func(r plan.Retest) bool { return r.Path == f.Path && r.Question == f.Question })
	case Told:
		p.Steps[f.Step].Verdict = f.Verdict
	case MetWrong:
		for _, b := range p.Brought {
			if b.Path == f.Path {
				b.Met = &f.Other
			}
		}
	}
}

// TestStates holds the foreseen book against the record read anew with the steps written as done: two ways to the same answers.
func TestStates(t *testing.T) {
	tried := 0
	for _, p := range shipped(t) {
		c, _, err := check(p.plan)
		if err != nil {
			t.Fatal(err)
		}
		for n := range c.keys {
			want := c.written(n + 1)
			got := c.states[n+1].gather()
			for _, a := range want.Asks {
				if a.Question == nil || a.Thing.Record == nil {
					continue
				}
				thing := got.At(a.Thing.Path)
				if thing == nil {
					t.Errorf("%s after step %d: %s is gone", p.name, n+1, a.Thing.Path)
					continue
				}
				tried++
				if is := got.Asks[got.Number(thing, a.Question)].Answer; is != a.Answer {
					t.Errorf("%s after step %d: %s of %s is %s, by the record %s", p.name, n+1, a.Question.ID, a.Thing.Path, a.Question.Text(is), a.Question.Text(a.Answer))
				}
			}
			if len(got.Things) != len(want.Things) {
				t.Errorf("%s after step %d: %d things, by the record %d", p.name, n+1, len(got.Things), len(want.Things))
			}
		}
	}
	if tried < 1000 {
		t.Errorf("only %d answers were compared", tried)
	}
}

// written gathers the book with the first n steps of the plan written into the record as done as planned, the tests done again
// as results, and what was brought as findings found after.
func (c *checker) written(n int) *evidence.Case {
	b := *c.g.Case.Book
	when := c.g.Case.On.Add(48 * time.Hour)
	kind := c.pack.Vocabulary.Question("finding.kind")
	for i, k := range c.keys[:n] {
		when = when.Add(time.Hour)
		for _, r := range c.p.Steps[i].Retests {
			b.Results = append(b.Results, record.Result{Question: r.Question, Thing: c.states[i].At(r.Path), Answer: r.Expected, Date: when})
		}
		when = when.Add(time.Hour)
		b.Done = append(b.Done, record.Done{Treatment: k.Treatment, Target: c.states[i].At(k.Path), Date: when, Outcome: record.AsPlanned})
		for _, f := range c.brings(k) {
			found := *f.thing
			found.Found, found.Path = when, fmt.Sprint(f.thing.Path, i)
			if before := c.states[i].At(f.thing.Path); before == nil {
				c.brought[f.thing.Path].Found = when
				b.Things = append(b.Things, f.thing)
				b.Results = append(b.Results, record.Result{Question: kind, Thing: f.thing, Answer: vocab.Word(f.kind), Date: when})
			}
		}
	}
	return evidence.Gather(c.pack, &b, c.g.Case.On)
}
