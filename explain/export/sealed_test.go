package export

import (
	"context"
	"os"
	"slices"
	"strings"
	"testing"

	"tideline/engine/audit"
	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/engine/seal"
	"tideline/engine/seal/edition1"
)

// sealedCases gives a sealed decision with a plan that was accepted whole, and a plan of a shipped book whose steps bring
// things that are not there yet, with a decision that departs from it.
func sealedCases(t *testing.T) map[string]struct {
	g *judge.Judgement
	s *Sealed
} {
	t.Helper()
	data, err := os.ReadFile("../../testdata/seals/edition-1/gull-street-0001.json")
	if err != nil {
		t.Fatal(err)
	}
	s, err := seal.Open(data)
	if err != nil {
		t.Fatal(err)
	}
	body, g, err := audit.New(audit.Options{}).Judge(s)
	if err != nil {
		t.Fatal(err)
	}
	p, err := shipped()
	if err != nil {
		t.Fatal(err)
	}
	large := judged(t, p, "../../testdata/books/lantern-street-4.yaml")
	made, err := plan.Make(context.Background(), large, plan.Options{})
	if err != nil {
		t.Fatal(err)
	}
	w := made.Sealed()
	decided := &edition1.Decision{By: "M. K.", Date: "2026-11-02"}
	for _, step := range w.Steps[1:] {
		decided.Accepted = append(decided.Accepted, edition1.Accepted{Step: step.Treatment, On: step.Targets[0]})
	}
	decided.Departures = []edition1.Departure{{Step: w.Steps[0].Treatment, On: w.Steps[0].Targets[0], Left: "undone", Because: "the owner wishes it"}}
	return map[string]struct {
		g *judge.Judgement
		s *Sealed
	}{
		"gull-street":    {g, &Sealed{body, s.Sum}},
		"lantern-street": {large, &Sealed{&edition1.Body{Case: "lantern", Number: "1", At: "2026-11-02T10:00:00Z", Plan: w, Decision: decided}, strings.Repeat("ab", 32)}},
	}
}

// TestProvOfSealed holds documents of sealed decisions against the published schema and against PROV-CONSTRAINTS: the plan
// with all its steps, and the decision, are there and led to each other.
func TestProvOfSealed(t *testing.T) {
	schema := compiled(t, map[string]string{"prov.json": "prov/prov-json.schema.json"}, "prov.json")
	for name, c := range sealedCases(t) {
		t.Run(name, func(t *testing.T) {
			d := Prov(c.g, c.s)
			bytes, doc := encoded(t, d)
			if err := schema.Validate(doc); err != nil {
				t.Error(err)
			}
			p := graphOf(t, doc)
			for _, b := range broken(p) {
				t.Error(b)
			}
			members := 0
			for _, r := range p.relations("hadMember") {
				if strings.HasPrefix(r["prov:collection"].(string), "book:plan/") {
					members++
				}
			}
			if want := len(c.s.Body.Plan.Steps); members != want || want == 0 {
				t.Errorf("%d steps of the plan, want %d", members, want)
			}
			took := false
			for _, r := range p.relations("used") {
				took = took || strings.HasPrefix(r["prov:activity"].(string), "book:deciding/") && strings.HasPrefix(r["prov:entity"].(string), "book:plan/")
			}
			if !took {
				t.Error("the decision does not lead to the plan")
			}
			for _, step := range c.s.Body.Plan.Steps {
				for _, caution := range append(step.Cautions, step.StopSigns...) {
					if text, _ := Encode(caution); !strings.Contains(string(bytes), strings.TrimSpace(string(text))) {
						t.Errorf("%q is missing", caution)
					}
				}
			}
			if !slices.ContainsFunc(d.Lost, func(l string) bool { return strings.Contains(l, "tamper-evident") }) {
				t.Error("the loss of the seal is not told")
			}
		})
	}
}

// TestLinkedArtOfSealed holds records of sealed decisions against the published schema and context.
func TestLinkedArtOfSealed(t *testing.T) {
	schema := compiled(t, map[string]string{
		"https://linked.art/api/1.0/schema/object.json": "linked-art/object.json",
		"https://linked.art/api/1.0/schema/core.json":   "linked-art/core.json",
	}, "https://linked.art/api/1.0/schema/object.json")
	known := contextWords(t)
	for name, c := range sealedCases(t) {
		t.Run(name, func(t *testing.T) {
			d := LinkedArt(c.g, c.s)
			_, doc := encoded(t, d)
			if err := schema.Validate(doc); err != nil {
				t.Error(err)
			}
			vetTerms(t, doc, known)
			if texts := doc.(map[string]any)["referred_to_by"].([]any); len(texts) != 4 {
				t.Errorf("%d texts, want verdicts, plan, decision and losses", len(texts))
			}
		})
	}
}
