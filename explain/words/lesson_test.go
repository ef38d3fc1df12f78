package words

import (
	"testing"

	"tideline/engine/lesson"
)

// TestLessonPhrases checks that every kind of exercise and every state of a lesson has a phrase of its own.
func TestLessonPhrases(t *testing.T) {
	said := map[string]bool{}
	say := func(phrase string) {
		t.Helper()
		if phrase == "" || said[phrase] {
			t.Errorf("%q is missing or said of two states", phrase)
		}
		said[phrase] = true
	}
	for _, k := range lesson.Kinds {
		say(LessonKind(k))
	}
	for _, phrase := range []string{
		LessonKeys, TakenOtherwise, KnownOfIt, WhichVerdict, WhichReason, WhichOut, WhichNext, WhichOrder, WhichPrinciple, RightAnswer,
		WrongAnswer, TryAgain, TheAnswer, FirstFailing, NotNamed, NothingReads, NoRuleCould, NothingStands, NotConsidered, OnlyThatKnown,
		WithThatAnswer, AlsoEnough, NotRuledOut, MissedOut, SettlesNothing, GivenOfIt, AskedFirst, NoMoreExercises, StoppedNow, ScoreSheet,
		NothingAnswered, LookAtAgain, AnyOrderElse, NoneOfThem, PassWord, LineTooLong, GiveAll, NoAnswerGiven, OneOnly,
		NotTested, NoTestHelps, SettlesAlone, EitherWay, CannotBothBe,
	} {
		say(phrase)
	}
	for _, n := range []int{1, 2} { // one and many read differently
		say(HintSize(n))
		say(HintCount(n))
		say(HintPairs(n))
		say(MoreBear(n))
	}
}
