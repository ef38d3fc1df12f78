package colour

import (
	"fmt"
	"math"
)

// Lab is a CIELAB colour: L* 0 to 100, a* and b* roughly -128 to 128.
type Lab struct{ L, A, B float64 }

// String writes the coordinates to the hundredth, which is finer than any meter repeats.
func (c Lab) String() string { return fmt.Sprintf("L* %.2f, a* %.2f, b* %.2f", c.L, c.A, c.B) }

// Chroma is the distance from the grey axis.
func (c Lab) Chroma() float64 { return math.Hypot(c.A, c.B) }

// Hue is the hue angle in degrees, 0 to below 360; 0 for a pure grey.
func (c Lab) Hue() float64 { return hueDegrees(c.A, c.B) }

// XYZ is a CIE 1931 tristimulus value on the 0 to 100 scale.
type XYZ struct{ X, Y, Z float64 }

// RGB is linear light in the sRGB primaries, 0 (black) to 1 (white). Values
// outside 0 to 1 are colours the sRGB gamut doesn't hold.
type RGB struct{ R, G, B float64 }

// White points. MatrixWhite is the sum of the sRGB matrix rows, so that white
// becomes exactly (100, 0, 0); D65White is the CIE figure for daylight D65.
var (
	MatrixWhite = XYZ{95.05, 100, 108.9}
	D65White    = XYZ{95.047, 100, 108.883}
)

// srgbToXYZ holds the four-decimal matrix of IEC 61966-2-1.
var srgbToXYZ = [3][3]float64{
	{0.4124, 0.3576, 0.1805},
	{0.2126, 0.7152, 0.0722},
	{0.0193, 0.1192, 0.9505},
}

var xyzToSRGB = invert(srgbToXYZ)

// Linear undoes the sRGB transfer curve: encoded 0..1 to linear light
// (IEC 61966-2-1).
func Linear(encoded float64) float64 {
	if encoded <= 0.04045 {
		return encoded / 12.92
	}
	return math.Pow((encoded+0.055)/1.055, 2.4)
}

// Encode is the inverse of [Linear].
func Encode(linear float64) float64 {
	if linear <= 0.0031308 {
		return linear * 12.92
	}
	return 1.055*math.Pow(linear, 1/2.4) - 0.055
}

// FromBytes gives the linear light of an 8-bit sRGB colour.
func FromBytes(r, g, b uint8) RGB {
	return RGB{Linear(float64(r) / 255), Linear(float64(g) / 255), Linear(float64(b) / 255)}
}

// XYZ of linear sRGB light (IEC 61966-2-1), on the 0 to 100 scale.
func (c RGB) XYZ() XYZ {
	x, y, z := apply(srgbToXYZ, c.R, c.G, c.B)
	return XYZ{100 * x, 100 * y, 100 * z}
}

// RGB is the inverse of [RGB.XYZ]; it doesn't clip to the gamut.
func (c XYZ) RGB() RGB {
	r, g, b := apply(xyzToSRGB, c.X/100, c.Y/100, c.Z/100)
	return RGB{r, g, b}
}

// Lab against the given white (CIE 15 / ISO 11664-4).
func (c XYZ) Lab(white XYZ) Lab {
	fx, fy, fz := labCurve(c.X/white.X), labCurve(c.Y/white.Y), labCurve(c.Z/white.Z)
	return Lab{116*fy - 16, 500 * (fx - fy), 200 * (fy - fz)}
}

// XYZ is the inverse of [XYZ.Lab].
func (c Lab) XYZ(white XYZ) XYZ {
	fy := (c.L + 16) / 116
	return XYZ{
		white.X * labCurveBack(fy+c.A/500),
		white.Y * labCurveBack(fy),
		white.Z * labCurveBack(fy-c.B/200),
	}
}

// Lab of linear sRGB light against the matrix white.
func (c RGB) Lab() Lab { return c.XYZ().Lab(MatrixWhite) }

const labKnee = 6.0 / 29

func labCurve(t float64) float64 {
	if t > labKnee*labKnee*labKnee {
		return math.Cbrt(t)
	}
	return t/(3*labKnee*labKnee) + 4.0/29
}

func labCurveBack(f float64) float64 {
	if f > labKnee {
		return f * f * f
	}
	return 3 * labKnee * labKnee * (f - 4.0/29)
}

func apply(m [3][3]float64, a, b, c float64) (float64, float64, float64) {
	return m[0][0]*a + m[0][1]*b + m[0][2]*c,
		m[1][0]*a + m[1][1]*b + m[1][2]*c,
		m[2][0]*a + m[2][1]*b + m[2][2]*c
}

// invert by cofactors; the sRGB matrix is far from singular.
func invert(m [3][3]float64) [3][3]float64 {
	cof := func(i, j int) float64 {
		r, s := (i+1)%3, (i+2)%3
		c, d := (j+1)%3, (j+2)%3
		return m[r][c]*m[s][d] - m[r][d]*m[s][c]
	}
	det := m[0][0]*cof(0, 0) + m[0][1]*cof(0, 1) + m[0][2]*cof(0, 2)
	var out [3][3]float64
	for i := range 3 {
		for j := range 3 {
			out[j][i] = cof(i, j) / det
		}
	}
	return out
}

func hueDegrees(a, b float64) float64 {
	if a == 0 && b == 0 {
		return 0
	}
	h := math.Atan2(b, a) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	return h
}
