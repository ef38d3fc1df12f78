package pack

import (
	"strings"
	"testing"
)

// TestWeights: a house pack weighs a criterion of the pack below anew, within 0 to 1.
func TestWeights(t *testing.T) {
	p := loadClean(t, clean, "pack: house\nabout: A house.\nweights: {looks: 0.9}\n")
	c, _ := p.ids["looks"].(*Criterion)
	if c.Weight != 0.9 || c.From != 0.2 || c.To != 0.9 {
		t.Errorf("weight %g from %g to %g", c.Weight, c.From, c.To)
	}
	p = loadClean(t, clean, "pack: house\nabout: A house.\nweights: {looks: 0.9}\n", "pack: bench\nabout: A bench.\nweights: {looks: 0.1}\n")
	if c, _ = p.ids["looks"].(*Criterion); c.Weight != 0.1 || c.From != 0.1 || c.To != 0.9 {
		t.Errorf("the last layer: weight %g from %g to %g", c.Weight, c.From, c.To)
	}
	for _, tt := range []struct{ text, place, want string }{
		{"pack: house\nabout: A house.\nweights: {looks: 1.5}\n", "house.yaml:3:18", "between 0 and 1"},
		{"pack: house\nabout: A house.\nweights: {looks: -0.1}\n", "house.yaml:3:18", "between 0 and 1"},
		{"pack: house\nabout: A house.\nweights: {looks: much}\n", "house.yaml:3:18", "number"},
		{"pack: house\nabout: A house.\nweights: {look: 0.5}\n", "house.yaml:3:11", `no criterion "look"`},
		{"pack: house\nabout: A house.\ncriteria: {speed: {says: how fast, weight: 0.5, from: 0, to: 1}}\nweights: {speed: 0.6}\n", "house.yaml:4:11", "own criterion"},
	} {
		_, faults := loadText(t, clean, tt.text)
		if len(faults) != 1 || faults[0].Where.String() != tt.place || !strings.Contains(faults[0].Summary+faults[0].Help, tt.want) {
			t.Errorf("%q: %v", tt.text, faults)
		}
	}
}

// TestTrialTables: what `stale` and `warns` name must exist.
func TestTrialTables(t *testing.T) {
	sample := "samples: {plain: {parts: {cover: {kind: cover}}}}\ntrials:\n"
	loadClean(t, clean+sample+"  - {name: tables, like: plain, stale: {bath: [ink.wet]}, warns: {bath: [runs], ink.wet: [wet]}}\n")
	for _, tt := range []struct{ text, want string }{
		{"stale: {bathe: [ink.wet]}", `no treatment "bathe"`},
		{"stale: {bath: [ink.wett]}", `no question "ink.wett"`},
		{"warns: {bathe: [runs]}", `no treatment "bathe"`},
	} {
		_, faults := loadText(t, clean+sample+"  - {name: tables, like: plain, "+tt.text+"}\n")
		if len(faults) != 1 || !strings.Contains(faults[0].Summary, tt.want) || faults[0].Nearest == "" && !strings.Contains(tt.text, "ink.") {
			t.Errorf("%s: %v", tt.text, faults)
		}
	}
}
