package dose_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"tideline/engine/dose"
	"tideline/engine/dose/lamp"
)

func TestEyeAndHazardTables(t *testing.T) {
	file := checks(t, "light.yaml")
	v := file["V_lambda_10nm"]
	for _, r := range v.rows(t) {
		v.near(t, lamp.Eye(f(r[0])), f(r[1]), v.Tolerance, "V at %v nm", r[0])
	}
	b := file["blue_hazard_B_lambda"]
	for _, r := range b.rows(t) {
		b.near(t, lamp.Hazard(f(r[0])), f(r[1]), b.Tolerance, "B at %v nm", r[0])
	}
	m := file["monochromatic_lux_to_irradiance"]
	for _, r := range m.rows(t) {
		k := lamp.MaxEfficacy * lamp.Eye(f(r[0]))
		m.near(t, k, f(r[1]), 0.001*f(r[1])+0.0005, "K at %v nm", r[0])
		m.near(t, 1000/k, f(r[2]), m.Tolerance*f(r[2]), "W/m² per 1000 lx at %v nm", r[0])
		m.near(t, lamp.Hazard(f(r[0])), f(r[3]), 1e-4, "B at %v nm", r[0])
	}
}

func TestDiodesAndWhiteLights(t *testing.T) {
	file := checks(t, "light.yaml")
	c := file["blue_led_gaussian"]
	for _, r := range c.rows(t) {
		res := run(t, "lux-to-irradiance", "lux=10000 lx", fmt.Sprintf("peak=%v nm", r[0]))
		c.near(t, get(t, res, "efficacy"), f(r[1]), c.Tolerance*f(r[1]), "%v nm K", r[0])
		c.near(t, get(t, res, "blue")/get(t, res, "irradiance"), f(r[2]), c.Tolerance, "%v nm B", r[0])
		c.near(t, get(t, res, "irradiance"), f(r[3]), c.Tolerance*f(r[3]), "%v nm", r[0])
	}
	w := file["lux_to_irradiance_white_spectra"]
	for _, r := range w.rows(t) {
		name := fmt.Sprint(r[0])
		var got lamp.Weights
		switch {
		case strings.HasPrefix(name, "blackbody"):
			var k float64
			fmt.Sscanf(name, "blackbody %f K", &k)
			got = lamp.Weigh(lamp.BlackBody(k))
		case name == "equal energy":
			got = lamp.Weigh(func(float64) float64 { return 1 })
		default:
			var ok bool
			if got, ok = lamp.White[name]; !ok {
				t.Errorf("no light %q", name)
				continue
			}
		}
		w.near(t, got.Efficacy, f(r[1]), w.Tolerance*f(r[1]), "%s K", name)
		w.near(t, got.Irradiance(1000), f(r[2]), w.Tolerance*f(r[2]), "%s W/m² per 1000 lx", name)
		w.near(t, got.Blue, f(r[3]), w.Tolerance*f(r[3])+0.0002, "%s B", name)
		if back := got.Illuminance(got.Irradiance(1234)); math.Abs(back-1234) > 1e-9 {
			t.Errorf("%s: 1234 lx came back as %g", name, back)
		}
	}
	// CIE A is a glowing body at 2856 K on the scale where c2 is 0.014388 (2848 K at 0.01435).
	a := lamp.Weigh(lamp.BlackBody(2856))
	w.near(t, lamp.White["CIE A"].Efficacy, a.Efficacy, 0.005*a.Efficacy, "CIE A against Planck's law")
}

// Trap 2: 10 000 lx of a 455 nm diode are 288 W/m², of D65 about 49; 5 nm move
// the answer by about a quarter; lux alone never gives a dose.
func TestLuxNeverDosesBlueLight(t *testing.T) {
	blue := get(t, run(t, "lux-to-irradiance", "lux=10000 lx", "peak=455 nm"), "irradiance")
	day := get(t, run(t, "lux-to-irradiance", "lux=10000 lx", "white=CIE D65"), "irradiance")
	if math.Abs(blue-287.71) > 0.6 || math.Abs(day-48.82) > 0.3 {
		t.Errorf("10 000 lx: diode %.2f, daylight %.2f W/m²", blue, day)
	}
	off := get(t, run(t, "lux-to-irradiance", "lux=10000 lx", "peak=460 nm"), "irradiance")
	if d := blue/off - 1; d < 0.20 || d > 0.30 {
		t.Errorf("5 nm move the answer by %.0f %%, published about 25", 100*d)
	}
	var ref *dose.Refusal
	_, err := try(t, "lux-to-irradiance", "lux=10000 lx")
	if !errors.As(err, &ref) || !strings.Contains(ref.Help, "peak") {
		t.Errorf("lux without the lamp must ask for the peak: %v", err)
	}
	if _, err := try(t, "light-time", "light=10000 lx", "dose=100 J/cm2"); !errors.As(err, &ref) || ref.What != dose.WrongUnit {
		t.Errorf("lux against J/cm² was not refused: %v", err)
	}
	if _, err := try(t, "blue-limit", "look=sheet", "irradiance=100 W/m2"); err == nil {
		t.Error("the eye limit was given without the lamp's light")
	}
	if _, err := try(t, "fading", "exposures=10000 lx 4 h", "step=2", "blue=yes"); err == nil {
		t.Error("a blue lamp was turned into blue wool steps")
	}
}

func TestLightDoses(t *testing.T) {
	c := checks(t, "light.yaml")["lux_hour_dose"]
	for _, m := range c.list(t, "cases") {
		r := run(t, "light-dose", texts(m["args"])...)
		want, ok := m["lx_h"], true
		if want == nil {
			want, ok = m["J_cm2"], false
		}
		c.near(t, get(t, r, "dose"), f(want), c.Tolerance*f(want), "%v (lx h: %v)", m["args"], ok)
		if text := strings.Join(r.Cautions, " "); !strings.Contains(text, "doesn't say that it is enough") {
			t.Errorf("%v: the light dose claims sufficiency by silence", m["args"])
		}
		unit := " J/cm2"
		if ok {
			unit = " lx h"
		}
		args := texts(m["args"])
		back := run(t, "light-time", args[0], fmt.Sprintf("dose=%.15g%s", get(t, r, "dose"), unit))
		again := run(t, "light-dose", args[0], fmt.Sprintf("time=%.15g min", get(t, back, "time")))
		c.near(t, get(t, again, "dose"), get(t, r, "dose"), 1e-9*get(t, r, "dose"), "%v there and back", args)
	}
}

func TestBlueLightLimits(t *testing.T) {
	c := checks(t, "light.yaml")["blue_hazard_limits_extended_source"]
	for _, m := range c.list(t, "times") {
		s, limited := lamp.BlueTime(f(m["L_B"]))
		if m["s"] == "unlimited" {
			if limited {
				t.Errorf("L_B %v got a limit", m["L_B"])
			}
			continue
		}
		c.near(t, s, f(m["s"]), c.Tolerance*f(m["s"]), "L_B %v", m["L_B"])
	}
	for _, m := range c.list(t, "looks") {
		if got := lamp.BlueWithin(f(m["L_B"]), f(m["s"])); got != m["safe"] {
			t.Errorf("L_B %v for %v s: within %v, want %v (%s)", m["L_B"], m["s"], got, m["safe"], c.Source)
		}
	}
	for _, m := range c.list(t, "paper") {
		l := lamp.SheetRadiance(f(m["E"]), f(m["reflectance"])) * f(m["B"])
		c.near(t, l, f(m["L_B"]), c.Tolerance*f(m["L_B"]), "sheet at %v W/m²", m["E"])
		if s, limited := lamp.BlueTime(l); limited {
			c.near(t, s, f(m["s"]), c.Tolerance*f(m["s"]), "sheet at %v W/m²", m["E"])
		} else if m["s"] != "unlimited" {
			t.Errorf("sheet at %v W/m² got no limit", m["E"])
		}
	}
	u := checks(t, "light.yaml")["other_lamp_limits"]
	r := run(t, "uv-limit", "actinic=0.01 W/m2", "uva=20 W/m2")
	u.near(t, get(t, r, "actinic_time"), f(u.list(t, "actinic")[0]["s"]), 1, "actinic")
	u.near(t, get(t, r, "uva_time"), f(u.list(t, "uva")[0]["s"]), 0.5, "UV-A")
	if got := word(t, run(t, "uv-limit", "uva=8 W/m2"), "uva_time"); !strings.Contains(got, "without limit") {
		t.Errorf("8 W/m² of UV-A: %s", got)
	}
}

// Limits for small sources are from memory: they are printed and never allow.
func TestSmallSourcesGetNoTime(t *testing.T) {
	c := checks(t, "light.yaml")["blue_hazard_limits_small_source"]
	r := run(t, "blue-limit", "look=lamp", "irradiance=10 W/m2", "peak=455 nm", "source=2 mm", "distance=500 mm")
	if v, ok := r.Settled("remembered_time"); ok {
		t.Errorf("a time from memory is settled: %v", v)
	}
	if _, ok := r.Value("time"); ok {
		t.Error("a small source got a time")
	}
	if got := word(t, r, "allowed"); !strings.HasPrefix(got, "none") {
		t.Errorf("allowed: %s", got)
	}
	t.Logf("from memory, for information: %v s remembered for %v W/m²", get(t, r, "remembered_time"), c.list(t, "cases")[0]["E"])
	big := run(t, "blue-limit", "look=lamp", "irradiance=10 W/m2", "peak=455 nm", "source=100 mm", "distance=500 mm", "time=90 min")
	if word(t, big, "look") != "over the limit" {
		t.Errorf("90 min into a bright blue lamp: %s", word(t, big, "look"))
	}
	near := get(t, big, "radiance")
	if more := get(t, run(t, "blue-limit", "look=lamp", "irradiance=20 W/m2", "peak=455 nm", "source=100 mm", "distance=500 mm"), "radiance"); more <= near {
		t.Error("more light, no more radiance")
	}
}

func TestFadingIsCumulativeAndRough(t *testing.T) {
	c := checks(t, "light.yaml")["blue_wool_dose_to_just_noticeable_fade"]
	for _, m := range c.list(t, "cross_check") { // this part was read
		got := lamp.WoolFade(int(f(m["step"])))
		if math.Abs(got/f(m["Mlxh"])-1) > 1e-9 {
			t.Errorf("step %v: %g Mlx h, read %v", m["step"], got, m["Mlxh"])
		}
	}
	for step := 2; step <= 8; step++ {
		if k := lamp.WoolFade(step) / lamp.WoolFade(step-1); k < 2 || k > 3.02 {
			t.Errorf("step %d is %.2f times the last, published 2 to 3", step, k)
		}
	}
	for _, r := range c.rows(t) {
		step := int(f(r[0]))
		if lamp.WoolFromMemory[step-1] != [2]float64{f(r[1]), f(r[2])} {
			t.Logf("from memory: step %d", step)
		}
		t.Logf("step %d: %.3g Mlx h by equal ratios, %v remembered (information)", step, lamp.WoolFade(step), r[1])
	}
	one := get(t, run(t, "fading", "exposures=10000 lx 4 h", "step=2", "blue=no"), "used")
	two := get(t, run(t, "fading", "exposures=10000 lx 4 h; 10 klx 240 min", "step=2", "blue=no"), "used")
	if math.Abs(two-2*one) > 1e-9 {
		t.Errorf("two treatments use %g, one %g", two, one)
	}
	for _, bad := range []string{"exposures=", "exposures=10000 lx", "exposures=4 h", "exposures=100 W/m2 4 h"} {
		if _, err := try(t, "fading", bad, "blue=no"); err == nil {
			t.Errorf("%q was not refused", bad)
		}
	}
}

func TestIrradianceFromLamps(t *testing.T) {
	args := []string{"power=10 W", "size=20 mm", "shape=flat"}
	last := math.Inf(1)
	for d := 100; d <= 1000; d += 50 {
		e := get(t, run(t, "irradiance", append(args, fmt.Sprintf("distance=%d mm", d))...), "irradiance")
		if e >= last {
			t.Fatalf("farther, yet %g not below %g W/m²", e, last)
		}
		last = e
	}
	if got, want := lamp.Flat(10, 0.2), 4*lamp.Bulb(10, 0.2); math.Abs(got-want) > 1e-9 {
		t.Errorf("flat %g, four times bulb %g", got, want)
	}
	// A half-space beam of 90 degrees at 1 m covers pi m².
	if got := lamp.Cone(math.Pi, 90, 1); math.Abs(got-1) > 1e-12 {
		t.Errorf("cone: %g, want 1", got)
	}
	if _, err := try(t, "irradiance", "power=10 W", "size=100 mm", "shape=flat", "distance=200 mm"); err == nil {
		t.Error("a lamp nearer than five times its size was taken as a point")
	}
	if _, err := try(t, "irradiance", "power=10 W", "size=10 mm", "shape=beam", "distance=200 mm"); err == nil {
		t.Error("a beam without angle was not refused")
	}
}
