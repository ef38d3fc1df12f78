// Package trial tries a pack on the small books that stand beside its rules.
//
// In:  a pack. Out: a [Report] of what each trial expected and did not get, with the judgement that led there; or a
// [Score] of the changes to the pack that the trials notice.
package trial

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/vocab"
	"tideline/rules/yamlfile"
)

// Report is what came of all trials of a pack.
type Report struct {
	Trials   int
	Failures []Failure
	// Faults are samples and trials that could not be read.
	Faults []fault.Fault
	// Untried are rules that rule out and no trial makes fire, or none makes silent (unless it always holds); and questions no trial answers.
	Untried []Untried
}

// Failure is one thing a trial expected and did not get.
type Failure struct {
	Trial     *pack.Trial
	Expected  string
	Got       string
	Judgement *judge.Judgement // nil when the trial could not be judged
	Verdict   *judge.Verdict   // the verdict concerned, nil when a rule is
	Rule      *pack.Rule       // the rule concerned, nil when a verdict is
}

// Untried is something no trial tries.
type Untried struct {
	Place fault.Place
	What  string
}

// Run runs every trial.
func Run(p *pack.Pack) *Report { return run(p, func(any) bool { return true }) }

// RunTop runs the trials of the layer that lies on top. Those of the layers below hold without it: a house pack rightly
// changes what comes of them.
func RunTop(p *pack.Pack) *Report { return run(p, p.OnTop) }

func run(p *pack.Pack, meant func(any) bool) *Report {
	faults := &fault.List{}
	r := newRunner(p, faults)
	for _, t := range p.Trials {
		if meant(t) {
			r.report.Trials++
			r.run(t, faults)
		}
	}
	r.untried(meant)
	r.report.Faults = faults.All()
	return r.report
}

// newRunner reads the samples of a pack.
func newRunner(p *pack.Pack, faults *fault.List) *runner {
	r := &runner{
		pack: p, words: record.WordsOf(p), samples: map[string]*record.Book{}, report: &Report{},
		fired: map[string]bool{}, silent: map[string]bool{}, answered: map[string]bool{},
	}
	for _, s := range p.Samples {
		before := faults.Len()
		if book := record.ParseNode(s.Book.With(faults), r.words, record.Options{Complete: true}, faults); faults.Len() == before {
			r.samples[s.ID] = book
		}
	}
	return r
}

type runner struct {
	pack                    *pack.Pack
	words                   *record.Words
	samples                 map[string]*record.Book
	report                  *Report
	fired, silent, answered map[string]bool
}

func (r *runner) run(t *pack.Trial, faults *fault.List) {
	book := r.vary(t, faults)
	if book == nil {
		return
	}
	for _, result := range book.Results {
		r.answered[result.Question.ID] = true
	}
	g, err := judge.Judge(evidence.Gather(r.pack, book, time.Time{}))
	if err != nil {
		r.fail(Failure{Trial: t, Expected: "a judgement", Got: err.Error()})
		return
	}
	r.rules(t, g)
	r.facts(t, g)
	r.verdicts(t, g)
	r.aftermath(t, book)
	r.warns(t, g)
}

func (r *runner) fail(f Failure) { r.report.Failures = append(r.report.Failures, f) }

// vary gives the trial's book: its sample with some answers changed.
func (r *runner) vary(t *pack.Trial, faults *fault.List) *record.Book {
	sample := r.samples[t.Like]
	if sample == nil {
		return nil
	}
	book := *sample
	book.Results = slices.Clone(sample.Results)
	before := faults.Len()
	for _, c := range t.With {
		c.Answer = c.Answer.With(faults)
		r.change(&book, c, faults)
	}
	if faults.Len() > before {
		return nil
	}
	return &book
}

func (r *runner) change(book *record.Book, c pack.Change, faults *fault.List) {
	var things []*record.Thing
	ask := c.Ask
	for _, thing := range book.Things {
		if c.On == "" && strings.HasPrefix(c.Ask, string(thing.Kind)+".") || thing.Path == c.On {
			things = append(things, thing)
		}
	}
	if len(things) == 0 {
		c.Answer.Fault(fmt.Sprintf("the sample has no %s", strings.TrimSpace(c.On+" "+c.Ask)), "")
		return
	}
	if c.On != "" {
		ask = string(things[0].Kind) + "." + c.Ask
	}
	q := r.pack.Vocabulary.Question(ask)
	if q == nil {
		c.Answer.Fault(fmt.Sprintf("there is no question %q", ask), "")
		return
	}
	book.Results = slices.DeleteFunc(book.Results, func(result record.Result) bool {
		return result.Question == q && slices.Contains(things, result.Thing)
	})
	answer, ok := readAnswer(c.Answer, q, faults)
	for _, thing := range things {
		if ok {
			book.Results = append(book.Results, record.Result{Question: q, Thing: thing, Answer: answer})
		}
	}
}

// readAnswer reads a changed answer; "not tested" is none.
func readAnswer(n *yamlfile.Node, q *vocab.Question, faults *fault.List) (vocab.Answer, bool) {
	if n.Raw() == "not tested" {
		return vocab.Answer{}, false
	}
	a, near, err := q.Parse(n.Raw())
	if err != nil {
		n.Fault(err.Error(), "")
		faults.Amend(func(f *fault.Fault) { f.Nearest = near })
	}
	return a, err == nil
}

// rules checks which rules fire, speak for or against, are silent or wait.
func (r *runner) rules(t *pack.Trial, g *judge.Judgement) {
	values := map[string]map[cond.Truth]bool{}
	effects := map[string]pack.Effect{}
	for _, v := range g.Verdicts {
		for _, i := range v.Instances {
			effects[i.Rule.ID] = i.Rule.Effect
			if values[i.Rule.ID] == nil {
				values[i.Rule.ID] = map[cond.Truth]bool{}
			}
			values[i.Rule.ID][i.Value] = true
		}
	}
	check := func(ids []string, expected string, holds func(map[cond.Truth]bool) bool) {
		for _, id := range ids {
			if !holds(values[id]) {
				r.fail(Failure{Trial: t, Expected: fmt.Sprintf("rule %s %s", id, expected), Got: says(values[id]), Judgement: g, Rule: r.pack.Rule(id)})
			}
		}
	}
	check(t.Fires, "fires", func(v map[cond.Truth]bool) bool { return v[cond.True] })
	check(t.Silent, "is silent", func(v map[cond.Truth]bool) bool { return v[cond.False] && !v[cond.True] && !v[cond.Open] })
	check(t.Open, "waits for an answer", func(v map[cond.Truth]bool) bool { return v[cond.Open] && !v[cond.True] })
	argue := func(ids []string, effect pack.Effect) {
		check(ids, "speaks "+string(effect), func(v map[cond.Truth]bool) bool { return v[cond.True] })
		for _, id := range ids {
			if is := effects[id]; values[id][cond.True] && is != effect {
				r.fail(Failure{Trial: t, Expected: fmt.Sprintf("rule %s speaks %s", id, effect), Got: "it fires, but its effect is: " + string(is), Judgement: g, Rule: r.pack.Rule(id)})
			}
		}
	}
	argue(t.SpeaksFor, pack.For)
	argue(t.SpeaksAgainst, pack.Against)
	for _, id := range slices.Concat(t.Fires, t.SpeaksFor, t.SpeaksAgainst) {
		r.fired[id] = true
	}
	for _, id := range t.Silent {
		r.silent[id] = true
	}
}

func says(v map[cond.Truth]bool) string {
	switch {
	case v[cond.True]:
		return "it fires"
	case v[cond.Open]:
		return "it waits for an answer"
	case v[cond.False]:
		return "it is silent"
	}
	return "it is asked of nothing in this book"
}

func (r *runner) facts(t *pack.Trial, g *judge.Judgement) {
	for _, id := range t.Proves {
		if !g.FactHolds(id) {
			r.fail(Failure{Trial: t, Expected: fmt.Sprintf("fact %s holds of something", id), Got: "it holds of nothing", Judgement: g})
		}
	}
}

func (r *runner) verdicts(t *pack.Trial, g *judge.Judgement) {
	for _, e := range t.Verdicts {
		found := false
		for _, v := range g.Verdicts {
			if v.Treatment.ID != e.Treatment || e.On != "" && v.Target.Path != e.On {
				continue
			}
			if found = true; string(v.Word) != e.Verdict {
				r.fail(Failure{Trial: t, Expected: fmt.Sprintf("%s on %s: %s", e.Treatment, v.Target.Path, e.Verdict), Got: string(v.Word), Judgement: g, Verdict: v})
			}
		}
		if !found {
			r.fail(Failure{Trial: t, Expected: fmt.Sprintf("%s: %s", strings.TrimSpace(e.Treatment+" "+e.On), e.Verdict), Got: "it is no candidate in this book", Judgement: g})
		}
	}
}

// aftermath checks which answers stop standing, and which are given, once a treatment has been done to all it can be done to.
func (r *runner) aftermath(t *pack.Trial, book *record.Book) {
	for _, a := range t.Stale {
		r.afterwards(t, book, a, "no longer stands", func(ask *evidence.Ask) bool {
			return ask.Lapsed != nil && ask.Lapsed.Step != nil && ask.Lapsed.Step.Treatment == a.Treatment
		})
	}
	for _, a := range t.Settles {
		r.afterwards(t, book, a, "is answered", func(ask *evidence.Ask) bool {
			return ask.Answer.Known && ask.Result.Step != nil && ask.Result.Step.Treatment == a.Treatment
		})
	}
}

func (r *runner) afterwards(t *pack.Trial, book *record.Book, a pack.Aftermath, what string, is func(*evidence.Ask) bool) {
	after := *book
	after.Done = slices.Clone(book.Done)
	for _, thing := range book.Things {
		if thing.Kind == r.pack.Treatment(a.Treatment).Of {
			after.Done = append(after.Done, record.Done{Treatment: a.Treatment, Target: thing})
		}
	}
	so := map[string]bool{}
	asks := evidence.Gather(r.pack, &after, time.Time{}).Asks
	for i := range asks {
		if asks[i].Question != nil && is(&asks[i]) {
			so[asks[i].Question.ID] = true
		}
	}
	for _, q := range a.Questions {
		if !so[q] {
			r.fail(Failure{Trial: t, Expected: fmt.Sprintf("%s %s after %s", q, what, a.Treatment), Got: "it is not so of any thing"})
		}
	}
}

// warns checks the dangers told with a treatment (its own, and those of cautions that hold for it here) or with a test.
func (r *runner) warns(t *pack.Trial, g *judge.Judgement) {
	for _, w := range t.Warns {
		var told []string
		hazards := func(list []pack.Hazard) {
			for _, h := range list {
				told = append(told, h.Danger)
			}
		}
		if test := r.pack.Test(w.Of); test != nil {
			hazards(test.Hazards)
		} else {
			hazards(r.pack.Treatment(w.Of).Hazards)
		}
		for _, v := range g.Verdicts {
			for _, i := range v.Instances {
				if v.Treatment.ID == w.Of && i.Rule.Hazard && i.Value == cond.True {
					told = append(told, i.Rule.Say)
				}
			}
		}
		for _, word := range w.Words {
			if !slices.ContainsFunc(told, func(s string) bool { return strings.Contains(strings.ToLower(s), strings.ToLower(word)) }) {
				r.fail(Failure{Trial: t, Expected: fmt.Sprintf("%s warns of %q", w.Of, word), Got: "no danger told with it says so", Judgement: g})
			}
		}
	}
}

// untried finds what no trial tries.
func (r *runner) untried(meant func(any) bool) {
	add := func(place fault.Place, what string) {
		r.report.Untried = append(r.report.Untried, Untried{place, what})
	}
	for _, rule := range r.pack.Rules {
		if rule.Effect != pack.RulesOut || !meant(rule) {
			continue
		}
		if !r.fired[rule.ID] {
			add(rule.Place, fmt.Sprintf("no trial has %s fire", rule.ID))
		}
		if !r.silent[rule.ID] && rule.Text != "always" {
			add(rule.Place, fmt.Sprintf("no trial has %s silent", rule.ID))
		}
	}
	for _, t := range r.pack.Tests {
		if meant(t) && !r.answered[t.Question.ID] {
			add(t.Place, fmt.Sprintf("no trial answers %s", t.Question.ID))
		}
	}
}
