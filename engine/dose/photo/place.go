package photo

import (
	"image"
	"math"
	"strconv"
	"strings"

	"tideline/engine/dose/colour"
)

// A Place is a rectangle on the upright picture, from its top left corner, in
// pixels or in millimetres.
type Place struct {
	X, Y, W, H float64
	MM         bool
}

// ParsePlace reads "x,y,width,height px" or "... mm".
func ParsePlace(s string) (Place, error) {
	help := `Write four numbers and the unit, such as "120,80,40,40 px" or "10,5,4,4 mm".`
	text := strings.TrimSpace(s)
	nums, unit := text, ""
	for _, u := range []string{"px", "mm"} {
		if rest, ok := strings.CutSuffix(text, u); ok {
			nums, unit = rest, u
		}
	}
	parts := strings.Split(nums, ",")
	if unit == "" || len(parts) != 4 {
		return Place{}, unfit("place", help, "%q is not a place", s)
	}
	var v [4]float64
	for i, p := range parts {
		f, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || math.IsNaN(f) || math.Abs(f) > 1e6 {
			return Place{}, unfit("place", help, "%q is not a number", strings.TrimSpace(p))
		}
		v[i] = f
	}
	if v[0] < 0 || v[1] < 0 || v[2] <= 0 || v[3] <= 0 {
		return Place{}, unfit("place", help, "%q lies outside the picture or has no size", s)
	}
	return Place{v[0], v[1], v[2], v[3], unit == "mm"}, nil
}

// leastSide is the smallest place, in pixels, that is averaged.
const leastSide = 8

// on turns a place into whole pixels of the picture.
func (pl Place) on(p *Picture, name string, perMM float64) (image.Rectangle, error) {
	f := 1.0
	if pl.MM {
		if !(perMM > 0) {
			return image.Rectangle{}, unfit(name, "Give the scale in px/mm, measured on a ruler in the picture.", "the place is in mm but the picture has no scale")
		}
		f = perMM
	}
	r := image.Rect(int(math.Round(pl.X*f)), int(math.Round(pl.Y*f)), int(math.Round((pl.X+pl.W)*f)), int(math.Round((pl.Y+pl.H)*f)))
	if r.Min.X < 0 || r.Min.Y < 0 || r.Max.X > p.Width || r.Max.Y > p.Height {
		return r, unfit(name, "Places count from the top left corner of the upright picture.",
			"the place runs to %d, %d but the picture is %d x %d pixels", r.Max.X, r.Max.Y, p.Width, p.Height)
	}
	if r.Dx() < leastSide || r.Dy() < leastSide {
		return r, unfit(name, "Take a larger place or a closer picture.", "%d x %d pixels are fewer than %d x %d", r.Dx(), r.Dy(), leastSide, leastSide)
	}
	return r, nil
}

// A look is what one place of a picture shows.
type look struct {
	mean      colour.RGB
	deviation colour.RGB   // of the mean, from the scatter of the blocks
	blocks    []colour.RGB // means of up to 8 x 8 blocks, row by row
	across    int          // blocks in a row
	high, low float64      // share of clipped pixels
}

// ClipShare is the share of clipped pixels above which a place is refused.
const ClipShare = 0.005

// read averages a place, in whole and by blocks.
func (p *Picture) read(r image.Rectangle) look {
	nx, ny := min(8, r.Dx()/4), min(8, r.Dy()/4)
	sums := make([]colour.RGB, nx*ny)
	counts := make([]float64, nx*ny)
	var l look
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			i := (y-r.Min.Y)*ny/r.Dy()*nx + (x-r.Min.X)*nx/r.Dx()
			c := p.light(x, y)
			sums[i] = plus(sums[i], c)
			counts[i]++
			high, low := p.clipped(x, y)
			if high {
				l.high++
			}
			if low {
				l.low++
			}
		}
	}
	l.across = nx
	total := float64(r.Dx() * r.Dy())
	l.high, l.low = l.high/total, l.low/total
	for i, s := range sums {
		l.mean = plus(l.mean, s)
		l.blocks = append(l.blocks, times(s, 1/counts[i]))
	}
	l.mean = times(l.mean, 1/total)
	n := float64(len(l.blocks))
	var v colour.RGB
	for _, b := range l.blocks {
		d := plus(b, times(l.mean, -1))
		v = plus(v, colour.RGB{R: d.R * d.R, G: d.G * d.G, B: d.B * d.B})
	}
	if n > 1 {
		v = times(v, 1/((n-1)*n))
	}
	l.deviation = colour.RGB{R: math.Sqrt(v.R), G: math.Sqrt(v.G), B: math.Sqrt(v.B)}
	return l
}

// spread is how far brightness runs over the place, from lowest to highest over
// mean, by quarters of its sides so that mere noise doesn't count.
func (l look) spread() float64 {
	lo, hi := math.Inf(1), 0.0
	down := len(l.blocks) / l.across
	nx, ny := min(4, l.across), min(4, down)
	sums, counts := make([]float64, nx*ny), make([]float64, nx*ny)
	for i, b := range l.blocks {
		j := i/l.across*ny/down*nx + i%l.across*nx/l.across
		sums[j] += b.XYZ().Y
		counts[j]++
	}
	for j := range sums {
		y := sums[j] / counts[j]
		lo, hi = math.Min(lo, y), math.Max(hi, y)
	}
	mean := l.mean.XYZ().Y
	if mean <= 0 {
		return math.Inf(1)
	}
	return (hi - lo) / mean
}

func (l look) checkClipped(name string) error {
	if l.high > ClipShare {
		return unfit(name, "Give less exposure and take it again; lost light can't be brought back.",
			"%.1f %% of its pixels are burnt out (more than %.1f %%)", 100*l.high, 100*ClipShare)
	}
	if l.low > ClipShare {
		return unfit(name, "Give more exposure and take it again.",
			"%.1f %% of its pixels are black to the end of the scale (more than %.1f %%)", 100*l.low, 100*ClipShare)
	}
	return nil
}

func plus(a, b colour.RGB) colour.RGB { return colour.RGB{R: a.R + b.R, G: a.G + b.G, B: a.B + b.B} }

func times(a colour.RGB, f float64) colour.RGB {
	return colour.RGB{R: a.R * f, G: a.G * f, B: a.B * f}
}

func scale(a, g colour.RGB) colour.RGB { return colour.RGB{R: a.R * g.R, G: a.G * g.G, B: a.B * g.B} }
