package record

import (
	"math"
	"testing"
)

// The values below are those of the check values "polygon_area_shoelace", "polyline_length" and
// "segment_distance_and_crossing" of the subject tear map geometry: arithmetic, so no published source is needed.

func TestArea(t *testing.T) {
	for _, tt := range []struct {
		name    string // of the case in polygon_area_shoelace
		points  []Point
		signed  float64
		simple  bool
		within  float64 // relative, or absolute for areas of 0
		corners int     // after repeated points are dropped
	}{
		{"unit square ccw", []Point{{0, 0}, {1, 0}, {1, 1}, {0, 1}}, 1, true, 1e-9, 4},
		{"unit square cw", []Point{{0, 0}, {0, 1}, {1, 1}, {1, 0}}, -1, true, 1e-9, 4},
		{"right triangle 3-4-5", []Point{{0, 0}, {4, 0}, {0, 3}}, 6, true, 1e-9, 3},
		{"L shape", []Point{{0, 0}, {4, 0}, {4, 1}, {1, 1}, {1, 3}, {0, 3}}, 6, true, 1e-9, 6},
		{"concave arrow", []Point{{0, 0}, {4, 0}, {4, 4}, {2, 1}, {0, 4}}, 10, true, 1e-9, 5},
		{"pentagon", []Point{{3, 4}, {5, 11}, {12, 8}, {9, 5}, {5, 6}}, -30, true, 1e-9, 5},
		{"page 170x260 mm", []Point{{0, 0}, {170, 0}, {170, 260}, {0, 260}}, 44200, true, 1e-9, 4},
		{"bow tie (self crossing)", []Point{{0, 0}, {2, 2}, {2, 0}, {0, 2}}, 0, false, 1e-9, 4},
		{"collinear", []Point{{0, 0}, {1, 1}, {2, 2}}, 0, false, 1e-9, 3},
		{"far from origin", []Point{{1e6, 1e6}, {1e6 + 1, 1e6}, {1e6 + 1, 1e6 + 1}, {1e6, 1e6 + 1}}, 1, true, 1e-9, 4},
		{"a repeated closing point must not change anything", []Point{{0, 0}, {4, 0}, {4, 0}, {0, 3}, {0, 0}}, 6, true, 1e-9, 3},
	} {
		p := outline(tt.points)
		if len(p) != tt.corners {
			t.Errorf("%s: %d corners, want %d", tt.name, len(p), tt.corners)
		}
		if got := signedArea(tt.points); math.Abs(got-tt.signed) > tt.within*max(1, math.Abs(tt.signed)) {
			t.Errorf("%s: area %v, want %v", tt.name, got, tt.signed)
		}
		if got, known := (Shape{Area: p}).Surface(); !known || math.Abs(got-math.Abs(tt.signed)) > tt.within*max(1, math.Abs(tt.signed)) {
			t.Errorf("%s: Surface %v, %v, want %v", tt.name, got, known, math.Abs(tt.signed))
		}
		if _, _, found := crossing(p); found == tt.simple {
			t.Errorf("%s: crossing %v, want %v", tt.name, found, !tt.simple)
		}
	}
	if _, known := (Shape{Line: []Point{{0, 0}, {1, 1}}}).Surface(); known {
		t.Error("a line has an area")
	}
}

func TestLength(t *testing.T) {
	for _, tt := range []struct { // the cases of polyline_length
		points []Point
		want   float64
	}{
		{[]Point{{0, 0}, {3, 4}}, 5},
		{[]Point{{0, 0}, {3, 4}, {3, 10}}, 11},
		{[]Point{{0, 0}, {1, 1}, {2, 0}, {3, 1}}, 4.242641},
		{[]Point{{7, 7}}, 0},
		{[]Point{{5, 5}, {5, 5}}, 0},
	} {
		if got, known := (Shape{Line: tt.points}).Length(); !known || math.Abs(got-tt.want) > 1e-6 {
			t.Errorf("length of %v = %v, %v, want %v", tt.points, got, known, tt.want)
		}
	}
	if _, known := (Shape{Area: []Point{{0, 0}, {1, 0}, {1, 1}}}).Length(); known {
		t.Error("the outline of an area counts as a length")
	}
}

func TestMeet(t *testing.T) {
	for _, tt := range []struct { // the cases of segment_distance_and_crossing
		name       string
		a, b, c, d Point
		want       bool
	}{
		{"cross at (1,1)", Point{0, 0}, Point{2, 2}, Point{0, 2}, Point{2, 0}, true},
		{"collinear apart", Point{0, 0}, Point{1, 0}, Point{2, 0}, Point{3, 0}, false},
		{"overlap", Point{0, 0}, Point{2, 0}, Point{1, 0}, Point{3, 0}, true},
		{"touch at (2,0)", Point{0, 0}, Point{2, 0}, Point{2, 0}, Point{2, 2}, true},
	} {
		for _, swapped := range []bool{false, true} {
			a, b, c, d := tt.a, tt.b, tt.c, tt.d
			if swapped {
				a, b, c, d = d, c, b, a
			}
			if got := meet(a, b, c, d); got != tt.want {
				t.Errorf("%s: meet = %v, want %v", tt.name, got, tt.want)
			}
		}
	}
}
