package photo

import (
	"errors"
	"testing"

	"tideline/engine/dose/colour"
)

func TestParsePatch(t *testing.T) {
	want := Patch{Place: Place{X: 4, Y: 10, W: 30, H: 40}, Known: colour.Lab{L: 70, A: -0.5, B: 1}}
	for _, s := range []string{"70,-0.5,1@4,10,30,40", " 70, -0.5, 1 @ 4, 10, 30, 40 px"} {
		if got, err := ParsePatch(s); err != nil || got != want {
			t.Errorf("%q: %v, %v, want %v", s, got, err, want)
		}
	}
	if got, err := ParsePatch("70,0,0@1,2,3,4mm"); err != nil || !got.Place.MM {
		t.Errorf("mm: %v, %v", got, err)
	}
	for _, s := range []string{"", "70,0,0", "70,0@1,2,3,4", "x,0,0@1,2,3,4", "NaN,0,0@1,2,3,4", "1e9,0,0@1,2,3,4", "70,0,0@", "70,0,0@1,2,3", "70,0,0@1,2,3,0", "70,0,0@1,2,3,4 cm"} {
		_, err := ParsePatch(s)
		var u *Unfit
		if !errors.As(err, &u) || u.Do == "" {
			t.Errorf("%q: %v", s, err)
		}
	}
}
