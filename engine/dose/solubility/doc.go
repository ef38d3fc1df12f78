// Package solubility places liquids by Hansen's three parameters and in the
// Teas triangle, and fits the region that dissolves an ink from spot tests.
//
// In:  parameters in MPa^0.5, volume parts, and what each liquid did.
// Out: distances, a sphere, a triangle region, and for every other liquid
// whether the tests settle it.
//
// A handful of spots settles little. A liquid is called settled only when every
// sphere that agrees with the tests agrees on it.
package solubility
