package account

import (
	"math"
	"path/filepath"
	"testing"
	"time"

	"tideline/engine/dose"
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
)

// judgements judges every example book by the shipped pack.
func judgements(t *testing.T) map[string]*judge.Judgement {
	t.Helper()
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{layer}, faults, dose.Functions()...)
	if faults.Len() > 0 {
		t.Fatal(faults.Err())
	}
	all := map[string]*judge.Judgement{}
	for _, path := range books(t) {
		b := record.Load(path, nil, record.WordsOf(p), time.Time{}, faults)
		if faults.Len() > 0 {
			t.Fatal(faults.Err())
		}
		g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
		if err != nil {
			t.Fatal(err)
		}
		all[path] = g
	}
	return all
}

// TestAccounts checks of every verdict of every example book that its account says what the verdict says: nothing is
// left out, nothing told twice, and the sums agree with the exact bounds.
func TestAccounts(t *testing.T) {
	for path, g := range judgements(t) {
		for _, v := range g.Verdicts {
			a := Of(g, v)
			at := path + " " + v.Treatment.ID + " on " + v.Target.Path
			checkReasons(t, at, a)
			s := a.Support
			if s.For < 0 || s.Against < 0 || s.OpenFor < 0 || s.OpenAgainst < 0 {
				t.Errorf("%s: less than nothing: %+v", at, s)
			}
			if v.Word == judge.Recommended || v.Word == judge.Possible {
				if low, high := s.For-s.Against-s.OpenAgainst, s.For-s.Against+s.OpenFor; math.Abs(low-v.Least) > 1e-5 || math.Abs(high-v.Most) > 1e-5 {
					t.Errorf("%s: for, against and open make %g to %g, the bounds are %g to %g", at, low, high, v.Least, v.Most)
				}
			}
			for i := 1; i < len(a.Cautions); i++ {
				if a.Cautions[i].order() < a.Cautions[i-1].order() {
					t.Errorf("%s: caution %d stands before one more urgent", at, i-1)
				}
			}
		}
	}
}

func checkReasons(t *testing.T, at string, a *Account) {
	t.Helper()
	asked := 0
	for _, list := range [][]*judge.Proof{a.RulesOut, a.MayRule, a.Withdrawn, a.Calls, a.MayCall, a.Needs, a.Idle} {
		asked += len(list)
	}
	asked += len(a.Arguments) + len(a.Open)
	for _, r := range a.Proof.Cautions {
		if r.Value != cond.False {
			asked++
		}
	}
	if asked != len(a.Instances) {
		t.Errorf("%s: %d reasons told of %d rules asked", at, asked, len(a.Instances))
	}
	switch {
	case a.Word == judge.RuledOut && !a.EitherWay && len(a.RulesOut) == 0:
		t.Errorf("%s: ruled out by nothing", at)
	case a.Word == judge.RuledOut && a.EitherWay && a.Proof.Cases == nil:
		t.Errorf("%s: ruled out either way without cases", at)
	case a.Word == judge.TestFirst && (len(a.Missing) == 0 || len(a.MayRule) == 0):
		t.Errorf("%s: waits for %d tests of %d rules", at, len(a.Missing), len(a.MayRule))
	case a.Word == judge.NoNeed && a.Grounds == GroundsInRules:
		t.Errorf("%s: no need, and no word why", at)
	case a.Word == judge.Possible && a.Grounds == GroundsInRules && len(a.Missing) == 0:
		t.Errorf("%s: only possible, and no word why", at)
	}
}

// TestSufficient checks that the leaves said to be enough for a reason are all known, and that the reason names the range.
func TestSufficient(t *testing.T) {
	told := 0
	for path, g := range judgements(t) {
		for _, v := range g.Verdicts {
			for _, r := range Of(g, v).RulesOut {
				for _, l := range Sufficient(r) {
					told++
					ask := g.Case.Asks[l.Ask]
					if !ask.Answer.Known {
						t.Errorf("%s: %s rules out by %s, which is not known", path, r.Rule.ID, ask.Question.ID)
					}
					if l.Test != nil && l.Test.Holds(ask.Question, ask.Answer) != l.Passes {
						t.Errorf("%s: %s of %s: the answer does not pass as said", path, ask.Question.ID, ask.Thing.Path)
					}
				}
			}
		}
	}
	if told == 0 {
		t.Fatal("no book rules anything out by an answer")
	}
}

func books(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("../../testdata/books/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no example books: %v", err)
	}
	return files
}
