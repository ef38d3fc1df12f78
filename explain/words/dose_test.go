package words

import (
	"strings"
	"testing"

	"tideline/engine/dose"
)

// TestClasses checks that every class of the sources and values has a phrase of its own, and that memory is called so.
func TestClasses(t *testing.T) {
	said := map[string]dose.Class{}
	for _, c := range []dose.Class{dose.Seen, dose.Computed, dose.Arithmetic, dose.Mixed, dose.Memory} {
		phrase := Class(c)
		if other, twice := said[phrase]; phrase == "" || twice {
			t.Errorf("%s: phrase %q, of %q too", c, phrase, other)
		}
		said[phrase] = c
	}
	if !strings.Contains(Doubt(dose.Memory), "from memory") || Doubt(dose.Mixed) == "" || Doubt(dose.Seen) != "" {
		t.Error("a value from memory, and no other, must be marked so")
	}
}

// TestInput holds how an input is described: its own unit first, a range with whose it is, words, and text.
func TestInput(t *testing.T) {
	for _, tt := range []struct{ computation, input, given, within string }{
		{"limewater", "ph", "in pH", "from 8.5 to 12 pH [R. G. Bates"},
		{"limewater", "degassed", "one of: no, yes", ""},
		{"limewater", "volume", "in mL; or L", "from 1 to 200000 mL [the program's own limit"},
		{"buffer-ph", "step", PlainNumber, "from 1 to 4 [U.S. Geological Survey"},
		{"srgb", "hex", TextInput, ""},
	} {
		c, _ := dose.Lookup(tt.computation)
		for _, p := range c.Params {
			if p.Name != tt.input {
				continue
			}
			if _, given, within := Input(p); given != tt.given || !strings.HasPrefix(within, tt.within) {
				t.Errorf("%s %s: %q, %q", tt.computation, tt.input, given, within)
			}
		}
	}
}
