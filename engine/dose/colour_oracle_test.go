package dose_test

import (
	"math"
	"math/rand"
	"testing"

	"github.com/lucasb-eyer/go-colorful"

	"tideline/engine/dose/colour"
)

// A second opinion by an independent library, used in tests only. It works on
// Lab/100, which goes wrong only at the exact branch of published pair 10.
func TestColourAgainstAnIndependentLibrary(t *testing.T) {
	rng := rand.New(rand.NewSource(6))
	for range 5000 {
		a := colorful.Color{R: rng.Float64(), G: rng.Float64(), B: rng.Float64()}
		b := colorful.Color{R: rng.Float64(), G: rng.Float64(), B: rng.Float64()}
		l1, a1, b1 := a.Lab()
		l2, a2, b2 := b.Lab()
		p, q := colour.Lab{L: 100 * l1, A: 100 * a1, B: 100 * b1}, colour.Lab{L: 100 * l2, A: 100 * a2, B: 100 * b2}
		if d := colour.DE2000(p, q) - 100*a.DistanceCIEDE2000(b); math.Abs(d) > 1e-9 {
			t.Fatalf("CIEDE2000 of %v and %v differs by %g", p, q, d)
		}
		if d := colour.DE94(p, q, colour.GraphicArts94) - 100*a.DistanceCIE94(b); math.Abs(d) > 1e-9 {
			t.Fatalf("CIE94 of %v and %v differs by %g", p, q, d)
		}
		m := colour.RGB{R: colour.Linear(a.R), G: colour.Linear(a.G), B: colour.Linear(a.B)}.XYZ().Lab(colour.D65White)
		if d := colour.DE76(m, p); d > 0.04 { // it uses a longer matrix
			t.Fatalf("Lab of %v differs by %g", a, d)
		}
	}
}
