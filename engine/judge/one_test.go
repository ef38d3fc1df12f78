package judge

import (
	"slices"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/worlds"
)

// One says of a treatment what Judge says of it among all.
func TestOne(t *testing.T) {
	seen := map[Word]int{}
	each(t, 5, func(t *testing.T, w *worlds.World, n int) {
		c := evidence.Gather(w.Pack, w.Book(t, n), time.Time{})
		for _, v := range judged(t, c).Verdicts {
			_, one, err := One(c, v.Treatment.ID, v.Target.Path)
			if err != nil {
				t.Fatal(err)
			}
			seen[v.Word]++
			if one == nil || one.Word != v.Word || one.Least != v.Least || one.Most != v.Most || !slices.Equal(one.Open, v.Open) || one.EitherWay != v.EitherWay {
				t.Fatalf("%s on %s alone: %+v, among all: %+v", v.Treatment.ID, v.Target.Path, one, v)
			}
		}
	})
	if len(seen) < 5 {
		t.Error("not every verdict came up:", seen)
	}
}

// After one verdict, another state of the book is judged whole; nowhere, and on a thing of another kind, there is none.
func TestOneAgain(t *testing.T) {
	p := worlds.Load(t, rules("b: {treatment: bath, called for when: 'part.u'}", "f: {treatment: brush, called for when: 'part.n > 3'}"))
	c := evidence.Gather(p, worlds.Parse(t, p, seen("n: 5, u: yes")), time.Time{})
	g, v, err := One(c, "bath", "cover")
	if err != nil || v == nil {
		t.Fatal(v, err)
	}
	other := c.With(evidence.Change{Number: c.Number(c.At("cover"), p.Vocabulary.Question("part.u"))})
	again, err := g.Again(other)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := told(again), told(judged(t, other)); got != want {
		t.Error(firstDifference(want, got))
	}
	for _, path := range []string{"nowhere", "cover/outside"} {
		if _, v, err := One(c, "bath", path); v != nil || err != nil {
			t.Errorf("a bath on %s: %v (%v)", path, v, err)
		}
	}
}
