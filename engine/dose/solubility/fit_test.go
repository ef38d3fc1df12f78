package solubility

import (
	"math"
	"math/rand"
	"strings"
	"testing"
)

// The exact answer of the linear program against an obvious second version:
// many random spheres. Where a random sphere separates, separable must agree;
// where it says none does, no random sphere may.
func TestSeparableAgreesWithRandomSpheres(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	point := func() Hansen { return Hansen{14 + 5*rng.Float64(), 16 * rng.Float64(), 30 * rng.Float64()} }
	saidNo, saidYes := 0, 0
	for range 400 {
		var in, out []Hansen
		for range 1 + rng.Intn(4) {
			in = append(in, point())
		}
		for range 1 + rng.Intn(8) {
			out = append(out, point())
		}
		found := false
		for range 3000 {
			c, r := point(), 25*rng.Float64()
			c.D += 4 * rng.NormFloat64()
			ok := true
			for _, h := range in {
				ok = ok && c.Distance(h) < r
			}
			for _, h := range out {
				ok = ok && c.Distance(h) > r
			}
			found = found || ok
		}
		got := separable(in, out)
		if found && !got {
			t.Fatalf("a sphere keeps %v from %v, but separable says none does", in, out)
		}
		if got {
			saidYes++
		} else {
			saidNo++
		}
	}
	if saidNo == 0 || saidYes == 0 {
		t.Fatalf("the trial never met both answers: %d yes, %d no", saidYes, saidNo)
	}
}

func TestSeparableKnownCases(t *testing.T) {
	a, b, mid, far := Hansen{16, 4, 4}, Hansen{16, 8, 8}, Hansen{16, 6, 6}, Hansen{16, 20, 20}
	for _, tt := range []struct {
		name    string
		in, out []Hansen
		want    bool
	}{
		{"a point between two dissolving ones can't be outside", []Hansen{a, b}, []Hansen{mid}, false},
		{"a far point can be outside", []Hansen{a, b}, []Hansen{far}, true},
		{"a ball can be small", []Hansen{mid}, []Hansen{a, b}, true},
		{"the same point twice", []Hansen{a}, []Hansen{a}, false},
		{"beyond a holding liquid on a line", []Hansen{a, far}, []Hansen{b}, false},
	} {
		if got := separable(tt.in, tt.out); got != tt.want {
			t.Errorf("%s: got %v, want %v", tt.name, got, tt.want)
		}
	}
}

func TestEncloseIsSmallestAndHoldsAll(t *testing.T) {
	rng := rand.New(rand.NewSource(2))
	for range 200 {
		var ps []Hansen
		for range 1 + rng.Intn(7) {
			ps = append(ps, Hansen{14 + 5*rng.Float64(), 16 * rng.Float64(), 30 * rng.Float64()})
		}
		b := Enclose(ps)
		for _, p := range ps {
			if d := b.Centre.Distance(p); d > b.Radius+1e-6 {
				t.Fatalf("%v lies %g outside", p, d-b.Radius)
			}
		}
		for range 200 { // no centre nearby does better
			c := b.Centre
			c.D, c.P, c.H = c.D+rng.NormFloat64(), c.P+rng.NormFloat64(), c.H+rng.NormFloat64()
			var r float64
			for _, p := range ps {
				r = math.Max(r, c.Distance(p))
			}
			if r < b.Radius-1e-6 {
				t.Fatalf("a ball of %g does what one of %g did", r, b.Radius)
			}
		}
	}
}

func spot(name string, dissolves bool) Spot {
	l, _ := ByName(name)
	return Spot{name, l.Hansen, dissolves}
}

func TestFitSettlesLittleAndSaysSo(t *testing.T) {
	f, err := NewFit([]Spot{
		spot("acetone", true), spot("ethyl acetate", true), spot("toluene", true),
		spot("n-heptane", false), spot("ethanol", false), spot("water", false),
	})
	if err != nil {
		t.Fatal(err)
	}
	if !f.Fits || len(f.Odd) > 0 {
		t.Errorf("a plain region: fits %v, odd %v", f.Fits, f.Odd)
	}
	open := 0
	for _, l := range Liquids() {
		switch s := f.Judge(l.Name, l.Hansen); s {
		case Open:
			open++
		case SettledInside:
			if f.Ball.RED(l.Hansen) > 1+1e-9 {
				t.Errorf("%s settled inside, yet outside the smallest ball", l.Name)
			}
		case SettledOutside:
			if f.Ball.RED(l.Hansen) < 1 {
				t.Errorf("%s settled outside, yet inside the smallest ball", l.Name)
			}
		}
	}
	if open == 0 {
		t.Error("six spots can't settle every liquid")
	}
	for _, s := range f.Spots {
		if s.Dissolves && !f.InHull(s.Hansen.Teas()) {
			t.Errorf("%s dissolved but isn't in the triangle region", s.Name)
		}
	}
}

// More tests never unsettle a liquid, as long as some sphere still fits.
func TestSettledStaysSettled(t *testing.T) {
	rng := rand.New(rand.NewSource(3))
	truth := Ball{Hansen{17, 7, 8}, 7}
	names := Names()
	for range 30 {
		rng.Shuffle(len(names), func(i, j int) { names[i], names[j] = names[j], names[i] })
		before := map[string]Standing{}
		for n := 4; n < 12; n++ {
			var spots []Spot
			for _, name := range names[:n] {
				l, _ := ByName(name)
				spots = append(spots, Spot{name, l.Hansen, truth.RED(l.Hansen) < 1})
			}
			f, err := NewFit(spots)
			if err != nil {
				continue
			}
			for _, name := range names[n:] {
				l, _ := ByName(name)
				s := f.Judge(name, l.Hansen)
				if s == SettledInside && truth.RED(l.Hansen) > 1 || s == SettledOutside && truth.RED(l.Hansen) < 1 {
					t.Fatalf("%s settled against the truth", name)
				}
				if old := before[name]; old != Open && s != old {
					t.Fatalf("%s went from %v to %v", name, old, s)
				}
				before[name] = s
			}
		}
	}
}

func TestFitRefusesOneSidedTests(t *testing.T) {
	for _, spots := range [][]Spot{nil, {spot("acetone", true)}, {spot("acetone", false)}} {
		if _, err := NewFit(spots); err == nil {
			t.Errorf("%v: no refusal", spots)
		}
	}
}

func TestTriangleEscapesNames(t *testing.T) {
	f, err := NewFit([]Spot{spot("acetone", true), spot("water", false)})
	if err != nil {
		t.Fatal(err)
	}
	svg := f.Triangle(`<b>"ink"`, []Mark{{"a<b>&", Teas{40, 30, 30}, Open}})
	if strings.Contains(svg, "<b>") || !strings.Contains(svg, "a&lt;b&gt;&amp;") {
		t.Error("a name reached the picture unescaped")
	}
}
