package dose

import (
	"math"
	"slices"
)

// subjects lists the computations in the order of the work.
func subjects() [][]Computation {
	return [][]Computation{
		dilutions, recipes, limes, waters, reserves, papers,
		solvents, lights, hazards, airs, heats, colours, tears,
	}
}

var registry = func() []Computation {
	var out []Computation
	for _, s := range subjects() {
		for _, c := range s {
			out = append(out, guarded(c))
		}
	}
	return out
}()

// All lists every computation, by subject.
func All() []Computation { return slices.Clone(registry) }

// Names lists the names, in the order of [All], for a "did you mean".
func Names() []string {
	var out []string
	for _, c := range registry {
		out = append(out, c.Name)
	}
	return out
}

// Lookup finds a computation by its exact name.
func Lookup(name string) (Computation, bool) {
	for _, c := range registry {
		if c.Name == name {
			return c, true
		}
	}
	return Computation{}, false
}

// guarded makes sure that a computation runs only on its own parsed inputs, and
// never hands out a number that isn't one.
func guarded(c Computation) Computation {
	run := c.Run
	c.Run = func(a Args) (Result, error) {
		if a.computation != c.Name {
			return Result{}, &Refusal{What: NotRead, Computation: c.Name, Why: "its inputs were not read for it", Help: "Read them with Parse of this computation first."}
		}
		r, err := run(a)
		if err != nil {
			if ref, ok := err.(*Refusal); ok && ref.Computation == "" {
				ref.Computation = c.Name
			}
			return Result{}, err
		}
		r.Name, r.Says = c.Name, c.Says
		for _, v := range r.Values {
			if math.IsNaN(v.Quantity.Value) {
				return Result{}, &Refusal{What: Impossible, Computation: c.Name, Input: v.Name, Why: "the sum has no answer for these inputs", Help: "Check the numbers and their units."}
			}
		}
		return r, nil
	}
	return c
}

// impossible is the refusal for inputs that are each in range but don't go
// together.
func impossible(input, help, why string) *Refusal {
	return &Refusal{What: Impossible, Input: input, Why: why, Help: help}
}

// unsupported is the refusal for what no source was found for.
func unsupported(input, help, why string) *Refusal {
	return &Refusal{What: Unsupported, Input: input, Why: why, Help: help}
}

// outside is a range refusal found while running.
func outside(input string, q Quantity, from, to float64, src, help string) *Refusal {
	by := from - q.Value
	if q.Value > to {
		by = q.Value - to
	}
	return &Refusal{
		What: OutOfRange, Input: input, Given: q.String(), Why: "it lies outside what the sum supports",
		Range: num(from) + " to " + Quantity{Value: to, Unit: q.Unit}.String(), By: Quantity{Value: by, Unit: q.Unit}.String(), Source: sourceTitle(src), Help: help,
	}
}
