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
