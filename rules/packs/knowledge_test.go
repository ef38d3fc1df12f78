package packs

import (
	"os"
	"slices"
	"testing"

	"gopkg.in/yaml.v3"

	"tideline/engine/dose"
	"tideline/rules/fault"
	"tideline/rules/pack"
)

const knowledgeDir = "../../testdata/knowledge/"

// TestKnowledge keeps the account of what the shipped pack was made from: every fact that could decide something at a bench is in
// the pack or left out with a reason, nothing stands on a fact that is not on the list, every rule names its ground, and a
// rule made only from what is remembered rules nothing out.
func TestKnowledge(t *testing.T) {
	var facts map[string]struct{ Kind, Standing string }
	readYAML(t, "facts.yaml", &facts)
	var leftOut map[string]string
	readYAML(t, "left-out.yaml", &leftOut)
	layer, err := Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{layer}, faults, dose.Functions()...)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}

	carried := map[string]bool{}
	carry := func(who string, c pack.Cite) {
		for _, id := range c.StandsOn {
			carried[id] = true
			if _, ok := facts[id]; !ok {
				t.Errorf("%s stands on %s, which is not in facts.yaml", who, id)
			}
		}
	}
	hazards := func(who string, list []pack.Hazard) {
		for _, h := range list {
			carry("a hazard of "+who, h.Cite)
		}
	}
	for _, r := range p.Rules {
		carry(r.ID, r.Cite)
		if len(r.StandsOn) == 0 && len(r.Sources) == 0 && r.Standing != "common practice, no source" && r.Standing != "house" {
			t.Errorf("%s: rule %s names neither a fact nor a source, and is marked %q", r.Place, r.ID, r.Standing)
		}
		remembered := func(id string) bool { return facts[id].Standing == "from memory" }
		if r.Effect == pack.RulesOut && r.Standing == "published" && len(r.StandsOn) > 0 && !slices.ContainsFunc(r.StandsOn, func(id string) bool { return !remembered(id) }) {
			t.Errorf("%s: %s rules out and calls itself published, but stands only on what is from memory: %v", r.Place, r.ID, r.StandsOn)
		}
	}
	for _, q := range p.Tests {
		carry(q.Question.ID, q.Cite)
		hazards(q.Question.ID, q.Hazards)
	}
	for _, f := range p.Facts {
		carry(f.ID, f.Cite)
	}
	for _, n := range p.Never {
		carry(n.ID, n.Cite)
	}
	for _, m := range p.Principles {
		carry(m.ID, m.Cite)
	}
	for _, m := range p.Treatments {
		carry(m.ID, m.Cite)
		hazards(m.ID, m.Hazards)
		for _, s := range m.Settings {
			carry("a setting of "+m.ID, s.Cite)
		}
	}

	decides := []string{"contraindication", "precondition", "caution", "sequence", "parameter", "test", "hazard"}
	for id, f := range facts {
		if slices.Contains(decides, f.Kind) && !carried[id] && leftOut[id] == "" {
			t.Errorf("%s (%s) is neither in the pack nor left out with a reason", id, f.Kind)
		}
	}
	for id := range leftOut {
		if _, ok := facts[id]; !ok {
			t.Errorf("left-out.yaml speaks of %s, which is not in facts.yaml", id)
		}
		if carried[id] {
			t.Errorf("left-out.yaml says that %s is left out, but the pack stands on it", id)
		}
	}
	t.Logf("%d facts: %d in the pack, %d left out with a reason", len(facts), len(carried), len(leftOut))
}

func readYAML(t *testing.T, file string, into any) {
	t.Helper()
	data, err := os.ReadFile(knowledgeDir + file)
	if err != nil {
		t.Fatal(err)
	}
	if err := yaml.Unmarshal(data, into); err != nil {
		t.Fatalf("%s: %v", file, err)
	}
}
