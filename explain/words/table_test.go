package words

import (
	"slices"
	"strings"
	"testing"

	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// TestOnePhraseOneState checks that no phrase of the table serves two states, and that none is missing.
func TestOnePhraseOneState(t *testing.T) {
	said := map[string]string{}
	say := func(state, phrase string) {
		t.Helper()
		if phrase == "" {
			t.Errorf("no phrase for %s", state)
		}
		if other, twice := said[phrase]; twice {
			t.Errorf("%q is said of %s and of %s", phrase, other, state)
		}
		said[phrase] = state
	}
	for _, w := range []judge.Word{judge.Recommended, judge.Possible, judge.TestFirst, judge.RuledOut, judge.NoNeed} {
		say("verdict "+string(w), Heading(w))
	}
	values := []cond.Truth{cond.True, cond.False, cond.Open}
	for _, e := range pack.Effects {
		for _, v := range values {
			say("effect "+string(e)+" "+v.String(), Effect(e, v))
		}
	}
	for _, s := range []judge.Step{judge.StepAnd, judge.StepOr, judge.StepNot, judge.StepAll, judge.StepExists, judge.StepCount, judge.StepAtom, judge.StepFact} {
		for _, v := range values {
			say("step "+s.String()+" "+v.String(), Step(s, v))
		}
	}
	for _, v := range values {
		say("nothing in the list, "+v.String(), Empty(v))
	}
	for _, phrase := range []string{
		SettlesAlone, EitherWay, AlsoRulesOut, HangsOn, WouldRuleOut, Calls, MayCall, NoCall, NeedsFirst, NeededBy, SpeaksFor,
		SpeaksAgainst, StillOpen, WatchFor, NoLongerStands, DoNotApply, ToTest, CannotBothBe, NothingCalls, NoRuleCalls, OnlyForRuledOut, ServesNoAim,
		NotOutweighed, Tie, NoOrder, Unproven, Sampled, CannotCompute, NoNumberGiven, WaitsForAnswers, ComputedSettings, AsWritten, NotTested, NotListed, SameAsAbove, BookAnswers, LocalRules, PersonDecides,
	} {
		say("the phrase "+phrase, phrase)
	}
}

// TestSupport holds the phrase for the arguments against what REASONING calls for: "for 5, against 2; still open: 1 either way".
func TestSupport(t *testing.T) {
	for _, tt := range []struct {
		inFavour, against, openFor, openAgainst float64
		want                                    string
	}{
		{5, 2, 1, 1, "for 5, against 2; still open: 1 either way"},
		{5, 2, 0, 0, "for 5, against 2"},
		{5, 2, 1.25, 0, "for 5, against 2; still open: 1.25 for"},
		{5, 2, 0, 0.5, "for 5, against 2; still open: 0.5 against"},
		{0, 0, 1, 2, "for 0, against 0; still open: 1 for, 2 against"},
	} {
		if got := Support(tt.inFavour, tt.against, tt.openFor, tt.openAgainst); got != tt.want {
			t.Errorf("got %q, want %q", got, tt.want)
		}
	}
}

// TestRange says for every way to compare which answers pass, and which do not.
func TestRange(t *testing.T) {
	grade := &vocab.Question{Type: vocab.Grade, From: 1, To: 5}
	four := []vocab.Answer{vocab.Num(4)}
	for _, tt := range []struct{ op, passes, fails string }{
		{"<", "below 4", "4 or above"},
		{"<=", "4 or below", "above 4"},
		{">", "above 4", "4 or below"},
		{">=", "4 or above", "below 4"},
		{"==", "4", "anything but 4"},
		{"!=", "anything but 4", "4"},
		{"in", "one of 4", "anything but 4"},
	} {
		test := &cond.Test{Op: tt.op, Values: four}
		if got := Range(test, grade, true); got != tt.passes {
			t.Errorf("%s passes: got %q, want %q", tt.op, got, tt.passes)
		}
		if got := Range(test, grade, false); got != tt.fails {
			t.Errorf("%s fails: got %q, want %q", tt.op, got, tt.fails)
		}
	}
}

// TestRangeYesNo says no for what is not yes.
func TestRangeYesNo(t *testing.T) {
	q := &vocab.Question{Type: vocab.YesNo}
	for _, tt := range []struct {
		op     string
		value  bool
		passes bool
		want   string
	}{
		{"==", true, true, "yes"},
		{"==", true, false, "no"},
		{"==", false, true, "no"},
		{"==", false, false, "yes"},
		{"!=", true, true, "no"},
		{"!=", true, false, "yes"},
	} {
		test := &cond.Test{Op: tt.op, Values: []vocab.Answer{vocab.Yes(tt.value)}}
		if got := Range(test, q, tt.passes); got != tt.want {
			t.Errorf("%s %v, passes %v: got %q, want %q", tt.op, tt.value, tt.passes, got, tt.want)
		}
	}
}

// TestCells writes the stretch of a number that a case stands for. The points are cuts and what lies between, by turns.
func TestCells(t *testing.T) {
	q := &vocab.Question{Type: vocab.Number, Unit: "s", From: 0, To: 600}
	var all []vocab.Answer
	for _, v := range []float64{0, 5, 10, 20, 30, 315, 600} { // cut at 10 and 30
		all = append(all, vocab.Num(v))
	}
	for _, tt := range []struct {
		from, to int
		want     string
	}{
		{0, 1, "below 10 s"},
		{0, 2, "10 s or below"},
		{2, 6, "10 s or above"},
		{3, 6, "above 10 s"},
		{2, 2, "10 s"},
		{2, 3, "10 s or above and below 30 s"},
		{3, 3, "above 10 s and below 30 s"},
		{3, 4, "above 10 s and 30 s or below"},
		{0, 6, "anything"},
	} {
		if got := Cells(q, all[tt.from:tt.to+1], all); got != tt.want {
			t.Errorf("%d to %d: got %q, want %q", tt.from, tt.to, got, tt.want)
		}
	}
	word := &vocab.Question{Type: vocab.Words}
	if got := Cells(word, []vocab.Answer{vocab.Word("rag"), vocab.Word("wood")}, nil); got != "rag or wood" {
		t.Errorf("words: %q", got)
	}
}

// FuzzSafe checks that nothing a terminal would obey gets through, and that what is harmless stays as it is.
func FuzzSafe(f *testing.F) {
	for _, s := range []string{"plain", "a\nb", "\x1b[2J", "\u202eabc", "\u009b31m", "tab\t", "é 日本"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		safe := Safe(s)
		if strings.ContainsFunc(safe, unsafe) {
			t.Errorf("%q came through as %q", s, safe)
		}
		if !strings.ContainsFunc(s, unsafe) && safe != s {
			t.Errorf("%q was changed to %q", s, safe)
		}
		if slices.Contains([]byte(safe), 0x1b) {
			t.Errorf("an escape byte in %q", safe)
		}
	})
}
