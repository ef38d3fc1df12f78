package lamp

import "math"

// Cone is the mean irradiance in W/m² of a beam of the given radiant power in
// W, spread evenly over a round spot: full beam angle in degrees, distance in m.
func Cone(power, angle, distance float64) float64 {
	r := distance * math.Tan(angle/2*math.Pi/180)
	return power / (math.Pi * r * r)
}

// Flat is the irradiance in W/m² straight under a small flat emitter that
// spreads by Lambert's cosine law: power/(pi d²).
func Flat(power, distance float64) float64 { return power / (math.Pi * distance * distance) }

// Bulb is the irradiance in W/m² from a source that shines alike all round:
// power/(4 pi d²).
func Bulb(power, distance float64) float64 { return power / (4 * math.Pi * distance * distance) }

// SheetRadiance is the radiance in W/(m² sr) of a matt sheet: E rho/pi.
func SheetRadiance(irradiance, reflectance float64) float64 {
	return irradiance * reflectance / math.Pi
}

// Subtense is the angle in rad that a source of the given width fills at a
// distance, both in the same unit.
func Subtense(width, distance float64) float64 { return 2 * math.Atan(width/(2*distance)) }

// SourceRadiance is the radiance in W/(m² sr) of a round source of a subtense
// in rad that gives an irradiance in W/m² at the eye.
func SourceRadiance(irradiance, subtense float64) float64 {
	half := math.Sin(subtense / 2)
	return irradiance / (math.Pi * half * half)
}

// Limits of IEC 62471:2006 as two open libraries quote them, section 4.3.3.
const (
	SmallSource  = 0.011 // rad; under it the limits below don't hold
	RadianceDose = 1e6   // J/(m² sr), for looks up to LongLook
	RadianceLong = 100   // W/(m² sr), for longer looks
	LongLook     = 1e4   // s
)

// BlueTime is how long, in s, a blue-weighted radiance may be looked at;
// limited is false where the limits set no time.
func BlueTime(weighted float64) (seconds float64, limited bool) {
	if weighted <= RadianceLong {
		return math.Inf(1), false
	}
	return RadianceDose / weighted, true
}

// BlueWithin says whether a look of some seconds keeps the limits.
func BlueWithin(weighted, seconds float64) bool {
	if seconds > LongLook {
		return weighted <= RadianceLong
	}
	return weighted*seconds <= RadianceDose*(1+1e-12)
}

// UVTime is how long, in s, an actinic (200 to 400 nm, weighted) irradiance in
// W/m² may fall on eye or skin in 8 h: 30 J/m².
func UVTime(weighted float64) float64 { return 30 / weighted }

// UVATime is how long, in s, an irradiance of 315 to 400 nm may fall on the
// eye: 10 000 J/m² up to 1000 s, then 10 W/m² without limit.
func UVATime(irradiance float64) (seconds float64, limited bool) {
	if irradiance <= 10 {
		return math.Inf(1), false
	}
	return 1e4 / irradiance, true
}

// WoolFade is the exposure in Mlx h, light without ultraviolet, that just
// visibly fades a blue wool step from 1 to 8. The ends (0.4 and 900) were read
// in a museum reference work after Michalski 1990; the steps between follow by
// equal ratios (3.0 a step; that work says 2 to 3).
func WoolFade(step int) float64 {
	return 0.4 * math.Pow(900/0.4, float64(step-1)/7)
}

// WoolFromMemory are the columns remembered for just noticeable fading, in Mlx
// h, without ultraviolet and with much of it. Information only.
var WoolFromMemory = [8][2]float64{
	{0.3, 0.22}, {1, 0.6}, {3, 1.5}, {10, 3.5}, {30, 8}, {100, 20}, {300, 50}, {1100, 120},
}
