package solubility

import (
	"errors"
	"fmt"
	"math"
	"sort"
)

// A Spot is one spot test: a liquid, and whether it dissolved any of the ink.
type Spot struct {
	Name      string
	Hansen    Hansen
	Dissolves bool
}

// A Standing is what the tests say of a liquid.
type Standing int

// Settled means: every sphere that agrees with all the tests agrees on it.
const (
	Open Standing = iota
	SettledInside
	SettledOutside
	TestedDissolves
	TestedHeld
)

// String is the standing in the words of the report.
func (s Standing) String() string {
	return [...]string{
		"not settled by the tests", "dissolves under every sphere that fits",
		"outside every sphere that fits", "tested: dissolves", "tested: held",
	}[s]
}

// A Fit is the solubility region of an ink as far as spot tests show it.
type Fit struct {
	Spots []Spot
	Ball  Ball     // the smallest sphere that holds every dissolving liquid
	Room  float64  // radius to which Ball can grow before it takes in a liquid that held
	Fits  bool     // some sphere keeps dissolving and holding liquids apart
	Odd   []string // liquids that held though they lie inside Ball
	Hull  []Teas   // outline of the dissolving liquids in the Teas triangle
}

// MostSpots bounds the tests a fit takes.
const MostSpots = 60

// NewFit fits spot tests. It wants at least one liquid that dissolved and one
// that held; a liquid tested twice counts as dissolving if it ever did.
func NewFit(spots []Spot) (Fit, error) {
	spots = worst(spots)
	var in, out []Hansen
	for _, s := range spots {
		if s.Dissolves {
			in = append(in, s.Hansen)
		} else {
			out = append(out, s.Hansen)
		}
	}
	switch {
	case len(spots) > MostSpots:
		return Fit{}, fmt.Errorf("%d liquids are more than the %d a fit takes", len(spots), MostSpots)
	case len(in) == 0:
		return Fit{}, errors.New("no liquid dissolved the ink, so nothing shows where its region lies; every liquid but the tested ones stays unknown")
	case len(out) == 0:
		return Fit{}, errors.New("every tested liquid dissolved the ink, so nothing shows where its region ends; test one that is far from them")
	}
	f := Fit{Spots: spots, Ball: Enclose(in), Room: math.Inf(1), Fits: separable(in, out)}
	for _, s := range spots {
		if s.Dissolves {
			continue
		}
		d := f.Ball.Centre.Distance(s.Hansen)
		f.Room = math.Min(f.Room, d)
		if d <= f.Ball.Radius {
			f.Odd = append(f.Odd, s.Name)
		}
	}
	var ts []Teas
	for _, h := range in {
		ts = append(ts, h.Teas())
	}
	f.Hull = hull(ts)
	return f, nil
}

// worst merges tests of one liquid, keeping order by name.
func worst(spots []Spot) []Spot {
	seen := map[string]int{}
	var out []Spot
	for _, s := range spots {
		if i, ok := seen[s.Name]; ok {
			out[i].Dissolves = out[i].Dissolves || s.Dissolves
			continue
		}
		seen[s.Name] = len(out)
		out = append(out, s)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Name < out[j].Name })
	return out
}

// Judge says what the tests settle of a liquid.
func (f Fit) Judge(name string, h Hansen) Standing {
	in, out := []Hansen{h}, []Hansen{h}
	for _, s := range f.Spots {
		if s.Name == name {
			if s.Dissolves {
				return TestedDissolves
			}
			return TestedHeld
		}
		if s.Dissolves {
			in = append(in, s.Hansen)
		} else {
			out = append(out, s.Hansen)
		}
	}
	switch {
	case !f.Fits:
		return Open
	case !separable(in, out[1:]):
		return SettledOutside
	case !separable(in[1:], out):
		return SettledInside
	default:
		return Open
	}
}

// Nearest gives the distances from a liquid to the nearest tested one that
// dissolved and to the nearest that held.
func (f Fit) Nearest(h Hansen) (dissolving, held float64) {
	dissolving, held = math.Inf(1), math.Inf(1)
	for _, s := range f.Spots {
		d := s.Hansen.Distance(h)
		if s.Dissolves {
			dissolving = math.Min(dissolving, d)
		} else {
			held = math.Min(held, d)
		}
	}
	return dissolving, held
}

// separable says whether some sphere holds all of in and none of out. Such a
// sphere exists unless a weighted mean of in meets one of out at a point where
// the mean of squares of in is no smaller (Farkas); that is a linear program.
func separable(in, out []Hansen) bool {
	if len(in) == 0 || len(out) == 0 {
		return true
	}
	n := len(in) + len(out)
	a := make([][]float64, 5)
	for i := range a {
		a[i] = make([]float64, n+1)
	}
	c := make([]float64, n)
	for j := range n {
		h, sign, row := Hansen{}, 1.0, 3
		if j < len(in) {
			h = in[j]
		} else {
			h, sign, row = out[j-len(in)], -1, 4
		}
		v := scaled(h)
		var sq float64
		for i := range 3 {
			u := (v[i] - scaled(in[0])[i]) / 20 // near the data, and near 1
			a[i][j] = sign * u
			sq += u * u
		}
		a[row][j] = 1
		c[j] = sign * sq
	}
	a[3][n], a[4][n] = 1, 1
	best, feasible := maximise(a, c)
	return !feasible || best < -1e-9
}
