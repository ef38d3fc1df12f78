package schedule

import (
	"context"
	"io"
	"path/filepath"
	"slices"
	"strings"
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
)

// shipped loads the shipped pack.
func shipped(t *testing.T) *pack.Pack {
	t.Helper()
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	return loaded(t, pack.Trim(layer))
}

func loaded(t *testing.T, layer pack.Layer) *pack.Pack {
	t.Helper()
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{layer}, faults, dose.Functions()...)
	if faults.Len() > 0 {
		t.Fatal(faults.Err())
	}
	return p
}

// planned plans the book of a file, or the text of one where the name is "-".
func planned(t *testing.T, p *pack.Pack, name string, data io.Reader) *plan.Plan {
	t.Helper()
	faults := &fault.List{}
	b := record.Load(name, data, record.WordsOf(p), time.Time{}, faults)
	if faults.Len() > 0 {
		t.Fatal(faults.Err())
	}
	g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	made, err := plan.Make(ctx, g, plan.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return made
}

// TestBooks lays the plans of the example books out: every step is there once, in order where it must be, and the sums are
// those of the steps.
func TestBooks(t *testing.T) {
	p := shipped(t)
	paths, _ := filepath.Glob("../../testdata/books/*.yaml")
	steps := 0
	for _, path := range paths {
		made := planned(t, p, path, nil)
		s, err := Make(made, Usual(monday))
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Steps) != len(made.Steps) {
			t.Fatalf("%s: %d steps of %d", path, len(s.Steps), len(made.Steps))
		}
		hands, tests := 0, 0
		for i, step := range s.Steps {
			steps++
			if step.Step != made.Steps[i] || step.Number != i+1 || len(step.Keeps) == 0 {
				t.Errorf("%s: step %d is %d, on %v", path, i+1, step.Number, step.Keeps)
			}
			for _, h := range step.Tests {
				tests += h.Minutes()
			}
			for _, h := range step.Work {
				hands += h.Minutes()
			}
			for _, n := range step.Follow {
				if s.Steps[n-1].To().After(step.From()) || n >= step.Number {
					t.Errorf("%s: step %d begins before step %d is over", path, i+1, n)
				}
			}
		}
		if hands != made.Cost.Active || tests != s.Tests || s.Hands != hands+tests || s.Elapsed != int(s.To.Sub(s.From)/time.Minute) {
			t.Errorf("%s: %d minutes at work, %d at tests, said to be %d in all; the plan has %d", path, hands, tests, s.Hands, made.Cost.Active)
		}
		t.Logf("%s: %d steps, %d min hands-on (%d tests), %d min elapsed, %d days", filepath.Base(path), len(s.Steps), s.Hands, s.Tests, s.Elapsed, len(s.Days()))
	}
	if steps < 30 {
		t.Errorf("only %d steps were laid out", steps)
	}
}

// studio is a small pack: two findings that a press clears, and a wire that can be taken out.
const studio = `pack: studio
sources: {s: {title: Studio notes}}
criteria: {good: {says: it does good, weight: 1, from: 0, to: 1}}
aims: {flat: {says: it lies flat}}
tests:
  part.kind: {asks: 'What part is it?', answer: {words: [cover, wrap]}, nature: fixed, standing: house}
  ink.kind: {asks: 'What is it?', answer: {words: [printing ink, stamp]}, nature: fixed, standing: house}
  finding.kind: {asks: 'What is it?', answer: {words: [cockle, tear]}, nature: fixed, standing: house}
  fastener.kind: {asks: 'What is it?', answer: {words: [staple, thread]}, nature: fixed, standing: house}
  fastener.out: {asks: 'Is it out?', answer: yes/no, nature: treatable, standing: house}
  part.loose: {asks: 'Is it loose?', answer: yes/no, nature: treatable, standing: house}
treatments:
  weigh: {name: weigh down, of: finding, family: dry, says: It lies under a weight., serves: [flat], intervention: 1, retreatable: 'yes',
    minutes: {active: 10, waiting: 600}, clears: [cockle], standing: house}
rules:
  weigh-cockle: {treatment: weigh, called for when: 'finding.kind == "cockle"', because: It lies uneven., source: s, standing: house}
  weigh-good: {treatment: weigh, for when: always, criterion: good, weight: 1, because: It does good., source: s, standing: house}
`

// TestFastened holds that parts a fastener holds together are not worked at while one of them waits, unless the fastener is
// known to be out or a part to be loose.
func TestFastened(t *testing.T) {
	p := loaded(t, pack.Layer{Name: "studio", Files: []pack.File{{Name: "studio.yaml", Data: []byte(studio)}}})
	book := `record: 1
title: Two Leaves
examined: 2026-10-01
listed: {inks: yes, findings: yes, fasteners: yes}
owner: {limits: none}
parts:
  cover: {kind: cover, size: [100, 100], seen: {LOOSE}, outside: {inks: {}, findings: {cockle-1: {kind: cockle, at: [5, 5]}}}, inside: {inks: {}, findings: {}}}
  wrap-1: {kind: wrap, size: [100, 100], outside: {inks: {}, findings: {cockle-2: {kind: cockle, at: [5, 5]}}}, inside: {inks: {}, findings: {}}}
fasteners:
  upper: {kind: staple, at: [50, 20], seen: {OUT}}
`
	for _, tt := range []struct {
		name, loose, out string
		parts            []string
		elapsed          int
	}{
		{"nothing is known of it", "", "", []string{"cover", "wrap-1"}, 1440 + 610}, // the second begins next morning
		{"it is in", "", "out: no", []string{"cover", "wrap-1"}, 1440 + 610},
		{"it is out", "", "out: yes", []string{"cover"}, 620},
		{"it is in, the cover is loose", "loose: yes", "out: no", []string{"cover"}, 620},
		{"it is in, the cover is not loose", "loose: no", "out: no", []string{"cover", "wrap-1"}, 1440 + 610},
	} {
		text := strings.NewReplacer("LOOSE", tt.loose, "OUT", tt.out).Replace(book)
		s, err := Make(planned(t, p, "-", strings.NewReader(text)), Usual(monday))
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Steps) != 2 || !slices.Equal(s.Steps[0].Keeps, tt.parts) || s.Elapsed != tt.elapsed {
			t.Errorf("%s: %d steps, parts %v, %d minutes elapsed", tt.name, len(s.Steps), s.Steps[0].Keeps, s.Elapsed)
		}
	}
}

// TestOptions holds that hours nobody could keep are refused.
func TestOptions(t *testing.T) {
	for want, change := range map[string]func(*Options){
		"no first day":   func(o *Options) { o.Start = time.Time{} },
		"not 0":          func(o *Options) { o.PerDay = 0 },
		"beyond the end": func(o *Options) { o.PerDay = 16 * 60 },
		"beyond":         func(o *Options) { o.Begin = -1 },
		"no day of":      func(o *Options) { o.Days = [7]bool{} },
	} {
		o := Usual(monday)
		change(&o)
		if _, err := Make(&plan.Plan{}, o); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", want, err)
		}
	}
	s, err := Make(&plan.Plan{}, Usual(monday.Add(5*time.Hour)))
	if err != nil || len(s.Steps) > 0 || !s.From.IsZero() || s.Elapsed != 0 || !s.Start.Equal(monday) {
		t.Errorf("an empty plan: %v, %v", s, err)
	}
}

// TestJudgedInOrderOfWork judges every step of the example books again on the book as it is when the chart has it begin, with
// the steps done that are over by then, and its tests done again coming out as expected. Its verdict must be the plan's. Steps
// that meet what other steps bring are left out: the record has no such finding yet.
func TestJudgedInOrderOfWork(t *testing.T) {
	p := shipped(t)
	judged, moved := 0, 0
	for _, name := range []string{"harbour-almanac", "tram-depot-gazette", "signal-box-stories", "glasshouse-quarterly", "north-pier-review"} {
		made := planned(t, p, "../../testdata/books/"+name+".yaml", nil)
		s, err := Make(made, Usual(monday))
		if err != nil {
			t.Fatal(err)
		}
		base := made.Judgement.Case
		for _, step := range s.Steps {
			target := base.Book.Thing(step.Path)
			if target == nil || len(step.Meets) > 0 {
				continue
			}
			book := *base.Book
			book.Done = slices.Clone(book.Done)
			for _, o := range s.Steps {
				if on := base.Book.Thing(o.Path); on != nil && o != step && !o.To().After(step.From()) {
					date := base.On.Add(24 * time.Hour).Add(o.To().Sub(s.Start) + time.Duration(o.Number)*time.Second)
					book.Done = append(book.Done, record.Done{Treatment: o.Treatment.ID, Target: on, Date: date, Outcome: record.AsPlanned})
				}
				if o.Number > step.Number && !o.To().After(step.From()) {
					moved++
				}
			}
			slices.SortStableFunc(book.Done, func(a, b record.Done) int { return a.Date.Compare(b.Date) })
			c := evidence.Gather(p, &book, base.On)
			for _, r := range step.Retests {
				if at := c.At(r.Path); at != nil && r.Expected.Known {
					c.Answer(c.Number(at, r.Question), r.Expected)
				}
			}
			_, v, err := judge.One(c, step.Treatment.ID, step.Path)
			if err != nil {
				t.Fatal(err)
			}
			judged++
			if v == nil || v.Word != step.Verdict.Word {
				t.Errorf("%s: step %d, %s on %s, is %s in the plan, and not when its time comes: %v", name, step.Number, step.Treatment.ID, step.Path, step.Verdict.Word, v)
			}
		}
	}
	t.Logf("%d steps judged; %d times another was done before that comes later in the plan", judged, moved)
	if judged < 50 || moved < 20 {
		t.Error("too few steps were tried")
	}
}
