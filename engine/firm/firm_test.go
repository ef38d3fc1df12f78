package firm

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/worlds"
)

func rat(v float64) *big.Rat { return new(big.Rat).SetFloat64(v) }

// gap is the difference of two scores in exact rationals, with criterion k given the share t and the others kept in
// proportion; the weights are taken as they are, not as shares.
func gap(weights, d []float64, k int, t *big.Rat) *big.Rat {
	rest, sum := new(big.Rat), new(big.Rat)
	for j := range d {
		if j != k {
			rest.Add(rest, new(big.Rat).Mul(rat(weights[j]), rat(d[j])))
			sum.Add(sum, rat(weights[j]))
		}
	}
	rest.Quo(rest, sum)
	left := new(big.Rat).Sub(big.NewRat(1, 1), t)
	return new(big.Rat).Add(new(big.Rat).Mul(t, rat(d[k])), new(big.Rat).Mul(left, rest))
}

func random(rnd *rand.Rand, n int) (weights, d []float64) {
	sum := 0.0
	for range n {
		weights = append(weights, 0.01+rnd.Float64())
		d = append(d, float64(rnd.IntN(9)-4))
		sum += weights[len(weights)-1]
	}
	for k := range weights {
		weights[k] /= sum
	}
	return weights, d
}

// TestIntervalEnds: K1. Just inside each end the order stands, just outside it does not, in exact rationals; and K3: a
// criterion on which the two are alike has an end only where the others alone could tie, which they cannot.
func TestIntervalEnds(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 1))
	ends, whole := 0, 0
	for range 3000 {
		weights, d := random(rnd, 2+rnd.IntN(5))
		if score(d, weights) <= tie {
			continue
		}
		for k := range d {
			span := Interval(weights, d, k)
			for _, e := range []struct {
				at      float64
				outside float64
			}{{span.Least, -1e-9}, {span.Most, 1e-9}} {
				if e.at == 0 || e.at == 1 {
					whole++
					if gap(weights, d, k, rat(e.at)).Cmp(rat(-1e-12)) < 0 {
						t.Fatalf("weights %v, differences %v: criterion %d may not have all or nothing", weights, d, k)
					}
					continue
				}
				ends++
				in, out := gap(weights, d, k, rat(e.at-e.outside)), gap(weights, d, k, rat(e.at+e.outside))
				if in.Sign() <= 0 || out.Sign() >= 0 {
					t.Fatalf("weights %v, differences %v: criterion %d ends at %v", weights, d, k, e.at)
				}
			}
			if span.Least > weights[k] || span.Most < weights[k] {
				t.Fatalf("the weight %v is outside its own range %v", weights[k], span)
			}
		}
	}
	t.Logf("%d ends, %d ranges without one", ends, whole)
}

// TestAlikeHasWholeRange: K3. A criterion on which the candidates are alike may weigh anything.
func TestAlikeHasWholeRange(t *testing.T) {
	if got := Interval([]float64{0.5, 0.3, 0.2}, []float64{0, 2, 1}, 0); got != (Range{0, 1}) {
		t.Errorf("range %v", got)
	}
}

// TestMove: the smallest move makes a tie, and no smaller move between any two criteria does; where no bound is hit it is
// the gap by the widest difference (REASONING 4.6 as a formula; checked here against all moves between two).
func TestMove(t *testing.T) {
	rnd := rand.New(rand.NewPCG(2, 2))
	plain, bound := 0, 0
	for range 3000 {
		weights, d := random(rnd, 2+rnd.IntN(5))
		g := score(d, weights)
		if g <= tie {
			continue
		}
		move, from, to := Move(weights, d)
		least := math.Inf(1)
		for j := range d {
			for k := range d {
				if need := g / (d[j] - d[k]); d[j] > d[k] && need <= weights[j] {
					least = min(least, need)
				}
			}
		}
		switch {
		case move < 0:
			for k := range d {
				if d[k] < 0 {
					t.Fatalf("weights %v, differences %v: all the weight on %d would turn it", weights, d, k)
				}
			}
		case move > least+1e-9:
			t.Fatalf("weights %v, differences %v: move %v, but %v is enough", weights, d, move, least)
		case g/(d[from]-d[to]) <= weights[from]:
			plain++
			if math.Abs(move-g/(d[from]-d[to])) > 1e-12 {
				t.Fatalf("move %v, not %v", move, g/(d[from]-d[to]))
			}
		default:
			bound++
		}
	}
	t.Logf("%d moves between two, %d between more", plain, bound)
}

// TestShares: exact areas against draws, and by hand: x leads y where 2a > b, in three quarters of the unit square.
func TestShares(t *testing.T) {
	got, exact := Shares([][]float64{{2, 0}, {0, 1}}, []Range{{0, 1}, {0, 1}})
	if !exact || math.Abs(got[0]-0.75) > 1e-12 || math.Abs(got[1]-0.25) > 1e-12 {
		t.Errorf("shares %v, exact %v", got, exact)
	}
	rnd := rand.New(rand.NewPCG(3, 3))
	for range 40 {
		var values [][]float64
		for range 2 + rnd.IntN(4) {
			values = append(values, []float64{float64(rnd.IntN(5)), float64(rnd.IntN(5))})
		}
		box := []Range{{0.2, 1}, {0.1, 0.7}}
		want := make([]float64, len(values))
		draw(want, values, box, draws, rnd)
		got, _ := Shares(values, box)
		for i := range got {
			if math.Abs(got[i]-want[i]) > 0.02 {
				t.Errorf("%v: shares %v, drawn %v", values, got, want)
			}
		}
	}
}

// TestOnlyRankedIsCompared: K2, and the shares add up to one.
func TestOnlyRankedIsCompared(t *testing.T) {
	pairs, compared := 0, 0
	for seed := range 60 {
		w := worlds.New(t, rand.New(rand.NewPCG(uint64(seed), 21)))
		g, err := judge.Judge(evidence.Gather(w.Pack, w.Book(t, seed%3), time.Time{}))
		if err != nil {
			t.Fatal(err)
		}
		r := Of(g)
		for _, row := range r.Rows {
			for _, v := range row.Verdicts {
				if v.Word != judge.Recommended && v.Word != judge.Possible {
					t.Errorf("%s is ranked", v.Word)
				}
			}
		}
		sum := 0.0
		for _, l := range r.Leads {
			sum += l.Share
		}
		if len(r.Leads) > 0 && math.Abs(sum-1) > 1e-9 {
			t.Errorf("shares add up to %v", sum)
		}
		pairs += len(r.Pairs)
		for _, p := range r.Pairs {
			if !p.Unordered && !p.Tie {
				compared++
			}
		}
	}
	t.Logf("%d pairs, %d compared", pairs, compared)
	if compared == 0 {
		t.Error("the worlds are too narrow")
	}
}
