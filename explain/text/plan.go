package text

import (
	"fmt"
	"slices"
	"strings"

	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/engine/setting"
	"tideline/explain/account"
	"tideline/explain/auditing"
	"tideline/explain/words"
)

// Plan writes a plan: its steps in order, each with what it is for, the dangers first; what is left; what follows if tests tell
// more; the next best.
func Plan(p *plan.Plan, waits []*plan.Wait, style Style, all, teach bool) (string, error) {
	w := &planPage{page: page{Style: style}, p: p, all: all || teach, teach: teach, told: map[string]int{}}
	w.titled(p.Judgement)
	if len(p.Judgement.Contradictions) > 0 {
		w.clashes(p.Judgement)
		w.blank()
		w.line(0, words.NotPlanned)
		return w.String(), nil
	}
	switch {
	case len(p.Steps) > 0:
		w.heading(words.PlanHead(p.Cost))
		w.line(0, map[bool]string{true: words.NoPlanBetter, false: words.PlanUnproven}[p.Proven])
	case !p.Proven:
		w.heading(words.PlanUnproven)
	case p.Waiting():
		w.heading(words.TestsFirst)
	default:
		w.heading(words.StopHere)
	}
	if p.Rest != nil {
		w.line(0, words.BetterLeft)
	}
	for i, s := range p.Steps {
		w.blank()
		if err := w.step(i, s); err != nil {
			return "", err
		}
	}
	w.brought()
	w.left()
	w.waits(waits)
	w.next()
	w.materials()
	return w.String(), nil
}

type planPage struct {
	page
	p          *plan.Plan
	all, teach bool           // every caution; the reasons with their principles
	told       map[string]int // dangers and settings told, by text: the number of the step
}

// name gives a treatment by the trade's name, and what it is done to.
func (p *planPage) name(k plan.Key) string {
	return words.On(p.p.Judgement.Case.Pack.Treatment(k.Treatment).Name, k.Path)
}

func (p *planPage) step(i int, s *plan.Step) error {
	title := p.name(s.Key)
	if s.Must {
		title += " " + words.Aside(words.MustStand)
	}
	p.item(0, fmt.Sprintf("%d.", i+1), p.strong(title)+" "+words.Aside(words.Minutes(s.Treatment.Active)+" + "+words.Minutes(s.Treatment.Waiting)))
	p.list(3, words.WhatFor, p.purposes(s))
	account := account.Of(s.State, s.Verdict)
	if p.teach {
		p.list(3, words.OwnerWhy, taught(s.State, account))
	}
	p.dangers(i, s, account)
	var again []string
	for _, r := range s.Retests {
		again = append(again, words.RetestLine(r))
	}
	p.list(3, words.TestAgain, again)
	p.settings(i, s)
	p.list(3, words.StopWhen, p.once(i, "stop", s.Treatment.StopSigns))
	var brings []string
	for _, b := range s.Brings {
		met := words.AcceptedBrings
		if b.Met != nil {
			met = words.StepNumber(p.number(*b.Met))
		}
		brings = append(brings, fmt.Sprintf("%s on %s %s", b.Kind, b.On, words.Aside(met)))
	}
	p.list(3, words.ComesOf, brings)
	mishaps, err := s.Mishaps()
	if err != nil {
		return err
	}
	var wrong []string
	for _, m := range mishaps {
		var then []string
		for _, v := range m.Then[:min(2, len(m.Then))] {
			then = append(then, fmt.Sprintf("%s %s", v.Treatment.Name, words.Aside(string(v.Word))))
		}
		wrong = append(wrong, words.Mishap(m.Kind, m.On, then))
	}
	p.list(3, words.IfItGoesWrong, wrong)
	return nil
}

// taught gives the reasons that call for a step, each with its principle and source.
func taught(g *judge.Judgement, a *account.Account) (list []string) {
	for _, r := range a.Calls {
		line := r.Rule.Because
		if p := g.Case.Pack.Principle(r.Rule.Principle); p != nil {
			line += " " + words.Aside(p.Says)
		}
		for _, id := range r.Rule.Sources {
			if s := g.Case.Pack.Source(id); s != nil {
				line += " " + words.Aside(s.Title)
			}
		}
		if len(r.Rule.Sources) == 0 {
			line += " " + words.Aside(r.Rule.Standing)
		}
		if !slices.Contains(list, line) {
			list = append(list, line)
		}
	}
	return list
}

func (p *planPage) number(k plan.Key) int {
	return 1 + slices.IndexFunc(p.p.Steps, func(s *plan.Step) bool { return s.Key == k })
}

// purposes says what a step is there for.
func (p *planPage) purposes(s *plan.Step) (list []string) {
	for _, sub := range s.For {
		list = append(list, words.Labelled(words.SubjectIn(p.p, sub), strings.Join(sub.Aims, ", ")))
	}
	for _, b := range s.Meets {
		list = append(list, fmt.Sprintf("%s on %s, from %s", b.Kind, b.On, p.stepsOf(b.By)))
	}
	if len(s.Needed) > 0 {
		list = append(list, words.NeededFor+" "+p.stepsOf(s.Needed))
	}
	return list
}

func (p *planPage) stepsOf(keys []plan.Key) string {
	var list []string
	for _, k := range keys {
		if n := p.number(k); n > 0 && !slices.Contains(list, words.StepNumber(n)) {
			list = append(list, words.StepNumber(n))
		}
	}
	return strings.Join(list, ", ")
}

// dangers writes what can hurt a person before what can hurt the book; what an earlier step told is referred to.
func (p *planPage) dangers(i int, s *plan.Step, a *account.Account) {
	var people, book []string
	for _, c := range a.Cautions {
		line := words.Caution(c.Say, protect(c), c.Hazard, c.Open)
		if c.Hazard {
			people = append(people, line)
		} else {
			book = append(book, line)
		}
	}
	people = p.once(i, "danger", people)
	if len(people) > 0 {
		people = append(people, words.LocalRules)
	}
	p.list(3, words.HazardsFirst, people)
	book = p.once(i, "caution", book)
	if !p.all && len(book) > mostCautions {
		more := len(book) - mostCautions
		book = append(book[:mostCautions:mostCautions], words.MoreCautions(more))
	}
	p.list(3, words.BooksCautions, book)
}

// once gives the lines not told yet; those told with one earlier step are put together as a reference to it.
func (p *planPage) once(i int, what string, lines []string) (list []string) {
	earlier := map[int]bool{}
	for _, l := range lines {
		if at, told := p.told[what+l]; told && at != i {
			earlier[at] = true
			continue
		}
		p.told[what+l] = i
		list = append(list, l)
	}
	var steps []int
	for at := range earlier {
		steps = append(steps, at)
	}
	slices.Sort(steps)
	for _, at := range steps {
		list = append(list, fmt.Sprintf("%s %d", words.AsInStep, at+1))
	}
	return list
}

func (p *planPage) settings(i int, s *plan.Step) {
	var list []string
	for _, c := range s.Treatment.Settings {
		if c.Dose == nil {
			list = append(list, words.Of(c.What, c.Value)+" "+words.Aside(c.Because))
		}
	}
	list = p.once(i, "setting", list)
	for _, c := range setting.Of(s.State.Case, s.Treatment, s.Verdict.Target) {
		list = append(list, words.Computed(c))
	}
	p.list(3, words.SetTo, list)
}

// list writes lines under a label; nothing when there are none.
func (p *planPage) list(indent int, label string, lines []string) {
	if len(lines) == 1 {
		p.item(indent, label+":", lines[0])
		return
	}
	for i, l := range lines {
		if i == 0 {
			p.line(indent, label+":")
		}
		p.item(indent+2, "-", l)
	}
}

func (p *planPage) brought() {
	var list []string
	for _, b := range p.p.Brought {
		if b.Met == nil {
			list = append(list, fmt.Sprintf("%s on %s, from %s", b.Kind, b.On, p.stepsOf(b.By)))
		}
	}
	p.section(words.AcceptedBrings, list)
}

func (p *planPage) section(label string, lines []string) {
	if len(lines) == 0 {
		return
	}
	p.blank()
	p.heading(words.Counted(label, len(lines)))
	for _, l := range lines {
		p.item(2, "-", l)
	}
}

// left writes what the plan does not deal with, and why: the verdicts of what could.
func (p *planPage) left() {
	for _, lessened := range []bool{false, true} {
		var list []string
		for _, l := range p.p.Left {
			if l.Lessened == lessened {
				list = append(list, words.SubjectIn(p.p, l.Subject)+": "+p.reasons(l))
			}
		}
		p.section(map[bool]string{false: words.LeftUndone, true: words.OnlyLessened}[lessened], list)
	}
}

func (p *planPage) reasons(l *plan.Left) string {
	if l.Done != nil {
		return words.OutcomeNotSaid + " " + words.Aside(words.Day(l.Done.Date))
	}
	by := map[string][]string{}
	var order []string
	for _, v := range l.Verdicts {
		w := string(v.Word)
		if by[w] == nil {
			order = append(order, w)
		}
		if !slices.Contains(by[w], v.Treatment.Name) {
			by[w] = append(by[w], v.Treatment.Name)
		}
	}
	if len(order) == 0 {
		return words.LeftNoAim
	}
	var list []string
	for _, w := range order {
		list = append(list, w+": "+strings.Join(by[w], ", "))
	}
	return strings.Join(list, "; ")
}

func (p *planPage) waits(list []*plan.Wait) {
	if len(list) == 0 {
		return
	}
	p.blank()
	p.heading(words.IfTestsTell)
	for _, w := range list {
		p.wait(2, w)
	}
}

func (p *planPage) wait(indent int, w *plan.Wait) {
	p.item(indent, "-", words.Answered(words.Thing(w.Ask.Thing), w.Ask.Question.Asks, words.Answer(w.Ask)))
	all := account.Points(p.p.Judgement.Case, w.Ask.Question)
	for _, way := range w.Ways {
		line := words.SamePlan
		if len(way.With)+len(way.Without) > 0 {
			line = words.Instead(p.names(way.With), p.names(way.Without))
		}
		p.item(indent+4, words.Cells(w.Ask.Question, way.Answers, all)+":", line)
		if way.Then != nil {
			p.wait(indent+6, way.Then)
		}
	}
}

func (p *planPage) names(keys []plan.Key) (list []string) {
	for _, k := range keys {
		list = append(list, p.name(k))
	}
	return list
}

func (p *planPage) next() {
	var list []string
	for _, a := range p.p.Next {
		list = append(list, words.Instead(p.names(a.With), p.names(a.Without))+": "+words.Loses(p.p.Cost, a.Cost))
	}
	p.section(words.NextBest, list)
}

func (p *planPage) materials() {
	var list []string
	for _, s := range p.p.Steps {
		for _, m := range s.Treatment.Materials {
			if !slices.Contains(list, m) {
				list = append(list, m)
			}
		}
	}
	if len(list) > 0 {
		slices.Sort(list)
		p.blank()
		p.item(0, words.Materials+":", strings.Join(list, "; ")+".")
	}
}

// PlanChange writes how a plan differs from an earlier one, and which answer made it so.
func PlanChange(c *plan.Change, now *plan.Plan, style Style) string {
	w := &planPage{page: page{Style: style}, p: now}
	w.heading(words.ChangedPlan)
	if len(c.Dropped)+len(c.Added)+len(c.Moved) == 0 {
		w.line(2, words.NoPlanChange)
	}
	for _, part := range []struct {
		label, others string
		list          []*plan.Moved
	}{
		{words.PlanDropped, words.WentWithOthers, c.Dropped},
		{words.PlanAdded, words.CameWithOthers, c.Added},
		{words.PlanMoved, words.WentWithOthers, c.Moved},
	} {
		for i, m := range part.list {
			if i == 0 {
				w.line(2, words.Counted(part.label, len(part.list))+":")
			}
			name := words.On(m.Treatment, m.Path)
			if t := now.Judgement.Case.Pack.Treatment(m.Treatment); t != nil {
				name = words.On(t.Name, m.Path)
			}
			w.item(4, "-", name)
			switch {
			case m.Done:
				w.line(6, words.DoneSince)
			case m.Finding == nil && m.Was*m.Is == 0:
				w.line(6, part.others)
			case m.Finding != nil:
				d := &page{Style: Style{Width: style.Width - 6, ASCII: style.ASCII}}
				d.line(0, words.Drifted(m.Finding.Was, m.Finding.Is, 1))
				d.below(0, auditing.Causes(*m.Finding))
				d.below(0, auditing.Because(words.NowBecause, m.Finding.IsBecause))
				for line := range strings.SplitSeq(strings.TrimRight(d.String(), "\n"), "\n") {
					w.b.WriteString("      " + line + "\n")
				}
			}
		}
	}
	w.blank()
	return w.String()
}
