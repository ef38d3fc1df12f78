package dose

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"tideline/engine/dose/shape"
)

var tears = []Computation{
	{Name: "tears", Says: "length of tears, area at risk, tissue strips with grain, paste", Run: runTears, Params: []Param{
		{Name: "tears", Says: "each tear from the edge inward, in mm: A: 0,40 12,44 20,41; B inner: 60,60 75,70", Required: true},
		{Name: "grain", Says: "grain of the leaf", Words: []string{"vertical", "horizontal"}, Required: true},
		{Name: "width", Says: "width of a strip", Unit: unit(Length, "mm"), From: 1, To: 30, Default: "3 mm", Source: "hsp"},
		{Name: "tail", Says: "tail over the edge, trimmed when dry", Unit: unit(Length, "mm"), From: 0, To: 30, Default: "5 mm", Source: ownID},
		{Name: "past", Says: "how far a strip runs past the end of a tear, and over the next strip", Unit: unit(Length, "mm"), From: 0, To: 20, Default: "2 mm", Source: ownID},
		{Name: "reach", Says: "how far from a tear the paper counts as at risk", Unit: unit(Length, "mm"), From: 0, To: 100, Default: "10 mm", Source: ownID},
		{Name: "leaf_width", Says: "width of the leaf, to check the points", Unit: unit(Length, "mm"), From: 1, To: 3000, Source: ownID},
		{Name: "leaf_height", Says: "height of the leaf, to check the points", Unit: unit(Length, "mm"), From: 1, To: 3000, Source: ownID},
		{Name: "paste", Says: "wet paste on a pasted strip, per area: weigh one before and after pasting", Unit: unit(Grammage, "g/m²"), From: 1, To: 500, Source: ownID},
	}},
}

// A Tear is one tear as drawn, from the edge inward; an inner tear reaches no
// edge.
type Tear struct {
	Name  string
	Inner bool
	Path  []shape.Point
}

const (
	mostTears  = 200
	mostPoints = 200
)

// ParseTears reads "A: 0,40 12,44; B inner: 60,60 75,70", in mm.
func ParseTears(text string) ([]Tear, error) {
	var out []Tear
	seen := map[string]bool{}
	for entry := range strings.SplitSeq(text, ";") {
		entry = strings.TrimSpace(entry)
		if entry == "" {
			continue
		}
		bad := func(why string) error {
			return &Refusal{What: NotRead, Input: "tears", Given: entry, Why: why, Help: `Write a name, a colon and points in mm: "A: 0,40 12,44 20,41"; the next tear after a semicolon.`}
		}
		name, points, found := strings.Cut(entry, ":")
		if !found {
			return nil, bad("it has no name and colon")
		}
		t := Tear{Name: strings.Join(strings.Fields(name), " ")}
		if rest, inner := strings.CutSuffix(t.Name, " inner"); inner {
			t.Name, t.Inner = rest, true
		}
		if t.Name == "" || seen[t.Name] {
			return nil, bad("the name is missing or used twice")
		}
		seen[t.Name] = true
		for _, f := range strings.Fields(points) {
			p, ok := parsePoint(f)
			if !ok {
				return nil, bad(fmt.Sprintf("%q is not a point x,y", f))
			}
			t.Path = append(t.Path, p)
		}
		if len(t.Path) < 2 || len(t.Path) > mostPoints || shape.Length(t.Path) == 0 {
			return nil, bad(fmt.Sprintf("a tear has 2 to %d points and a length", mostPoints))
		}
		if shape.LineCrosses(t.Path) {
			return nil, bad("the tear crosses itself: where it does, a piece is loose; draw that as a loss")
		}
		if out = append(out, t); len(out) > mostTears {
			return nil, bad(fmt.Sprintf("more than %d tears", mostTears))
		}
	}
	if len(out) == 0 {
		return nil, &Refusal{What: Missing, Input: "tears", Why: "no tear is drawn", Help: `Write "A: 0,40 12,44 20,41".`}
	}
	return out, nil
}

func parsePoint(s string) (shape.Point, bool) {
	x, y, found := strings.Cut(s, ",")
	a, err1 := strconv.ParseFloat(x, 64)
	b, err2 := strconv.ParseFloat(y, 64)
	ok := found && err1 == nil && err2 == nil && math.Abs(a) <= 1e4 && math.Abs(b) <= 1e4
	return shape.Point{X: a, Y: b}, ok
}

// A Strip is one piece of tissue to cut.
type Strip struct {
	Tear          string
	Number        int
	Length, Width float64 // mm
	ToGrain       float64 // degrees between its length and the grain of the leaf
}

// CutList makes the strips of a tear: straight pieces that keep within a
// quarter of the strip's width of the tear, each run past its ends.
func (t Tear) CutList(width, tail, past, grain float64) []Strip {
	var out []Strip
	for i, p := range shape.Pieces(t.Path, width/4) {
		l := shape.Length(p[:]) + 2*past
		if i == 0 && !t.Inner {
			l += tail - past
		}
		off := math.Abs(shape.Bearing(p[0], p[1]) - grain)
		out = append(out, Strip{t.Name, i + 1, l, width, math.Min(off, 180-off)})
	}
	return out
}

// grainWords says how a strip lies to the grain of the tissue, which runs with
// that of the leaf.
func grainWords(degrees float64) string {
	switch {
	case degrees <= 10:
		return "length with the tissue's grain"
	case degrees >= 80:
		return "length across the tissue's grain"
	default:
		return num(math.Round(degrees)) + "° to the tissue's grain"
	}
}

// runTears sums lengths, the band around the tears, and the strips
// (arithmetic; strip width and paste ratio: a published mending note).
func runTears(a Args) (Result, error) {
	var r Result
	list, err := ParseTears(a.Text("tears"))
	if err != nil {
		return r, err
	}
	if err := onLeaf(a, list); err != nil {
		return r, err
	}
	width, tail, past := a.In("width", Length, "mm"), a.In("tail", Length, "mm"), a.In("past", Length, "mm")
	reach := a.In("reach", Length, "mm")
	grain := 90.0
	if a.Text("grain") == "horizontal" {
		grain = 0
	}
	r.Range = "tears drawn flat, in mm"
	var length, straight, risk, tissue, area float64
	sizes := Table{Title: "tears", Columns: []string{"tear", "length", "straight", "band at risk", "flap to its chord"}}
	cuts := Table{Title: "cut list", Columns: []string{"tear", "strip", "length", "width", "grain"}}
	for _, t := range list {
		l, s := shape.Length(t.Path), shape.Straight(t.Path)
		band := 2*reach*l + math.Pi*reach*reach
		flap := "crosses its chord"
		if f, err := shape.Area(t.Path); err == nil {
			flap = of(f, Area, "mm²").String()
		}
		sizes.Rows = append(sizes.Rows, []string{t.Name, of(l, Length, "mm").String(), of(s, Length, "mm").String(), of(band, Area, "mm²").String(), flap})
		r.line("arithmetic", "length = sum of the pieces of the line", of(l, Length, "mm"), "", "tear %s, %d points", t.Name, len(t.Path))
		length, straight, risk = length+l, straight+s, risk+band
		for _, c := range t.CutList(width, tail, past, grain) {
			up := math.Ceil(c.Length - 1e-9)
			cuts.Rows = append(cuts.Rows, []string{t.Name, strconv.Itoa(c.Number), of(up, Length, "mm").String(), of(c.Width, Length, "mm").String(), grainWords(c.ToGrain)})
			tissue, area = tissue+up, area+up*c.Width
		}
	}
	r.Tables = append(r.Tables, sizes, cuts)
	r.line("arithmetic", "band at risk = 2·reach·length + pi·reach²", of(risk, Area, "mm²"), "at most; overlaps counted twice", "reach %s mm", num(reach))
	r.line("hsp", "strips: straight pieces within a quarter width of the tear, run past each end", of(tissue, Length, "mm"), "each up to whole mm", "%d strips %s mm wide", len(cuts.Rows), num(width))
	r.value("length", "all tears, along their path", of(length, Length, "mm"), Arithmetic)
	r.value("straight", "all tears, end to end", of(straight, Length, "mm"), Arithmetic)
	r.value("risk", "paper at risk around them, at most", of(risk, Area, "mm²"), Arithmetic)
	r.value("strips", "strips to cut", Quantity{Value: float64(len(cuts.Rows)), Unit: plain}, Arithmetic)
	r.value("tissue_length", "tissue strip, in all", of(tissue, Length, "mm"), Arithmetic)
	r.value("tissue_area", "tissue, in all", of(area, Area, "mm²"), Arithmetic)
	r.paste(a, area)
	r.caution("Torn (not cut) strips run wider: tear with the same middle line. Tissue's grain runs with the leaf's grain (common practice, no source), so that both move together.")
	r.caution("Paste brings water: test ink and paper first. The mend must be lighter and weaker than the leaf.")
	return r, nil
}

func (r *Result) paste(a Args, area float64) {
	if !a.Has("paste") {
		r.caution("No published figure for paste on a strip was found: weigh a strip before and after pasting and give paste=... g/m².")
		return
	}
	wet := area / 1e6 * a.In("paste", Grammage, "g/m²")
	r.line("arithmetic", "paste = area·paste per area", of(wet, Mass, "g"), "", "%s mm²·%s g/m²", num(area), num(a.In("paste", Grammage, "g/m²")))
	r.value("paste", "wet paste on the strips", of(wet, Mass, "g"), Arithmetic)
	r.line("hsp", "starch = paste/6 (1 part starch to 5 parts water)", of(wet/6, Mass, "g"), "", "%s/6", num(wet))
	r.value("starch", "dry starch in it", of(wet/6, Mass, "g"), Seen)
	r.caution("What is cooked is many times what the strips hold: the smallest pot that cooks well decides.")
}

func onLeaf(a Args, list []Tear) error {
	w, h := a.In("leaf_width", Length, "mm"), a.In("leaf_height", Length, "mm")
	for _, t := range list {
		for _, p := range t.Path {
			for _, c := range []struct {
				name  string
				v, to float64
				known bool
			}{{"x", p.X, w, a.Has("leaf_width")}, {"y", p.Y, h, a.Has("leaf_height")}} {
				if c.known && (c.v < 0 || c.v > c.to) {
					return outside("tears", of(c.v, Length, "mm"), 0, c.to, ownID, fmt.Sprintf("The %s of tear %s lies off the leaf.", c.name, t.Name))
				}
			}
		}
	}
	return nil
}
