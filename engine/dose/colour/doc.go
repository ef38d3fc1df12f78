// Package colour turns colour readings into differences, fastness grades and
// whiteness or yellowness figures.
//
// In:  CIELAB or XYZ values, or sRGB bytes.
// Out: plain numbers; a Grade where a grey scale is meant.
// It knows no picture and no book. A picture is not a colour measurement: see
// package photo for what must be corrected first.
//
// Everything is computed in plain CIELAB units (L* 0 to 100). Working on
// Lab/100 tips one published CIEDE2000 pair to the other side of a branch.
package colour
