package dose_test

import (
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"

	"tideline/engine/dose"
	"tideline/engine/dose/shape"
)

func points(v any) []shape.Point {
	var out []shape.Point
	for _, p := range asList(v) {
		xy := floats(p)
		out = append(out, shape.Point{X: xy[0], Y: xy[1]})
	}
	return out
}

// outlines are the polygons of the area cases by name.
func outlines(t *testing.T) map[string][]shape.Point {
	out := map[string][]shape.Point{}
	for _, m := range checks(t, "geometry.yaml")["polygon_area_shoelace"].list(t, "cases") {
		out[fmt.Sprint(m["name"])] = points(m["points"])
	}
	return out
}

func TestAreas(t *testing.T) {
	c := checks(t, "geometry.yaml")["polygon_area_shoelace"]
	for _, m := range c.list(t, "cases") {
		ps, want := points(m["points"]), f(m["area"])
		tol := c.Tolerance * math.Max(1, math.Abs(want))
		c.near(t, shape.SignedArea(ps), want, tol, "%v", m["name"])
		c.near(t, shape.SignedArea(append(ps[:len(ps):len(ps)], ps[0])), want, tol, "%v closed by hand", m["name"])
		c.near(t, shape.Perimeter(ps), f(m["perimeter"]), 1e-6, "%v perimeter", m["name"])
		ct, ok := shape.Centroid(ps)
		if xy := floats(m["centroid"]); !math.IsNaN(xy[0]) {
			c.near(t, ct.X, xy[0], 1e-6, "%v centroid x", m["name"])
			c.near(t, ct.Y, xy[1], 1e-6, "%v centroid y", m["name"])
		} else if ok {
			t.Errorf("%v has no area, yet a centroid", m["name"])
		}
		_, err := shape.Area(ps)
		if crosses := strings.HasPrefix(fmt.Sprint(m["name"]), "bow tie"); crosses != (err != nil) {
			t.Errorf("%v: refused %v, want %v", m["name"], err != nil, crosses)
		}
	}
}

func TestLengths(t *testing.T) {
	c := checks(t, "geometry.yaml")["polyline_length"]
	for _, m := range c.list(t, "cases") {
		ps := points(m["points"])
		c.near(t, shape.Length(ps), f(m["length"]), c.Tolerance, "%v", m["points"])
		c.near(t, shape.Straight(ps), f(m["straight"]), c.Tolerance, "%v straight", m["points"])
	}
	m := c.list(t, "scale")[0]
	c.near(t, shape.Millimetres(f(m["pixels"]), f(m["dpi"])), f(m["mm"]), 1e-4, "scale")
}

func TestPlaces(t *testing.T) {
	c := checks(t, "geometry.yaml")["point_in_polygon"]
	all := outlines(t)
	for _, m := range c.list(t, "cases") {
		xy := floats(m["point"])
		o, ok := all[fmt.Sprint(m["polygon"])]
		if !ok {
			t.Fatalf("no outline %v", m["polygon"])
		}
		if got := shape.Locate(shape.Point{X: xy[0], Y: xy[1]}, o).String(); got != fmt.Sprint(m["expect"]) {
			t.Errorf("%v in %v: %s, want %v", xy, m["polygon"], got, m["expect"])
		}
	}
}

func TestSegments(t *testing.T) {
	c := checks(t, "geometry.yaml")["segment_distance_and_crossing"]
	for _, m := range c.list(t, "distances") {
		xy, s := floats(m["point"]), points(m["seg"])
		c.near(t, shape.Distance(shape.Point{X: xy[0], Y: xy[1]}, s[0], s[1]), f(m["distance"]), 1e-6, "%v to %v", xy, s)
	}
	names := map[shape.Meeting]string{shape.Apart: "apart", shape.Touch: "touch", shape.Cross: "cross", shape.Overlap: "overlap"}
	for _, m := range c.list(t, "meetings") {
		a, b, at := points(m["a"]), points(m["b"]), points(m["at"])
		k, where := shape.Meet(a[0], a[1], b[0], b[1])
		if names[k] != fmt.Sprint(m["meet"]) || len(where) != len(at) {
			t.Errorf("%v and %v: %s %v, want %v %v", a, b, names[k], where, m["meet"], at)
			continue
		}
		for i := range at {
			c.near(t, where[i].X, at[i].X, c.Tolerance, "%v", m)
			c.near(t, where[i].Y, at[i].Y, c.Tolerance, "%v", m)
		}
		if k2, _ := shape.Meet(b[0], b[1], a[0], a[1]); k2 != k {
			t.Errorf("%v: exchanged it is %s", m, names[k2])
		}
	}
}

// Pieces stay within the tolerance of the line and join end to end; placing a
// point agrees with a slow second method (summed angles).
func TestShapesAgainstSlowVersions(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	for range 200 {
		var line []shape.Point
		for range 2 + rng.Intn(20) {
			line = append(line, shape.Point{X: 100 * rng.Float64(), Y: 100 * rng.Float64()})
		}
		ps := shape.Pieces(line, 3)
		if ps[0][0] != line[0] || ps[len(ps)-1][1] != line[len(line)-1] {
			t.Fatal("pieces don't start and end with the line")
		}
		for i := 1; i < len(ps); i++ {
			if ps[i][0] != ps[i-1][1] {
				t.Fatal("pieces don't join")
			}
		}
		for _, p := range line {
			near := math.Inf(1)
			for _, s := range ps {
				near = math.Min(near, shape.Distance(p, s[0], s[1]))
			}
			if near > 3+1e-9 {
				t.Fatalf("a point lies %g from the pieces", near)
			}
		}
	}
	o := outlines(t)["concave arrow"]
	for range 5000 {
		p := shape.Point{X: 6*rng.Float64() - 1, Y: 6*rng.Float64() - 1}
		var turn float64
		for i := range o {
			a, b := o[i], o[(i+1)%len(o)]
			d := math.Atan2(b.Y-p.Y, b.X-p.X) - math.Atan2(a.Y-p.Y, a.X-p.X)
			turn += math.Remainder(d, 2*math.Pi)
		}
		in := math.Abs(turn) > math.Pi
		if w := shape.Locate(p, o); w != shape.On && (w == shape.Inside) != in {
			t.Fatalf("%v: %v, by angles inside %v", p, w, in)
		}
	}
}

func TestTearsAndCutList(t *testing.T) {
	r := run(t, "tears", "tears=A: 0,0 3,4 3,10; B inner: 60,60 60,90", "grain=vertical", "paste=60 g/m2")
	if got := get(t, r, "length"); math.Abs(got-41) > 1e-9 {
		t.Errorf("length %g, want 11 + 30", got)
	}
	if got := get(t, r, "straight"); math.Abs(got-(10.440307+30)) > 1e-6 {
		t.Errorf("straight %g", got)
	}
	if get(t, r, "strips") != 3 {
		t.Errorf("strips: %g, want 2 for the bent tear and 1 for the straight one", get(t, r, "strips"))
	}
	var cut dose.Table
	for _, tab := range r.Tables {
		if tab.Title == "cut list" {
			cut = tab
		}
	}
	if len(cut.Rows) != 3 || cut.Rows[2][4] != "length with the tissue's grain" {
		t.Errorf("cut list %v", cut.Rows)
	}
	// B is 30 mm, inner: two ends of 2 mm.
	if cut.Rows[2][2] != "34 mm" {
		t.Errorf("strip of B is %s, want 34 mm", cut.Rows[2][2])
	}
	h := run(t, "tears", "tears=B inner: 60,60 60,90", "grain=horizontal")
	if got := h.Tables[1].Rows[0][4]; got != "length across the tissue's grain" {
		t.Errorf("grain turned: %s", got)
	}
	for _, bad := range []string{"tears=", "tears=A", "tears=A: 0,0", "tears=A: 0,0 5,5 5,0 0,5", "tears=A: 0,0 x,1", "tears=A: 0,0 1,1; A: 2,2 3,3", "tears=A: 5,5 5,5"} {
		if _, err := try(t, "tears", bad, "grain=vertical"); err == nil {
			t.Errorf("%q was not refused", bad)
		}
	}
	_, err := try(t, "tears", "tears=A: 0,0 180,4", "grain=vertical", "leaf_width=170 mm")
	if err == nil || !strings.Contains(err.Error(), "outside by 10 mm") {
		t.Errorf("a tear off the leaf must say by how much: %v", err)
	}
}
