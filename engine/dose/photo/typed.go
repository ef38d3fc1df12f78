package photo

import (
	"math"
	"strconv"
	"strings"

	"tideline/engine/dose/colour"
)

// TypedPlace is [ParsePlace] for a place typed on a command line, where pixels go without saying.
func TypedPlace(s string) (Place, error) {
	text := strings.TrimSpace(s)
	if text != "" && strings.ContainsRune("0123456789.", rune(text[len(text)-1])) {
		text += " px"
	}
	return ParsePlace(text)
}

// ParsePatch reads "L,a,b@x,y,width,height": the known colour of a patch, and where it lies.
func ParsePatch(s string) (Patch, error) {
	known, place, found := strings.Cut(s, "@")
	parts := strings.Split(known, ",")
	if !found || len(parts) != 3 {
		return Patch{}, unfit("reference", `Write L*, a*, b* of the patch and its place, such as "70,0,0@4,10,30,40".`, "%q is not a patch", s)
	}
	var v [3]float64
	for i, p := range parts {
		f, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || math.IsNaN(f) || math.Abs(f) > 150 {
			return Patch{}, unfit("reference", "Give L* from 0 to 100, then a* and b*.", "%q is not a number that fits", strings.TrimSpace(p))
		}
		v[i] = f
	}
	pl, err := TypedPlace(place)
	return Patch{Place: pl, Known: colour.Lab{L: v[0], A: v[1], B: v[2]}}, err
}
