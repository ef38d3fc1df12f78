// Package firm says how firm a ranking is.
//
// In:  a judgement. Out: for each place the range of each criterion's weight, and the smallest move of weight, that keep
// it before the next; and the share of the admissible weights under which each candidate leads.
//
// Weights are taken as shares of their sum. Only what is ranked is compared, and only with what has the same verdict: no
// weight makes a possible treatment recommended here, and none lifts a ruling-out.
package firm

import (
	"cmp"
	"slices"

	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// Row is a place of the ranking: verdicts whose arguments weigh the same on every criterion.
type Row struct {
	Verdicts []*judge.Verdict
	Values   []float64 // by criterion: weights of arguments for less those against, open ones at their worst
	Score    float64   // by the weights as they are
	// Loose marks a row whose open arguments hang together, so that its worst depends on the weights: it is not compared.
	Loose bool
}

// Pair is two places next to each other.
type Pair struct {
	Above, Below *Row
	// Unordered: what is open could turn the two round; Tie: they weigh the same. Neither has ranges.
	Unordered, Tie bool
	Ranges         []Range // by criterion, of the whole range where it makes no difference
	// Move is the smallest share of the whole weight that, moved between criteria, makes a tie; negative when none does.
	Move     float64
	From, To int // the criteria between which most of it moves
}

// Range is the share of the whole weight that a criterion may have, the others kept in proportion.
type Range struct{ Least, Most float64 }

// Result is how firm a ranking is.
type Result struct {
	Criteria []*pack.Criterion
	Weights  []float64 // as shares of their sum
	Rows     []*Row    // in the order of the ranking
	Pairs    []Pair
	Leads    []Lead // of the rows of the first verdict, by share
	Exact    bool   // whether the shares are
	Draws    int    // where they are not
	Error    float64
}

// Lead is the share of the admissible weights under which a row is first.
type Lead struct {
	Row   *Row
	Share float64
}

// tie is the least difference of scores that counts; weights and their criteria are declared to two places.
const tie = 1e-6

// Of says how firm the ranking of a judgement is.
func Of(g *judge.Judgement) *Result {
	r := &Result{}
	sum := 0.0
	for _, k := range g.Case.Pack.Criteria {
		r.Criteria = append(r.Criteria, k)
		r.Weights = append(r.Weights, g.Weights[k.ID])
		sum += g.Weights[k.ID]
	}
	if sum <= 0 {
		return r
	}
	for k := range r.Weights {
		r.Weights[k] /= sum
	}
	for _, v := range g.Verdicts {
		if v.Rank > 0 {
			r.add(v, sum)
		}
	}
	for i := range r.Rows[:max(0, len(r.Rows)-1)] {
		if a, b := r.Rows[i], r.Rows[i+1]; a.Verdicts[0].Word == b.Verdicts[0].Word {
			r.Pairs = append(r.Pairs, r.pair(a, b))
		}
	}
	r.lead(g)
	return r
}

// add takes a verdict into the last row, or makes it a row of its own.
func (r *Result) add(v *judge.Verdict, sum float64) {
	row := &Row{Verdicts: []*judge.Verdict{v}, Values: make([]float64, len(r.Criteria))}
	for _, i := range v.Instances {
		sign := map[pack.Effect]float64{pack.For: 1, pack.Against: -1}[i.Rule.Effect]
		if sign == 0 || i.Value == cond.False || i.Value == cond.Open && sign > 0 {
			continue
		}
		row.Values[slices.Index(r.Criteria, i.Rule.Criterion)] += sign * i.Rule.Weight
	}
	row.Score = score(row.Values, r.Weights)
	row.Loose = different(row.Score*sum, v.Least)
	if n := len(r.Rows); n > 0 {
		last := r.Rows[n-1]
		first := last.Verdicts[0]
		if first.Word == v.Word && first.Least == v.Least && first.Most == v.Most && slices.Equal(last.Values, row.Values) && !row.Loose && !last.Loose {
			last.Verdicts = append(last.Verdicts, v)
			return
		}
	}
	r.Rows = append(r.Rows, row)
}

func different(a, b float64) bool { return a-b > tie || b-a > tie }

func score(values, weights []float64) (s float64) {
	for k, v := range values {
		s += v * weights[k]
	}
	return s
}

// pair compares two places.
func (r *Result) pair(a, b *Row) Pair {
	p := Pair{
		Above: a, Below: b, Move: -1, Unordered: a.Loose || b.Loose || a.Verdicts[0].Least < b.Verdicts[0].Most && a.Verdicts[0].Least > b.Verdicts[0].Least,
		Tie: !different(a.Score, b.Score),
	}
	if p.Unordered || p.Tie {
		return p
	}
	d := make([]float64, len(a.Values))
	for k := range d {
		d[k] = a.Values[k] - b.Values[k]
		p.Ranges = append(p.Ranges, Range{0, 1})
	}
	for k := range d {
		p.Ranges[k] = Interval(r.Weights, d, k)
	}
	p.Move, p.From, p.To = Move(r.Weights, d)
	return p
}

// Interval gives the shares that one criterion may have, the others kept in proportion, so that the order of two
// candidates stands: d is the difference of their values by criterion, and weights, which add up to 1, put the first
// before the second. The order flips where t·d[k] + (1-t)·R is 0, R being what the other criteria make of it.
func Interval(weights, d []float64, k int) Range {
	if weights[k] >= 1 {
		return Range{0, 1} // the others have no proportion to keep
	}
	rest := 0.0
	for j, w := range weights {
		if j != k {
			rest += w * d[j]
		}
	}
	rest /= 1 - weights[k]
	span := Range{0, 1}
	if rest == d[k] {
		return span
	}
	at := rest / (rest - d[k])
	switch {
	case at < 0 || at > 1:
	case d[k] < rest: // more weight on it speaks for the second
		span.Most = at
	default:
		span.Least = at
	}
	return span
}

// Move gives the smallest share of the whole weight that, moved between criteria, makes a tie: taken from those that
// speak most for the first candidate, and given to the one that speaks most for the second. It is negative when no move
// makes a tie. from and to are the criteria between which the first of it moves.
func Move(weights, d []float64) (move float64, from, to int) {
	order := make([]int, len(d))
	for k := range order {
		order[k] = k
		if d[k] < d[to] {
			to = k
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(d[b], d[a]) })
	left := score(d, weights)
	from = -1
	for _, k := range order {
		gain := d[k] - d[to]
		if gain <= 0 || weights[k] <= 0 {
			continue
		}
		if from < 0 {
			from = k
		}
		if part := left / gain; part <= weights[k] {
			return move + part, from, to
		}
		move += weights[k]
		left -= weights[k] * gain
	}
	return -1, from, to
}
