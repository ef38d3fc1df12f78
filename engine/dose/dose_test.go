package dose_test

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"tideline/engine/dose"
)

// worked are inputs under which each computation runs; a computation without
// one fails the test below, so that none goes untried.
var worked = map[string][]string{
	"dilute":            {"stock=30 % w/v", "wanted=3 % w/v", "volume=1 L"},
	"dilute-parts":      {"stock=0.5 mol/L", "parts=1:4"},
	"dilute-mass":       {"first=96 % w/w", "wanted=70 % w/w", "mass=100 g"},
	"blend-mass":        {"first=10 % w/w", "first_mass=300 g", "second_mass=700 g"},
	"measure-out":       {"amount=4.26 g", "step=0.1 g"},
	"molarity":          {"formula=C6H8O7.H2O", "mass=1 g", "volume=100 mL"},
	"buffer":            {"acid=citric", "ph=6", "total=0.05 mol/L", "volume=1 L"},
	"buffer-ph":         {"acid=acetic", "acid_form=0.05 mol/L", "base_form=0.05 mol/L"},
	"chelator":          {"agent=trisodium citrate", "strength=10 mmol/L", "volume=200 mL"},
	"ph-standard":       {"buffer=borax", "temperature=22 °C"},
	"limewater":         {"ph=9.5", "volume=2 L"},
	"limewater-ph":      {"strength=1.5 g/L"},
	"water-in-air":      {"calcite=yes"},
	"peroxide":          {"stock=3 % w/v", "wanted=1 % w/v", "volume=500 mL"},
	"surface-tension":   {"alcohol=methanol", "strength=33 % w/w"},
	"alkali-reserve":    {"reserve=2 %"},
	"reserve-titration": {"blank=20 mL", "sample=12 mL", "paper=2 g"},
	"reserve-from-bath": {"strength=10 mmol/L", "uptake=1.4 mL/g"},
	"bath-volume":       {"width=340 mm", "height=260 mm", "grammage=52 gsm", "ratio=40 mL/g"},
	"permanence":        {"ph=6"},
	"tear-index":        {"force=350 mN", "grammage=70 g/m2"},
	"solvent-mixture":   {"mix=ethanol 7, water 3"},
	"solvent-distance":  {"mix=acetone", "from=toluene"},
	"solvent-region":    {"tests=acetone dissolves; water holds"},
	"lux-to-irradiance": {"lux=10000 lx", "peak=455 nm"},
	"irradiance":        {"power=5 W", "distance=200 mm", "size=20 mm", "shape=beam", "angle=60 °"},
	"light-dose":        {"light=100 W/m2", "time=2 h"},
	"light-time":        {"light=100 W/m2", "dose=72 J/cm2"},
	"fading":            {"exposures=10000 lx 4 h", "blue=no", "step=3"},
	"blue-limit":        {"look=sheet", "irradiance=1000 W/m2", "peak=455 nm", "reflectance=80 %", "time=60 min"},
	"uv-limit":          {"uva=20 W/m2"},
	"temperature":       {"value=155 °F"},
	"dew-point":         {"temperature=20 °C", "humidity=50 %", "surface=8 °C"},
	"salt-chamber":      {"temperature=20 °C", "salt=sodium chloride"},
	"moisture":          {"sheet=5 g"},
	"expansion":         {"across=170 mm", "along=260 mm"},
	"press":             {"mass=10 kg", "area=44200 mm2"},
	"ageing":            {"to=60 °C", "time=1 min"},
	"cooling":           {"start=65 °C", "reading=45 °C", "after=5 min", "room=20 °C", "target=23 °C"},
	"colour-difference": {"first=50, 2, 3", "second=50, 3, 3"},
	"grade-change":      {"before=60, 0, 0", "after=58, 1, 0"},
	"grade-staining":    {"clean=94, 0, 1", "stained=90, 4, 1"},
	"yellowness":        {"xyz=72, 74.5, 55", "light=D65/2"},
	"whiteness":         {"xyz=84, 88.6, 95", "white=0.3127, 0.3290", "observer=2"},
	"srgb":              {"hex=F5E6C8"},
	"tears":             {"tears=A: 0,40 12,44 20,41", "grain=vertical"},
}

func TestEveryComputationShowsItsWorking(t *testing.T) {
	known, cited, seen := map[string]bool{}, map[string]bool{"own": true}, map[string]bool{}
	for _, s := range dose.Sources() {
		known[s.ID] = true
		if s.Title == "" || s.Class == "" || s.Standing == "" {
			t.Errorf("source %q has no title, class or standing", s.ID)
		}
	}
	for _, c := range dose.All() {
		if seen[c.Name] || c.Says == "" || len(c.Params) == 0 {
			t.Errorf("%s stands twice, or says nothing, or takes nothing", c.Name)
		}
		seen[c.Name] = true
		for _, p := range c.Params {
			if p.Says == "" || p.From > p.To || p.Required && p.Default != "" {
				t.Errorf("%s: input %s is badly described", c.Name, p.Name)
			}
			if p.From != p.To && (p.Unit.Kind == "" || !known[p.Source]) {
				t.Errorf("%s: the range of %s has no known source (%q)", c.Name, p.Name, p.Source)
			}
			cited[p.Source] = true
		}
		args, ok := worked[c.Name]
		if !ok {
			t.Errorf("%s is not tried in this test", c.Name)
			continue
		}
		r := run(t, c.Name, args...)
		whole(t, r)
		for _, s := range r.Sources {
			cited[s.ID] = true
			if !known[s.ID] {
				t.Errorf("%s cites %q, which isn't in the table", c.Name, s.ID)
			}
		}
	}
	for name := range worked {
		if !seen[name] {
			t.Errorf("%s is tried but doesn't exist", name)
		}
	}
	for id := range known {
		if !cited[id] && !usedElsewhere[id] {
			t.Errorf("source %q is cited by nothing that was tried", id)
		}
	}
}

// whole holds a result to what every result must have.
func whole(t *testing.T, r dose.Result) {
	t.Helper()
	if len(r.Values) == 0 || len(r.Working) == 0 || r.Range == "" || len(r.Sources) == 0 || r.Says == "" {
		t.Errorf("%s: no values, working, range or sources: %+v", r.Name, r)
	}
	for _, v := range r.Values {
		if v.Says == "" || v.Class == "" || v.Text == "" && v.Quantity.Unit.Kind == "" {
			t.Errorf("%s: value %s lacks words, class or unit", r.Name, v.Name)
		}
	}
	for _, l := range r.Working {
		if l.Formula == "" || l.Put == "" || l.Text == "" && l.Result.Unit.Kind == "" || strings.Contains(l.Put, "%!") {
			t.Errorf("%s: bad line of working %+v", r.Name, l)
		}
	}
	for _, text := range r.Cautions {
		if strings.Contains(text, "%!") || strings.Contains(text, "%%") {
			t.Errorf("%s: bad caution %q", r.Name, text)
		}
	}
}

// usedElsewhere are sources cited only under other inputs.
var usedElsewhere = map[string]bool{"iec62471-small": true}

func TestResultsAreDeterministic(t *testing.T) {
	for name, args := range worked {
		a, b := run(t, name, args...), run(t, name, args...)
		if !reflect.DeepEqual(a, b) {
			t.Errorf("%s differs from one run to the next", name)
		}
		x, err := json.Marshal(a)
		if err != nil {
			t.Errorf("%s can't be written as JSON: %v", name, err)
		}
		if y, _ := json.Marshal(b); string(x) != string(y) {
			t.Errorf("%s: JSON differs", name)
		}
	}
}

func TestUnitsCannotBeMixed(t *testing.T) {
	kinds := dose.Kinds()
	for _, k := range kinds {
		for _, s := range dose.Symbols(k) {
			if s == "" {
				continue
			}
			q, err := dose.ParseQuantity("2 "+s, k)
			if err != nil || q.Unit.Kind != k {
				t.Errorf("2 %s isn't read as %s: %v", s, k, err)
				continue
			}
			for _, other := range kinds {
				if other == k {
					continue
				}
				if s == "%" && other == dose.Humidity {
					continue // relative humidity is often written with the bare sign
				}
				if got, err := dose.ParseQuantity("2 "+s, other); err == nil && !slices.Contains(dose.Symbols(other), s) {
					t.Errorf("2 %s was taken as %s: %v", s, other, got)
				}
				if _, ok := q.In(unitOf(t, other)); ok {
					t.Errorf("%s changed into %s", k, other)
				}
			}
		}
	}
}

func unitOf(t *testing.T, k dose.Kind) dose.Unit {
	t.Helper()
	s := dose.Symbols(k)[0]
	if s == "" {
		s = "1"
	} else {
		s = "1 " + s
	}
	q, err := dose.ParseQuantity(s, k)
	if err != nil {
		t.Fatal(err)
	}
	return q.Unit
}

func TestUnitsConvertThereAndBack(t *testing.T) {
	for _, k := range dose.Kinds() {
		first := unitOf(t, k)
		for _, s := range dose.Symbols(k) {
			if s == "" {
				continue
			}
			q, err := dose.ParseQuantity("3.7 "+s, k)
			if err != nil {
				t.Fatal(err)
			}
			base, _ := q.In(first)
			back, ok := base.In(q.Unit)
			if !ok || math.Abs(back.Value-3.7) > 1e-9 {
				t.Errorf("3.7 %s came back as %v", s, back)
			}
		}
	}
	for _, tt := range []struct {
		text, want string
		kind       dose.Kind
	}{ // arithmetic, and the 0.45359237 kg of the pound
		{"1 in", "25.4 mm", dose.Length},
		{"155 °F", "68.33 °C", dose.Temperature},
		{"18 °F", "10 °C", dose.Warming},
		{"3 % w/v", "30 g/L", dose.MassPerVol},
		{"2 lb", "907.2 g", dose.Mass},
		{"2 mmol/L", "0.002 mol/L", dose.Molar},
		{"1 kcal/mol", "4.184 kJ/mol", dose.Energy},
		{"100 W/m2", "100 W/m²", dose.Irradiance},
		{"10 (cal/mL)^0.5", "20.46 MPa^0.5", dose.Cohesion},
		{"72 J/m2", "0.0072 J/cm²", dose.Exposure},
		{"-40 °F", "-40 °C", dose.Temperature},
	} {
		q, err := dose.ParseQuantity(tt.text, tt.kind)
		if err != nil {
			t.Error(err)
			continue
		}
		if b, _ := q.In(unitOf(t, tt.kind)); b.String() != tt.want {
			t.Errorf("%s is %s, want %s", tt.text, b, tt.want)
		}
	}
}

func TestRefusalsSayWhatWhereByHowMuchAndWhatToDo(t *testing.T) {
	for _, tt := range []struct {
		name string
		args []string
		what dose.What
		says []string
	}{
		{"limewater", []string{"ph=12.5", "volume=1 L"}, dose.OutOfRange, []string{"ph", "8.5 to 12", "0.5", "Bates", "1956"}},
		{"dew-point", []string{"temperature=155 mm", "humidity=50 %"}, dose.WrongUnit, []string{"length", "temperature", "°F"}},
		{"dew-point", []string{"temperature=20", "humidity=50 %"}, dose.WrongUnit, []string{"no unit", "°C"}},
		{"dew-point", []string{"temprature=20 °C"}, dose.Unknown, []string{"no such input", "temperature"}},
		{"dew-point", []string{"humidity=50 %"}, dose.Missing, []string{"temperature", "needed"}},
		{"dew-point", []string{"temperature 20"}, dose.NotRead, []string{"="}},
		{"dew-point", []string{"temperature=20 °C", "temperature=21 °C"}, dose.NotRead, []string{"twice"}},
		{"dew-point", []string{"temperature=20,5 °C"}, dose.NotRead, []string{"comma"}},
		{"dew-point", []string{"temperature=warm"}, dose.NotRead, []string{"no number"}},
		{"dew-point", []string{"temperature=20 parsecs"}, dose.WrongUnit, []string{"not known"}},
		{"peroxide", []string{"stock=3 %"}, dose.WrongUnit, []string{"w/w", "w/v"}},
		{"buffer", []string{"acid=vinegar", "ph=5", "total=0.1 mol/L", "volume=1 L"}, dose.Unknown, []string{"acetic"}},
	} {
		_, err := try(t, tt.name, tt.args...)
		var r *dose.Refusal
		if !errors.As(err, &r) {
			t.Errorf("%s %v: not refused (%v)", tt.name, tt.args, err)
			continue
		}
		if r.What != tt.what || r.Help == "" || r.Computation != tt.name {
			t.Errorf("%s %v: got %q, help %q, of %q", tt.name, tt.args, r.What, r.Help, r.Computation)
		}
		for _, s := range tt.says {
			if !strings.Contains(r.Error(), s) {
				t.Errorf("%s %v: %q doesn't say %q", tt.name, tt.args, r.Error(), s)
			}
		}
	}
}

// Every range is kept at both ends: the end itself is taken, a little beyond is
// refused.
func TestRangesAreKeptAtBothEnds(t *testing.T) {
	tried := 0
	for _, c := range dose.All() {
		for _, p := range c.Params {
			if p.From == p.To {
				continue
			}
			tried++
			step := (p.To - p.From) * 1e-3
			for _, v := range []struct {
				x  float64
				ok bool
			}{{p.From, true}, {p.To, true}, {p.From - step, false}, {p.To + step, false}} {
				q := dose.Quantity{Value: v.x, Unit: p.Unit}
				text := strings.TrimSpace(strconvG(v.x) + " " + p.Unit.Symbol)
				_, err := c.Parse([]string{p.Name + "=" + text})
				var r *dose.Refusal
				refused := errors.As(err, &r) && r.Input == p.Name && r.What == dose.OutOfRange
				if refused == v.ok {
					t.Errorf("%s %s=%s: refused %v (%v)", c.Name, p.Name, q, refused, err)
				}
			}
		}
	}
	if tried == 0 {
		t.Fatal("no range was tried")
	}
}

func TestMemoryNeverSettles(t *testing.T) {
	r := dose.Result{Values: []dose.Named{
		{Name: "known", Quantity: dose.Quantity{Value: 1}, Class: dose.Computed},
		{Name: "remembered", Quantity: dose.Quantity{Value: 1}, Class: dose.Memory},
		{Name: "words", Text: "yes", Class: dose.Seen},
	}}
	for name, want := range map[string]bool{"known": true, "remembered": false, "words": false, "absent": false} {
		if _, ok := r.Settled(name); ok != want {
			t.Errorf("%s settled: %v", name, ok)
		}
	}
}

func TestRunWantsItsOwnArgs(t *testing.T) {
	c, _ := dose.Lookup("press")
	if _, err := c.Run(dose.Args{}); err == nil {
		t.Error("a run without parsed inputs went through")
	}
	d, _ := dose.Lookup("dew-point")
	a, err := d.Parse(worked["dew-point"])
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.Run(a); err == nil {
		t.Error("inputs of another computation went through")
	}
	if _, ok := dose.Lookup("no such"); ok || len(dose.Names()) != len(dose.All()) {
		t.Error("lookup and names disagree")
	}
}

// The check files carry what the tests need: every file loads and every entry
// has a class from the list.
func TestCheckFilesAreWhole(t *testing.T) {
	files, err := os.ReadDir("../../testdata/checks")
	if err != nil || len(files) == 0 {
		t.Fatal("no check files", err)
	}
	for _, e := range files {
		if !strings.HasSuffix(e.Name(), ".yaml") {
			continue
		}
		for id, c := range checks(t, e.Name()) {
			switch dose.Class(c.Class) {
			case dose.Seen, dose.Computed, dose.Arithmetic, dose.Mixed, dose.Memory:
			default:
				t.Errorf("%s %s: class %q", e.Name(), id, c.Class)
			}
		}
	}
}
