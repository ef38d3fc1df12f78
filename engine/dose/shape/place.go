package shape

import "math"

// A Where says on which side of an outline a point lies.
type Where int

// On counts as touching.
const (
	Outside Where = iota
	On
	Inside
)

// String is "outside", "boundary" or "inside".
func (w Where) String() string { return [...]string{"outside", "boundary", "inside"}[w] }

// Locate finds where a point lies: first an exact look at the edges, then the
// even-odd ray with half-open edges.
func Locate(p Point, outline []Point) Where {
	o := open(outline)
	in := false
	for i := range o {
		a, b := o[i], o[(i+1)%len(o)]
		if Distance(p, a, b) <= Near {
			return On
		}
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)*(b.X-a.X)/(b.Y-a.Y) {
			in = !in
		}
	}
	if in {
		return Inside
	}
	return Outside
}

// Distance from a point to the nearest place on a segment.
func Distance(p, a, b Point) float64 {
	ab := b.minus(a)
	long := ab.dot(ab)
	if long == 0 {
		return p.distance(a)
	}
	f := math.Max(0, math.Min(1, p.minus(a).dot(ab)/long))
	return p.distance(lerp(a, b, f))
}

// A Meeting is how two segments meet.
type Meeting int

// Touch is one point that is an end of a segment; Cross is one point inside
// both; Overlap is a stretch.
const (
	Apart Meeting = iota
	Touch
	Cross
	Overlap
)

// Meet says how segments ab and cd meet, and where: no point, one, or the two
// ends of an overlap.
func Meet(a, b, c, d Point) (Meeting, []Point) {
	den := b.minus(a).cross(d.minus(c))
	scale := a.distance(b)*c.distance(d) + 1
	if math.Abs(den) <= 1e-12*scale {
		return meetParallel(a, b, c, d)
	}
	s := c.minus(a).cross(d.minus(c)) / den
	t := c.minus(a).cross(b.minus(a)) / den
	if s < -1e-12 || s > 1+1e-12 || t < -1e-12 || t > 1+1e-12 {
		return Apart, nil
	}
	p := lerp(a, b, s)
	if p.same(a) || p.same(b) || p.same(c) || p.same(d) {
		return Touch, []Point{p}
	}
	return Cross, []Point{p}
}

func meetParallel(a, b, c, d Point) (Meeting, []Point) {
	var ends []Point
	add := func(p Point) {
		for _, q := range ends {
			if p.same(q) {
				return
			}
		}
		ends = append(ends, p)
	}
	for _, p := range []Point{c, d} {
		if Distance(p, a, b) <= Near {
			add(p)
		}
	}
	for _, p := range []Point{a, b} {
		if Distance(p, c, d) <= Near {
			add(p)
		}
	}
	switch len(ends) {
	case 0:
		return Apart, nil
	case 1:
		return Touch, ends
	}
	if ends[0].X > ends[1].X || ends[0].X == ends[1].X && ends[0].Y > ends[1].Y {
		ends[0], ends[1] = ends[1], ends[0]
	}
	return Overlap, ends[:2]
}

// Millimetres of a length in pixels at a resolution in dots per inch.
func Millimetres(pixels, dpi float64) float64 { return pixels * 25.4 / dpi }

// Pieces cuts a line into straight pieces that each keep within the tolerance
// of the line, ends included; each is named by its first and last point. It is
// Douglas and Peucker's halving at the farthest point.
func Pieces(line []Point, tolerance float64) [][2]Point {
	if len(line) < 2 {
		return nil
	}
	a, b := line[0], line[len(line)-1]
	worst, at := tolerance, 0
	for i := 1; i < len(line)-1; i++ {
		if d := Distance(line[i], a, b); d > worst {
			worst, at = d, i
		}
	}
	if at == 0 {
		return [][2]Point{{a, b}}
	}
	return append(Pieces(line[:at+1], tolerance), Pieces(line[at:], tolerance)...)
}

// Bearing is the direction of a segment as an angle to the x axis, from 0 to
// below 180 degrees.
func Bearing(a, b Point) float64 {
	d := math.Mod(math.Atan2(b.Y-a.Y, b.X-a.X)*180/math.Pi+360, 180)
	return d
}
