package solubility

import "math"

// maximise solves: greatest c·x with A x = b, x >= 0, where each row of ab is a
// row of A with b (not negative) after it. It is the two-phase simplex with
// Bland's rule, so it ends; it is meant for a handful of rows.
func maximise(ab [][]float64, c []float64) (best float64, feasible bool) {
	rows, n := len(ab), len(c)
	width := n + rows + 1
	t := make([][]float64, rows)
	basis := make([]int, rows)
	phase1 := make([]float64, width)
	for i, r := range ab {
		t[i] = make([]float64, width)
		copy(t[i], r[:n])
		t[i][n+i], t[i][width-1] = 1, r[n]
		basis[i] = n + i
		for j := range n {
			phase1[j] += r[j]
		}
		phase1[width-1] += r[n]
	}
	// Phase 1 drives the artificial columns out: phase1 holds the reduced gain.
	pivotAll(t, basis, phase1, n)
	if phase1[width-1] > 1e-9 {
		return 0, false
	}
	gain := make([]float64, width)
	copy(gain, c)
	for i, b := range basis {
		if b < n {
			f := gain[b]
			for j := range gain {
				gain[j] -= f * t[i][j]
			}
		}
	}
	if !pivotAll(t, basis, gain, n) {
		return math.Inf(1), true
	}
	return -gain[width-1], true
}

// pivotAll pivots while a column under n still gains; false means unbounded.
func pivotAll(t [][]float64, basis []int, gain []float64, n int) bool {
	const eps = 1e-11
	last := len(gain) - 1
	for range 5000 {
		col := -1
		for j := range n {
			if gain[j] > eps {
				col = j
				break
			}
		}
		if col < 0 {
			return true
		}
		row, ratio := -1, math.Inf(1)
		for i := range t {
			if t[i][col] <= eps {
				continue
			}
			r := t[i][last] / t[i][col]
			if r < ratio-eps || r < ratio+eps && row >= 0 && basis[i] < basis[row] {
				row, ratio = i, r
			}
		}
		if row < 0 {
			return false
		}
		pivot(t, gain, row, col)
		basis[row] = col
	}
	return true
}

func pivot(t [][]float64, gain []float64, row, col int) {
	p := t[row][col]
	for j := range t[row] {
		t[row][j] /= p
	}
	for i := range t {
		if i != row && t[i][col] != 0 {
			subtract(t[i], t[row], t[i][col])
		}
	}
	subtract(gain, t[row], gain[col])
}

func subtract(a, b []float64, f float64) {
	for j := range a {
		a[j] -= f * b[j]
	}
}
