package photo

import (
	"math"

	"tideline/engine/dose/colour"
)

// A Comparison is one place held against another.
type Comparison struct {
	Reference, Sample colour.Lab
	DE76, DE2000      float64
	Spread            float64 // standard deviation of DE76 between blocks of the sample
	Uncertainty       float64 // of DE76, k = 2
	SampleClipped     float64 // share of clipped pixels, under the refusal limit
}

// Compare holds a place of the sample picture against a clean place of the
// reference picture; both may be the same picture. The clean place must be
// evenly lit; the sample may be patchy, and its patchiness is reported.
func Compare(ref *Corrected, clean Place, sample *Corrected, place Place) (Comparison, error) {
	a, err := ref.lookAt(clean, "clean place")
	if err != nil {
		return Comparison{}, err
	}
	if s := a.spread(); s > CleanSpread {
		return Comparison{}, unfit(ref.Name+", clean place", "Choose a place without print, or light it evenly.",
			"brightness runs by %.0f %% across it (more than %.0f %%)", 100*s, 100*CleanSpread)
	}
	b, err := sample.lookAt(place, "measured place")
	if err != nil {
		return Comparison{}, err
	}
	labA, labB := scale(a.mean, ref.Gain).Lab(), scale(b.mean, sample.Gain).Lab()
	c := Comparison{
		Reference: labA, Sample: labB,
		DE76: colour.DE76(labA, labB), DE2000: colour.DE2000(labA, labB),
		SampleClipped: math.Max(b.high, b.low),
	}
	var mean, square float64
	for _, bl := range b.blocks {
		d := colour.DE76(labA, scale(bl, sample.Gain).Lab())
		mean, square = mean+d, square+d*d
	}
	n := float64(len(b.blocks))
	if n > 1 {
		c.Spread = math.Sqrt(math.Max(0, (square-mean*mean/n)/(n-1)))
	}
	c.Uncertainty = 2 * uncertainty(ref, a, sample, b)
	return c, nil
}

// uncertainty carries the scatter of both places and of the patches through to
// DE76, one channel at a time. Gains of one and the same picture move together.
func uncertainty(ref *Corrected, a look, sample *Corrected, b look) float64 {
	de := func(da, db, ga, gb colour.RGB) float64 {
		x := scale(plus(a.mean, da), plus(ref.Gain, scale(ref.Gain, ga)))
		y := scale(plus(b.mean, db), plus(sample.Gain, scale(sample.Gain, gb)))
		return colour.DE76(x.Lab(), y.Lab())
	}
	var zero colour.RGB
	base := de(zero, zero, zero, zero)
	var sum float64
	add := func(v float64) { sum += (v - base) * (v - base) }
	for i := range 3 {
		add(de(channel(a.deviation, i), zero, zero, zero))
		add(de(zero, channel(b.deviation, i), zero, zero))
		if ref.SHA256 == sample.SHA256 {
			add(de(zero, zero, channel(ref.GainError, i), channel(ref.GainError, i)))
			continue
		}
		add(de(zero, zero, channel(ref.GainError, i), zero))
		add(de(zero, zero, zero, channel(sample.GainError, i)))
	}
	return math.Sqrt(sum)
}

func channel(c colour.RGB, i int) colour.RGB {
	switch i {
	case 0:
		return colour.RGB{R: c.R}
	case 1:
		return colour.RGB{G: c.G}
	default:
		return colour.RGB{B: c.B}
	}
}

// A Tideline is how much a line stands out from the paper on its two sides.
type Tideline struct {
	Line, Sides  colour.Lab
	DE76, DE2000 float64
}

// Contrast measures a tideline: a place along the line and one on either side.
func Contrast(c *Corrected, line, inner, outer Place) (Tideline, error) {
	var l [3]look
	for i, pl := range []Place{line, inner, outer} {
		var err error
		if l[i], err = c.lookAt(pl, [...]string{"tideline", "inner side", "outer side"}[i]); err != nil {
			return Tideline{}, err
		}
	}
	t := Tideline{
		Line:  scale(l[0].mean, c.Gain).Lab(),
		Sides: scale(times(plus(l[1].mean, l[2].mean), 0.5), c.Gain).Lab(),
	}
	t.DE76, t.DE2000 = colour.DE76(t.Line, t.Sides), colour.DE2000(t.Line, t.Sides)
	return t, nil
}
