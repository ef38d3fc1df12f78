package text

import (
	"fmt"
	"strings"

	"tideline/explain/bench"
	"tideline/explain/words"
)

// box is to be ticked by hand.
const box = "[ ]"

// BenchSheet writes the sheet to work from and to write on: the cautions by number, then step by step, the materials, the days,
// and what to enter in the record.
func BenchSheet(s *bench.Sheet, style Style) string {
	p := &page{Style: style}
	p.heading(words.Labelled(words.BenchSheet, s.Title))
	p.line(0, s.Summary)
	if s.Unproven {
		p.line(0, words.PlanUnproven)
	}
	if len(s.Steps) == 0 {
		return p.String()
	}
	p.line(0, words.LocalRules)
	p.line(0, words.PersonDecides)
	p.before(s)
	p.supplies(s)
	p.blank()
	p.chart(s.Days, s.Hours)
	p.blank()
	p.heading(words.Counted(words.StepsOfPlan, len(s.Steps)))
	p.line(0, words.WorkOrder)
	for _, step := range s.Steps {
		p.blank()
		p.benchStep(step)
	}
	p.blank()
	p.heading(words.ForTheBook)
	p.line(0, words.NotesHowTo)
	p.blank()
	for _, line := range strings.Split(strings.TrimSuffix(s.Entries, "\n"), "\n") { // as it is: to be copied
		p.b.WriteString(words.Safe(line) + "\n")
	}
	return p.String()
}

// before lists dangers to people, and in full what no step tells in full.
func (p *page) before(s *bench.Sheet) {
	list := s.Before()
	if len(list) == 0 {
		return
	}
	p.blank()
	p.heading(words.Counted(words.BeforeBegin, len(list)))
	p.line(0, words.BeforeBeginHow)
	for _, c := range list {
		label := fmt.Sprintf("%d.", c.Number)
		if c.At > 0 {
			p.item(2, label, c.Short()+" "+words.Aside(words.Steps(c.Steps)+"; "+words.ToldAt(c.At)))
			continue
		}
		p.item(2, label, stands(c.Text(), c.Standing)+" "+words.Aside(words.Steps(c.Steps)))
	}
}

// stands puts how well something is founded behind it.
func stands(text, standing string) string {
	if standing == "" {
		return text
	}
	return text + " " + words.Aside(standing)
}

func (p *page) benchStep(s *bench.Step) {
	p.item(0, box, p.strong(s.Title()))
	p.line(4, s.When)
	p.watch(s)
	p.listed(words.StopWhen, s.StopSigns)
	p.line(4, s.Says)
	p.listed(words.WhatFor, s.For)
	p.again(s.Tests)
	p.benchSettings(s)
	p.listed(words.Materials, one(strings.Join(s.Materials, ", ")))
	p.listed(words.Equipment, one(strings.Join(s.Equipment, ", ")))
	p.listed(words.ComesOf, s.Expect)
	p.listed(words.IfItGoesWrong, s.Mishaps)
	if len(s.Mishaps) > 0 {
		p.line(6, words.IfItComes)
	}
	p.went(s)
}

// one is a list of a text, none where there is nothing to say.
func one(text string) []string {
	if text == "" {
		return nil
	}
	return []string{text}
}

// listed writes lines under a label; nothing when there are none.
func (p *page) listed(label string, lines []string) {
	if len(lines) == 1 {
		p.item(4, label+":", lines[0])
		return
	}
	for i, l := range lines {
		if i == 0 {
			p.line(4, label+":")
		}
		p.item(6, "-", l)
	}
}

// told writes cautions, those told elsewhere without their protection.
func (p *page) told(list []bench.Told) {
	for _, t := range list {
		text := words.Aside(words.ToldAt(t.At))
		switch {
		case t.Full && t.Things != "":
			text = stands(t.Text()+" "+words.HoldsOf(t.Things), t.Standing)
		case t.Full:
			text = stands(t.Text(), t.Standing)
		default:
			text = t.Short() + " " + text
		}
		p.item(6, fmt.Sprintf("%d.", t.Number), text)
	}
}

// watch writes what to watch for with a step, dangers to people first.
func (p *page) watch(s *bench.Step) {
	if len(s.Dangers) > 0 {
		p.line(4, words.HazardsFirst+":")
		p.told(s.Dangers)
		p.line(6, words.LocalRules)
	}
	if len(s.Watch)+len(s.Again) > 0 {
		p.line(4, words.BooksCautions+":")
		p.told(s.Watch)
		for _, a := range s.Again {
			p.line(6, a.Line())
		}
	}
}

// again writes the tests to be done again, each with a place for the new answers.
func (p *page) again(list []*bench.Test) {
	if len(list) == 0 {
		return
	}
	p.line(4, words.TestAgain+":")
	for _, t := range list {
		p.item(6, "-", t.Asks)
		for _, of := range t.Of {
			p.item(8, box, of.Line+"; "+words.AnswerNow+" ______")
		}
		if t.ToldAt > 0 {
			p.line(8, words.DoAsBefore+" "+fmt.Sprint(t.ToldAt))
		}
		for _, line := range t.How {
			p.line(8, line)
		}
	}
	p.line(6, words.IfOtherwise)
}

func (p *page) benchSettings(s *bench.Step) {
	if len(s.Settings)+s.SetAt == 0 {
		return
	}
	p.line(4, words.SetTo+":")
	if s.SetAt > 0 {
		p.item(6, "-", words.DoAsBefore+" "+fmt.Sprint(s.SetAt))
	}
	for _, set := range s.Settings {
		p.item(6, "-", stands(set.Line, set.Standing))
		if set.Range != "" {
			p.line(8, words.Labelled(words.HoldsFor, set.Range))
		}
		if set.Because != "" {
			p.line(8, words.Because(set.Because))
		}
	}
}

// went leaves room for how a step went.
func (p *page) went(s *bench.Step) {
	p.line(4, words.HowItWent+":")
	var ticks []string
	for _, word := range words.OutcomeWords() {
		ticks = append(ticks, box+" "+word)
	}
	p.line(6, words.OutcomeOf+": "+strings.Join(ticks, "  "))
	p.line(6, fmt.Sprintf("%s: ________________ %s: ______ %s: ______", words.DoneOn, words.MinutesAtBench, words.DoneBy))
	for _, r := range s.Readings {
		before := r.Before
		if before == "" {
			before = "______"
		}
		p.line(6, fmt.Sprintf("%s: %s: %s %s, %s ______ %s", words.ReadingsOf, r.What, words.BeforeStep, before, words.AfterStep, r.Unit))
	}
	p.line(6, fmt.Sprintf("%s: ______________ %s ______ %s ______", words.ReadingsOf, words.BeforeStep, words.AfterStep))
	p.line(6, words.NotesOf+": ______________________________________")
}

func (p *page) supplies(s *bench.Sheet) {
	p.blank()
	p.heading(words.Counted(words.MaterialsAll, len(s.Materials)))
	for _, m := range s.Materials {
		p.item(2, box, m.Line()+"; "+words.AmountOf+" ______")
	}
	for i, a := range s.Computed {
		if i == 0 {
			p.line(2, words.ComputedHere+":")
		}
		p.item(4, "-", words.Labelled(words.StepNumber(a.Step), a.Line))
	}
}
