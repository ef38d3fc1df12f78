package dose_test

import (
	"encoding/hex"
	"fmt"
	"math"
	"math/rand"
	"testing"

	"tideline/engine/dose/colour"
)

func labOf(v []any) colour.Lab { return colour.Lab{L: f(v[0]), A: f(v[1]), B: f(v[2])} }

// pairs are the 34 pairs of Sharma, Wu and Dalal 2005, by number.
func pairs(t *testing.T) map[int][2]colour.Lab {
	out := map[int][2]colour.Lab{}
	for _, r := range checks(t, "colour.yaml")["ciede2000"].rows(t) {
		out[int(f(r[0]))] = [2]colour.Lab{labOf(r[1:4]), labOf(r[4:7])}
	}
	return out
}

func TestCIEDE2000PublishedPairs(t *testing.T) {
	c := checks(t, "colour.yaml")["ciede2000"]
	if len(c.Rows) != 34 {
		t.Fatalf("%d pairs, want the 34 published ones", len(c.Rows))
	}
	for _, r := range c.Rows {
		p, q := labOf(r[1:4]), labOf(r[4:7])
		c.near(t, colour.DE2000(p, q), f(r[7]), 0.5e-4+1e-9, "pair %v", r[0])
		c.near(t, colour.DE2000(q, p), f(r[7]), 0.5e-4+1e-9, "pair %v exchanged", r[0])
		if d := colour.DE2000(p, p); d != 0 {
			t.Errorf("pair %v: a colour differs from itself by %g", r[0], d)
		}
	}
}

// Trap 1: pair 10 lies exactly on a branch; Lab/100 would give 7.2195.
func TestCIEDE2000Pair10IsWorkedInPlainLab(t *testing.T) {
	p := pairs(t)[10]
	if got := colour.DE2000(p[0], p[1]); math.Abs(got-7.1792) > 1e-4 {
		t.Errorf("pair 10: got %.4f, want 7.1792", got)
	}
}

func TestDifferencesOf1976And1994(t *testing.T) {
	ps := pairs(t)
	c76 := checks(t, "colour.yaml")["cie76"]
	for _, r := range c76.rows(t) {
		p := ps[int(f(r[0]))]
		c76.near(t, colour.DE76(p[0], p[1]), f(r[1]), c76.Tolerance*1.01, "pair %v", r[0])
	}
	c94 := checks(t, "colour.yaml")["cie94"]
	for _, r := range c94.rows(t) {
		p := ps[int(f(r[0]))]
		c94.near(t, colour.DE94(p[0], p[1], colour.GraphicArts94), f(r[1]), 0.51e-4, "pair %v, graphic arts", r[0])
		c94.near(t, colour.DE94(p[0], p[1], colour.Textiles94), f(r[2]), 0.51e-4, "pair %v, textiles", r[0])
	}
	for _, m := range c94.list(t, "library") {
		p, q := labOf(asList(m["lab1"])), labOf(asList(m["lab2"]))
		c94.near(t, colour.DE94(p, q, colour.GraphicArts94), f(m["graphic"]), 1e-7, "%v graphic arts", q)
		c94.near(t, colour.DE94(p, q, colour.Textiles94), f(m["textiles"]), 1e-7, "%v textiles", q)
	}
}

func TestSRGBToXYZToLab(t *testing.T) {
	c := checks(t, "colour.yaml")["srgb_to_xyz_to_lab"]
	for _, r := range c.rows(t) {
		b, err := hex.DecodeString(fmt.Sprint(r[0]))
		if err != nil || len(b) != 3 {
			t.Fatalf("%v is no colour", r[0])
		}
		rgb := colour.FromBytes(b[0], b[1], b[2])
		x := rgb.XYZ()
		l, d := rgb.Lab(), x.Lab(colour.D65White)
		for i, got := range []float64{x.X, x.Y, x.Z, l.L, l.A, l.B, d.L, d.A, d.B} {
			c.near(t, got, f(r[i+1]), c.Tolerance, "%v %s", r[0], c.Columns[i+1])
		}
	}
	for _, m := range c.list(t, "transfer") {
		c.near(t, colour.Encode(f(m["linear"])), f(m["encoded"]), f(m["tol"])+1e-15, "transfer of %v", m["linear"])
	}
}

func TestColourInversesReturnWhatWentIn(t *testing.T) {
	rng := rand.New(rand.NewSource(4))
	for range 2000 {
		c := colour.RGB{R: rng.Float64(), G: rng.Float64(), B: rng.Float64()}
		back := c.Lab().XYZ(colour.MatrixWhite).RGB()
		if d := math.Abs(back.R-c.R) + math.Abs(back.G-c.G) + math.Abs(back.B-c.B); d > 1e-9 {
			t.Fatalf("%v came back as %v", c, back)
		}
		if v := colour.Linear(colour.Encode(c.R)); math.Abs(v-c.R) > 1e-7 {
			t.Fatalf("transfer of %g came back as %g", c.R, v)
		}
	}
}

func TestYellowness(t *testing.T) {
	c := checks(t, "colour.yaml")["yellowness_astm_e313"]
	sets := []colour.Yellowing{colour.YellowD65Two, colour.YellowD65Ten, colour.YellowCTwo, colour.YellowCTen}
	for _, r := range c.rows(t) {
		for i, set := range sets {
			c.near(t, colour.Yellowness(colour.XYZ{X: f(r[0]), Y: f(r[1]), Z: f(r[2])}, set), f(r[3+i]), c.Tolerance, "%v %s", r[:3], set.Name)
		}
	}
	for i, m := range c.list(t, "white") {
		v := floats(m["XYZ"])
		c.near(t, colour.Yellowness(colour.XYZ{X: v[0], Y: v[1], Z: v[2]}, sets[i]), 0, 0.002, "perfect white %v", m["light"])
		c.near(t, colour.Yellowness(colour.XYZ{X: v[0], Y: v[1], Z: v[2]}, sets[i]), f(m["YI"]), 1e-4, "perfect white %v", m["light"])
	}
}

func TestWhiteness(t *testing.T) {
	c := checks(t, "colour.yaml")["whiteness"]
	for _, m := range c.list(t, "cases") {
		if v := floats(m["XYZ"]); len(v) == 3 {
			c.near(t, colour.WhitenessOld(colour.XYZ{X: v[0], Y: v[1], Z: v[2]}), f(m["WI"]), 1e-6, "%v", v)
			continue
		}
		w, tint := colour.WhitenessCIE(f(m["x"]), f(m["y"]), f(m["Y"]), f(m["xn"]), f(m["yn"]), false)
		c.near(t, w, f(m["W"]), 1e-6, "W at %v, %v", m["x"], m["y"])
		c.near(t, tint, f(m["T"]), 1e-6, "T at %v, %v", m["x"], m["y"])
	}
}

func TestChangeGradesByTheGreyScale(t *testing.T) {
	c := checks(t, "fastness.yaml")["iso105_a02_change_in_colour"]
	for i, r := range c.rows(t) {
		s := colour.ChangeScale[i]
		if float64(s.Grade) != f(r[0]) || s.DE76 != f(r[1]) || s.Tolerance != f(r[2]) {
			t.Errorf("step %v of the scale is %v (%s)", r, s, c.Source)
		}
		if g, _ := colour.Nearest(colour.ChangeScale, s.DE76); g != s.Grade {
			t.Errorf("the contrast of grade %v gets grade %v", s.Grade, g)
		}
	}
	for _, m := range c.list(t, "cases") {
		g, _ := colour.Nearest(colour.ChangeScale, f(m["dE"]))
		c.near(t, float64(g), f(m["grade"]), 0, "dE %v", m["dE"])
	}
	if g, tie := colour.Nearest(colour.ChangeScale, 0.4); g != 4.5 || !tie {
		t.Errorf("halfway from 5 to 4-5: got %v, tie %v; want the lower, and said", g, tie)
	}
}

func TestStainingGradesByTheFormula(t *testing.T) {
	file := checks(t, "fastness.yaml")
	c := file["iso105_a04_instrumental_staining"]
	for _, r := range c.rows(t) {
		gs, rating := colour.StainingFrom(f(r[0]), f(r[1]))
		c.near(t, gs, f(r[2]), 0.002, "dE_GS of %v, %v", r[0], r[1])
		c.near(t, rating, f(r[3]), c.Tolerance, "rating of %v, %v", r[0], r[1])
	}
	// A neutral stain at each contrast of the staining scale gets that grade.
	for i, r := range file["iso105_a03_staining"].rows(t) {
		s := colour.StainingScale[i]
		if float64(s.Grade) != f(r[0]) || s.DE76 != f(r[1]) {
			t.Errorf("step %v of the staining scale is %v", r, s)
		}
		_, rating := colour.StainingFrom(s.DE76, -s.DE76)
		if g := colour.ToHalfStep(rating); g != s.Grade {
			t.Errorf("contrast %v is grade %v on the scale but %v by the formula", s.DE76, s.Grade, g)
		}
	}
	for _, tt := range []struct {
		rating float64
		want   colour.Grade
	}{{4.75, 5}, {4.74, 4.5}, {4.25, 4.5}, {4.24, 4}, {1.25, 1.5}, {1.24, 1}, {0.2, 1}, {5, 5}} {
		if g := colour.ToHalfStep(tt.rating); g != tt.want {
			t.Errorf("rating %v: got %v, want %v (classes of ISO 105-A04, seen second hand)", tt.rating, g, tt.want)
		}
	}
}

func TestChangeRatingsByTheFormula(t *testing.T) {
	file := checks(t, "fastness.yaml")
	c := file["iso105_a05_instrumental_change"]
	for _, r := range c.rows(t) {
		c.near(t, colour.ChangeRating(f(r[0])), f(r[1]), c.Tolerance, "dEF %v", r[0])
	}
	limits := floats(c.More["limits"])
	for i, l := range limits {
		if below, at := colour.ChangeGrade(l-1e-9), colour.ChangeGrade(l); below-at != 0.5 || float64(below) != 5-float64(i)/2 {
			t.Errorf("limit %v: %v below, %v from it on", l, below, at)
		}
	}
	for _, s := range colour.ChangeScale { // the classes hold the chips of A02
		if g := colour.ChangeGrade(s.DE76); g != s.Grade {
			t.Errorf("chip contrast %v of grade %v falls in class %v", s.DE76, s.Grade, g)
		}
		if deF, _ := colour.Change(colour.Lab{L: 60}, colour.Lab{L: 60 - s.DE76}); math.Abs(deF-s.DE76) > 1e-9 {
			t.Errorf("a grey change of %v weighs %v", s.DE76, deF)
		}
	}
	if a, b := colour.ChangeRating(3.4), colour.ChangeRating(3.4+1e-12); math.Abs(a-b) > 1e-9 {
		t.Errorf("the branches don't meet at 3.4: %g, %g", a, b)
	}
}

func TestGradesFallAsDifferencesGrow(t *testing.T) {
	last := [3]float64{5, 5, 5}
	for de := 0.0; de < 60; de += 0.05 {
		_, s := colour.StainingFrom(de, -de*0.7)
		g, _ := colour.Nearest(colour.ChangeScale, de)
		now := [3]float64{float64(colour.ToHalfStep(s)), colour.ChangeRating(de), float64(g)}
		for i := range now {
			if now[i] > last[i] {
				t.Fatalf("at %.2f scale %d rose from %v to %v", de, i, last[i], now[i])
			}
		}
		last = now
	}
}

func TestGradeComputations(t *testing.T) {
	r := run(t, "grade-staining", "clean=94, 0, 1", "stained=94, 0, 1")
	if get(t, r, "grade") != 5 {
		t.Error("no stain isn't grade 5")
	}
	if _, err := try(t, "grade-staining", "clean=60, 0, 1", "stained=50, 0, 1"); err == nil {
		t.Error("staining on grey was graded")
	}
	r = run(t, "grade-change", "before=60, 0, 0", "after=58.3, 0, 0")
	if get(t, r, "grade") != 4 {
		t.Errorf("a grey change of 1.7 is grade 4 (ISO 105-A02), got %v", get(t, r, "grade"))
	}
	if v, _ := r.Value("grade"); v.Class != "seen" {
		t.Errorf("a grey change rests on the scale that was read, got class %s", v.Class)
	}
	r = run(t, "grade-change", "before=50, 40, 20", "after=50, 38, 24")
	if v, _ := r.Value("grade"); v.Class != "mixed" {
		t.Errorf("a coloured change rests on A05, got class %s", v.Class)
	}
	if _, err := try(t, "whiteness", "xyz=100, 100, 60", "white=0.3139, 0.3311", "observer=2"); err == nil {
		t.Error("a yellow sample got a whiteness")
	}
	if _, err := try(t, "yellowness", "xyz=30, 30, 20", "light=D65/2"); err == nil {
		t.Error("a dark sample got a yellowness")
	}
	run(t, "whiteness", "xyz=84, 88.6, 95", "white=0.3127, 0.3290", "observer=2")
	run(t, "yellowness", "xyz=72, 74.5, 55", "light=D65/2")
	run(t, "colour-difference", "first=50, 2, 3", "second=50, 3, 3")
	run(t, "srgb", "hex=F5E6C8")
}
