package words

import (
	"strings"
	"testing"

	"tideline/engine/evidence"
	"tideline/rules/vocab"
)

// TestHad: W7. An answered test would have been, an open one is "if it is", what can be treated is "if it were first", and
// what is given with the paper says so; each phrase stands for one state only.
func TestHad(t *testing.T) {
	thing := &evidence.Thing{Kind: vocab.Part, Path: "cover"}
	phrases := []string{"would have been", "if it is", "first", "given with the paper"}
	for _, tt := range []struct {
		nature vocab.Nature
		answer vocab.Answer
		want   string
	}{
		{vocab.Testable, vocab.Num(2), "would have been"},
		{vocab.Testable, vocab.Answer{}, "if it is"},
		{vocab.Treatable, vocab.Answer{}, "if it is"},
		{vocab.Treatable, vocab.Num(2), "first"},
		{vocab.Fixed, vocab.Num(2), "given with the paper"},
	} {
		q := &vocab.Question{ID: "part.wet", Asks: "How much comes off?", Type: vocab.Grade, From: 1, To: 5, Nature: tt.nature}
		got := Had(evidence.Ask{Thing: thing, Question: q, Answer: tt.answer}, "4 or above")
		for _, p := range phrases {
			if strings.Contains(got, p) != (p == tt.want) {
				t.Errorf("%s, known %v: %q", tt.nature, tt.answer.Known, got)
			}
		}
	}
}

// TestRanges writes answers as ranges, open to the side where the scale ends.
func TestRanges(t *testing.T) {
	grade := &vocab.Question{Type: vocab.Grade, From: 1, To: 5}
	var all []vocab.Answer
	for g := 1.0; g <= 5; g += 0.5 {
		all = append(all, vocab.Num(g))
	}
	number := &vocab.Question{Type: vocab.Number, Unit: "s", From: 0, To: 60}
	points := []vocab.Answer{vocab.Num(0), vocab.Num(5), vocab.Num(10), vocab.Num(35), vocab.Num(60)}
	yes := &vocab.Question{Type: vocab.YesNo}
	for _, tt := range []struct {
		q            *vocab.Question
		answers, all []vocab.Answer
		want         string
	}{
		{grade, all[6:], all, "4 or above"},
		{grade, all[8:], all, "5"},
		{grade, all[:5], all, "3 or below"},
		{grade, all[2:5], all, "2 to 3"},
		{grade, append(append([]vocab.Answer{}, all[:2]...), all[8]), all, "1-2 or below, or 5"},
		{grade, all, all, "anything"},
		{number, points[2:], points, "10 s or above"},
		{number, points[:2], points, "below 10 s"},
		{yes, []vocab.Answer{vocab.Yes(false)}, []vocab.Answer{vocab.Yes(false), vocab.Yes(true)}, "no"},
	} {
		if got := Ranges(tt.q, tt.answers, tt.all); got != tt.want {
			t.Errorf("got %q, want %q", got, tt.want)
		}
	}
}
