package solubility

import "math"

// A Ball is a sphere in Hansen space, with the dispersion axis doubled as
// [Hansen.Distance] does.
type Ball struct {
	Centre Hansen
	Radius float64 // MPa^0.5
}

// RED is the relative energy difference Ra/R0 of a liquid: below 1 is inside.
// A ball of radius 0 gives +Inf for any other point.
func (b Ball) RED(h Hansen) float64 {
	d := b.Centre.Distance(h)
	if d == 0 {
		return 0
	}
	return d / b.Radius
}

type vec [3]float64

func scaled(h Hansen) vec { return vec{2 * h.D, h.P, h.H} }

func (v vec) hansen() Hansen            { return Hansen{v[0] / 2, v[1], v[2]} }
func (v vec) minus(w vec) vec           { return vec{v[0] - w[0], v[1] - w[1], v[2] - w[2]} }
func (v vec) dot(w vec) float64         { return v[0]*w[0] + v[1]*w[1] + v[2]*w[2] }
func (v vec) plus(w vec, f float64) vec { return vec{v[0] + f*w[0], v[1] + f*w[1], v[2] + f*w[2]} }

// Enclose is the smallest sphere that holds all points. It tries every set of
// up to four points as the ones on its skin: exact, and quick for the few
// liquids a bench tests. No points give a ball of radius 0 at the origin.
func Enclose(points []Hansen) Ball {
	vs := make([]vec, len(points))
	for i, p := range points {
		vs[i] = scaled(p)
	}
	best := Ball{Radius: math.Inf(1)}
	if len(vs) == 0 {
		return Ball{}
	}
	try := func(skin []vec) {
		c, ok := circumcentre(skin)
		if !ok {
			return
		}
		r := math.Sqrt(c.minus(skin[0]).dot(c.minus(skin[0])))
		for _, v := range vs {
			if d := v.minus(c); math.Sqrt(d.dot(d)) > r+1e-9 {
				return
			}
		}
		if r < best.Radius {
			best = Ball{c.hansen(), r}
		}
	}
	var choose func(from int, skin []vec)
	choose = func(from int, skin []vec) {
		if len(skin) > 0 {
			try(skin)
		}
		if len(skin) == 4 {
			return
		}
		for i := from; i < len(vs); i++ {
			choose(i+1, append(skin[:len(skin):len(skin)], vs[i]))
		}
	}
	choose(0, nil)
	return best
}

// circumcentre is the centre of the smallest sphere with all points on its
// skin, in the flat they span.
func circumcentre(p []vec) (vec, bool) {
	n := len(p) - 1
	a := make([][]float64, n)
	for i := range n {
		di := p[i+1].minus(p[0])
		a[i] = make([]float64, n+1)
		for j := range n {
			a[i][j] = 2 * di.dot(p[j+1].minus(p[0]))
		}
		a[i][n] = di.dot(di)
	}
	f, ok := solve(a)
	c := p[0]
	for i, x := range f {
		c = c.plus(p[i+1].minus(p[0]), x)
	}
	return c, ok
}

// solve is Gauss elimination with pivoting on rows of n+1 numbers.
func solve(a [][]float64) ([]float64, bool) {
	n := len(a)
	for c := range n {
		p := c
		for r := c + 1; r < n; r++ {
			if math.Abs(a[r][c]) > math.Abs(a[p][c]) {
				p = r
			}
		}
		if math.Abs(a[p][c]) < 1e-9 {
			return nil, false
		}
		a[c], a[p] = a[p], a[c]
		for r := range n {
			if r == c {
				continue
			}
			f := a[r][c] / a[c][c]
			for k := c; k <= n; k++ {
				a[r][k] -= f * a[c][k]
			}
		}
	}
	x := make([]float64, n)
	for i := range n {
		x[i] = a[i][n] / a[i][i]
	}
	return x, true
}
