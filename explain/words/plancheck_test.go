package words

import (
	"strings"
	"testing"

	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/engine/plancheck"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// TestPlanFaults has a phrase of its own for every kind of fault, with nothing left to fill in.
func TestPlanFaults(t *testing.T) {
	wet := &vocab.Question{ID: "ink.wet", Type: vocab.Grade, From: 1, To: 5}
	said := map[string]plancheck.Kind{}
	for _, kind := range plancheck.Kinds {
		for name := range costs {
			f := &plancheck.Fault{
				Kind: kind, Step: 3, Key: plan.Key{Treatment: "bath", Path: "cover"}, Other: plan.Key{Treatment: "brush", Path: "cover/outside"},
				Path: "cover/outside/red", Finding: "cockle", Question: wet, Answer: vocab.Num(4.5), Word: judge.TestFirst, Cost: name,
			}
			s := PlanBreaks(&pack.Pack{}, f)
			rest, ok := strings.CutPrefix(s, "breaks at step 4, bath on cover: ")
			if other, twice := said[rest]; !ok || rest == "" || strings.Contains(s, "%") || twice && other != kind {
				t.Errorf("%s: %q, said of %q too", kind, s, other)
			}
			said[rest] = kind
		}
	}
	if len(planFaults) != len(plancheck.Kinds) {
		t.Errorf("%d phrases for %d kinds", len(planFaults), len(plancheck.Kinds))
	}
}

// TestPlanResult says both ends as a person reads them.
func TestPlanResult(t *testing.T) {
	for _, tt := range []struct {
		faults []*plancheck.Fault
		want   string
	}{
		{nil, "holds together"},
		{
			[]*plancheck.Fault{{Kind: plancheck.Need, Step: 3, Key: plan.Key{Treatment: "bath", Path: "cover"}, Other: plan.Key{Treatment: "brush", Path: "cover/outside"}}, {Kind: plancheck.Idle, Step: 4}},
			"breaks at step 4, bath on cover: brush on cover/outside must come first, and is not done by then",
		},
		{[]*plancheck.Fault{{Kind: plancheck.LeftAbsent, Step: plancheck.Whole, Path: "cover/outside/tear"}}, "breaks as a whole: cover/outside/tear calls for care, is not dealt with, and is not listed as left"},
		{[]*plancheck.Fault{{Kind: plancheck.CostsDiffer, Step: plancheck.Whole, Cost: "support", Got: 13300000, Want: 14700000}}, "breaks as a whole: it counts 13.3 units of support, and they add up to 14.7"},
		{[]*plancheck.Fault{{Kind: plancheck.Verdict, Key: plan.Key{Treatment: "bath", Path: "cover"}}}, "breaks at step 1, bath on cover: on the book as it then is, the verdict is none, since it is not considered there"},
	} {
		if got := PlanResult(&pack.Pack{}, &plancheck.Report{Faults: tt.faults}); got != tt.want {
			t.Errorf("got %q, want %q", got, tt.want)
		}
	}
}
