// Package shape measures lines and outlines on a sheet.
//
// In:  points in one unit, usually mm, y downward from the top left corner.
// Out: lengths, areas, and where a point lies.
// A crossing outline is refused, never summed in silence.
package shape
