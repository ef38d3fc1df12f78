package colour

import (
	"fmt"
	"math"
)

// A Grade is a grey-scale grade: 5 (no change, no stain) to 1 (heavy), in half
// steps.
type Grade float64

// String writes half steps as the trade does: "4-5" for 4.5.
func (g Grade) String() string {
	if whole := math.Floor(float64(g)); whole != float64(g) {
		return fmt.Sprintf("%.0f-%.0f", whole, whole+1)
	}
	return fmt.Sprintf("%.0f", float64(g))
}

// A Step is one chip pair of a grey scale: its nominal contrast in CIELAB 1976
// units, and how far a real chip may be off.
type Step struct {
	Grade     Grade
	DE76      float64
	Tolerance float64
}

// ChangeScale is the grey scale for change in colour, ISO 105-A02:1993 (read
// in an open preview). The contrasts are chip pairs, not class limits.
var ChangeScale = []Step{
	{5, 0, 0.2},
	{4.5, 0.8, 0.2},
	{4, 1.7, 0.3},
	{3.5, 2.5, 0.35},
	{3, 3.4, 0.4},
	{2.5, 4.8, 0.5},
	{2, 6.8, 0.6},
	{1.5, 9.6, 0.7},
	{1, 13.6, 1.0},
}

// StainingScale is the grey scale for staining, ISO 105-A03. The standard
// wasn't opened: the contrasts were seen second hand, in an open program that
// names the standard; the tolerances are from memory.
var StainingScale = []Step{
	{5, 0, 0.2},
	{4.5, 2.2, 0.3},
	{4, 4.3, 0.3},
	{3.5, 6.0, 0.4},
	{3, 8.5, 0.5},
	{2.5, 12.0, 0.7},
	{2, 16.9, 1.0},
	{1.5, 24.0, 1.5},
	{1, 34.1, 2.0},
}

// Nearest is the step whose contrast is closest to de. On a tie it is the
// lower (worse) grade, and tie says so; the tie rule is ours.
func Nearest(scale []Step, de float64) (g Grade, tie bool) {
	best := math.Inf(1)
	for _, s := range scale {
		d := math.Abs(de - s.DE76)
		switch {
		case math.Abs(d-best) < 1e-9:
			g, tie = s.Grade, true
		case d < best:
			best, g, tie = d, s.Grade, false
		}
	}
	return g, tie
}

// Staining grades a stain on white by the instrument formula of ISO 105-A04:
// deGS = dE - 0.4 sqrt(dE² - dL²); rating 6.1 - 1.45 ln(deGS), or 5 - 0.23 deGS
// where that gives more than 4. The rating is not yet rounded to a half step.
// The standard wasn't opened: see [dose.Source] iso105-a04 for the standing.
func Staining(clean, stained Lab) (deGS, rating float64) {
	return StainingFrom(DE76(clean, stained), stained.L-clean.L)
}

// StainingFrom is [Staining] from the difference and its lightness part.
func StainingFrom(de76, dL float64) (deGS, rating float64) {
	deGS = de76 - 0.4*math.Sqrt(math.Max(0, de76*de76-dL*dL))
	if deGS <= 0 {
		return 0, 5
	}
	rating = 6.1 - 1.45*math.Log(deGS)
	if rating > 4 {
		rating = 5 - 0.23*deGS
	}
	return deGS, math.Min(5, rating)
}

// ToHalfStep rounds a rating to the nearest half grade, from 1 to 5; a rating
// exactly between goes up, as the classes of ISO 105-A04 do (4.75 is a 5).
func ToHalfStep(rating float64) Grade {
	return Grade(math.Max(1, math.Min(5, math.Floor(rating*2+0.5+1e-9)/2)))
}

// Change gives the weighted difference dEF of ISO 105-A05 and the continuous
// rating from it. Neutral changes weigh fully, changes in strong colours less.
//
// The standard wasn't opened. Weights and classes were seen in two open
// programs that agree with each other; both divide D by 100 where an earlier
// note from memory had 6400.
func Change(before, after Lab) (deF, rating float64) {
	cB, cA := before.Chroma(), after.Chroma()
	cm, dc := (cB+cA)/2, cA-cB
	dh := 2 * math.Sqrt(cB*cA) * math.Sin(radians(hueStep(before.Hue(), after.Hue(), cB*cA)/2))
	hm := meanHue(before.Hue(), after.Hue(), cB*cA)
	off := math.Abs(hm - 280)
	if off > 180 {
		off = 360 - off
	}
	d := dc * cm * math.Exp(-sq(off/30)) / 100
	dcf := (dc - d) / (1 + sq(20*cm/1000))
	dhf := (dh - d) / (1 + sq(10*cm/1000))
	deF = math.Sqrt(sq(after.L-before.L) + dcf*dcf + dhf*dhf)
	return deF, ChangeRating(deF)
}

// ChangeRating is the continuous grade of ISO 105-A05 for a weighted
// difference; it meets the contrasts of [ChangeScale].
func ChangeRating(deF float64) float64 {
	if deF <= 3.4 {
		return 5 - deF/1.7
	}
	return math.Max(1, 5-math.Log2(deF/0.85))
}

// ChangeGrade is the half-step class of ISO 105-A05 for a weighted difference.
func ChangeGrade(deF float64) Grade {
	for i, limit := range []float64{0.40, 1.25, 2.10, 2.95, 4.10, 5.80, 8.20, 11.60} {
		if deF < limit {
			return Grade(5 - float64(i)/2)
		}
	}
	return 1
}
