package decision

import (
	"context"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tideline/engine/plan"
	"tideline/engine/seal/edition1"
	"tideline/rules/fault"
)

// TestAcceptPlan: the whole plan is taken up with a word, but for what is departed from; what differs from it is found by
// comparing, whatever was written.
func TestAcceptPlan(t *testing.T) {
	g := judgedWith(t, ", date: {kind: stamp, seen: {wet: 5}}", "") // whose answer no plan is made for
	p, err := plan.Make(context.Background(), g, plan.Options{})
	if err != nil {
		t.Fatal(err)
	}
	advice := Advice{Judgement: g, Plan: p}
	inside, outside, box := Place{"brush", "cover/inside"}, Place{"brush", "cover/outside"}, Place{"box", "book"}
	for _, tt := range []struct {
		name, text string
		accepted   []Place
		want       Difference
	}{
		{"whole", "accepted: plan\n", []Place{inside, outside}, Difference{}},
		{"but one left", "accepted: plan\ndepartures: [{step: brush, on: cover/inside, left: undone, because: why}]\n", []Place{outside}, Difference{Left: []Place{inside}}},
		{"but one done otherwise", "accepted: plan\ndepartures: [{step: brush, on: cover/inside, did: by hand, because: why}]\n", []Place{outside}, Difference{}},
		{"listed", "accepted: [{step: brush, on: cover/outside}, {step: box, on: book}]\n", []Place{outside, box}, Difference{Left: []Place{inside}, Added: []Place{box}}},
		{"nothing", "accepted: []\n", nil, Difference{Left: []Place{inside, outside}}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			faults := &fault.List{}
			d := Parse("d.yaml", []byte("decision: 1\n"+tt.text), advice, today, faults)
			if err := faults.Err(); err != nil {
				t.Fatal(err)
			}
			var got []Place
			for _, a := range d.Sealed().Accepted {
				got = append(got, Place{a.Step, a.On})
			}
			if diff := cmp.Diff(tt.accepted, got); diff != "" {
				t.Errorf("accepted (-want +got):\n%s", diff)
			}
			if diff := cmp.Diff(tt.want, Against(p.Sealed(), d.Sealed())); diff != "" {
				t.Errorf("against the plan (-want +got):\n%s", diff)
			}
			for _, a := range d.Accepted {
				if advice.Met(a.Verdict) == nil || a.Verdict.Word == "" {
					t.Errorf("%s has no judgement", a.Verdict.Treatment.ID)
				}
			}
		})
	}
	if !Against(nil, &edition1.Decision{}).None() || !Against(&edition1.Plan{}, nil).None() {
		t.Error("without a plan or a decision there is nothing to compare")
	}
}

// TestAcceptNoPlan: a plan that was not made cannot be accepted, and a word for it that is misspelt is told.
func TestAcceptNoPlan(t *testing.T) {
	for text, want := range map[string]string{
		"accepted: plan\n": "2:11 there is no plan to accept",
		"accepted: plam\n": "2:11 expected a list of steps accepted",
	} {
		faults := &fault.List{}
		Parse("d.yaml", []byte("decision: 1\n"+text), Advice{Judgement: judged(t)}, today, faults)
		if faults.Len() != 1 {
			t.Fatalf("%q: %v", text, faults.Err())
		}
		f := faults.All()[0]
		if got := strings.TrimPrefix(f.Where.String(), "d.yaml:") + " " + f.Summary; !strings.HasPrefix(got, want) {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
