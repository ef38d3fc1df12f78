package plan

import (
	"bytes"
	"context"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/seal/canon"
	"tideline/engine/seal/edition1"
	"tideline/rules/fault"
)

// TestSealed seals the plan of every book: it is written and read back as the same bytes, twice alike, and holds every step in
// its order, with all that the step's verdict and the book as it is warn of, and the tests the plan has before it.
func TestSealed(t *testing.T) {
	p := shipped(t)
	paths, _ := filepath.Glob("../../testdata/books/*.yaml")
	if len(paths) == 0 {
		t.Fatal("no books")
	}
	if testing.Short() {
		paths = paths[:3]
	}
	retests, doses := 0, 0
	for _, path := range paths {
		faults := &fault.List{}
		b := record.Load(path, nil, record.WordsOf(p), time.Time{}, faults)
		g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
		if err != nil {
			t.Fatal(err)
		}
		made, err := Make(context.Background(), g, Options{Next: 2})
		if err != nil {
			t.Fatal(err)
		}
		sealed := made.Sealed()
		data, err := canon.Encode(sealed)
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		if again, _ := canon.Encode(made.Sealed()); !bytes.Equal(data, again) {
			t.Errorf("%s: sealed twice, it differs", path)
		}
		if err := canon.Decode(data, &edition1.Plan{}); err != nil {
			t.Errorf("%s: %v", path, err)
		}
		if len(sealed.Steps) != len(made.Steps) || len(sealed.Untreated) != len(made.Left) || len(sealed.Alternatives) != len(made.Next) {
			t.Fatalf("%s: %d steps, %d left, %d others", path, len(sealed.Steps), len(sealed.Untreated), len(sealed.Alternatives))
		}
		for i, s := range made.Steps {
			w := sealed.Steps[i]
			if w.Treatment != s.Key.Treatment || !slices.Equal(w.Targets, []string{s.Path}) || len(w.For) == 0 {
				t.Errorf("%s: step %d is %v, want %v", path, i+1, w, s.Key)
			}
			verdicts := []*judge.Verdict{s.Verdict}
			if v := g.Of(s.Key.Treatment, s.Path); v != nil {
				verdicts = append(verdicts, v)
			}
			for _, v := range verdicts {
				cautions, signs := v.AtHand()
				for _, text := range cautions {
					if !slices.Contains(w.Cautions, text) {
						t.Errorf("%s: step %d does not carry %q", path, i+1, text)
					}
				}
				for _, text := range signs {
					if !slices.Contains(w.StopSigns, text) {
						t.Errorf("%s: step %d does not stop at %q", path, i+1, text)
					}
				}
			}
			if len(w.Retests) != len(s.Retests) {
				t.Errorf("%s: step %d has %d tests before it, want %d", path, i+1, len(w.Retests), len(s.Retests))
			}
			retests += len(w.Retests)
			for _, d := range w.Doses {
				doses++
				if d.Value == "" && d.Working == "" {
					t.Errorf("%s: step %d: %s has no value, and not why", path, i+1, d.What)
				}
			}
		}
	}
	if retests == 0 || doses == 0 {
		t.Errorf("%d tests, %d settings: nothing was tried", retests, doses)
	}
}

// TestSealedUnproven: a search that is stopped says so in the seal.
func TestSealedUnproven(t *testing.T) {
	p := shipped(t)
	b := record.Load("../../testdata/books/harbour-almanac.yaml", nil, record.WordsOf(p), time.Time{}, &fault.List{})
	g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	made, err := Make(ctx, g, Options{})
	if err != nil {
		t.Fatal(err)
	}
	data, err := canon.Encode(made.Sealed())
	if err != nil || !strings.Contains(string(data), `"unproven":true`) {
		t.Errorf("%s, %v", data, err)
	}
}

// TestLoses names the first place in which a plan costs more.
func TestLoses(t *testing.T) {
	best := Cost{Steps: 2, Classes: [5]int{0, 0, 1, 1, 0}, Active: 30}
	for _, tt := range []struct {
		c    Cost
		want string
	}{
		{best, ""},
		{Cost{Undone: 1, Steps: 1}, "undone: +1"},
		{Cost{Steps: 2, Classes: [5]int{0, 1, 0, 1, 0}}, "steps of intervention 4: +1"},
		{Cost{Steps: 3, Classes: best.Classes}, "steps: +1"},
		{Cost{Steps: 2, Classes: best.Classes, Active: 45}, "minutes at the bench: +15"},
	} {
		if got := tt.c.loses(best); got != tt.want {
			t.Errorf("%+v: %q, want %q", tt.c, got, tt.want)
		}
	}
}
