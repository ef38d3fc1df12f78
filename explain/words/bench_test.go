package words

import (
	"slices"
	"testing"
	"time"

	"tideline/engine/schedule"
)

// TestBenchPhrases: no phrase of the bench sheet serves two states.
func TestBenchPhrases(t *testing.T) {
	list := []string{
		BenchSheet, TimeChart, StepsOfPlan, BeforeBegin, BeforeBeginHow, DoAsBefore, IfOtherwise, IfItComes, Equipment, HowItWent, OutcomeOf,
		ReadingsOf, BeforeStep, AfterStep, MinutesAtBench, DoneOn, DoneBy, NotesOf, AnswerNow, ForTheBook, MaterialsAll, MaterialOf, ForSteps,
		AmountOf, DangersWithIt, ComputedHere, You, PutBy, NoSteps, HandsOn, TestsAgain, Waits, GoesOn, NumbersAreSteps, WorkOrder, SkipToSteps,
		TimesOfPack, NotesHowTo, EntriesBelow, EnterFirst, NothingByHand, EntryReadings, GradeUnit,
		WhatFor, NeededFor, TestAgain, HazardsFirst, BooksCautions, SetTo, StopWhen, ComesOf, IfItGoesWrong, AcceptedBrings, Materials, LocalRules,
	}
	slices.Sort(list)
	for i, phrase := range list {
		if phrase == "" || i > 0 && phrase == list[i-1] {
			t.Errorf("%q is said of two states, or of none", phrase)
		}
	}
}

// TestNumbers writes lists of numbers as a person would.
func TestNumbers(t *testing.T) {
	for _, tt := range []struct {
		list []int
		want string
	}{
		{[]int{3}, "step 3"},
		{[]int{3, 5}, "steps 3 and 5"},
		{[]int{9, 3, 5}, "steps 3, 5 and 9"},
		{[]int{1, 2}, "steps 1 and 2"},
		{[]int{1, 2, 3}, "steps 1 to 3"},
		{[]int{1, 3, 4, 5, 6, 8, 9}, "steps 1, 3 to 6, 8 and 9"},
	} {
		if got := Steps(tt.list); got != tt.want {
			t.Errorf("%v: got %q, want %q", tt.list, got, tt.want)
		}
	}
	if got := AlsoCautions([]int{4, 5, 6}, []string{NumberOf(9, "cover/outside/red")}, 0); got != "Also 4 to 6 and 9 [cover/outside/red]: in full in the list before the steps" {
		t.Errorf("got %q", got)
	}
}

// TestPlanned writes when a step is done: spans that follow one another as one, a night between them as two.
func TestPlanned(t *testing.T) {
	at := func(day, hour, minute int) time.Time {
		return time.Date(2026, 11, 30+day, hour, minute, 0, 0, time.UTC)
	}
	span := func(from, to time.Time) schedule.Span { return schedule.Span{From: from, To: to} }
	for _, tt := range []struct {
		step schedule.Step
		want string
	}{
		{
			schedule.Step{Tests: []schedule.Span{span(at(0, 9, 0), at(0, 9, 10))}, Work: []schedule.Span{span(at(0, 9, 10), at(0, 9, 30))}},
			"Mon 2026-11-30 09:00 to 09:30",
		},
		{
			schedule.Step{Work: []schedule.Span{span(at(0, 9, 0), at(0, 15, 0)), span(at(1, 9, 0), at(1, 10, 0))}, Wait: span(at(1, 10, 0), at(2, 10, 0))},
			"Mon 2026-11-30 09:00 to 15:00; Tue 2026-12-01 09:00 to 10:00; then waits until Wed 2026-12-02 10:00",
		},
		{schedule.Step{Wait: span(at(0, 9, 0), at(0, 10, 0))}, "waits until Mon 2026-11-30 10:00"},
		{schedule.Step{Wait: span(at(0, 9, 0), at(0, 9, 0))}, "Mon 2026-11-30 09:00"},
	} {
		if got := Planned(&tt.step); got != tt.want {
			t.Errorf("got %q, want %q", got, tt.want)
		}
	}
}
