package ask

import (
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"gopkg.in/yaml.v3"
)

// check is one published worked example of testdata/checks/information.yaml, which names its source.
type check struct {
	ID        string
	Class     string
	Source    string
	Tolerance float64
	Chance    []float64
	Pays      map[string][]float64
	Expected  map[string]float64
	Perfect   float64
	Likely    [][]float64
	Sample    float64
}

// TestPublishedExamples reproduces worked examples of the expected value of information to their printed digits.
func TestPublishedExamples(t *testing.T) {
	text, err := os.ReadFile("../../testdata/checks/information.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Checks []check }
	if err := yaml.Unmarshal(text, &file); err != nil || len(file.Checks) == 0 {
		t.Fatalf("no checks: %v", err)
	}
	for _, c := range file.Checks {
		t.Run(c.ID, func(t *testing.T) {
			near := func(what string, got, want float64) {
				if math.Abs(got-want) > c.Tolerance {
					t.Errorf("%s: %v, printed is %v (%s)", what, got, want, c.Source)
				}
			}
			table := Table{Chance: c.Chance}
			actions := slices.Sorted(maps.Keys(c.Pays))
			for i, name := range actions {
				table.Pays = append(table.Pays, c.Pays[name])
				near(name, table.Expected(i, c.Chance), c.Expected[name])
			}
			near("perfect information", table.Perfect(), c.Perfect)
			if c.Likely != nil {
				near("the test", table.Sample(c.Likely), c.Sample)
			}
		})
	}
}

// TestInformationBounds: a test is worth nothing or more, never more than knowing, and one that says nothing nothing.
func TestInformationBounds(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 3))
	for range 500 {
		p, hit := rnd.Float64(), rnd.Float64()
		table := Table{Chance: []float64{p, 1 - p}, Pays: [][]float64{{100 * rnd.Float64(), -100 * rnd.Float64()}, {10, 10}}}
		miss := rnd.Float64()
		if v := table.Sample([][]float64{{hit, miss}, {1 - hit, 1 - miss}}); v < -dust || v > table.Perfect()+dust {
			t.Fatalf("a test is worth %v, knowing %v", v, table.Perfect())
		}
		if v := table.Sample([][]float64{{hit, hit}, {1 - hit, 1 - hit}}); math.Abs(v) > dust {
			t.Fatalf("a test that says nothing is worth %v", v)
		}
	}
}
