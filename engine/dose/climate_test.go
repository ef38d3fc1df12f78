package dose_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"tideline/engine/dose/climate"
	"tideline/engine/dose/paper"
)

func TestVapourPressure(t *testing.T) {
	c := checks(t, "climate.yaml")["saturation_vapour_pressure"]
	for _, r := range c.rows(t) {
		x := f(r[0])
		c.near(t, climate.WMO.Pressure(x), f(r[2]), c.Tolerance, "WMO at %v °C", x)
		c.near(t, climate.Alduchov.Pressure(x), f(r[3]), c.Tolerance, "Alduchov and Eskridge at %v °C", x)
		c.near(t, climate.PowerOfTen(x), f(r[4]), c.Tolerance, "power of ten at %v °C", x)
		c.near(t, climate.Buck(x), f(r[5]), c.Tolerance, "Buck at %v °C", x)
		if ref := f(r[1]); !math.IsNaN(ref) {
			c.near(t, climate.WMO.Pressure(x), ref, 0.004*ref, "WMO against the reference at %v °C", x)
			c.near(t, climate.PowerOfTen(x), ref, 0.001*ref, "power of ten against the reference at %v °C", x)
		}
	}
}

func TestDewPoint(t *testing.T) {
	c := checks(t, "climate.yaml")["dew_point"]
	for _, r := range c.rows(t) {
		x, rh := f(r[0]), f(r[1])
		res := run(t, "dew-point", fmt.Sprintf("temperature=%g °C", x), fmt.Sprintf("humidity=%g %% RH", rh))
		td := get(t, res, "dew_point")
		c.near(t, td, f(r[2]), c.Tolerance, "WMO %v °C, %v %%", x, rh)
		c.near(t, climate.Alduchov.DewPoint(x, rh), f(r[3]), c.Tolerance, "Alduchov %v °C, %v %%", x, rh)
		if td > x+1e-9 {
			t.Errorf("dew point %g above the air's %g", td, x)
		}
		back := run(t, "dew-point", fmt.Sprintf("temperature=%g °C", x), fmt.Sprintf("dew_point=%.15g °C", math.Min(td, x)))
		c.near(t, get(t, back, "humidity"), rh, 1e-9*100, "%v °C, %v %% there and back", x, rh)
	}
	for _, m := range c.list(t, "second_opinion") {
		c.near(t, climate.WMO.DewPoint(f(m["t"]), f(m["rh"])), f(m["td"]), 0.05, "second opinion %v °C, %v %%", m["t"], m["rh"])
	}
	for _, m := range c.list(t, "absolute") {
		res := run(t, "dew-point", fmt.Sprintf("temperature=%v °C", m["t"]), fmt.Sprintf("humidity=%v %% RH", m["rh"]))
		c.near(t, get(t, res, "water"), f(m["g_m3"]), 0.005, "water in the air at %v °C", m["t"])
	}
	for _, bad := range [][]string{{"temperature=20 °C", "humidity=0 % RH"}, {"temperature=20 °C", "humidity=101 % RH"}, {"temperature=20 °C", "dew_point=21 °C"}, {"temperature=-5 °C", "humidity=50 % RH"}, {"temperature=20 °C"}} {
		if _, err := try(t, "dew-point", bad...); err == nil {
			t.Errorf("%v was not refused", bad)
		}
	}
	last := -99.0
	for rh := 5.0; rh <= 100; rh += 5 {
		if td := climate.WMO.DewPoint(20, rh); td <= last {
			t.Fatalf("more humidity, dew point %g not above %g", td, last)
		} else {
			last = td
		}
	}
}

func TestSaturatedSalts(t *testing.T) {
	file := checks(t, "climate.yaml")
	c := file["saturated_salt_RH_table"]
	for _, r := range c.rows(t) {
		for i, x := range []float64{5, 10, 15, 20, 25} {
			want := f(r[1+i])
			if fmt.Sprint(r[0]) == "sodium chloride" && x == 20 {
				continue // trap 9, below
			}
			got, ok := climate.FromSaltTable(fmt.Sprint(r[0]), x)
			if !ok {
				t.Errorf("%v at %v °C: nothing", r[0], x)
			}
			c.near(t, got, want, c.Tolerance, "%v at %v °C", r[0], x)
		}
	}
	// Trap 9: 75.7 at 20 °C is a slip of the printed table; 75.5 is right.
	for _, m := range c.list(t, "slip") {
		got, _ := climate.FromSaltTable(fmt.Sprint(m["salt"]), f(m["t"]))
		if math.Abs(got-f(m["right"])) > 1e-9 {
			t.Errorf("%v at %v °C: got %v, want %v, not the printed %v", m["salt"], m["t"], got, m["right"], m["printed"])
		}
	}
	w := file["saturated_salt_RH_formula"]
	if len(w.rows(t)) != len(climate.Salts) {
		t.Errorf("%d salts, want %d", len(climate.Salts), len(w.Rows))
	}
	for i, r := range w.Rows {
		s := climate.Salts[i]
		if s.A != f(r[1]) || s.B != f(r[2]) || fmt.Sprintf("%g-%g", s.From, s.To) != fmt.Sprint(r[3]) {
			t.Errorf("%v: the table has %v", r, s)
		}
		// Printed in whole per cent; for ammonium chloride the source prints 79
		// where its own formula gives 78.45, so half a unit is not quite enough.
		w.near(t, s.Humidity(25), f(r[4]), 0.55, "%s at 25 °C as printed", s.Name)
		w.near(t, s.Humidity(20), f(r[5]), w.Tolerance, "%s at 20 °C", s.Name)
		w.near(t, s.Humidity(25), f(r[6]), w.Tolerance, "%s at 25 °C", s.Name)
	}
	run(t, "salt-chamber", "temperature=20 °C", "humidity=75 %")
	if got := word(t, run(t, "salt-chamber", "temperature=20 °C", "humidity=75 %"), "salt"); got != "sodium chloride" {
		t.Errorf("for 75 %%: %s", got)
	}
	if _, err := try(t, "salt-chamber", "temperature=40 °C", "salt=potassium chloride"); err == nil {
		t.Error("potassium chloride beyond 25 °C was not refused")
	}
}

func TestTemperatures(t *testing.T) {
	c := checks(t, "climate.yaml")["temperature_conversion"]
	for _, r := range c.rows(t) {
		res := run(t, "temperature", fmt.Sprintf("value=%v °F", r[0]))
		c.near(t, get(t, res, "celsius"), f(r[1]), c.Tolerance, "%v °F", r[0])
		back := run(t, "temperature", fmt.Sprintf("value=%.15g °C", get(t, res, "celsius")))
		c.near(t, get(t, back, "fahrenheit"), f(r[0]), 1e-9, "%v °F there and back", r[0])
		c.near(t, climate.Fahrenheit(climate.Celsius(f(r[0]))), f(r[0]), 1e-9, "%v °F", r[0])
	}
	// A difference of temperatures has no 32.
	for _, m := range c.list(t, "difference") {
		res := run(t, "temperature", fmt.Sprintf("difference=%v °F", m["F"]))
		c.near(t, get(t, res, "celsius"), f(m["C"]), 1e-9, "a difference of %v °F", m["F"])
	}
	if _, err := try(t, "temperature", "value=155"); err == nil || !strings.Contains(err.Error(), "°F") {
		t.Errorf("a temperature without unit must be refused with help: %v", err)
	}
}

func TestAgeingRates(t *testing.T) {
	file := checks(t, "climate.yaml")
	c := file["arrhenius_ratio"]
	for _, r := range c.rows(t) {
		got := climate.Arrhenius(f(r[0]), f(r[1]), f(r[2]))
		c.near(t, got, f(r[3]), c.Tolerance*f(r[3]), "%v kJ/mol, %v to %v °C", r[0], r[1], r[2])
		c.near(t, climate.ArrheniusEnergy(got, f(r[1]), f(r[2])), f(r[0]), 1e-9*f(r[0]), "%v kJ/mol there and back", r[0])
	}
	for _, m := range c.list(t, "energies") {
		c.near(t, climate.ArrheniusEnergy(f(m["ratio"]), f(m["t1"]), f(m["t2"])), f(m["kJ"]), 0.006, "energy for %v", m)
	}
	for _, m := range c.list(t, "days") {
		h := climate.Arrhenius(f(m["Ea"]), 20, f(m["t"]))
		c.near(t, h, f(m["hours"]), 1, "hours at 20 °C of an hour at %v", m["t"])
		c.near(t, h/24, f(m["days"]), 0.05, "the same in days")
	}
	s := file["sebera_isoperm"]
	for _, r := range s.rows(t) {
		got := climate.Isoperm(f(r[0]), climate.Celsius(f(r[1])), f(r[2]), climate.Celsius(f(r[3])), f(r[4]), 1)
		s.near(t, got, f(r[5]), s.Tolerance*f(r[5])+6e-5*f(r[5]), "%v", r)
		s.near(t, 1/got, f(r[6]), s.Tolerance*f(r[6]), "%v permanence", r)
	}
	for _, m := range s.list(t, "humidity") { // the part that was read
		got := climate.Isoperm(25, 20, f(m["RH1"]), 20, f(m["RH2"]), f(m["power"]))
		s.near(t, got, f(m["rate"]), 1e-4, "%v", m)
	}
	m := s.list(t, "reading")[0]
	if got := f(m["years"]) * f(m["factor"]) * 12; math.Abs(got-f(m["months"])) > 0.01 {
		t.Errorf("45 years times 0.03: %g months", got)
	}
	res := run(t, "ageing", "to=80 °C", "time=2 min")
	if get(t, res, "ratio_low") >= get(t, res, "ratio_high") {
		t.Error("ageing must give a band, never one figure")
	}
	for _, bad := range [][]string{{"to=20 °C", "from_humidity=50 %", "to_humidity=80 %"}, {"to=20 °C", "from_humidity=50 %"}, {"to=200 °C"}} {
		if _, err := try(t, "ageing", bad...); err == nil {
			t.Errorf("%v was not refused", bad)
		}
	}
	last := 0.0
	for x := -5.0; x < 100; x += 5 {
		if k := climate.Arrhenius(100, 20, x); k <= last {
			t.Fatalf("warmer, yet not faster: %g", k)
		} else {
			last = k
		}
	}
}

func TestExpansionPressureMoistureCooling(t *testing.T) {
	c := checks(t, "climate.yaml")["paper_moisture_and_expansion"]
	for _, m := range c.list(t, "cases") {
		c.near(t, paper.Grow(f(m["length"]), f(m["percent"])), f(m["mm"]), c.Tolerance, "%v", m)
	}
	r := run(t, "expansion", "across=170 mm", "along=260 mm")
	if lo, hi := get(t, r, "across_low"), get(t, r, "across_high"); lo > 4.25 || hi < 4.25 {
		t.Errorf("a wetted cover of 170 mm across grows %g to %g mm; published middle 4.25", lo, hi)
	}
	if lo, hi := get(t, r, "along_low"), get(t, r, "along_high"); lo > 0.65 || hi < 0.65 {
		t.Errorf("260 mm along grow %g to %g mm; published middle 0.65", lo, hi)
	}
	x := checks(t, "fastness.yaml")["iso105_x12_crockmeter"]
	for _, m := range x.list(t, "cases") {
		d := f(m["diameter_mm"])
		x.near(t, paper.Pressure(f(m["force_N"])/paper.Gravity, math.Pi*d*d/4), f(m["kPa"]), x.Tolerance, "finger")
	}
	d := checks(t, "fastness.yaml")["print_rub_astm_d5264"]
	for _, m := range d.list(t, "cases") {
		res := run(t, "press", fmt.Sprintf("mass=%v lb", m["lb"]), "area=2580.64 mm2")
		if p := get(t, res, "pressure"); math.Abs(p-paper.Pressure(f(m["exact"]), 2580.64)) > 1e-9 {
			t.Errorf("%v lb on 4 square inches press %g kPa", m["lb"], p)
		}
		d.near(t, f(m["lb"])*0.45359237, f(m["kg"]), d.Tolerance, "%v lb", m["lb"])
		d.near(t, f(m["lb"])*0.45359237, f(m["exact"]), 1e-8, "%v lb exactly", m["lb"])
	}
	res := run(t, "press", "mass=10 kg", "width=170 mm", "height=260 mm")
	back := run(t, "press", fmt.Sprintf("pressure=%.15g kPa", get(t, res, "pressure")), "width=170 mm", "height=260 mm")
	if got := get(t, back, "mass"); math.Abs(got-10) > 1e-9 {
		t.Errorf("10 kg came back as %g", got)
	}
	mo := run(t, "moisture", "now=10.7 g", "dry=10 g")
	if got := get(t, mo, "moisture"); math.Abs(got-100*0.7/10.7) > 1e-9 {
		t.Errorf("moisture %g", got)
	}
	cool := run(t, "cooling", "start=65 °C", "reading=45 °C", "after=5 min", "room=20 °C", "target=23 °C")
	k := get(t, cool, "constant")
	if got := 20 + 45*math.Exp(-get(t, cool, "time")/k); math.Abs(got-23) > 1e-9 {
		t.Errorf("after the computed time it is %g °C, want 23", got)
	}
	if _, err := try(t, "cooling", "start=65 °C", "reading=45 °C", "after=5 min", "room=20 °C", "target=20 °C"); err == nil {
		t.Error("cooling right down to the room never ends and must be refused")
	}
	g := checks(t, "geometry.yaml")["paper_tear_force"]
	for _, m := range g.list(t, "cases") {
		g.near(t, paper.TearIndex(f(m["mN"]), f(m["grammage"])), f(m["expect"]), 1e-9, "%v", m)
	}
}
