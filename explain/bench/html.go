package bench

import (
	"bytes"
	_ "embed" // for the files beside this one
	"fmt"
	"html/template"

	"tideline/explain/page"
	"tideline/explain/words"
)

var (
	//go:embed bench.html
	markup string
	//go:embed bench.css
	own string

	style  = page.House + own
	layout = template.Must(template.New("bench").Funcs(template.FuncMap{
		"labelled": words.Labelled, "aside": words.Aside, "told": words.ToldAt, "steps": words.Steps, "step": words.StepNumber,
		"because": words.Because, "holds": words.HoldsOf, "day": words.Weekday, "counted": words.Counted, "drawn": drawn,
		"dangers": words.DangersNumbered, "word": word,
	}).Parse(markup))
)

// word gives a phrase of the page by a name of its own.
func word(name string) (string, error) {
	if phrase := phrases[name]; phrase != "" {
		return phrase, nil
	}
	return "", fmt.Errorf("no phrase is called %q", name)
}

var phrases = map[string]string{
	"again": words.TestAgain, "amount": words.AmountOf, "as before": words.DoAsBefore, "before": words.BeforeBegin, "before how": words.BeforeBeginHow,
	"book": words.BooksCautions, "by": words.DoneBy, "chart": words.TimeChart, "comes of": words.ComesOf, "computed": words.ComputedHere,
	"date": words.DoneOn, "entries": words.ForTheBook, "entries how": words.NotesHowTo, "equipment": words.Equipment, "for": words.WhatFor,
	"for steps": words.ForSteps, "hazards": words.HazardsFirst, "holds for": words.HoldsFor, "if it comes": words.IfItComes, "local": words.LocalRules,
	"material": words.MaterialOf, "materials": words.Materials, "all materials": words.MaterialsAll, "minutes": words.MinutesAtBench,
	"mishaps": words.IfItGoesWrong, "none": words.NoSteps, "notes": words.NotesOf, "now": words.AnswerNow, "order": words.WorkOrder, "otherwise": words.IfOtherwise,
	"person": words.PersonDecides, "read after": words.AfterStep, "read before": words.BeforeStep, "readings": words.ReadingsOf,
	"result": words.OutcomeOf, "set": words.SetTo, "skip": words.SkipToSteps, "all steps": words.StepsOfPlan, "stop": words.StopWhen,
	"times": words.TimesOfPack, "unproven": words.PlanUnproven, "went": words.HowItWent, "hands-on": words.HandsOn, "tests": words.TestsAgain,
	"waits": words.Waits, "numbers": words.NumbersAreSteps, "onward": words.GoesOn,
}

// sheetPage is what the page is made from.
type sheetPage struct {
	*Sheet
	Heading, Policy string
	Style           template.HTML
	Outcomes        []string
}

// HTML writes the sheet as one page that asks nothing of anyone and needs no script: to print, or to tick on a screen.
func (s *Sheet) HTML() (string, error) {
	p := sheetPage{Sheet: s, Heading: words.Labelled(words.BenchSheet, s.Title), Policy: page.Policy(style, ""), Style: page.Element("style", style), Outcomes: words.OutcomeWords()}
	var b bytes.Buffer
	if err := layout.Execute(&b, p); err != nil {
		return "", fmt.Errorf("write the bench sheet: %w", err)
	}
	return words.Safe(b.String()), nil
}
