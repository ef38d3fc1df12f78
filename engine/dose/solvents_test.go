package dose_test

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"tideline/engine/dose"
	"tideline/engine/dose/solubility"
)

func TestHansenTableAndTotals(t *testing.T) {
	c := checks(t, "solvents.yaml")["hansen_parameters"]
	for _, r := range c.rows(t) {
		l, ok := solubility.ByName(fmt.Sprint(r[0]))
		if !ok || !l.Seen {
			t.Errorf("%v is missing or marked as memory", r[0])
			continue
		}
		for i, got := range []float64{l.Hansen.D, l.Hansen.P, l.Hansen.H, l.Hansen.Total()} {
			c.near(t, got, f(r[1+i]), c.Tolerance, "%v %s", r[0], c.Columns[1+i])
		}
	}
	for _, row := range asList(c.More["from_memory"]) {
		v := asList(row)
		l, ok := solubility.ByName(fmt.Sprint(v[0]))
		if !ok || l.Seen {
			t.Errorf("%v must be there and marked as memory", v[0])
		}
		t.Logf("from memory, for information: %v has %v", v[0], l.Hansen)
	}
}

func TestHansenDistancesAndMixtures(t *testing.T) {
	c := checks(t, "solvents.yaml")["hansen_distance_and_mixture"]
	for _, r := range c.rows(t) {
		res := run(t, "solvent-distance", fmt.Sprintf("mix=%v", r[0]), fmt.Sprintf("from=%v", r[1]))
		c.near(t, get(t, res, "distance"), f(r[2]), c.Tolerance, "%v to %v", r[0], r[1])
		back := run(t, "solvent-distance", fmt.Sprintf("mix=%v", r[1]), fmt.Sprintf("from=%v", r[0]))
		c.near(t, get(t, back, "distance"), f(r[2]), c.Tolerance, "%v to %v", r[1], r[0])
	}
	for _, m := range c.list(t, "mixtures") {
		res := run(t, "solvent-mixture", fmt.Sprintf("mix=%v", m["mix"]))
		c.near(t, get(t, res, "dispersion"), f(m["D"]), 1e-6, "%v D", m["mix"])
		c.near(t, get(t, res, "polar"), f(m["P"]), 1e-6, "%v P", m["mix"])
		c.near(t, get(t, res, "bonding"), f(m["H"]), 1e-6, "%v H", m["mix"])
	}
	// Trap 5: the test is Ra < R0, not the other way round.
	for _, m := range c.list(t, "red") {
		v := floats(m["centre"])
		res := run(t, "solvent-distance", fmt.Sprintf("mix=%v", m["solvent"]), fmt.Sprintf("centre=%g,%g,%g", v[0], v[1], v[2]), fmt.Sprintf("radius=%v MPa^0.5", m["R0"]))
		c.near(t, get(t, res, "distance"), f(m["Ra"]), c.Tolerance, "%v Ra", m["solvent"])
		c.near(t, get(t, res, "red"), f(m["RED"]), c.Tolerance, "%v RED", m["solvent"])
		if got := word(t, res, "where"); got != fmt.Sprint(m["where"]) {
			t.Errorf("%v lies %s, want %v", m["solvent"], got, m["where"])
		}
	}
}

func TestTeasFractionsAndBlends(t *testing.T) {
	c := checks(t, "solvents.yaml")["teas_fractional_parameters"]
	for _, r := range c.rows(t) {
		l, _ := solubility.ByName(fmt.Sprint(r[0]))
		ts := l.Hansen.Teas()
		for i, got := range []float64{ts.D, ts.P, ts.H} {
			c.near(t, got, f(r[1+i]), c.Tolerance, "%v %s", r[0], c.Columns[1+i])
		}
		if !ts.Sums() {
			t.Errorf("fractions of %v don't sum to 100", r[0])
		}
	}
	for _, row := range asList(c.More["published"]) {
		v := asList(row)
		p, ok := solubility.PublishedTeas[fmt.Sprint(v[0])]
		if !ok || !p.Seen || p.D != f(v[1]) || p.P != f(v[2]) || p.H != f(v[3]) {
			t.Errorf("published point of %v is %v", v[0], p)
		}
	}
	for _, m := range c.list(t, "blends") {
		var of []solubility.Teas
		for _, name := range texts(m["of"]) {
			of = append(of, solubility.PublishedTeas[name].Teas)
		}
		got, want := solubility.MixTeas(of, floats(m["parts"])), floats(m["published"])
		for i, v := range []float64{got.D, got.P, got.H} {
			c.near(t, v, want[i], f(c.More["blend_tolerance"]), "%v", m["of"])
		}
	}
	// Trap 6: a published blend sums to 101.85 and must be refused.
	for _, m := range c.list(t, "slip") {
		v := floats(m["point"])
		if (solubility.Teas{D: v[0], P: v[1], H: v[2]}).Sums() {
			t.Errorf("%v was taken, though it sums to %.2f", v, v[0]+v[1]+v[2])
		}
	}
	if _, err := try(t, "solvent-mixture", "mix=ethanol 70%, water 31.85%"); err == nil {
		t.Error("percentages that sum to 101.85 were not refused")
	}
	run(t, "solvent-mixture", "mix=ethanol 70%, water 30%")
}

func TestSurfaceTension(t *testing.T) {
	c := checks(t, "solvents.yaml")["surface_tension_alcohol_water"]
	for _, r := range c.rows(t) {
		for i, temp := range []float64{20, 25, 30} {
			res := run(t, "surface-tension", "alcohol=methanol", fmt.Sprintf("strength=%v %% w/w", r[0]), fmt.Sprintf("temperature=%v °C", temp))
			c.near(t, get(t, res, "tension"), f(r[2+i]), c.Tolerance, "%v %% at %v °C", r[0], temp)
			c.near(t, get(t, res, "mole_fraction"), f(r[1]), 0.001, "%v %% mole fraction", r[0])
		}
	}
	for _, m := range c.list(t, "mole_fractions") {
		c.near(t, dose.MoleFraction(f(m["percent"]), f(m["molar"])), f(m["expect"]), f(m["tol"]), "%v %%", m["percent"])
	}
	r := run(t, "surface-tension", "alcohol=ethanol", "strength=50 % w/w")
	if _, ok := r.Settled("tension"); ok {
		t.Error("the ethanol column is from memory and must not be settled")
	}
	for _, bad := range []string{"temperature=35 °C", "temperature=15 °C"} {
		if _, err := try(t, "surface-tension", "alcohol=methanol", "strength=50 % w/w", bad); err == nil {
			t.Errorf("%s was extrapolated", bad)
		}
	}
}

func TestRegionFromSpotTests(t *testing.T) {
	tests := "tests=acetone dissolves; ethyl acetate dissolves; toluene dissolves; n-heptane holds; ethanol holds; water: holds"
	r := run(t, "solvent-region", tests, "ink=red", "useful_centre=17,3,4", "useful_radius=9 MPa^0.5")
	if get(t, r, "radius_least") <= 0 || get(t, r, "radius_most") <= get(t, r, "radius_least") {
		t.Errorf("radii %g and %g", get(t, r, "radius_least"), get(t, r, "radius_most"))
	}
	safe := word(t, r, "likely_safe")
	for _, bad := range []string{"acetone", "toluene", "tetrahydrofuran"} {
		if strings.Contains(safe, bad) {
			t.Errorf("%s is called likely safe: %s", bad, safe)
		}
	}
	if !strings.Contains(safe, "n-heptane") {
		t.Errorf("n-heptane held and is useful here, but isn't suggested: %s", safe)
	}
	if get(t, r, "open") == 0 || !strings.Contains(strings.Join(r.Cautions, " "), "say little") {
		t.Error("how little is known isn't said")
	}
	if len(r.Pictures) != 1 || r.Pictures[0].Type != "image/svg+xml" {
		t.Fatal("no triangle")
	}
	d := xml.NewDecoder(strings.NewReader(string(r.Pictures[0].Data)))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatalf("the drawing isn't well-formed: %v", err)
		}
	}
	for _, bad := range []string{"tests=acetone dissolves", "tests=", "tests=acetone melts; water holds", "tests=gin dissolves; water holds"} {
		if _, err := try(t, "solvent-region", bad); err == nil {
			t.Errorf("%q was not refused", bad)
		}
	}
	// A liquid whose parameters are from memory takes no part in the fit.
	m := run(t, "solvent-region", tests+"; mineral spirits dissolves")
	if math.Abs(get(t, m, "radius_least")-get(t, r, "radius_least")) > 1e-12 {
		t.Error("parameters from memory moved the region")
	}
	odd := run(t, "solvent-region", "tests=acetone dissolves; toluene dissolves; methyl ethyl ketone dissolves; ethyl acetate holds; n-butyl acetate holds; tetrahydrofuran holds; water holds")
	if text := strings.Join(odd.Cautions, " "); !strings.Contains(text, "sphere") {
		t.Errorf("a test inside the sphere isn't spoken of: %s", text)
	}
}
