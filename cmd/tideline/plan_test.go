package main

import (
	"encoding/json"
	"slices"
	"testing"
)

// TestPlanJSON holds what plan --json prints of every book against its schema; its steps carry their hazards and stop signs,
// and what calls for care is either a step's or said to be left.
func TestPlanJSON(t *testing.T) {
	schema := strictly(t, say(t, exitDone, "schema", "plan"))
	p, err := shipped()
	if err != nil {
		t.Fatal(err)
	}
	steps := 0
	for _, book := range books(t) {
		output := say(t, exitDone, "plan", book, "--on", "record", "--json")
		validate(t, schema, output)
		var plan struct {
			Proven bool
			Steps  []struct {
				Treatment, Verdict string
				Cautions           []struct{ Hazard bool }
				StopSigns          []string `json:"stop_signs"`
			}
			Untreated []struct {
				On       string
				Verdicts []json.RawMessage
			}
		}
		if err := json.Unmarshal([]byte(output), &plan); err != nil {
			t.Fatal(err)
		}
		if !plan.Proven {
			t.Errorf("%s: not searched to the end", book)
		}
		for _, s := range plan.Steps {
			steps++
			treatment := p.Treatment(s.Treatment)
			hazards := slices.DeleteFunc(s.Cautions, func(c struct{ Hazard bool }) bool { return !c.Hazard })
			if len(hazards) < len(treatment.Hazards) || len(s.StopSigns) != len(treatment.StopSigns) {
				t.Errorf("%s: %s: %d hazards and %d stop signs told of %d and %d", book, s.Treatment, len(hazards), len(s.StopSigns), len(treatment.Hazards), len(treatment.StopSigns))
			}
			if s.Verdict != "recommended" && s.Verdict != "possible" {
				t.Errorf("%s: %s is %s", book, s.Treatment, s.Verdict)
			}
		}
	}
	if steps == 0 {
		t.Error("no plan has a step")
	}
}
