package dose_test

import (
	"errors"
	"slices"
	"testing"

	"tideline/engine/dose"
)

func TestSubjectsHoldEveryComputationOnce(t *testing.T) {
	var got []string
	for _, s := range dose.Subjects() {
		for _, c := range s.Computations {
			got = append(got, c.Name)
			if c.Danger() != s.Danger {
				t.Errorf("%s: danger %v, its subject has %v", c.Name, c.Danger(), s.Danger)
			}
		}
	}
	if !slices.Equal(got, dose.Names()) {
		t.Errorf("the subjects hold %v\nall are %v", got, dose.Names())
	}
}

func TestEveryExampleRuns(t *testing.T) {
	for _, c := range dose.All() {
		example := c.Example()
		if len(example) == 0 {
			t.Errorf("%s has no example", c.Name)
			continue
		}
		a, err := c.Parse(example)
		if err == nil {
			_, err = c.Run(a)
		}
		if err != nil {
			t.Errorf("%s %q: %v", c.Name, example, err)
		}
	}
}

// A refusal knows what was probably meant: a computation, an input, a word or a unit, but not a real unit of another kind.
func TestNearestOfARefusal(t *testing.T) {
	for _, tt := range []struct {
		name  string
		pairs []string
		want  string
	}{
		{"peroxyde", nil, "peroxide"},
		{"xyzzy", nil, ""},
		{"peroxide", []string{"stok=3 % w/v"}, "stock"},
		{"peroxide", []string{"stock=3 volums"}, "volumes"},
		{"dilute", []string{"volume=500 mll"}, "mL"},
		{"dilute", []string{"volume=500 mm"}, ""},
		{"dilute", []string{"volume=500"}, ""},
		{"buffer", []string{"acid=citrik"}, "citric"},
	} {
		c, err := dose.Find(tt.name)
		if err == nil {
			_, err = c.Parse(tt.pairs)
		}
		var r *dose.Refusal
		if !errors.As(err, &r) {
			t.Fatalf("%s %q is not refused: %v", tt.name, tt.pairs, err)
		}
		if got := r.Nearest(); got != tt.want {
			t.Errorf("%s %q: nearest %q, want %q", tt.name, tt.pairs, got, tt.want)
		}
	}
}
