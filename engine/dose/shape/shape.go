package shape

import (
	"errors"
	"math"
)

// A Point is a place on a sheet.
type Point struct{ X, Y float64 }

// Near is how close to an edge a point counts as on it.
const Near = 1e-9

// ErrCrosses says that an outline crosses itself, so that its area has no
// meaning.
var ErrCrosses = errors.New("the outline crosses itself")

func (p Point) minus(q Point) Point      { return Point{p.X - q.X, p.Y - q.Y} }
func (p Point) cross(q Point) float64    { return p.X*q.Y - p.Y*q.X }
func (p Point) dot(q Point) float64      { return p.X*q.X + p.Y*q.Y }
func (p Point) distance(q Point) float64 { return math.Hypot(p.X-q.X, p.Y-q.Y) }
func lerp(a, b Point, f float64) Point   { return Point{a.X + f*(b.X-a.X), a.Y + f*(b.Y-a.Y)} }
func (p Point) same(q Point) bool        { return p.distance(q) <= Near }

// Length of a line along its points.
func Length(line []Point) float64 {
	var sum float64
	for i := 1; i < len(line); i++ {
		sum += line[i-1].distance(line[i])
	}
	return sum
}

// Straight is the distance from the first to the last point.
func Straight(line []Point) float64 {
	if len(line) < 2 {
		return 0
	}
	return line[0].distance(line[len(line)-1])
}

// Perimeter of an outline, closed if it isn't.
func Perimeter(outline []Point) float64 {
	o := open(outline)
	if len(o) < 2 {
		return 0
	}
	return Length(o) + o[len(o)-1].distance(o[0])
}

// open drops a repeated closing point.
func open(outline []Point) []Point {
	for len(outline) > 1 && outline[0] == outline[len(outline)-1] {
		outline = outline[:len(outline)-1]
	}
	return outline
}

// SignedArea is the shoelace sum: positive when the points run counter-clockwise
// with y up. The first point is taken off first, so that outlines far from the
// origin keep their digits. It doesn't look for crossings; see [Area].
func SignedArea(outline []Point) float64 {
	o := open(outline)
	var sum float64
	for i := 1; i+1 < len(o); i++ {
		sum += o[i].minus(o[0]).cross(o[i+1].minus(o[0]))
	}
	return sum / 2
}

// Area of an outline that doesn't cross itself; fewer than three points have 0.
func Area(outline []Point) (float64, error) {
	if Crosses(outline) {
		return 0, ErrCrosses
	}
	return math.Abs(SignedArea(outline)), nil
}

// Centroid of an outline; ok is false where it has no area.
func Centroid(outline []Point) (c Point, ok bool) {
	o := open(outline)
	var a, x, y float64
	for i := 1; i+1 < len(o); i++ {
		p, q := o[i].minus(o[0]), o[i+1].minus(o[0])
		w := p.cross(q)
		a += w
		x += w * (p.X + q.X)
		y += w * (p.Y + q.Y)
	}
	if math.Abs(a) < Near {
		return Point{}, false
	}
	return Point{o[0].X + x/(3*a), o[0].Y + y/(3*a)}, true
}

// Crosses says whether two edges of a closed outline that aren't neighbours
// meet.
func Crosses(outline []Point) bool {
	o := open(outline)
	n := len(o)
	for i := range n {
		for j := i + 2; j < n; j++ {
			if i == 0 && j == n-1 {
				continue
			}
			if k, _ := Meet(o[i], o[i+1], o[j], o[(j+1)%n]); k != Apart {
				return true
			}
		}
	}
	return false
}

// LineCrosses says whether an open line meets itself.
func LineCrosses(line []Point) bool {
	for i := 0; i+1 < len(line); i++ {
		for j := i + 2; j+1 < len(line); j++ {
			if k, _ := Meet(line[i], line[i+1], line[j], line[j+1]); k != Apart {
				return true
			}
		}
	}
	return false
}
