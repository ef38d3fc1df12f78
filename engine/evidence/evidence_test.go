package evidence

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"tideline/engine/worlds"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// packText is made up; nobody should treat a book by it.
const packText = `pack: p
criteria: {life: {says: it lasts, weight: 0.5, from: 0, to: 1}}
aims: {clean: {says: it is clean}}
tests:
  part.kind: {asks: "kind?", answer: {words: [cover, wrap]}}
  part.torn: {asks: "torn?", answer: yes/no}
  ink.kind: {asks: "kind?", answer: {words: [print, stamp]}}
  ink.wet: {asks: "wet?", answer: grade, good for: 30}
  ink.dry: {asks: "dry?", answer: grade}
  finding.kind: {asks: "kind?", answer: {words: [tear, stain]}}
  finding.deep: {asks: "deep?", answer: yes/no}
  fastener.kind: {asks: "kind?", answer: {words: [staple, thread]}}
facts: {ink.fast: {is: ink.wet == 5, says: it is fast, standing: house}}
treatments:
  bath: {name: bath, of: part, family: wet, says: s, serves: [clean], intervention: 3, retreatable: no, makes stale: [ink.wet, part.torn]}
  swab: {name: swab, of: finding, family: wet, says: s, serves: [clean], intervention: 1, retreatable: no, makes stale: [ink.wet, finding.deep]}
  mend: {name: mend, of: finding, family: dry, says: s, serves: [clean], intervention: 1, retreatable: no, clears: [tear], sets: {part.torn: no}}
  open-up: {name: open up, of: fastener, family: dry, says: s, serves: [clean], intervention: 1, retreatable: no, makes stale: [part.torn, finding.deep, side.inks_listed]}
  quiet: {name: quiet, of: part, family: dry, says: s, serves: [clean], intervention: 1, retreatable: no, sets: {finding.deep: no}}
`

const bookText = `record: 1
title: T
examined: 2026-10-01
listed: {inks: yes, findings: yes, fasteners: yes}
parts:
  cover:
    kind: cover
    outside:
      inks: {red: {kind: print}, black: {kind: print}}
      findings: {tear: {kind: tear, near: [red]}, stain: {kind: stain}, dot: {kind: stain, near: []}}
    inside:
      inks: {stamp: {kind: stamp}}
      findings: {rust: {kind: stain, fastener: upper}}
  wrap:
    kind: wrap
    outside: {inks: {text: {kind: print}}}
    inside: {inks: {}, findings: {fox: {kind: stain}}}
fasteners:
  upper: {kind: staple, holds: [cover, wrap]}
  lower: {kind: staple, holds: [wrap]}
  thread: {kind: thread}
`

func gather(t *testing.T, book string, on string) *Case {
	t.Helper()
	p := worlds.Load(t, packText)
	day := time.Time{}
	if on != "" {
		var err error
		if day, err = time.Parse(time.DateOnly, on); err != nil {
			t.Fatal(err)
		}
	}
	return Gather(p, worlds.Parse(t, p, book), day)
}

func paths(things []*Thing) string {
	var list []string
	for _, t := range things {
		list = append(list, t.Path)
	}
	return strings.Join(list, " ")
}

// TestReach: what something done to a thing has to do with, for every pair of kinds.
func TestReach(t *testing.T) {
	const (
		allSides    = "cover/outside cover/inside wrap/outside wrap/inside"
		allInks     = "cover/outside/red cover/outside/black cover/inside/stamp wrap/outside/text"
		allFindings = "cover/outside/tear cover/outside/stain cover/outside/dot cover/inside/rust wrap/inside/fox"
		coverInks   = "cover/outside/red cover/outside/black cover/inside/stamp"
	)
	c := gather(t, bookText, "")
	for _, tt := range []struct{ thing, part, side, ink, finding, fastener string }{
		{"book", "cover wrap", allSides, allInks, allFindings, "upper lower thread"},
		{"owner", "cover wrap", allSides, allInks, allFindings, "upper lower thread"},
		{"bench", "cover wrap", allSides, allInks, allFindings, "upper lower thread"},
		{"cover", "cover", "cover/outside cover/inside", coverInks, "cover/outside/tear cover/outside/stain cover/outside/dot cover/inside/rust", "upper thread"},
		{"wrap", "wrap", "wrap/outside wrap/inside", "wrap/outside/text", "wrap/inside/fox", "upper lower thread"},
		{"cover/outside", "cover", "cover/outside", "cover/outside/red cover/outside/black", "cover/outside/tear cover/outside/stain cover/outside/dot", "upper thread"},
		{"wrap/inside", "wrap", "wrap/inside", "", "wrap/inside/fox", "upper lower thread"},
		{"cover/outside/red", "cover", "cover/outside", "cover/outside/red", "cover/outside/tear cover/outside/stain cover/outside/dot", "upper thread"},
		{"cover/inside/stamp", "cover", "cover/inside", "cover/inside/stamp", "cover/inside/rust", "upper thread"},
		{"cover/outside/tear", "cover", "cover/outside", "cover/outside/red", "cover/outside/tear", "upper thread"}, // near is given
		{"cover/outside/stain", "cover", "cover/outside", coverInks, "cover/outside/stain", "upper thread"},         // near is not
		{"cover/outside/dot", "cover", "cover/outside", "", "cover/outside/dot", "upper thread"},                    // near nothing
		{"cover/inside/rust", "cover", "cover/inside", coverInks, "cover/inside/rust", "upper thread"},
		{"upper", "cover wrap", allSides, allInks, "cover/outside/tear cover/outside/stain cover/outside/dot cover/inside/rust wrap/inside/fox", "upper"},
		{"lower", "wrap", "wrap/outside wrap/inside", "wrap/outside/text", "wrap/inside/fox", "lower"},
		{"thread", "cover wrap", allSides, allInks, "cover/outside/tear cover/outside/stain cover/outside/dot wrap/inside/fox", "thread"}, // it is not said what it holds
	} {
		thing := c.At(tt.thing)
		for k, want := range map[vocab.Kind]string{
			vocab.Book: "book", vocab.Owner: "owner", vocab.Bench: "bench", vocab.Part: tt.part, vocab.Side: tt.side,
			vocab.Ink: tt.ink, vocab.Finding: tt.finding, vocab.Fastener: tt.fastener,
		} {
			if got := paths(c.Reach(thing, k)); got != want {
				t.Errorf("from %s to each %s: %q, want %q", tt.thing, k, got, want)
			}
		}
		for _, l := range vocab.Links[thing.Kind] { // links lead to what is in reach
			if got, want := paths(c.Lead(thing, l.Name)), paths(c.Reach(thing, l.To)); got != want || !l.Many && got == "" {
				t.Errorf("%s.%s leads to %q, in reach is %q", tt.thing, l.Name, got, want)
			}
		}
	}
	for _, thing := range c.Things {
		if c.At(thing.Path) != thing || c.Things[thing.Index] != thing || c.Of(thing.Kind)[thing.Nth] != thing {
			t.Errorf("%s is not where it says", thing.Path)
		}
	}
	if c.At("back") != nil {
		t.Error("a thing came of nothing")
	}
}

// said tells what is known of a question.
func (c *Case) said(path, question string) string {
	q := c.Pack.Vocabulary.Question(question)
	ask := c.Asks[c.Number(c.At(path), q)]
	s := q.Text(ask.Answer)
	for _, e := range ask.Earlier {
		s += ", earlier " + q.Text(e.Answer)
	}
	switch {
	case ask.Lapsed != nil && ask.Lapsed.Step != nil:
		s += ", was " + q.Text(ask.Result.Answer) + " before " + ask.Lapsed.Step.Treatment
	case ask.Lapsed != nil:
		s += fmt.Sprintf(", was %s, good for %d days", q.Text(ask.Result.Answer), ask.Lapsed.Days)
	}
	return s
}

// TestWhatStands: later results replace earlier ones; steps and days make results void.
func TestWhatStands(t *testing.T) {
	wet := func(on, date string, grade int) string {
		return fmt.Sprintf("  - {test: ink.wet, on: %s, date: %s, grade: %d}\n", on, date, grade)
	}
	const red, black, text = "cover/outside/red", "cover/outside/black", "wrap/outside/text"
	done := func(step, on, date string) string {
		return fmt.Sprintf("  - {step: %s, on: %s, date: %s}\n", step, on, date)
	}
	for _, tt := range []struct {
		name, tests, done, on string
		want                  map[string]string // by path, of ink.wet unless the path names a question
	}{
		{"nothing", "", "", "", map[string]string{red: "not known"}},
		{"a later one replaces", wet(red, "2026-10-03", 3) + wet(red, "2026-10-02", 5), "", "", map[string]string{red: "3, earlier 5", black: "not known"}},
		{"three", wet(red, "2026-10-04", 1) + wet(red, "2026-10-02", 2) + wet(red, "2026-10-03", 3), "", "", map[string]string{red: "1, earlier 2, earlier 3"}},
		{"later on the same day", wet(red, "2026-10-02T15:00", 3) + wet(red, "2026-10-02T09:00", 5), "", "", map[string]string{red: "3, earlier 5"}},
		{"a time is later than the bare day", wet(red, "2026-10-02T09:00", 3) + wet(red, "2026-10-02", 5), "", "", map[string]string{red: "3, earlier 5"}},
		{"before a step", wet(red, "2026-10-02", 5) + wet(text, "2026-10-02", 5), done("bath", "cover", "2026-10-03"), "", map[string]string{red: "not known, was 5 before bath", text: "5"}},
		{"after a step", wet(red, "2026-10-04", 5), done("bath", "cover", "2026-10-03"), "", map[string]string{red: "5"}},
		{"before and after", wet(red, "2026-10-04", 2) + wet(red, "2026-10-02", 5), done("bath", "cover", "2026-10-03"), "", map[string]string{red: "2, earlier 5"}},
		{"on the day of the step", wet(red, "2026-10-03", 5), done("bath", "cover", "2026-10-03"), "", map[string]string{red: "not known, was 5 before bath"}},
		{"on the day, the test with a time", wet(red, "2026-10-03T18:00", 5), done("bath", "cover", "2026-10-03"), "", map[string]string{red: "not known, was 5 before bath"}},
		{"on the day, the step with a time", wet(red, "2026-10-03", 5), done("bath", "cover", "2026-10-03T09:00"), "", map[string]string{red: "not known, was 5 before bath"}},
		{"on the day, both with times, after", wet(red, "2026-10-03T18:00", 5), done("bath", "cover", "2026-10-03T09:00"), "", map[string]string{red: "5"}},
		{"on the day, both with times, before", wet(red, "2026-10-03T08:00", 5), done("bath", "cover", "2026-10-03T09:00"), "", map[string]string{red: "not known, was 5 before bath"}},
		{"at the same time", wet(red, "2026-10-03T09:00", 5), done("bath", "cover", "2026-10-03T09:00"), "", map[string]string{red: "not known, was 5 before bath"}},
		{
			"the first of two steps does not bind what came after it, the second does", wet(red, "2026-10-03", 5), done("bath", "cover", "2026-10-02") + done("bath", "cover", "2026-10-04"), "",
			map[string]string{red: "not known, was 5 before bath"},
		},
		{
			"only near the finding", wet(red, "2026-10-02", 5) + wet(black, "2026-10-02", 5), done("swab", "cover/outside/tear", "2026-10-03"), "",
			map[string]string{red: "not known, was 5 before swab", black: "5"},
		},
		{
			"near is not said: the whole part", wet(black, "2026-10-02", 5) + wet(text, "2026-10-02", 5), done("swab", "cover/outside/stain", "2026-10-03"), "",
			map[string]string{black: "not known, was 5 before swab", text: "5"},
		},
		{
			"only what the step makes stale", "  - {test: ink.dry, on: cover/outside/red, date: 2026-10-02, grade: 5}\n  - {test: part.torn, on: cover, date: 2026-10-02, yes: no}\n", done("bath", "cover", "2026-10-03"), "",
			map[string]string{red + " ink.dry": "5", "cover part.torn": "not known, was no before bath"},
		},
		{
			"a fastener reaches what it holds", "  - {test: part.torn, on: cover, date: 2026-10-02, yes: no}\n  - {test: part.torn, on: wrap, date: 2026-10-02, yes: no}\n", done("open-up", "lower", "2026-10-03"), "",
			map[string]string{"cover part.torn": "no", "wrap part.torn": "not known, was no before open-up"},
		},
		{
			"and what may be its finding", "  - {test: finding.deep, on: cover/inside/rust, date: 2026-10-02, yes: no}\n  - {test: finding.deep, on: cover/outside/tear, date: 2026-10-02, yes: no}\n", done("open-up", "upper", "2026-10-03"), "",
			map[string]string{"cover/inside/rust finding.deep": "not known, was no before open-up", "cover/outside/tear finding.deep": "not known, was no before open-up"},
		},
		{"the last good day", wet(red, "2026-10-02", 5), "", "2026-11-01", map[string]string{red: "5"}},
		{"a day too late", wet(red, "2026-10-02", 5), "", "2026-11-02", map[string]string{red: "not known, was 5, good for 30 days"}},
		{"no days are set", "  - {test: ink.dry, on: cover/outside/red, date: 2026-10-02, grade: 5}\n", "", "2036-11-02", map[string]string{red + " ink.dry": "5"}},
		{"out of date and made stale: the step is told", wet(red, "2026-10-02", 5), done("bath", "cover", "2026-10-03"), "2026-12-01", map[string]string{red: "not known, was 5 before bath"}},
		{"out of date is not replaced by an earlier one", wet(red, "2026-10-02", 3) + wet(red, "2026-10-03", 5), "", "2026-12-01", map[string]string{red: "not known, earlier 3, was 5, good for 30 days"}},
		{"judged for the latest day it mentions", wet(red, "2026-10-02", 5) + wet(text, "2026-12-01", 5), "", "", map[string]string{red: "not known, was 5, good for 30 days", text: "5"}},
		{"a step is a day too", wet(text, "2026-10-02", 5), done("bath", "cover", "2026-12-01"), "", map[string]string{text: "not known, was 5, good for 30 days"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			book := bookText
			if tt.tests != "" {
				book += "tests:\n" + tt.tests
			}
			if tt.done != "" {
				book += "done:\n" + tt.done
			}
			c := gather(t, book, tt.on)
			for at, want := range tt.want {
				path, question, named := strings.Cut(at, " ")
				if !named {
					question = "ink.wet"
				}
				if got := c.said(path, question); got != want {
					t.Errorf("%s: %s, want %s", at, got, want)
				}
			}
		})
	}
}

// TestUnlisted: a list not declared complete holds one thing more, of which nothing is known; one declared complete does
// not.
func TestUnlisted(t *testing.T) {
	for _, tt := range []struct{ name, from, to, want string }{
		{"all listed", "", "", ""},
		{
			"nothing said", "listed: {inks: yes, findings: yes, fasteners: yes}\n", "",
			"cover/outside/unlisted ink, cover/outside/unlisted finding, cover/inside/unlisted ink, cover/inside/unlisted finding, wrap/outside/unlisted ink, wrap/outside/unlisted finding, " +
				"wrap/inside/unlisted ink, wrap/inside/unlisted finding, book/unlisted fastener",
		},
		{"inks not said", "inks: yes, ", "", "cover/outside/unlisted ink, cover/inside/unlisted ink, wrap/outside/unlisted ink, wrap/inside/unlisted ink"},
		{"inks known to be more", "inks: yes, ", "inks: no, ", "cover/outside/unlisted ink!, cover/inside/unlisted ink!, wrap/outside/unlisted ink!, wrap/inside/unlisted ink!"},
		{"one side says otherwise", "    inside:\n", "    inside:\n      listed: {findings: no}\n", "cover/inside/unlisted finding!"},
		{"a part says otherwise", "    kind: wrap\n", "    kind: wrap\n    listed: {inks: no}\n", "wrap/outside/unlisted ink!, wrap/inside/unlisted ink!"},
		{"fasteners not said", ", fasteners: yes", "", "book/unlisted fastener"},
		{"fasteners known to be more", "fasteners: yes", "fasteners: no", "book/unlisted fastener!"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			book := strings.Replace(bookText, tt.from, tt.to, 1)
			if tt.from != "" && book == bookText {
				t.Fatal("the book is unchanged")
			}
			c := gather(t, book, "")
			var got []string
			for _, thing := range c.Things {
				if !thing.Unlisted {
					continue
				}
				s := thing.Path
				if c.Asks[thing.Listed].Answer.Known { // said to be incomplete
					s += "!"
				}
				got = append(got, s)
				checkUnlisted(t, c, thing)
			}
			if s := strings.Join(got, ", "); s != tt.want {
				t.Errorf("got  %s\nwant %s", s, tt.want)
			}
		})
	}
}

// checkUnlisted: nothing is known of a thing not listed; it is in the reach of what it lies on; no path finds it.
func checkUnlisted(t *testing.T, c *Case, thing *Thing) {
	t.Helper()
	for i := range c.Pack.Env.Slots(thing.Kind) {
		if ask := c.Asks[thing.Base+i]; ask.Answer.Known || ask.Result != nil || ask.Thing != thing {
			t.Errorf("%s: something is known: %+v", thing.Path, ask)
		}
	}
	if thing.Record != nil || c.At(thing.Path) != nil {
		t.Errorf("%s stands in the record", thing.Path)
	}
	list := c.Asks[thing.Listed]
	if list.Question == nil || list.Question.Name != string(thing.Kind)+"s_listed" {
		t.Errorf("%s hangs on %+v", thing.Path, list.Question)
	}
	holders := []*Thing{list.Thing, c.Of(vocab.Book)[0]}
	if thing.Kind != vocab.Fastener {
		if thing.Side != list.Thing || thing.Part != list.Thing.Part {
			t.Errorf("%s lies on %v of %v", thing.Path, thing.Side, thing.Part)
		}
		holders = append(holders, thing.Part)
	} else {
		holders = append(holders, c.Of(vocab.Part)...)
	}
	for _, h := range holders {
		if !slices.Contains(c.Reach(h, thing.Kind), thing) {
			t.Errorf("%s does not reach %s", h.Path, thing.Path)
		}
	}
}

// TestListStale: a step can open a list again that was said to be complete.
func TestListStale(t *testing.T) {
	c := gather(t, bookText+"done:\n  - {step: open-up, on: lower, date: 2026-10-03}\n", "")
	var got []string
	for _, thing := range c.Things {
		if thing.Unlisted {
			got = append(got, thing.Path)
		}
	}
	if s := strings.Join(got, ", "); s != "wrap/outside/unlisted ink, wrap/inside/unlisted ink" {
		t.Error(s)
	}
}

// TestNumbers: every question of every thing has a number of its own, and what conditions see at it is what the case says.
func TestNumbers(t *testing.T) {
	c := gather(t, bookText+"tests:\n  - {test: ink.wet, on: cover/outside/red, date: 2026-10-02, grade: 5}\n", "")
	seen := map[int]bool{}
	for _, thing := range c.Things {
		for _, q := range c.Pack.Vocabulary.Of(thing.Kind) {
			n := c.Number(thing, q)
			if seen[n] || c.Asks[n].Thing != thing || c.Asks[n].Question != q {
				t.Errorf("%s of %s has number %d, which is %+v", q.ID, thing.Path, n, c.Asks[n])
			}
			seen[n] = true
		}
	}
	w, problems := c.Pack.Env.Whole("ink.wet == 5", pack.Scope(vocab.Ink, vocab.Ink)[:1])
	if problems != nil {
		t.Fatal(problems)
	}
	red, wet := c.At("cover/outside/red"), c.Pack.Vocabulary.Question("ink.wet")
	n := c.Number(red, wet)
	for _, tt := range []struct {
		answer vocab.Answer
		want   cond.Truth
	}{{vocab.Num(5), cond.True}, {vocab.Num(4), cond.False}, {vocab.Answer{}, cond.Open}} {
		c.Answer(n, tt.answer)
		got, ids, err := w.Eval(c.Cel(red))
		if err != nil || got != tt.want || c.Asks[n].Answer != tt.answer || got == cond.Open && !slices.Equal(ids, []int64{int64(n)}) {
			t.Errorf("%v: a condition gives %v, hanging on %v, want %v (%v)", tt.answer, got, ids, tt.want, err)
		}
	}
}
