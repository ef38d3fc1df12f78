package firm

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"tideline/engine/judge"
)

// draws is how many weights are drawn where the shares cannot be had exactly: 1.96²·0.25/0.01² = 9,604 make each share
// right to 0.01 with 95 % confidence (the usual interval for a proportion, at its widest).
const draws = 9604

// seed makes the draws the same every time.
const seed = 20260101

// lead finds how large a share of the admissible weights puts each row first.
func (r *Result) lead(g *judge.Judgement) {
	var rows []*Row
	for _, row := range r.Rows {
		if row.Verdicts[0].Word == r.Rows[0].Verdicts[0].Word && !row.Loose {
			rows = append(rows, row)
		}
	}
	if len(rows) == 0 {
		return
	}
	var matter []int // criteria on which the rows differ; the others move all alike
	for k := range r.Criteria {
		if slices.ContainsFunc(rows, func(row *Row) bool { return row.Values[k] != rows[0].Values[k] }) {
			matter = append(matter, k)
		}
	}
	var values [][]float64
	for _, row := range rows {
		var v []float64
		for _, k := range matter {
			v = append(v, row.Values[k])
		}
		values = append(values, v)
	}
	box := make([]Range, len(matter))
	for i, k := range matter {
		c := r.Criteria[k]
		w := g.Weights[c.ID]
		box[i] = Range{min(c.From, w), max(c.To, w)}
	}
	shares, exact := Shares(values, box)
	r.Exact = exact
	if !exact {
		r.Draws, r.Error = draws, 1.96*math.Sqrt(0.25/draws)
	}
	for i, row := range rows {
		r.Leads = append(r.Leads, Lead{row, shares[i]})
	}
	slices.SortStableFunc(r.Leads, func(a, b Lead) int { return cmp.Compare(b.Share, a.Share) })
}

// Shares gives the share of the weights in a box under which each candidate has the highest score; those that lead
// together share alike. It is exact for up to two criteria, else found by drawing weights.
func Shares(values [][]float64, box []Range) (shares []float64, exact bool) {
	shares = make([]float64, len(values))
	fixed := slices.DeleteFunc(slices.Clone(box), func(b Range) bool { return b.Least == b.Most })
	if len(box) == 2 && len(fixed) == 2 {
		for i := range values {
			shares[i] = area(values, box, i)
		}
		return shares, true
	}
	if len(box) == 0 || len(fixed) == 0 {
		draw(shares, values, box, 1, nil)
		return shares, true
	}
	if len(box) == 1 && box[0].Least >= 0 { // scores keep their order whatever the one weight
		draw(shares, values, []Range{{max(box[0].Most, 1e-9), max(box[0].Most, 1e-9)}}, 1, nil)
		return shares, true
	}
	draw(shares, values, box, draws, rand.New(rand.NewPCG(seed, draws)))
	return shares, false
}

// draw counts the leaders over weights drawn evenly from the box; without a source, its corner is taken.
func draw(shares []float64, values [][]float64, box []Range, n int, rnd *rand.Rand) {
	w := make([]float64, len(box))
	for range n {
		for k, b := range box {
			w[k] = b.Least
			if rnd != nil {
				w[k] += (b.Most - b.Least) * rnd.Float64()
			}
		}
		best, leaders := math.Inf(-1), []int(nil)
		for i, v := range values {
			switch s := score(v, w); {
			case s > best+1e-12:
				best, leaders = s, []int{i}
			case s >= best-1e-12:
				leaders = append(leaders, i)
			}
		}
		for _, i := range leaders {
			shares[i] += 1 / float64(n*len(leaders))
		}
	}
}

// area is the share of a box of two weights in which a candidate leads: the box, cut by every other candidate's line.
func area(values [][]float64, box []Range, i int) float64 {
	polygon := [][2]float64{{box[0].Least, box[1].Least}, {box[0].Most, box[1].Least}, {box[0].Most, box[1].Most}, {box[0].Least, box[1].Most}}
	equal := 1.0
	for j, v := range values {
		a, b := values[i][0]-v[0], values[i][1]-v[1]
		switch {
		case j == i:
		case a == 0 && b == 0:
			equal++
		default:
			polygon = clip(polygon, a, b)
		}
	}
	sum := 0.0
	for k, p := range polygon {
		q := polygon[(k+1)%len(polygon)]
		sum += p[0]*q[1] - q[0]*p[1]
	}
	return sum / 2 / ((box[0].Most - box[0].Least) * (box[1].Most - box[1].Least)) / equal
}

// clip cuts a polygon down to where a·x + b·y is not negative.
func clip(polygon [][2]float64, a, b float64) (out [][2]float64) {
	for k, p := range polygon {
		q := polygon[(k+1)%len(polygon)]
		s, t := a*p[0]+b*p[1], a*q[0]+b*q[1]
		if s >= 0 {
			out = append(out, p)
		}
		if s > 0 && t < 0 || s < 0 && t > 0 {
			f := s / (s - t)
			out = append(out, [2]float64{p[0] + f*(q[0]-p[0]), p[1] + f*(q[1]-p[1])})
		}
	}
	return out
}
