// Package paper holds the figures for paper itself: how much it grows when
// wetted, how much alkali it holds, what the permanence standards ask.
//
// In:  mm, g/m², g/kg.
// Out: the same. Bands are given as bands; none is a measurement of the book
// in hand.
package paper
