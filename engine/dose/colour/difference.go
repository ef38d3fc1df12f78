package colour

import "math"

// DE76 is the CIE 1976 colour difference (ISO 11664-4): plain distance in
// CIELAB. The grey scales are defined in it.
func DE76(p, q Lab) float64 {
	return math.Sqrt(sq(p.L-q.L) + sq(p.A-q.A) + sq(p.B-q.B))
}

// Weights94 are the constants of the CIE 1994 difference for one trade.
type Weights94 struct{ KL, K1, K2 float64 }

// The two published sets of CIE 1994 weights.
var (
	GraphicArts94 = Weights94{1, 0.045, 0.015}
	Textiles94    = Weights94{2, 0.048, 0.014}
)

// DE94 is the CIE 1994 difference. It isn't symmetric: ref is the reference.
func DE94(ref, other Lab, w Weights94) float64 {
	c1 := ref.Chroma()
	dc := c1 - other.Chroma()
	dh2 := math.Max(0, sq(ref.A-other.A)+sq(ref.B-other.B)-dc*dc)
	sc, sh := 1+w.K1*c1, 1+w.K2*c1
	return math.Sqrt(sq((ref.L-other.L)/w.KL) + sq(dc/sc) + dh2/(sh*sh))
}

// DE2000 is the CIEDE2000 difference with all three weights 1, after Sharma,
// Wu and Dalal, Color Research and Application 30 (2005), 21-30. It is meant
// for small differences, up to about 5; it is symmetric.
func DE2000(p, q Lab) float64 {
	cm := (p.Chroma() + q.Chroma()) / 2
	g := 0.5 * (1 - sevenths(cm))
	a1, a2 := (1+g)*p.A, (1+g)*q.A
	c1, c2 := math.Hypot(a1, p.B), math.Hypot(a2, q.B)
	h1, h2 := hueDegrees(a1, p.B), hueDegrees(a2, q.B)

	dl, dc := q.L-p.L, c2-c1
	dh := hueStep(h1, h2, c1*c2)
	dH := 2 * math.Sqrt(c1*c2) * math.Sin(radians(dh/2))

	lm, cmp, hm := (p.L+q.L)/2, (c1+c2)/2, meanHue(h1, h2, c1*c2)
	t := 1 - 0.17*math.Cos(radians(hm-30)) + 0.24*math.Cos(radians(2*hm)) +
		0.32*math.Cos(radians(3*hm+6)) - 0.20*math.Cos(radians(4*hm-63))
	turn := 30 * math.Exp(-sq((hm-275)/25))
	rt := -math.Sin(radians(2*turn)) * 2 * sevenths(cmp)

	sl := 1 + 0.015*sq(lm-50)/math.Sqrt(20+sq(lm-50))
	sc, sh := 1+0.045*cmp, 1+0.015*cmp*t
	x, y, z := dl/sl, dc/sc, dH/sh
	return math.Sqrt(x*x + y*y + z*z + rt*y*z)
}

// sevenths is sqrt(c^7/(c^7+25^7)), which the formula uses twice.
func sevenths(c float64) float64 {
	c7 := math.Pow(c, 7)
	return math.Sqrt(c7 / (c7 + 6103515625)) // 25^7
}

func hueStep(h1, h2, chroma float64) float64 {
	if chroma == 0 {
		return 0
	}
	switch d := h2 - h1; {
	case d > 180:
		return d - 360
	case d < -180:
		return d + 360
	default:
		return d
	}
}

func meanHue(h1, h2, chroma float64) float64 {
	switch {
	case chroma == 0:
		return h1 + h2
	case math.Abs(h1-h2) <= 180:
		return (h1 + h2) / 2
	case h1+h2 < 360:
		return (h1 + h2 + 360) / 2
	default:
		return (h1 + h2 - 360) / 2
	}
}

func radians(deg float64) float64 { return deg * math.Pi / 180 }

func sq(x float64) float64 { return x * x }
