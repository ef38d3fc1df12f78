package verify

import (
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"time"

	"tideline/engine/dose"
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/worlds"
	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
)

// shipped judges every example book by the shipped pack.
func shipped(t testing.TB) map[string]*judge.Judgement {
	t.Helper()
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.Trim(layer)}, faults, dose.Functions()...)
	paths, _ := filepath.Glob("../../testdata/books/*.yaml")
	all := map[string]*judge.Judgement{}
	for _, path := range paths {
		book := record.Load(path, nil, record.WordsOf(p), time.Time{}, faults)
		if faults.Len() > 0 {
			t.Fatal(faults.Err())
		}
		all[filepath.Base(path)] = judged(t, p, book)
	}
	if len(all) == 0 {
		t.Fatal("no example books")
	}
	return all
}

func judged(t testing.TB, p *pack.Pack, b *record.Book) *judge.Judgement {
	t.Helper()
	g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// howMany is on how many random packs a property is tried; TIDELINE_WORLDS asks for more.
func howMany() int {
	if n, err := strconv.Atoi(os.Getenv("TIDELINE_WORLDS")); err == nil {
		return n
	}
	return 40
}

// TestEveryVerdictOfEveryBook: P1 to P7 and P9, all proofs replay.
func TestEveryVerdictOfEveryBook(t *testing.T) {
	for name, g := range shipped(t) {
		start, all, c := time.Now(), Count{}, New(g)
		for _, v := range g.Verdicts {
			n, err := c.Check(g.Prove(v))
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
			all.Leaves, all.Steps, all.Unsearched = all.Leaves+n.Leaves, all.Steps+n.Steps, all.Unsearched+n.Unsearched
			if _, err := c.Premises(g.Prove(v), g.Premises(v)); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
		t.Logf("%s: %d verdicts, %+v, %v", name, len(g.Verdicts), all, time.Since(start))
	}
}

// TestEveryVerdictOfWorlds does the same for random packs and books, where every claim is searched to the end.
func TestEveryVerdictOfWorlds(t *testing.T) {
	checked, cut := 0, 0
	for seed := range howMany() {
		w := worlds.NewAny(t, rand.New(rand.NewPCG(uint64(seed), 11)), seed)
		for n := range 12 {
			g := judged(t, w.Pack, w.Book(t, n%7))
			if len(g.Contradictions) > 0 {
				continue
			}
			c := New(g)
			for _, v := range g.Verdicts {
				count, err := c.Check(g.Prove(v))
				if err != nil {
					t.Fatalf("seed %d, book %d: %v\n%s", seed, n, err, w.YAML)
				}
				checked++
				cut += count.Unsearched
			}
		}
	}
	t.Logf("%d verdicts, %d not searched to the end", checked, cut)
}

// TestCorruptedProofsAreNoticed is the mutation test of the checker: over worlds and shipped books, every corrupted proof
// is rejected.
func TestCorruptedProofsAreNoticed(t *testing.T) {
	made := map[string]int{}
	try := func(name string, g *judge.Judgement, rnd *rand.Rand, times int) {
		c := New(g)
		for _, tally := range Corrupt(c, rnd, times) {
			made[tally.Kind] += tally.Made
			for _, m := range tally.Missed {
				t.Errorf("%s: %s, not noticed: %s", name, tally.Kind, m)
			}
		}
	}
	rnd := rand.New(rand.NewPCG(5, 5))
	for name, g := range shipped(t) {
		if name != "parcel-from-the-attic.yaml" { // its verdicts take longest to go through, and have no other shape
			try(name, g, rnd, 26)
		}
	}
	for seed := range 60 {
		w := worlds.NewAny(t, rand.New(rand.NewPCG(uint64(seed), 13)), seed)
		for n := range 3 {
			if g := judged(t, w.Pack, w.Book(t, 2*n)); len(g.Contradictions) == 0 {
				try("a world", g, rnd, 5)
			}
		}
	}
	t.Log(made)
	for kind, n := range made {
		if n < 1000 {
			t.Errorf("%s: only %d were made", kind, n)
		}
	}
}

// TestAlteredDosesAreNoticed: a call of a function in a proof that gives another number, was given another, or refuses or
// does not, is rejected.
func TestAlteredDosesAreNoticed(t *testing.T) {
	tried := 0
	for seed := range 30 {
		w := worlds.NewDosed(t, rand.New(rand.NewPCG(uint64(seed), 23)))
		g := judged(t, w.Pack, w.Book(t, seed%3))
		for _, v := range g.Verdicts {
			p := g.Prove(v)
			for _, list := range [][]*judge.Proof{p.RulesOut, p.CalledFor, p.For, p.Against} {
				for i := range list {
					whole := list[i]
					for n, node := range flat(whole, nil) {
						if node.Step != judge.StepDose {
							continue
						}
						for _, alter := range []func(d *judge.Dosed, p *judge.Proof){
							func(d *judge.Dosed, p *judge.Proof) { d.Value++; p.Value = cond.True },
							func(d *judge.Dosed, _ *judge.Proof) { d.Values = d.Values[1:] },
							func(d *judge.Dosed, _ *judge.Proof) { d.Values[len(d.Values)-1].Num++ },
							func(d *judge.Dosed, p *judge.Proof) {
								if d.Refusal = errors.New("no"); p.Dose.Refusal != nil {
									d.Refusal = nil
								}
							},
							func(_ *judge.Dosed, p *judge.Proof) { p.Text += " " },
						} {
							changed := clone(whole)
							at := flat(changed, nil)[n]
							d := *node.Dose
							d.Values = slices.Clone(d.Values)
							alter(&d, at)
							at.Dose = &d
							list[i] = changed
							tried++
							if _, err := New(g).Check(p); err == nil {
								t.Fatalf("seed %d: %s altered to %+v is taken", seed, node.Text, d)
							}
							list[i] = whole
						}
					}
				}
			}
		}
	}
	if tried < 200 {
		t.Errorf("only %d were altered", tried)
	}
}
