package trial

import (
	"os"
	"slices"
	"testing"

	"gopkg.in/yaml.v3"
)

// TestPublishedOrders holds the orders of the packs against those that published cases state. Where they differ the reason is
// written beside it.
func TestPublishedOrders(t *testing.T) {
	text, err := os.ReadFile("../../testdata/cases/orders.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var cases []struct {
		Case    string
		Steps   []string
		Differs map[string]string
	}
	if err := yaml.Unmarshal(text, &cases); err != nil {
		t.Fatal(err)
	}
	p := shippedPack(t)
	pairs, stated := 0, 0
	for _, c := range cases {
		for i, first := range c.Steps {
			for _, later := range c.Steps[i+1:] {
				a, b := p.Treatment(first), p.Treatment(later)
				if a == nil || b == nil {
					t.Fatalf("%s: no treatment %s or %s", c.Case, first, later)
				}
				pairs++
				if slices.Contains(a.Before, b.ID) || slices.Contains(b.After, a.ID) {
					stated++
				}
				reversed := slices.Contains(b.Before, a.ID) || slices.Contains(a.After, b.ID)
				if because := c.Differs[first+" "+later]; reversed != (because != "") {
					t.Errorf("%s has %s before %s; the packs have it the other way round: %v, and the table says %q", c.Case, first, later, reversed, because)
				}
			}
		}
	}
	t.Logf("%d cases, %d pairs, %d of them ordered so by the packs", len(cases), pairs, stated)
}
