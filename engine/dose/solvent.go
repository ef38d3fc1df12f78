package dose

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"

	"tideline/engine/dose/solubility"
)

var solvents = []Computation{
	{Name: "solvent-mixture", Says: "solubility parameters of a liquid or a mixture", Run: runMixture, Params: []Param{
		{Name: "mix", Says: "liquids and volume parts: ethanol 7, water 3", Required: true},
	}},
	{Name: "solvent-distance", Says: "distance of a liquid or mixture from another, or from a known region", Run: runDistance, Params: []Param{
		{Name: "mix", Says: "liquids and volume parts", Required: true},
		{Name: "from", Says: "another liquid or mixture (or give centre)"},
		{Name: "centre", Says: "centre of a region: dispersion, polar, hydrogen bonding in MPa^0.5"},
		{Name: "radius", Says: "radius of the region", Unit: unit(Cohesion, "MPa^0.5"), From: 0.1, To: 30, Source: ownID},
	}},
	{Name: "solvent-region", Says: "the region that dissolves an ink, from spot tests, and which liquids lie outside it", Run: runRegion, Params: []Param{
		{Name: "tests", Says: "each liquid and what it did: acetone dissolves; water holds; ...", Required: true},
		{Name: "ink", Says: "the ink, for the drawing's title", Default: "ink"},
		{Name: "useful_centre", Says: "what the liquid must dissolve: dispersion, polar, hydrogen bonding in MPa^0.5"},
		{Name: "useful_radius", Says: "its radius", Unit: unit(Cohesion, "MPa^0.5"), From: 0.1, To: 30, Source: ownID},
	}},
}

const (
	solventHazard = "Solvents burn and harm by breath and skin: fume extraction, gloves that resist this liquid, no flame, only drops on a swab. " + dataSheet
	waterDoubt    = "Water is listed with several sets of parameters: what is foretold for it or its mixtures is unreliable."
)

// aMix is a mixture as read: a name, parameters, and whether all were seen.
type aMix struct {
	name   string
	hansen solubility.Hansen
	seen   bool
	water  bool
}

// parseMix reads "ethanol 7, water 3"; one liquid alone needs no number.
func parseMix(text string) (aMix, error) {
	var m aMix
	var of []solubility.Hansen
	var parts []float64
	var names []string
	m.seen = true
	entries := strings.Split(text, ",")
	if len(entries) > 6 {
		return m, &Refusal{What: NotRead, Given: text, Why: "more than six liquids", Help: "Name up to six."}
	}
	for _, entry := range entries {
		fields := strings.Fields(strings.ReplaceAll(entry, ":", " "))
		part := 1.0
		if n := len(fields); n > 1 {
			if v, err := strconv.ParseFloat(strings.TrimSuffix(fields[n-1], "%"), 64); err == nil {
				part, fields = v, fields[:n-1]
			}
		}
		name := strings.ToLower(strings.Join(fields, " "))
		l, ok := solubility.ByName(name)
		if !ok {
			return m, &Refusal{What: Unknown, Given: name, Why: "this liquid is not in the table", Help: "Use a known one.", Known: solubility.Names()}
		}
		if !(part > 0 && part <= 1e6) {
			return m, &Refusal{What: OutOfRange, Given: entry, Why: "a part must be above 0", Help: "Write parts by volume: ethanol 7, water 3."}
		}
		of, parts, names = append(of, l.Hansen), append(parts, part), append(names, l.Name)
		m.seen = m.seen && l.Seen
		m.water = m.water || l.Name == "water"
	}
	if sum := total(parts); strings.Contains(text, "%") && math.Abs(sum-100) > 0.6 {
		return m, &Refusal{What: Impossible, Given: text, Why: fmt.Sprintf("the percentages sum to %s", num(sum)), Help: "Percentages must sum to 100 (± 0.6); or write parts without the sign."}
	}
	m.hansen = solubility.Mix(of, parts)
	for i, n := range names {
		if len(names) > 1 {
			names[i] = n + " " + num(100*parts[i]/total(parts)) + " %"
		}
	}
	m.name = strings.Join(names, " + ")
	return m, nil
}

func total(v []float64) float64 {
	var s float64
	for _, x := range v {
		s += x
	}
	return s
}

// parseTriple reads three numbers with commas.
func parseTriple(text string) ([3]float64, error) {
	var out [3]float64
	parts := strings.Split(text, ",")
	bad := &Refusal{What: NotRead, Given: text, Why: "it is not three numbers", Help: "Write three numbers with commas between: 15.8, 8.8, 19.4."}
	if len(parts) != 3 {
		return out, bad
	}
	for i, p := range parts {
		v, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || math.IsNaN(v) || math.Abs(v) > 1e4 {
			return out, bad
		}
		out[i] = v
	}
	return out, nil
}

func classOf(seen bool, otherwise Class) Class {
	if seen {
		return otherwise
	}
	return Memory
}

// runMixture is the volume-fraction mean (Hansen), and the fractions of its sum.
func runMixture(a Args) (Result, error) {
	var r Result
	m, err := parseMix(a.Text("mix"))
	if err != nil {
		return r, err
	}
	r.Range = "up to six liquids of the table, 25 °C"
	r.mixture(m, "")
	r.caution(solventHazard)
	return r, nil
}

func (r *Result) mixture(m aMix, prefix string) {
	h, c := m.hansen, classOf(m.seen, Computed)
	t := h.Teas()
	r.line("hansen", "each parameter = volume-fraction mean", of(h.Total(), Cohesion, "MPa^0.5"), "", "%s: %s, %s, %s", m.name, num(h.D), num(h.P), num(h.H))
	r.line("teas", "fraction = 100·parameter/(sum of the three), computed from Hansen values", Quantity{Value: t.D + t.P + t.H, Unit: unit(Fraction, "%")}, "", "%s, %s, %s %%", num(t.D), num(t.P), num(t.H))
	for _, v := range []struct {
		name, says string
		q          Quantity
	}{
		{"dispersion", "dispersion parameter", of(h.D, Cohesion, "MPa^0.5")},
		{"polar", "polar parameter", of(h.P, Cohesion, "MPa^0.5")},
		{"bonding", "hydrogen bonding parameter", of(h.H, Cohesion, "MPa^0.5")},
		{"total", "total parameter", of(h.Total(), Cohesion, "MPa^0.5")},
		{"fd", "dispersion fraction", of(t.D, Fraction, "%")},
		{"fp", "polar fraction", of(t.P, Fraction, "%")},
		{"fh", "hydrogen bonding fraction", of(t.H, Fraction, "%")},
	} {
		r.value(prefix+v.name, v.says+" of "+m.name, v.q, c)
	}
	if !m.seen {
		r.caution("Parameters of %s are from memory in part: information only.", m.name)
	}
	if m.water {
		r.caution(waterDoubt)
	}
	r.caution("The fractions are computed from Hansen values; the hand-adjusted Teas table differs by some units. Never mix the two.")
}

// runDistance is Ra = sqrt(4 dD² + dP² + dH²); inside a region means Ra < R0.
func runDistance(a Args) (Result, error) {
	var r Result
	m, err := parseMix(a.Text("mix"))
	if err != nil {
		return r, err
	}
	if a.Has("from") == a.Has("centre") {
		return r, &Refusal{What: Missing, Input: "from or centre", Why: "exactly one of the two is needed", Help: "Give another liquid, or the centre (and radius) of a region."}
	}
	other := aMix{name: "centre", seen: true}
	if a.Has("from") {
		if other, err = parseMix(a.Text("from")); err != nil {
			return r, err
		}
	} else {
		t, err := parseTriple(a.Text("centre"))
		if err != nil {
			return r, err
		}
		other.hansen = solubility.Hansen{D: t[0], P: t[1], H: t[2]}
	}
	r.Range = "liquids of the table, 25 °C"
	ra, c := m.hansen.Distance(other.hansen), classOf(m.seen && other.seen, Computed)
	r.line("hansen-distance", "Ra = sqrt(4·dD² + dP² + dH²)", of(ra, Cohesion, "MPa^0.5"), "", "%s to %s", m.name, other.name)
	r.source("hansen")
	r.value("distance", m.name+" to "+other.name, of(ra, Cohesion, "MPa^0.5"), c)
	if r0 := a.In("radius", Cohesion, "MPa^0.5"); a.Has("radius") {
		r.line("hansen-distance", "RED = Ra/R0; below 1 dissolves", Quantity{Value: ra / r0, Unit: plain}, "", "%s/%s", num(ra), num(r0))
		r.value("red", "relative energy difference; below 1 lies inside", Quantity{Value: ra / r0, Unit: plain}, c)
		where := "outside"
		if ra < r0 {
			where = "inside"
		}
		r.words("where", "place of the liquid", where, c)
		r.caution("Some print the test the wrong way round: a liquid dissolves when Ra is smaller than R0.")
	}
	if m.water || other.water {
		r.caution(waterDoubt)
	}
	r.caution(solventHazard)
	return r, nil
}

// redText prints a relative energy difference; one liquid that dissolves gives a
// sphere without radius, and so none.
func redText(red float64) string {
	if math.IsInf(red, 0) {
		return "no radius yet"
	}
	return sig(red, 3)
}

// parseSpots reads "acetone dissolves; water holds".
func parseSpots(text string) (spots []solubility.Spot, memory []string, err error) {
	for entry := range strings.SplitSeq(text, ";") {
		fields := strings.Fields(strings.ReplaceAll(entry, ":", " "))
		if len(fields) == 0 {
			continue
		}
		if len(fields) < 2 || len(spots) >= solubility.MostSpots {
			return nil, nil, &Refusal{What: NotRead, Given: strings.TrimSpace(entry), Why: "it is not a liquid and what it did", Help: `Write "acetone dissolves; water holds", up to 60 of them.`}
		}
		did := strings.ToLower(fields[len(fields)-1])
		if did != "dissolves" && did != "holds" {
			return nil, nil, &Refusal{What: Unknown, Given: did, Why: "a spot test ends in dissolves or holds", Help: "If any colour came off it dissolves. Leave out what wasn't tested.", Known: []string{"dissolves", "holds"}}
		}
		l, ok := solubility.ByName(strings.ToLower(strings.Join(fields[:len(fields)-1], " ")))
		if !ok {
			return nil, nil, &Refusal{What: Unknown, Given: strings.Join(fields[:len(fields)-1], " "), Why: "this liquid is not in the table", Help: "Use a known one.", Known: solubility.Names()}
		}
		if !l.Seen {
			memory = append(memory, l.Name)
			continue
		}
		spots = append(spots, solubility.Spot{Name: l.Name, Hansen: l.Hansen, Dissolves: did == "dissolves"})
	}
	return spots, memory, nil
}

// runRegion fits the smallest sphere around the dissolving liquids, their
// outline in the Teas triangle, and judges every other liquid over all spheres
// that agree with the tests.
func runRegion(a Args) (Result, error) {
	var r Result
	spots, memory, err := parseSpots(a.Text("tests"))
	if err != nil {
		return r, err
	}
	fit, err := solubility.NewFit(spots)
	if err != nil {
		return r, impossible("tests", "Test at least one liquid that dissolves the ink and one that doesn't.", err.Error())
	}
	var target *solubility.Ball
	if a.Has("useful_centre") || a.Has("useful_radius") {
		t, err := parseTriple(a.Text("useful_centre"))
		if err != nil || !a.Has("useful_radius") {
			return r, impossible("useful_centre", "Give both useful_centre (three numbers) and useful_radius, or neither.", "what must dissolve is not fully given")
		}
		target = &solubility.Ball{Centre: solubility.Hansen{D: t[0], P: t[1], H: t[2]}, Radius: a.In("useful_radius", Cohesion, "MPa^0.5")}
	}
	r.Range = "liquids of the table whose parameters were read; tests at room temperature"
	r.region(fit, memory)
	r.suggest(fit, target, a.Text("ink"))
	return r, nil
}

func (r *Result) region(fit solubility.Fit, memory []string) {
	b := fit.Ball
	r.line("hansen-distance", "smallest sphere around all that dissolved, in (2·dD, dP, dH)", of(b.Radius, Cohesion, "MPa^0.5"), "", "centre %s, %s, %s", num(b.Centre.D), num(b.Centre.P), num(b.Centre.H))
	r.source("hansen", "teas")
	r.value("centre_dispersion", "centre of the smallest sphere", of(b.Centre.D, Cohesion, "MPa^0.5"), Computed)
	r.value("centre_polar", "centre of the smallest sphere", of(b.Centre.P, Cohesion, "MPa^0.5"), Computed)
	r.value("centre_bonding", "centre of the smallest sphere", of(b.Centre.H, Cohesion, "MPa^0.5"), Computed)
	r.value("radius_least", "radius of the smallest sphere", of(b.Radius, Cohesion, "MPa^0.5"), Computed)
	r.value("radius_most", "how far it can grow before it takes in a liquid that held", of(fit.Room, Cohesion, "MPa^0.5"), Computed)
	r.value("tests", "liquids tested", Quantity{Value: float64(len(fit.Spots)), Unit: plain}, Arithmetic)
	switch {
	case !fit.Fits:
		r.caution("No sphere keeps the liquids that dissolved apart from those that held: the region isn't a sphere, or a test is wrong. Nothing beyond the tested liquids is settled.")
	case len(fit.Odd) > 0:
		r.caution("%s held though inside the smallest sphere: look at that test again.", strings.Join(fit.Odd, ", "))
	}
	if len(memory) > 0 {
		r.caution("Left out of the fit, because their parameters are from memory: %s.", strings.Join(memory, ", "))
	}
}

// suggest lists the liquids with their standing, safest first, and draws them.
func (r *Result) suggest(fit solubility.Fit, target *solubility.Ball, ink string) {
	type row struct {
		solubility.Mark
		red, near, held, use float64
	}
	var rows []row
	open := 0
	for _, l := range solubility.Liquids() {
		if !l.Seen {
			continue
		}
		x := row{Mark: solubility.Mark{Name: l.Name, Teas: l.Hansen.Teas(), Standing: fit.Judge(l.Name, l.Hansen)}, red: fit.Ball.RED(l.Hansen)}
		x.near, x.held = fit.Nearest(l.Hansen)
		if target != nil {
			x.use = target.RED(l.Hansen)
		}
		if x.Standing == solubility.Open {
			open++
		}
		rows = append(rows, x)
	}
	order := map[solubility.Standing]int{solubility.TestedHeld: 0, solubility.SettledOutside: 1, solubility.Open: 2, solubility.SettledInside: 3, solubility.TestedDissolves: 4}
	sort.SliceStable(rows, func(i, j int) bool {
		if a, b := order[rows[i].Standing], order[rows[j].Standing]; a != b {
			return a < b
		}
		return rows[i].near > rows[j].near
	})
	t := Table{Title: "liquids, the safest for the ink first", Columns: []string{"liquid", "standing", "RED to the smallest sphere", "nearest that dissolves", "nearest that held", "useful"}}
	var marks []solubility.Mark
	var safe []string
	for _, x := range rows {
		use := "not asked"
		if target != nil {
			use = map[bool]string{true: "yes", false: "no"}[x.use < 1]
		}
		t.Rows = append(t.Rows, []string{x.Name, x.Standing.String(), redText(x.red), sig(x.near, 3), sig(x.held, 3), use})
		marks = append(marks, x.Mark)
		if (x.Standing == solubility.TestedHeld || x.Standing == solubility.SettledOutside) && (target == nil || x.use < 1) {
			safe = append(safe, x.Name)
		}
	}
	r.Tables = append(r.Tables, t)
	r.value("open", "liquids of the table that the tests don't settle", Quantity{Value: float64(open), Unit: plain}, Computed)
	answer := strings.Join(safe, ", ")
	if answer == "" {
		answer = "none"
	}
	r.words("likely_safe", "liquids that held or lie outside every fitting sphere, and are useful if that was asked", answer, Computed)
	r.caution("%d spot tests say little: %d of %d liquids stay open. An open liquid is not a safe one; test it on the ink itself before use.", len(fit.Spots), open, len(rows))
	r.caution("Two liquids that hold can dissolve when mixed: test a mixture as a liquid of its own.")
	r.caution(waterDoubt)
	r.caution(solventHazard)
	r.Pictures = append(r.Pictures, Picture{"triangle", "image/svg+xml", []byte(fit.Triangle("Solubility of "+ink, marks))})
}
