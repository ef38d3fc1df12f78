package dose

import (
	"encoding/hex"
	"math"
	"strings"

	"tideline/engine/dose/colour"
)

var colours = []Computation{
	{Name: "colour-difference", Says: "difference between two CIELAB readings", Run: runDifference, Params: []Param{
		{Name: "first", Says: "L*, a*, b* of the reference", Required: true},
		{Name: "second", Says: "L*, a*, b* of the other", Required: true},
	}},
	{Name: "grade-change", Says: "grey-scale grade for a change in colour, from readings before and after", Run: runGradeChange, Params: []Param{
		{Name: "before", Says: "L*, a*, b*", Required: true},
		{Name: "after", Says: "L*, a*, b*", Required: true},
	}},
	{Name: "grade-staining", Says: "grey-scale grade for colour that came off onto white, from readings", Run: runGradeStaining, Params: []Param{
		{Name: "clean", Says: "L*, a*, b* of the clean white swab or blotter", Required: true},
		{Name: "stained", Says: "L*, a*, b* of the stained place", Required: true},
	}},
	{Name: "yellowness", Says: "yellowness index of near-white paper", Run: runYellowness, Params: []Param{
		{Name: "xyz", Says: "X, Y, Z on the 0 to 100 scale", Required: true},
		{Name: "light", Says: "illuminant and observer of the reading", Words: []string{"D65/2", "D65/10", "C/2", "C/10"}, Required: true},
	}},
	{Name: "whiteness", Says: "CIE whiteness and tint of near-white paper", Run: runWhiteness, Params: []Param{
		{Name: "xyz", Says: "X, Y, Z on the 0 to 100 scale", Required: true},
		{Name: "white", Says: "x, y of the white the reading was made under, such as 0.3139, 0.3311", Required: true},
		{Name: "observer", Says: "observer of the reading", Words: []string{"2", "10"}, Required: true},
	}},
	{Name: "srgb", Says: "XYZ and CIELAB of an sRGB screen colour", Run: runSRGB, Params: []Param{
		{Name: "hex", Says: "six digits, such as F5E6C8", Required: true},
	}},
}

func parseLab(a Args, name string) (colour.Lab, error) {
	v, err := parseTriple(a.Text(name))
	if err != nil {
		return colour.Lab{}, &Refusal{What: NotRead, Input: name, Given: a.Text(name), Why: "it is not L*, a*, b*", Help: "Write three numbers: 92.1, -0.4, 3.2."}
	}
	if v[0] < 0 || v[0] > 100.5 || math.Abs(v[1]) > 150 || math.Abs(v[2]) > 150 {
		return colour.Lab{}, &Refusal{What: OutOfRange, Input: name, Given: a.Text(name), Why: "no surface has this colour", Range: "L* 0 to 100, a* and b* -150 to 150", Source: sourceTitle("cie-lab"), Help: "Check the order of the three and the scale."}
	}
	return colour.Lab{L: v[0], A: v[1], B: v[2]}, nil
}

func bothLabs(a Args, x, y string) (p, q colour.Lab, err error) {
	if p, err = parseLab(a, x); err == nil {
		q, err = parseLab(a, y)
	}
	return p, q, err
}

// runDifference gives the CIE 1976 and the CIEDE2000 difference.
func runDifference(a Args) (Result, error) {
	var r Result
	p, q, err := bothLabs(a, "first", "second")
	if err != nil {
		return r, err
	}
	r.Range = "CIEDE2000 is meant for small differences, up to about 5"
	r.differences(p, q)
	r.value("de94", "CIE 1994, graphic arts, first as reference", of(colour.DE94(p, q, colour.GraphicArts94), LabKind, "ΔE"), Computed)
	return r, nil
}

func (r *Result) differences(p, q colour.Lab) {
	d76, d00 := colour.DE76(p, q), colour.DE2000(p, q)
	r.line("cie-lab", "sqrt(dL² + da² + db²)", of(d76, LabKind, "ΔE"), "", "dL %s, da %s, db %s", num(q.L-p.L), num(q.A-p.A), num(q.B-p.B))
	r.line("ciede2000", "CIEDE2000, kL = kC = kH = 1, in plain CIELAB units", of(d00, LabKind, "ΔE"), "four decimals", "%v; %v", p, q)
	r.value("de76", "CIE 1976", of(d76, LabKind, "ΔE"), Arithmetic)
	r.value("de2000", "CIEDE2000", of(d00, LabKind, "ΔE"), Computed)
	if d00 > 5 {
		r.caution("CIEDE2000 is meant for small differences; above 5 it is arithmetic more than eyesight.")
	}
}

// neutral is the chroma up to which a colour counts as grey for the A02 scale.
const neutral = 5.0

// runGradeChange takes the nearest chip pair of ISO 105-A02 for a neutral
// change, and the instrument formula of ISO 105-A05 for any.
func runGradeChange(a Args) (Result, error) {
	var r Result
	p, q, err := bothLabs(a, "before", "after")
	if err != nil {
		return r, err
	}
	r.Range = "grades 1 to 5 in half steps; textiles' scale, taken over for print"
	r.differences(p, q)
	r.gradeChange(p, q)
	return r, nil
}

func (r *Result) gradeChange(p, q colour.Lab) {
	d76 := colour.DE76(p, q)
	g, tie := colour.Nearest(colour.ChangeScale, d76)
	deF, rating := colour.Change(p, q)
	byClass := colour.ChangeGrade(deF)
	r.line("iso105-a02", "nearest chip pair of the grey scale", of(float64(g), GradeKind, "grade"), "half step, tie to the lower", "ΔE %s", num(d76))
	r.line("iso105-a05", "5 - dEF/1.7 to 3.4; then 5 - log2(dEF/0.85)", of(rating, GradeKind, "grade"), "", "dEF %s", num(deF))
	r.value("grade_scale", "nearest step of the grey scale (A02): "+g.String(), of(float64(g), GradeKind, "grade"), Seen)
	r.value("rating", "A05 before rounding to a half step", of(rating, GradeKind, "grade"), Mixed)
	r.value("grade_formula", "half step by the A05 classes: "+byClass.String(), of(float64(byClass), GradeKind, "grade"), Mixed)
	grade, class := g, Seen
	if math.Max(p.Chroma(), q.Chroma()) > neutral {
		grade, class = min(g, byClass), Mixed
		r.caution("The change has colour in it, and the grey scale alone is for greys: the lower of both grades is taken.")
	}
	r.value("grade", "grade for change in colour: "+grade.String(), of(float64(grade), GradeKind, "grade"), class)
	if tie {
		r.caution("Exactly between two steps: the lower grade is given; the tie rule is ours.")
	}
	r.caution("ISO 105-A05 itself was not opened; its constants were seen second hand. Formula grades and eyesight can differ by half a step.")
}

// runGradeStaining is the instrument formula of ISO 105-A04.
func runGradeStaining(a Args) (Result, error) {
	var r Result
	p, q, err := bothLabs(a, "clean", "stained")
	if err != nil {
		return r, err
	}
	if p.L < 80 {
		return r, outside("clean", Quantity{Value: p.L, Unit: plain}, 80, 100, "iso105-a04", "The formula is for undyed white: use a white swab or blotter, and read it clean first.")
	}
	r.Range = "undyed white adjacent material (L* 80 and more here); grades 1 to 5 in half steps"
	r.differences(p, q)
	r.gradeStaining(p, q)
	return r, nil
}

func (r *Result) gradeStaining(clean, stained colour.Lab) {
	deGS, rating := colour.Staining(clean, stained)
	g := colour.ToHalfStep(rating)
	r.line("iso105-a04", "dE_GS = dE - 0.4·sqrt(dE² - dL²)", of(deGS, LabKind, "ΔE"), "", "dE %s, dL %s", num(colour.DE76(clean, stained)), num(stained.L-clean.L))
	r.line("iso105-a04", "6.1 - 1.45·ln(dE_GS); 5 - 0.23·dE_GS where that gives more than 4", of(rating, GradeKind, "grade"), "half step", "dE_GS %s", num(deGS))
	r.source("iso105-a03")
	r.value("rating", "before rounding to a half step", of(rating, GradeKind, "grade"), Mixed)
	r.value("grade", "grade for staining: "+g.String(), of(float64(g), GradeKind, "grade"), Mixed)
	r.caution("ISO 105-A04 itself was not opened; the formula was seen second hand in open programs that agree, and meets the staining scale. Formula grades and eyesight can differ by half a step.")
}

// parseXYZ reads a tristimulus triple of a near-white sample.
func parseXYZ(a Args) (colour.XYZ, error) {
	v, err := parseTriple(a.Text("xyz"))
	if err != nil || v[0] <= 0 || v[1] <= 0 || v[2] < 0 || max(v[0], v[1], v[2]) > 160 {
		return colour.XYZ{}, &Refusal{What: OutOfRange, Input: "xyz", Given: a.Text("xyz"), Why: "it is not X, Y, Z of a surface", Range: "above 0, on the 0 to 100 scale", Source: sourceTitle("astm-e313"), Help: "Write three numbers: 76.4, 80.2, 66.1."}
	}
	return colour.XYZ{X: v[0], Y: v[1], Z: v[2]}, nil
}

// leastLuminance is the luminance factor above which E313 takes a sample as
// near white.
const leastLuminance = 65

// runYellowness is the index of ASTM E313.
func runYellowness(a Args) (Result, error) {
	var r Result
	c, err := parseXYZ(a)
	if err != nil {
		return r, err
	}
	if c.Y < leastLuminance {
		return r, outside("xyz", Quantity{Value: c.Y, Unit: plain}, leastLuminance, 100, "astm-e313", "The index is for near-white to yellow samples (Y of 65 and more): give colour-difference instead.")
	}
	y := map[string]colour.Yellowing{"D65/2": colour.YellowD65Two, "D65/10": colour.YellowD65Ten, "C/2": colour.YellowCTwo, "C/10": colour.YellowCTen}[a.Text("light")]
	v := colour.Yellowness(c, y)
	r.Range = "near-white to yellow, dominant wavelength 570 to 580 nm, Y of 65 and more; one material and gloss"
	r.line("astm-e313", "YI = 100·(CX·X - CZ·Z)/Y", Quantity{Value: v, Unit: plain}, "", "100·(%s·%s - %s·%s)/%s, %s", num(y.CX), num(c.X), num(y.CZ), num(c.Z), num(c.Y), y.Name)
	r.value("yellowness", "index, "+y.Name, Quantity{Value: v, Unit: plain}, Computed)
	r.caution("Compare only figures of the same illuminant and observer, on the same kind of paper.")
	if v < 0 {
		r.caution("Below 0 the sample is bluish, outside what the index was made for; a brightener can do that.")
	}
	return r, nil
}

// runWhiteness is CIE whiteness; it refuses outside 40 < W < 5Y - 280 and
// -4 < T < 2.
func runWhiteness(a Args) (Result, error) {
	var r Result
	c, err := parseXYZ(a)
	if err != nil {
		return r, err
	}
	var white [2]float64
	v, err := parseTriple(a.Text("white") + ",0")
	white[0], white[1] = v[0], v[1]
	if err != nil || white[0] < 0.2 || white[0] > 0.5 || white[1] < 0.2 || white[1] > 0.5 {
		return r, &Refusal{What: OutOfRange, Input: "white", Given: a.Text("white"), Why: "it is not x, y of a white", Range: "0.2 to 0.5 each", Help: "D65 with the 10 degree observer is 0.3138, 0.3310; look it up in the instrument's report."}
	}
	sum := c.X + c.Y + c.Z
	w, t := colour.WhitenessCIE(c.X/sum, c.Y/sum, c.Y, white[0], white[1], a.Text("observer") == "10")
	r.Range = "40 < W < 5Y - 280, -4 < T < 2"
	if top := 5*c.Y - 280; !(w > 40 && w < top) {
		return r, outside("xyz", Quantity{Value: w, Unit: plain}, 40, math.Max(40, top), "cie-whiteness", "The sample isn't white enough for a whiteness figure: give yellowness or colour-difference instead.")
	}
	if !(t > -4 && t < 2) {
		return r, outside("xyz", Quantity{Value: t, Unit: plain}, -4, 2, "cie-whiteness", "The tint lies outside what the formula was made for.")
	}
	r.line("cie-whiteness", "W = Y + 800·(xn - x) + 1700·(yn - y)", Quantity{Value: w, Unit: plain}, "", "x %s, y %s, Y %s", num(c.X/sum), num(c.Y/sum), num(c.Y))
	r.line("cie-whiteness", "T = 1000 (10°: 900)·(xn - x) - 650·(yn - y)", Quantity{Value: t, Unit: plain}, "", "observer %s°", a.Text("observer"))
	r.value("whiteness", "above 100 bluish, below yellowish", Quantity{Value: w, Unit: plain}, Seen)
	r.value("tint", "above 0 greenish, below reddish", Quantity{Value: t, Unit: plain}, Seen)
	r.caution("A brightener in the paper raises the figure under light with ultraviolet: say what the instrument's lamp holds.")
	return r, nil
}

// runSRGB is IEC 61966-2-1 to XYZ and CIELAB against the matrix white.
func runSRGB(a Args) (Result, error) {
	var r Result
	b, err := hex.DecodeString(strings.TrimPrefix(a.Text("hex"), "#"))
	if err != nil || len(b) != 3 {
		return r, &Refusal{What: NotRead, Input: "hex", Given: a.Text("hex"), Why: "it is not six hexadecimal digits", Help: "Write it as F5E6C8."}
	}
	c := colour.FromBytes(b[0], b[1], b[2])
	x, l := c.XYZ(), c.Lab()
	r.Range = "sRGB under D65, 2 degree observer; white is the sum of the matrix rows"
	r.line("srgb", "linear = ((c+0.055)/1.055)^2.4; XYZ = M·RGB", Quantity{Value: x.Y, Unit: plain}, "", "X %s, Y %s, Z %s", num(x.X), num(x.Y), num(x.Z))
	r.line("cie-lab", "L = 116·f(Y/Yn) - 16 ...", Quantity{Value: l.L, Unit: plain}, "", "L* %s, a* %s, b* %s", num(l.L), num(l.A), num(l.B))
	for _, v := range []struct {
		name string
		v    float64
	}{{"x", x.X}, {"y", x.Y}, {"z", x.Z}, {"lightness", l.L}, {"a", l.A}, {"b", l.B}} {
		r.value(v.name, v.name+" of the colour", Quantity{Value: v.v, Unit: plain}, Computed)
	}
	r.caution("A screen or scan value is not a colour measurement: measure corrects a picture by a known patch.")
	return r, nil
}
