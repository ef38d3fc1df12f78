package judge

import "testing"

// TestStepNames: every step has a name of its own and is read back from it; other words are no step.
func TestStepNames(t *testing.T) {
	seen := map[string]bool{}
	for s := StepReason; s <= StepCase; s++ {
		name, err := s.MarshalText()
		var back Step
		if err != nil || len(name) == 0 || seen[string(name)] || back.UnmarshalText(name) != nil || back != s {
			t.Errorf("step %d is named %q (%v) and read back as %d", s, name, err, back)
		}
		seen[string(name)] = true
	}
	var s Step
	if err := s.UnmarshalText([]byte("guess")); err == nil {
		t.Error("a guess is taken for a step")
	}
}
