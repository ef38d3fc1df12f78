package dose

import (
	"flag"
	"math"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tideline/rules/cond"
	"tideline/rules/vocab"
)

// fits are values with which a function computes; functions that compute anywhere in their ranges need none.
var fits = map[string][]any{
	"stock_to_take":     {10.0, 2.0, 500.0},
	"stock_to_weigh":    {96.0, 50.0, 200.0},
	"chelator_ph":       {"trisodium citrate", 10.0},
	"chelator_mass":     {"trisodium citrate", 10.0, 500.0},
	"buffer_reagent":    {"citric", 6.0, 20.0, 500.0},
	"sheet_look_time":   {2000.0, 455.0},
	"buffer_ph":         {"acetic", 20.0, 30.0},
	"standard_ph":       {"phosphate", 20.0},
	"peroxide_volumes":  {3.0},
	"peroxide_to_take":  {3.0, 1.0, 250.0},
	"ethanol_tension":   {40.0, 21.0},
	"reserve_percent":   {300.0},
	"reserve_titrated":  {20.0, 14.0, 100.0, 1.0},
	"bath_reserve":      {"calcium hydroxide", 8.0, 1.5},
	"bath_volume":       {340.0, 260.0, 4.0, 60.0, 40.0},
	"beam_irradiance":   {5.0, 300.0, 20.0, 60.0},
	"flat_irradiance":   {5.0, 300.0, 20.0},
	"light_dose":        {50.0, 5400.0},
	"light_sum":         {8000.0, 5400.0},
	"light_time":        {50.0, 18.0},
	"light_sum_time":    {8000.0, 1e5},
	"uva_time":          {20.0},
	"air_humidity":      {21.0, 9.0},
	"salt_humidity":     {"sodium chloride", 20.0},
	"moisture_of":       {10.6, 10.0},
	"cooling_time":      {60.0, 40.0, 300.0, 20.0, 24.0},
	"tissue_area":       {40.0, 3.0},
	"growth_across":     {"wetted through", 170.0},
	"growth_along":      {"coated art", 260.0},
	"irradiance_of_lux": {"CIE D65", 8000.0},
}

// values gives values with which a function computes, some of them moved at random where anything in range will do.
func values(f *cond.Function, rnd *rand.Rand) []vocab.Answer {
	var list []vocab.Answer
	for i, p := range f.Params {
		switch fit, has := fits[f.Name]; {
		case has && len(p.Words) > 0:
			list = append(list, vocab.Word(fit[i].(string)))
		case has && (!p.Steady || rnd.IntN(2) == 0):
			list = append(list, vocab.Num(fit[i].(float64)))
		case p.Unit == "" && p.From != p.To:
			list = append(list, vocab.Num(math.Round(p.From+rnd.Float64()*(p.To-p.From))))
		default:
			list = append(list, vocab.Num(p.From+rnd.Float64()*(p.To-p.From)))
		}
	}
	return list
}

// What a condition reckons is what `tideline dose` says for the same inputs, typed with their units.
func TestAFunctionGivesWhatItsComputationSays(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for n, f := range Functions() {
		own := functions[n]
		c, ok := ComputationOf(f.Name)
		if !ok || own.name != f.Name {
			t.Fatalf("%s has no computation", f.Name)
		}
		for range 20 {
			vals := values(f, rnd)
			got, err := f.Do(vals)
			if err != nil {
				t.Errorf("%s%v: %v", f.Name, vals, err)
				break
			}
			r := typed(t, own, c, f, vals)
			want, ok := r.Value(own.value)
			if own.memory != (want.Class == Memory) || !ok || want.Text != "" {
				t.Errorf("%s gives %v; said to be from memory: %v", f.Name, want, own.memory)
			}
			q, same := want.Quantity.In(unitOf(f.Unit, want.Quantity.Unit.Kind))
			if !same || math.Abs(got-q.Value) > 1e-9*math.Abs(got) {
				t.Errorf("%s%v gives %v, dose %s", f.Name, vals, got, want)
			}
		}
	}
}

// typed runs the computation with texts as a person types them.
func typed(t *testing.T, own function, c Computation, f *cond.Function, vals []vocab.Answer) Result {
	t.Helper()
	var pairs []string
	for _, pair := range own.fixed {
		for i, p := range f.Params {
			pair = strings.ReplaceAll(pair, "{"+p.Name+"}", strconv.FormatFloat(vals[i].Num, 'f', -1, 64))
		}
		pairs = append(pairs, pair)
	}
	for i, s := range own.slots {
		for _, key := range s.into() {
			if _, has := c.param(key); !has {
				continue
			}
			text := vals[i].Word
			if !s.words {
				text = strconv.FormatFloat(vals[i].Num, 'g', -1, 64) + " " + strings.TrimSpace(vocab.Units[s.unit])
			}
			pairs = append(pairs, key+"="+text)
		}
	}
	a, err := c.Parse(pairs)
	if err != nil {
		t.Fatalf("%s %q: %v", c.Name, pairs, err)
	}
	r, err := c.Run(a)
	if err != nil {
		t.Fatalf("%s %q: %v", c.Name, pairs, err)
	}
	return r
}

// A parameter said to be steady is never refused in its range, and what comes of it never turns.
func TestSteadyParameters(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for _, f := range Functions() {
		for i, p := range f.Params {
			if !p.Steady {
				continue
			}
			if p.From >= p.To {
				t.Errorf("%s of %s is steady over no range", p.Name, f.Name)
			}
			for range 10 {
				vals := values(f, rnd)
				var line []float64
				for k := range 41 {
					x := p.From + (p.To-p.From)*float64(k)/40
					if k%2 == 1 && p.From > 0 { // also where it is small
						x = p.From * math.Pow(p.To/p.From, float64(k)/40)
					}
					line = append(line, min(max(x, p.From), p.To))
				}
				slices.Sort(line)
				up, down := 0, 0
				last := math.NaN()
				for _, x := range line {
					vals[i] = vocab.Num(x)
					v, err := f.Do(vals)
					if err != nil {
						t.Fatalf("%s, %s = %v of %v: %v", f.Name, p.Name, x, vals, err)
					}
					if dust := 1e-9 * math.Abs(v); v > last+dust {
						up++
					} else if v < last-dust {
						down++
					}
					last = v
				}
				if up > 0 && down > 0 {
					t.Errorf("%s turns as %s rises, others %v", f.Name, p.Name, vals)
				}
			}
		}
	}
}

func TestFunctionsAreWellFormed(t *testing.T) {
	seen := map[string]bool{}
	for n, f := range Functions() {
		if !regexp.MustCompile(`^[a-z][a-z0-9_]*$`).MatchString(f.Name) || seen[f.Name] {
			t.Errorf("%q is no name of its own", f.Name)
		}
		seen[f.Name] = true
		if _, known := vocab.Units[f.Unit]; !known && f.Unit != "" {
			t.Errorf("%s gives %q, which is no unit", f.Name, f.Unit)
		}
		c, _ := ComputationOf(f.Name)
		for i, p := range f.Params {
			if _, known := vocab.Units[p.Unit]; !known && p.Unit != "" {
				t.Errorf("%s of %s is in %q, which is no unit", p.Name, f.Name, p.Unit)
			}
			s := functions[n].slots[i]
			if in, ok := c.param(s.into()[0]); ok && !s.words && s.unitIn(in).Kind == "" {
				t.Errorf("%s of %s cannot be given in %s", p.Name, f.Name, p.Unit)
			}
			if s.words != (len(p.Words) > 0) {
				t.Errorf("%s of %s: words %v", p.Name, f.Name, p.Words)
			}
		}
	}
}

// Outside a range a function refuses as its computation does: by how much, on whose authority.
func TestAFunctionRefusesOutsideItsRange(t *testing.T) {
	for _, f := range Functions() {
		for i, p := range f.Params {
			if p.From == p.To || len(p.Words) > 0 {
				continue
			}
			for _, x := range []float64{math.Nextafter(p.From, math.Inf(-1)), math.Nextafter(p.To, math.Inf(1))} {
				r, ok := f.Allow(i, vocab.Num(x)).(*Refusal)
				if !ok || r.What != OutOfRange || r.Range == "" || r.Source == "" || r.By == "" {
					t.Errorf("%s, %s = %v: %+v", f.Name, p.Name, x, r)
				}
			}
			for _, x := range []float64{p.From, p.To} {
				if err := f.Allow(i, vocab.Num(x)); err != nil {
					t.Errorf("%s, %s = %v: %v", f.Name, p.Name, x, err)
				}
			}
		}
	}
}

func BenchmarkFunctions(b *testing.B) {
	f := Functions()
	for range b.N {
		for _, one := range f {
			if one.Name == "dew_point" {
				if _, err := one.Do([]vocab.Answer{vocab.Num(20), vocab.Num(50)}); err != nil {
					b.Fatal(err)
				}
			}
		}
	}
}

var update = flag.Bool("update", false, "write the table of functions anew")

// The table of functions in the description of the pack language is made from the registry, so that it cannot drift.
func TestTheTableOfFunctions(t *testing.T) {
	const path = "../../rules/README.md"
	const start, end = "-update` -->\n", "<!-- end of the table -->"
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(data), start)
	_, after, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		t.Fatalf("%s has no place for the table", path)
	}
	want := before + start + table() + end + after
	if want == string(data) {
		return
	}
	if !*update {
		t.Fatalf("the table of functions in %s is out of date; run with -update", path)
	}
	if os.Getenv("CI") != "" {
		t.Fatal("-update is refused where CI is set: golden files are made by a person who reads them")
	}
	if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
		t.Fatal(err)
	}
}

func table() string {
	var b strings.Builder
	b.WriteString("\n| function | gives | by `tideline dose` |\n| --- | --- | --- |\n")
	rnd := rand.New(rand.NewPCG(5, 6))
	for n, f := range Functions() {
		_, value, err := Call(f.Name, values(f, rnd))
		if err != nil {
			panic(err)
		}
		var params []string
		for _, p := range f.Params {
			text := p.String()
			if p.Steady {
				text += " *"
			}
			params = append(params, strings.ReplaceAll(text, "*", `\*`))
		}
		gives := f.Unit
		if gives == "" {
			gives = "a plain number"
		}
		if f.Memory {
			gives += ", from memory"
		}
		b.WriteString("| `" + f.Name + "` (" + strings.Join(params, ", ") + ") | " + gives + " | `" + functions[n].computation + "`: " + value.Says + " |\n")
	}
	return b.String() + "\n"
}
