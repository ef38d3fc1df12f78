package dose_test

import (
	"fmt"
	"math"
	"os"
	"testing"

	"gopkg.in/yaml.v3"

	"tideline/engine/dose"
)

// A check is one entry of testdata/checks: published values to be met.
type check struct {
	ID, Class, Source string
	Tolerance         float64
	Columns           []string
	Rows              [][]any
	More              map[string]any `yaml:",inline"`
}

// checks reads a file of check values; a file without any fails the test.
func checks(t *testing.T, file string) map[string]check {
	t.Helper()
	data, err := os.ReadFile("../../testdata/checks/" + file)
	if err != nil {
		t.Fatal(err)
	}
	var doc struct{ Checks []check }
	if err := yaml.Unmarshal(data, &doc); err != nil {
		t.Fatal(err)
	}
	out := map[string]check{}
	for _, c := range doc.Checks {
		if c.Class == "" || c.Source == "" || out[c.ID].ID != "" {
			t.Errorf("%s: %q has no class or source, or stands twice", file, c.ID)
		}
		out[c.ID] = c
	}
	if len(out) == 0 {
		t.Fatalf("no checks in %s", file)
	}
	return out
}

// near holds a value against a published one. What is known from memory only is
// printed and never fails.
func (c check) near(t *testing.T, got, want, tol float64, label string, args ...any) {
	t.Helper()
	label = fmt.Sprintf(label, args...)
	if math.Abs(got-want) <= tol {
		return
	}
	if c.Class == "memory" {
		t.Logf("%s (from memory, for information) %s: got %.6g, remembered %.6g", c.ID, label, got, want)
		return
	}
	t.Errorf("%s %s: got %.8g, want %.8g ± %g (%s)", c.ID, label, got, want, tol, c.Source)
}

// list gives a named list of maps or rows of an entry; an empty one fails.
func (c check) list(t *testing.T, key string) []map[string]any {
	t.Helper()
	var out []map[string]any
	for _, x := range asList(c.More[key]) {
		if m, ok := x.(map[string]any); ok {
			out = append(out, m)
		}
	}
	if len(out) == 0 {
		t.Fatalf("%s has no %s", c.ID, key)
	}
	return out
}

func (c check) rows(t *testing.T) [][]any {
	t.Helper()
	if len(c.Rows) == 0 {
		t.Fatalf("%s has no rows", c.ID)
	}
	return c.Rows
}

func asList(v any) []any { l, _ := v.([]any); return l }

// f is a number of a check file; NaN where there is none.
func f(v any) float64 {
	switch x := v.(type) {
	case float64:
		return x
	case int:
		return float64(x)
	default:
		return math.NaN()
	}
}

func floats(v any) []float64 {
	var out []float64
	for _, x := range asList(v) {
		out = append(out, f(x))
	}
	return out
}

func texts(v any) []string {
	var out []string
	for _, x := range asList(v) {
		out = append(out, fmt.Sprint(x))
	}
	return out
}

// run does a computation; it must not be refused.
func run(t *testing.T, name string, args ...string) dose.Result {
	t.Helper()
	r, err := try(t, name, args...)
	if err != nil {
		t.Fatalf("%s %v: %v", name, args, err)
	}
	return r
}

func try(t *testing.T, name string, args ...string) (dose.Result, error) {
	t.Helper()
	c, ok := dose.Lookup(name)
	if !ok {
		t.Fatalf("no computation %q", name)
	}
	a, err := c.Parse(args)
	if err != nil {
		return dose.Result{}, err
	}
	return c.Run(a)
}

// get is a numeric value of a result.
func get(t *testing.T, r dose.Result, name string) float64 {
	t.Helper()
	v, ok := r.Value(name)
	if !ok || v.Text != "" {
		t.Fatalf("%s has no number %q", r.Name, name)
	}
	return v.Quantity.Value
}

func word(t *testing.T, r dose.Result, name string) string {
	t.Helper()
	v, ok := r.Value(name)
	if !ok {
		t.Fatalf("%s has no value %q", r.Name, name)
	}
	return v.Text
}
