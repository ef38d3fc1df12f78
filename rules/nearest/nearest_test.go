package nearest

import "testing"

func TestWord(t *testing.T) {
	words := []string{"wet", "dry", "ethanol", "absorbency", "groundwood", "W", "mL", "mm"}
	for _, tt := range []struct{ word, want string }{
		{"wett", "wet"},
		{"wte", "wet"}, // two neighbours swapped are one slip
		{"absorbancy", "absorbency"},
		{"groundwod", "groundwood"},
		{"acetone", ""}, // three letters away from ethanol, but four slips
		{"wet", ""},     // the word itself is no help
		{"", ""},
		{"x", ""},   // a single letter is near to every other, and shares nothing
		{"m", "mm"}, // of equals, the one that brings no new letter
	} {
		if got := Word(tt.word, words); got != tt.want {
			t.Errorf("Word(%q) = %q, want %q", tt.word, got, tt.want)
		}
	}
}
