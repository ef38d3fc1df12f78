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
)

// prepared is a trial ready to be run on parts of the pack.
type prepared struct {
	trial *pack.Trial
	book  *record.Book
	base  *evidence.Case
}

// prepare reads the books of all trials but those that fail anyway.
func prepare(p *pack.Pack, failed map[string]bool) []*prepared {
	faults := &fault.List{}
	r := newRunner(p, faults)
	var list []*prepared
	for _, t := range p.Trials {
		if failed[t.Name] {
			continue
		}
		if book := r.vary(t, faults); book != nil {
			list = append(list, &prepared{trial: t, book: book, base: evidence.Gather(p, book, time.Time{})})
		}
	}
	return list
}

// with gives the trial's case judged by part of the pack.
func (t *prepared) with(part *pack.Pack) *evidence.Case {
	c := *t.base
	c.Pack = part
	return &c
}

// part gives the pack with some rules and treatments only.
func (w *workshop) part(m *attempt, rules []*pack.Rule, treatments []*pack.Treatment) *pack.Pack {
	p := *w.pack
	p.Rules, p.Treatments = rules, treatments
	if m.env != nil {
		p.Env = m.env
	}
	return &p
}

// checks runs what a trial expects of a judgement. It tells whether something did not come as expected.
func (t *prepared) checks(p *pack.Pack, expects *pack.Trial, checks ...func(r *runner, t *pack.Trial, g *judge.Judgement)) bool {
	g, err := judge.Judge(t.with(p))
	if err != nil {
		return true
	}
	r := &runner{pack: p, report: &Report{}, fired: map[string]bool{}, silent: map[string]bool{}}
	for _, check := range checks {
		check(r, expects, g)
	}
	return len(r.report.Failures) > 0
}

// noticedByRules runs what a trial expects of the rules and facts a change touches. A rule's values hang on no other rule.
func (w *workshop) noticedByRules(t *prepared, m *attempt) bool {
	only := func(ids []string, in map[string]bool) []string {
		return slices.DeleteFunc(slices.Clone(ids), func(id string) bool { return !in[id] })
	}
	expects := &pack.Trial{
		Fires: only(t.trial.Fires, m.rules), SpeaksFor: only(t.trial.SpeaksFor, m.rules),
		SpeaksAgainst: only(t.trial.SpeaksAgainst, m.rules), Silent: only(t.trial.Silent, m.rules), Open: only(t.trial.Open, m.rules),
		Proves: only(t.trial.Proves, m.facts),
	}
	named := slices.Concat(expects.Fires, expects.SpeaksFor, expects.SpeaksAgainst, expects.Silent, expects.Open)
	if len(named)+len(expects.Proves) == 0 {
		return false
	}
	var rules []*pack.Rule
	for _, id := range named {
		rules = append(rules, w.pack.Rule(id))
	}
	p := w.part(m, rules, w.treatmentsOf(rules))
	p.Never = nil
	return t.checks(p, expects, (*runner).rules, (*runner).facts)
}

// treatmentsOf lists the treatments that rules are about, in the order of the pack.
func (w *workshop) treatmentsOf(rules []*pack.Rule) []*pack.Treatment {
	about := map[*pack.Treatment]bool{}
	for _, r := range rules {
		for _, t := range r.Treatments {
			about[t] = true
		}
	}
	return slices.DeleteFunc(slices.Clone(w.pack.Treatments), func(t *pack.Treatment) bool { return !about[t] })
}

// noticedByWarnings runs the warnings a trial expects with what no longer tells a danger.
func (w *workshop) noticedByWarnings(t *prepared, m *attempt) bool {
	if m.warns == "" {
		return false
	}
	concerns := func(of string) bool { return of == m.warns }
	if r := w.pack.Rule(m.warns); r != nil {
		concerns = func(of string) bool {
			return slices.ContainsFunc(r.Treatments, func(t *pack.Treatment) bool { return t.ID == of })
		}
	}
	expects := &pack.Trial{}
	for _, x := range t.trial.Warns {
		if concerns(x.Of) {
			expects.Warns = append(expects.Warns, x)
		}
	}
	if len(expects.Warns) == 0 {
		return false
	}
	var rules []*pack.Rule
	for _, x := range expects.Warns {
		for _, r := range w.about[x.Of] {
			if r.Hazard && !slices.Contains(rules, r) {
				rules = append(rules, r)
			}
		}
	}
	p := w.part(m, rules, w.treatmentsOf(rules))
	p.Never = nil
	return t.checks(p, expects, (*runner).warns)
}

// noticedByStale runs trials that name answers gone stale after the treatment, and whole trials of books to which it was
// done.
func (w *workshop) noticedByStale(t *prepared, m *attempt) bool {
	if m.stale == "" {
		return false
	}
	expects := &pack.Trial{}
	for _, x := range t.trial.Stale {
		if x.Treatment == m.stale {
			expects.Stale = append(expects.Stale, x)
		}
	}
	for _, x := range t.trial.Settles {
		if x.Treatment == m.stale {
			expects.Settles = append(expects.Settles, x)
		}
	}
	r := &runner{pack: w.pack, report: &Report{}}
	r.aftermath(expects, t.book)
	if len(r.report.Failures) > 0 {
		return true
	}
	if !slices.ContainsFunc(t.book.Done, func(d record.Done) bool { return d.Treatment == m.stale }) {
		return false
	}
	again := &prepared{trial: t.trial, book: t.book, base: evidence.Gather(w.pack, t.book, time.Time{})}
	return again.checks(w.pack, t.trial, (*runner).rules, (*runner).facts, (*runner).verdicts)
}

// noticedByVerdicts runs the verdicts a trial expects that a change may touch, with all that these hang on.
func (w *workshop) noticedByVerdicts(t *prepared, m *attempt) bool {
	if m.verdicts == nil {
		return false
	}
	expects := &pack.Trial{}
	hangOn := map[string]bool{}
	for _, x := range t.trial.Verdicts {
		if m.verdicts(x.Treatment) {
			expects.Verdicts = append(expects.Verdicts, x)
			for _, id := range w.needs[x.Treatment] {
				hangOn[id] = true
			}
		}
	}
	if len(expects.Verdicts) == 0 {
		return false
	}
	treatments := slices.DeleteFunc(slices.Clone(w.pack.Treatments), func(t *pack.Treatment) bool { return !hangOn[t.ID] })
	rules := slices.DeleteFunc(slices.Clone(w.pack.Rules), func(r *pack.Rule) bool {
		return r.Effect == pack.Caution || !slices.ContainsFunc(r.Treatments, func(t *pack.Treatment) bool { return hangOn[t.ID] })
	})
	if m.prune && !w.speaksOtherwise(t, m, rules, treatments) {
		return false
	}
	return t.checks(w.part(m, rules, treatments), expects, (*runner).verdicts)
}

// speaksOtherwise tells whether the rules that a change touches may say something else of the trial's book than before.
// Where all their values are settled and the same, no verdict can change; a rule that does something else now must hold
// or be open somewhere.
func (w *workshop) speaksOtherwise(t *prepared, m *attempt, rules []*pack.Rule, treatments []*pack.Treatment) bool {
	rules = slices.DeleteFunc(slices.Clone(rules), func(r *pack.Rule) bool { return !m.speakers[r.ID] })
	now := t.says(w.part(m, rules, treatments))
	if strings.Contains(now, saysOpen) {
		return true
	}
	if m.redo == nil {
		return strings.Contains(now, saysYes)
	}
	key := t.trial.Name + " " + m.of
	before, ok := w.before[key]
	if !ok {
		m.undo()
		before = t.says(w.part(&attempt{}, rules, treatments))
		m.redo()
		w.before[key] = before
	}
	return now != before
}

// How says writes a value.
const saysYes, saysOpen = "holds\n", "waits\n"

// says writes what rules say of everything in a book.
func (t *prepared) says(p *pack.Pack) string {
	g, err := judge.Judge(t.with(p))
	if err != nil {
		return saysOpen
	}
	var b strings.Builder
	for _, v := range g.Verdicts {
		for _, i := range v.Instances {
			word := map[cond.Truth]string{cond.True: saysYes, cond.Open: saysOpen, cond.False: "fails\n"}[i.Value]
			fmt.Fprintf(&b, "%s %s %s %s %s", v.Treatment.ID, v.Target.Path, i.Rule.ID, i.Thing.Path, word)
		}
	}
	return b.String()
}
