package dose_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"tideline/engine/dose"
	"tideline/engine/dose/acidbase"
	"tideline/engine/dose/paper"
)

func TestPeroxide(t *testing.T) {
	c := checks(t, "solutions.yaml")["hydrogen_peroxide_strength"]
	for _, r := range c.rows(t) {
		res := run(t, "peroxide", fmt.Sprintf("stock=%v volumes", r[0]))
		c.near(t, get(t, res, "molar"), f(r[1]), c.Tolerance*f(r[1]), "%v volumes", r[0])
		c.near(t, 10*get(t, res, "mass_per_volume"), f(r[2]), c.Tolerance*f(r[2]), "%v volumes, g/L", r[0])
	}
	for _, m := range c.list(t, "cases") {
		res := run(t, "peroxide", fmt.Sprintf("stock=%v %% w/w", m["w"]), fmt.Sprintf("density=%v g/mL", m["density"]))
		c.near(t, get(t, res, "molar"), f(m["mol"]), c.Tolerance*f(m["mol"]), "%v %% w/w", m["w"])
		c.near(t, get(t, res, "volumes"), f(m["volumes"]), c.Tolerance*f(m["volumes"]), "%v %% w/w, volumes", m["w"])
		back := run(t, "peroxide", fmt.Sprintf("stock=%.12g volumes", get(t, res, "volumes")), fmt.Sprintf("density=%v g/mL", m["density"]))
		c.near(t, get(t, back, "mass_fraction"), f(m["w"]), 1e-9, "%v %% w/w there and back", m["w"])
	}
	c.near(t, get(t, run(t, "peroxide", "stock=30 volumes"), "molar"), 2.677, 0.001, "published example")
	for _, bad := range [][]string{{"stock=3 %"}, {"stock=3 % w/w"}, {"stock=200 volumes"}, {"stock=0 volumes"}, {"stock=3 % w/v", "wanted=6 % w/v", "volume=1 L"}} {
		if _, err := try(t, "peroxide", bad...); err == nil {
			t.Errorf("%v was not refused", bad)
		}
	}
	_, err := try(t, "peroxide", "stock=3 %")
	if err == nil || !strings.Contains(err.Error(), "w/w") {
		t.Errorf("a bare per cent must ask for w/w or w/v: %v", err)
	}
}

func TestDilutionCases(t *testing.T) {
	c := checks(t, "solutions.yaml")["dilution_and_mass_fraction"]
	for _, m := range c.list(t, "cases") {
		r := run(t, fmt.Sprint(m["run"]), texts(m["args"])...)
		c.near(t, get(t, r, fmt.Sprint(m["value"])), f(m["expect"]), c.Tolerance*f(m["expect"]), "%v %v", m["run"], m["args"])
	}
	for _, bad := range [][]string{
		{"dilute", "stock=3 % w/v", "wanted=30 % w/v", "volume=1 L"},
		{"dilute", "stock=3 % w/v", "wanted=1 mol/L", "volume=1 L"},
		{"dilute", "stock=-3 % w/v", "wanted=1 % w/v", "volume=1 L"},
		{"dilute", "stock=3 % w/v", "wanted=1 % w/v", "volume=0 mL"},
		{"dilute-parts", "stock=1 mol/L", "parts=4"},
		{"dilute-mass", "first=2 % w/w", "second=10 % w/w", "wanted=5 % w/w", "mass=10 g"},
		{"dilute-mass", "first=10 % w/w", "wanted=15 % w/w", "mass=10 g"},
		{"molarity", "formula=Xx2", "mass=1 g", "volume=1 L"},
	} {
		if _, err := try(t, bad[0], bad[1:]...); err == nil {
			t.Errorf("%v was not refused", bad)
		}
	}
}

func TestMixingIsUndoneByItsInverse(t *testing.T) {
	for w := 10.0; w <= 90; w += 8 {
		r := run(t, "dilute-mass", "first=96 % w/w", "second=4 % w/w", fmt.Sprintf("wanted=%g %% w/w", w), "mass=250 g")
		back := run(t, "blend-mass", "first=96 % w/w", fmt.Sprintf("first_mass=%.15g g", get(t, r, "first_mass")), "second=4 % w/w", fmt.Sprintf("second_mass=%.15g g", get(t, r, "second_mass")))
		if got := get(t, back, "strength"); math.Abs(got-w) > 1e-9 {
			t.Errorf("%g %% came back as %g", w, got)
		}
		m := run(t, "molarity", "formula=Na2CO3.10H2O", fmt.Sprintf("wanted=%g mmol/L", w), "volume=2 L")
		back = run(t, "molarity", "formula=Na2CO3.10H2O", fmt.Sprintf("mass=%.15g g", get(t, m, "mass")), "volume=2 L")
		if got := 1000 * get(t, back, "strength"); math.Abs(got-w) > 1e-9 {
			t.Errorf("%g mmol/L came back as %g", w, got)
		}
	}
}

func TestMolarMassesOfTheCheckValues(t *testing.T) {
	for _, tt := range []struct {
		formula string
		want    float64
	}{ // molar masses printed in the check values
		{"CaCO3", 100.0869}, {"MgCO3", 84.314}, {"C6H8O7", 192.12}, {"C6H8O7.H2O", 210.14}, {"Ca(OH)2", 74.093}, {"H2O2", 34.0147},
	} {
		if got, err := acidbase.MolarMass(tt.formula); err != nil || math.Abs(got-tt.want) > 0.006 {
			t.Errorf("%s: got %.4f, want %.4f (%v)", tt.formula, got, tt.want, err)
		}
	}
}

func TestAlkaliReserve(t *testing.T) {
	c := checks(t, "paper.yaml")["alkali_reserve_conversion"]
	for _, r := range c.rows(t) {
		res := run(t, "alkali-reserve", fmt.Sprintf("reserve=%v %%", r[0]))
		c.near(t, get(t, res, "per_mass"), f(r[2]), c.Tolerance, "%v %%", r[0])
		c.near(t, 10*get(t, res, "percent"), f(r[1]), 1e-9, "%v %%, g/kg", r[0])
		back := run(t, "alkali-reserve", fmt.Sprintf("reserve=%.15g mol/kg", get(t, res, "per_mass")))
		c.near(t, get(t, back, "percent"), f(r[0]), 1e-9, "%v %% there and back", r[0])
	}
	m := c.list(t, "titration")[0]
	res := run(t, "reserve-titration", "blank=20 mL", "sample=12 mL", "base=0.1 mol/L", "paper=2 g")
	c.near(t, get(t, res, "per_mass"), f(m["expect"]), 1e-9, "titration")
	mg := c.list(t, "magnesium")[0]
	c.near(t, paper.ReserveMoles(f(mg["percent"]), paper.MagnesiumCarbonate), f(mg["mol"]), c.Tolerance, "magnesium")
	b := run(t, "reserve-from-bath", "strength=20 mmol/L", "uptake=1.5 mL/g", "reserve=2 %")
	if got, want := get(t, b, "percent"), 0.02*1.5*100.0869/10; math.Abs(got-want) > 1e-9 {
		t.Errorf("bath leaves %g %%, want %g", got, want)
	}
	again := run(t, "reserve-from-bath", "alkali=calcium bicarbonate", fmt.Sprintf("strength=%.15g mmol/L", get(t, b, "strength_needed")), "uptake=1.5 mL/g")
	if got := get(t, again, "percent"); math.Abs(got-2) > 1e-9 {
		t.Errorf("the strength for 2 %% leaves %g %%", got)
	}
}

func TestPermanenceIsUnknownWithoutAllAnswers(t *testing.T) {
	c := checks(t, "paper.yaml")["permanence_limits"]
	for _, m := range c.list(t, "cases") {
		got, ok := paper.TearMinimum(f(m["grammage"]))
		if !ok {
			t.Fatalf("no limit at %v g/m²", m["grammage"])
		}
		c.near(t, got, f(m["mN"]), 0, "%v g/m²", m["grammage"])
	}
	fold := c.list(t, "fold")[0]
	c.near(t, paper.DoubleFolds(f(fold["endurance"])), f(fold["folds"]), f(fold["tol"]), "double folds")
	all := []string{"ph=8", "reserve=2.5 %", "kappa=3", "tear=400 mN", "grammage=80 g/m2"}
	if v := word(t, run(t, "permanence", all...), "verdict"); !strings.HasPrefix(v, "permanent") {
		t.Errorf("all pass: %s", v)
	}
	if v := word(t, run(t, "permanence", all[:3]...), "verdict"); v != "not known" {
		t.Errorf("tear not given: %s, want not known", v)
	}
	if v := word(t, run(t, "permanence", "kappa=20"), "verdict"); v != "not permanent" {
		t.Errorf("one fails: %s", v)
	}
	for i, a := range paper.Methods {
		for j, b := range paper.Methods {
			if paper.Comparable(a, b) != (i == j) {
				t.Errorf("%s and %s: pH values of different methods must not be compared", a.Name, b.Name)
			}
		}
	}
}

func TestBathVolumeAndRounding(t *testing.T) {
	r := run(t, "bath-volume", "width=340 mm", "height=260 mm", "sheets=8", "grammage=50 g/m2", "ratio=40 mL/g")
	if got, want := get(t, r, "volume"), 0.34*0.26*8*50*40; math.Abs(got-want) > 1e-9 {
		t.Errorf("bath: %g mL, want %g", got, want)
	}
	if _, err := try(t, "bath-volume", "width=340 mm", "height=260 mm", "grammage=50 g/m2", "tray_width=200 mm", "tray_length=300 mm", "depth=20 mm"); err == nil {
		t.Error("a sheet larger than the tray was not refused")
	}
	rounded, e := dose.RoundTo(4.26, 0.1)
	if math.Abs(rounded-4.3) > 1e-9 || math.Abs(e-100*(0.04+0.05)/4.26) > 1e-9 {
		t.Errorf("4.26 g on a 0.1 g balance: %g, %g %%", rounded, e)
	}
	r = run(t, "molarity", "formula=Ca(OH)2", "wanted=0.6 mmol/L", "volume=500 mL", "balance=0.1 g")
	if !strings.Contains(strings.Join(r.Cautions, " "), "stock") {
		t.Error("0.02 g on a 0.1 g balance should advise a stock solution")
	}
}
