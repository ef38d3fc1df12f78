// Package dose computes the settings of a treatment and shows how.
//
// In:  a computation's name and its parameters as key=value texts with units.
// Out: a [Result]: named values, the working line by line (formula, numbers put
// in, result, unit, rounding), range, cautions and sources; or a [Refusal] that
// says which input lies outside which range, by how much, on whose authority,
// and what to do.
//
//	c, ok := dose.Lookup("peroxide")
//	args, err := c.Parse([]string{"stock=3 % w/v", "wanted=1 % w/v", "volume=500 mL"})
//	result, err := c.Run(args)
//
// The arithmetic is in the packages below it (acidbase, colour, lamp, climate,
// paper, solubility, shape, photo); this package gives it words, units, ranges
// and sources. Results are deterministic. A value whose class is [Memory] is
// information: [Result.Settled] doesn't return it, so nothing can be allowed or
// ruled out by it.
//
// What it doesn't do: it never says that a dose is enough, safe for a book, or
// allowed; it doesn't read files; it knows no treatment and no rule.
package dose
