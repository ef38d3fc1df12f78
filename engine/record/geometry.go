package record

import (
	"fmt"
	"math"
	"strings"

	"tideline/rules/vocab"
	"tideline/rules/yamlfile"
)

// slack is how far, in mm, a point may lie off a side untold: less than anyone can measure.
const slack = 1e-6

// Length is the length along a line, in mm; not known for any other shape.
func (s Shape) Length() (mm float64, known bool) {
	for i := 1; i < len(s.Line); i++ {
		mm += math.Hypot(s.Line[i].X-s.Line[i-1].X, s.Line[i].Y-s.Line[i-1].Y)
	}
	return mm, len(s.Line) > 0
}

// Surface is what an area covers, in mm²; not known for any other shape. The outline must not cross itself.
func (s Shape) Surface() (mm2 float64, known bool) {
	return math.Abs(signedArea(s.Area)), len(s.Area) > 0
}

// signedArea is the shoelace formula, from the first point so that large coordinates lose nothing.
func signedArea(p []Point) float64 {
	twice := 0.0
	for i := 1; i+1 < len(p); i++ {
		twice += cross(p[0], p[i], p[i+1])
	}
	return twice / 2
}

// cross is twice the signed area of the triangle a, b, c.
func cross(a, b, c Point) float64 { return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X) }

// outline drops points that repeat the one before, and a last one that repeats the first.
func outline(p []Point) []Point {
	var out []Point
	for _, q := range p {
		if len(out) == 0 || out[len(out)-1] != q {
			out = append(out, q)
		}
	}
	for len(out) > 1 && out[0] == out[len(out)-1] {
		out = out[:len(out)-1]
	}
	return out
}

// crossing finds where an outline meets itself: the corners at which the two edges begin, from 0.
func crossing(p []Point) (i, j int, found bool) {
	n := len(p)
	for i := range p {
		a, b := p[i], p[(i+1)%n]
		if c := p[(i+2)%n]; n > 2 && cross(a, b, c) == 0 && (a.X-b.X)*(c.X-b.X)+(a.Y-b.Y)*(c.Y-b.Y) > 0 {
			return i, (i + 1) % n, true // turns back on itself
		}
		for j := i + 2; j < n; j++ {
			if i == 0 && j == n-1 {
				continue // neighbours
			}
			if meet(a, b, p[j], p[(j+1)%n]) {
				return i, j, true
			}
		}
	}
	return 0, 0, false
}

// meet tells whether the segments a-b and c-d have a point in common.
func meet(a, b, c, d Point) bool {
	if max(a.X, b.X) < min(c.X, d.X) || max(c.X, d.X) < min(a.X, b.X) || max(a.Y, b.Y) < min(c.Y, d.Y) || max(c.Y, d.Y) < min(a.Y, b.Y) {
		return false
	}
	return straddle(a, b, c, d) && straddle(c, d, a, b)
}

// straddle tells whether c and d are not both on the same side of the line a-b.
func straddle(a, b, c, d Point) bool {
	u, v := cross(a, b, c), cross(a, b, d)
	return !(u > 0 && v > 0 || u < 0 && v < 0)
}

// size reads the size of a part.
func (r *reader) size(n *yamlfile.Node, part *Thing) *Size {
	if n == nil {
		return nil
	}
	r.unsized[part] = true // whatever is wrong with it is told here
	v, ok := r.pair(n, "width and height", "[340, 260]")
	if !ok {
		return nil
	}
	if !(v.X > 0 && v.X <= maxSize && v.Y > 0 && v.Y <= maxSize) {
		n.Fault("the size is out of range", fmt.Sprintf("Width and height are in mm, more than 0 and up to %d.", maxSize))
		return nil
	}
	return &Size{v.X, v.Y}
}

// pair reads two numbers.
func (r *reader) pair(n *yamlfile.Node, what, example string) (Point, bool) {
	items := n.List()
	if !n.IsList() || len(items) != 2 {
		n.Fault("expected "+what, fmt.Sprintf("Write two numbers in mm, as in %s.", example))
		return Point{}, false
	}
	x, okX := items[0].Number()
	y, okY := items[1].Number()
	return Point{x, y}, okX && okY
}

// place reads a point on a thing's part, nil with a fault when it cannot be there.
func (r *reader) place(n *yamlfile.Node, on *Thing) *Point {
	part := r.partOf(on)
	if part == nil {
		n.Fault(fmt.Sprintf("a place cannot be given for %s", on.Path), "Places are in mm on a side of a part. Leave `at` out.")
		return nil
	}
	p, ok := r.pair(n, "a point", "[170, 65]")
	if !ok || !r.onPart(n, part, p) {
		return nil
	}
	return &p
}

// partOf gives the part on which a thing's place is measured: for a fastener the first it holds.
func (r *reader) partOf(t *Thing) *Thing {
	switch {
	case t.Kind == vocab.Part:
		return t
	case t.Part != nil:
		return t.Part
	case len(t.Holds) > 0:
		return t.Holds[0]
	case t.Kind == vocab.Fastener:
		for _, other := range r.book.Things {
			if other.Kind == vocab.Part {
				return other
			}
		}
	}
	return nil
}

// onPart faults a point off the part, or on a part of unknown size.
func (r *reader) onPart(n *yamlfile.Node, part *Thing, p Point) bool {
	if part.Size == nil {
		if !r.unsized[part] {
			n.Fault(fmt.Sprintf("a place needs the size of %s", part.Path), fmt.Sprintf("Add `size: [width, height]` in mm to %s.", part.Path))
		}
		r.unsized[part] = true
		return false
	}
	var off []string
	for _, edge := range []struct {
		by   float64
		past string
	}{
		{-p.X, "left of the left edge"},
		{p.X - part.Size.Width, "right of the right edge"},
		{-p.Y, "above the top edge"},
		{p.Y - part.Size.Height, "below the bottom edge"},
	} {
		if edge.by > slack {
			off = append(off, fmt.Sprintf("%g mm %s", math.Round(edge.by*1000)/1000, edge.past))
		}
	}
	if len(off) > 0 {
		n.Fault(fmt.Sprintf("[%g, %g] lies off the side", p.X, p.Y),
			fmt.Sprintf("It is %s; a side of %s is %g mm wide and %g mm high.", strings.Join(off, " and "), part.Path, part.Size.Width, part.Size.Height))
	}
	return len(off) == 0
}

// shape reads where a finding is, and measures it.
func (r *reader) shape(m *yamlfile.Map, t *Thing) {
	var first string
	for _, p := range m.Pairs() {
		name := p.Key.Raw()
		if name != "line" && name != "area" && name != "at" || m.Get(name) == nil {
			continue
		}
		if first != "" {
			p.Key.Fault(fmt.Sprintf("%s has both `%s` and `%s`", t.Name, first, name), "Give one of line, area and at.")
			continue
		}
		first = name
		switch n := p.Value; name {
		case "at":
			t.Shape.At = r.place(n, t)
		case "line":
			t.Shape.Line = r.line(n, t)
		case "area":
			t.Shape.Area = r.area(n, t)
		}
	}
	if mm, known := t.Shape.Length(); known {
		r.measured("finding.length", t, mm, m.Get("line"))
	}
	if mm2, known := t.Shape.Surface(); known {
		r.measured("finding.area", t, mm2, m.Get("area"))
	}
}

// measured notes a measure, unless it is beyond what the question takes.
func (r *reader) measured(id string, t *Thing, v float64, n *yamlfile.Node) {
	if q := r.words.Vocabulary.Question(id); q != nil && !(v >= q.From && v <= q.To) {
		n.Fault(fmt.Sprintf("%s of %s would be %s", id, t.Path, q.Text(vocab.Num(math.Round(v)))), "It takes "+q.Expected()+". Draw the shape with fewer turns.")
		return
	}
	r.know(id, t, vocab.Num(v), n, "measured from the map")
}

func (r *reader) line(n *yamlfile.Node, t *Thing) []Point {
	points, ok := r.points(n, t, "a line", 2)
	if ok && len(outline(points)) < 2 {
		n.Fault("the points of the line are all the same", "For a single point, use `at`.")
		return nil
	}
	return points
}

func (r *reader) area(n *yamlfile.Node, t *Thing) []Point {
	points, ok := r.points(n, t, "an area", 3)
	if !ok {
		return nil
	}
	p := outline(points)
	if len(p) < 3 || signedArea(p) == 0 && len(p) == 3 {
		n.Fault("the area encloses nothing", "It needs three points or more that are not on one line.")
		return nil
	}
	if i, j, found := crossing(p); found {
		n.Fault("the outline of the area crosses or touches itself",
			fmt.Sprintf("The edge from [%g, %g] meets the edge from [%g, %g]. Give the corners in order, once round; two areas are two findings.", p[i].X, p[i].Y, p[j].X, p[j].Y))
		return nil
	}
	return p
}

// points reads a list of points that all lie on the thing's part.
func (r *reader) points(n *yamlfile.Node, t *Thing, what string, least int) ([]Point, bool) {
	items := n.List()
	if !n.IsList() || len(items) < least {
		n.Fault(fmt.Sprintf("%s needs %d points or more", what, least), "Write them as [[0, 20], [15, 22], [18, 40]].")
		return nil, false
	}
	if len(items) > maxPoints {
		items[maxPoints].Fault(fmt.Sprintf("more than %d points", maxPoints), "Fewer describe any outline well enough.")
		return nil, false
	}
	points, good := make([]Point, 0, len(items)), true
	for _, item := range items {
		p, ok := r.pair(item, "a point", "[15, 22]")
		good = ok && r.onPart(item, t.Part, p) && good
		points = append(points, p)
	}
	if !good {
		return nil, false
	}
	return points, true
}
