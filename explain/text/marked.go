package text

import (
	"fmt"
	"slices"
	"strings"

	"tideline/engine/judge"
	"tideline/engine/lesson"
	"tideline/explain/account"
	"tideline/explain/words"
	"tideline/rules/pack"
)

// Marked writes how an answer came out: of a wrong one, what follows from what was said, and the first step that fails.
func Marked(e *lesson.Exercise, m *lesson.Mark, style Style) string {
	p := lessonPageOf(e, style)
	if m.Right {
		p.heading(words.RightAnswer)
		p.settles(m)
		return p.String()
	}
	p.heading(words.WrongAnswer)
	switch {
	case e.Kind == lesson.Reason && m.Verdict != nil:
		p.line(2, words.Labelled(words.OnlyThatKnown, string(m.Verdict.Word))+".")
	case e.Kind == lesson.Answer && m.Verdict != nil:
		p.line(2, words.Labelled(words.WithThatAnswer, string(m.Verdict.Word))+".")
	case m.Verdict == nil && (e.Kind == lesson.Reason || e.Kind == lesson.Answer):
		p.line(2, words.NotConsidered)
	}
	if m.Fails != nil {
		p.fails(m.Fails, m)
	}
	for _, w := range m.Wrong {
		p.item(2, "-", words.Of(words.On(w.Verdict.Treatment.Name, w.Verdict.Target.Path), words.NotRuledOut))
		p.fails(w.Fails, m)
	}
	if len(m.Missed) > 0 && len(m.Wrong) == 0 {
		p.line(2, words.Counted(words.MissedOut, len(m.Missed)))
	}
	for _, n := range m.Idle {
		a := p.g.Case.Asks[n]
		p.item(2, "-", words.Of(words.Asked(a.Question.Asks, words.Thing(a.Thing)), words.SettlesNothing))
	}
	if m.Broken != nil {
		p.pair(m.Broken)
	}
	return p.String()
}

// settles tells which of the results named are enough, and which were not needed.
func (p *lessonPage) settles(m *lesson.Mark) {
	if p.e.Kind != lesson.Reason {
		return
	}
	p.line(2, words.SettlesAlone+":")
	for _, n := range m.Enough {
		p.item(4, "*", p.told(n))
	}
	var names []string
	for _, n := range m.Needless {
		names = append(names, words.Path(p.g.Case.Asks[n]))
	}
	if len(names) > 0 {
		p.line(2, words.NotNeededOf(strings.Join(names, ", ")))
	}
}

// fails tells the first step that fails.
func (p *lessonPage) fails(f *lesson.Fails, m *lesson.Mark) {
	switch f.Kind {
	case lesson.Unread:
		p.line(4, words.NothingReads)
	case lesson.NoRule:
		p.line(4, words.NoRuleCould)
	case lesson.NothingFor:
		p.line(4, words.NothingStands)
	case lesson.EitherWay:
		p.line(4, words.EitherWay+".")
	case lesson.Weighed:
		a := account.Of(p.g, p.e.Verdict)
		p.line(4, words.Support(a.Support.For, a.Support.Against, a.Support.OpenFor, a.Support.OpenAgainst))
		if why := grounds(a); why != "" {
			p.line(4, words.Sentence(why))
		}
	case lesson.Holds:
		p.ruleHead(f.Reason)
		p.enough(f.Reason)
	case lesson.ShouldHold:
		p.ruleHead(f.Reason)
		last := f.Last()
		p.line(4, words.Labelled(words.FirstFailing, stepText(last)))
		for _, l := range last.Answers() {
			p.line(6, p.leaf(l, m))
		}
	}
}

// stepText is a step in one line.
func stepText(s *judge.Proof) string {
	phrase := words.Step(s.Step, s.Value)
	switch {
	case s.Step == judge.StepReason:
		return words.Effect(s.Rule.Effect, s.Value)
	case s.Step == judge.StepCount:
		phrase = words.Filled(phrase, s.Count)
	case s.Step == judge.StepEach:
		phrase = words.Step(judge.StepAtom, s.Value)
	case s.Step == judge.StepAnswer:
		return words.NotListed
	}
	return words.Valued(s.Text, phrase)
}

// leaf tells an answer of a step that fails. One that stands in the record and was not named says so, and no more.
func (p *lessonPage) leaf(l *judge.Proof, m *lesson.Mark) string {
	ask := p.g.Case.Asks[l.Ask]
	if m.Case != nil {
		if now := m.Case.Case.Asks[l.Ask]; now.Answer.Known || !ask.Answer.Known {
			ask = now
		} else {
			return words.Answered(words.Thing(ask.Thing), ask.Question.Asks, words.NotNamed+".")
		}
	}
	s := words.Answered(words.Thing(ask.Thing), ask.Question.Asks, words.Answer(ask))
	if l.Test != nil {
		s += " " + words.AskedFor(words.Range(l.Test, ask.Question, true))
	}
	return s
}

// ruleHead says which rule does what, of which thing.
func (p *lessonPage) ruleHead(r *judge.Proof) {
	p.line(4, words.RuleSays(r.Rule.ID, words.Effect(r.Rule.Effect, r.Value), words.Thing(r.Thing)))
}

// enough tells the answers that are enough for a reason.
func (p *lessonPage) enough(r *judge.Proof) {
	for _, l := range account.Sufficient(r) {
		p.item(6, "*", p.told(l.Ask))
	}
}

func (p *lessonPage) pair(o *lesson.Pair) {
	if o.Need != nil {
		p.line(2, words.OrderedBy(o.First.Treatment.Name, o.Then.Treatment.Name, words.RuleNamed(o.Need.Rule.ID)))
		p.grounds(o.Need.Rule.Because, o.Need.Rule.Cite)
		return
	}
	p.line(2, words.OrderedBy(o.First.Treatment.Name, o.Then.Treatment.Name, words.WorkNamed(o.By.Name)))
	p.line(4, words.Founded(o.By.Standing, sources(p.g, o.By.Cite)))
}

func (p *lessonPage) grounds(because string, c pack.Cite) {
	p.line(4, words.Because(because))
	p.line(4, words.Founded(c.Standing, sources(p.g, c)))
}

// Solution writes the answer to an exercise with the rule, its reason and its source; after a right answer, of which m is
// the mark, what that rests on. Where the principle is asked next it is not told.
func Solution(e *lesson.Exercise, m *lesson.Mark, style Style) (string, error) {
	p := lessonPageOf(e, style)
	switch e.Kind {
	case lesson.Verdict:
		p.verdict()
	case lesson.Reason:
		if err := p.reasons(m); err != nil {
			return "", err
		}
	case lesson.Answer:
		accepted, err := e.Accepted()
		if err != nil {
			return "", err
		}
		ask := p.g.Case.Asks[e.Hidden]
		p.line(2, words.Answered(words.Thing(ask.Thing), ask.Question.Asks, words.Ranges(ask.Question, accepted, account.Points(p.g.Case, ask.Question))))
		p.rule(e.Lead)
	case lesson.Out:
		p.out()
	case lesson.Next:
		p.next()
	case lesson.Order:
		for _, o := range e.Pairs() {
			p.pair(&o)
		}
		p.line(2, words.AnyOrderElse)
		p.dangers(e.Verdicts...)
	default:
		m := p.g.Case.Pack.Principle(e.Lead.Rule.Principle)
		p.line(2, words.PrincipleSays(m))
		p.line(2, words.Founded(m.Standing, sources(p.g, m.Cite)))
	}
	return p.String(), nil
}

func (p *lessonPage) verdict() {
	a := account.Of(p.g, p.e.Verdict)
	p.line(2, words.Judged(a.Treatment.Name, a.Target.Path, string(a.Word)))
	if a.Word == judge.Recommended || a.Word == judge.Possible {
		s := a.Support
		p.line(4, words.Support(s.For, s.Against, s.OpenFor, s.OpenAgainst))
	}
	if why := grounds(a); why != "" {
		p.line(4, words.Sentence(why))
	}
	if a.EitherWay {
		p.line(4, words.EitherWay+".")
		p.draw("    ", p.nodes([]*judge.Proof{a.Proof.Cases}))
	} else {
		p.rule(p.e.Lead)
	}
	if a.Word == judge.Recommended || a.Word == judge.Possible {
		p.dangers(a.Verdict)
	}
}

// rule tells a reason with its rule, why it says so, on which source, and its proof.
func (p *lessonPage) rule(r *judge.Proof) {
	if r == nil {
		return
	}
	p.ruleHead(r)
	p.line(4, words.Because(r.Rule.Because))
	if m := p.g.Case.Pack.Principle(r.Rule.Principle); m != nil && !p.e.PrincipleNext {
		p.line(4, words.Principle(m.Says))
	}
	p.line(4, words.Founded(r.Rule.Standing, sources(p.g, r.Rule.Cite)))
	p.draw("    ", p.nodes(r.Kids))
}

// mostEnough is how many sets of results that are enough are written.
const mostEnough = 4

// reasons tells the results that are enough; after a right answer, the other ones, and the proof of what was named.
func (p *lessonPage) reasons(m *lesson.Mark) error {
	sets, _, err := p.e.Enough()
	if err != nil {
		return err
	}
	heading, r := words.SettlesAlone, p.e.Lead
	if m != nil && m.Right {
		sets = slices.DeleteFunc(sets, func(s []int) bool { return slices.Equal(s, m.Enough) })
		heading = words.AlsoEnough
		if own := m.Lead(); own != nil {
			r, p.g = own, m.Case
		}
	}
	for i, s := range sets {
		if i == mostEnough {
			p.line(2, words.More(len(sets)-i, "set", "sets"))
			break
		}
		p.line(2, heading+":")
		heading = words.AlsoEnough
		for _, n := range s {
			p.item(4, "*", p.told(n))
		}
	}
	p.rule(r)
	return nil
}

// out tells of each of the treatments that is ruled out by what.
func (p *lessonPage) out() {
	for _, v := range p.e.Verdicts {
		if v.Word != judge.RuledOut {
			continue
		}
		a := account.Of(p.g, v)
		p.item(2, "-", words.Judged(v.Treatment.Name, v.Target.Path, string(v.Word)))
		if len(a.RulesOut) == 0 {
			p.line(4, words.EitherWay+".")
			continue
		}
		r := a.RulesOut[0]
		p.ruleHead(r)
		p.grounds(r.Rule.Because, r.Rule.Cite)
		p.enough(r)
	}
}

// next tells which tests settle whether a treatment is ruled out, and which test the whole book asks for first.
func (p *lessonPage) next() {
	for _, n := range p.e.Deciding() {
		a := p.g.Case.Asks[n]
		s := words.Asked(a.Question.Asks, words.Thing(a.Thing))
		t := p.g.Case.Pack.Test(a.Question.ID)
		if t != nil {
			s += " " + words.Aside(words.Costs(t))
		}
		p.item(2, "*", s)
		p.testDangers(t)
	}
	p.rule(p.e.Lead)
	if first := p.e.Asked(); first != nil {
		var list []string
		for _, t := range first.Tests {
			list = append(list, words.Asked(t.Ask.Question.Asks, words.Thing(t.Ask.Thing)))
		}
		p.line(2, words.Labelled(words.AskedFirst, strings.Join(list, "; ")))
		for _, t := range first.Tests {
			p.testDangers(t.Test)
		}
	}
}

func (p *lessonPage) testDangers(t *pack.Test) {
	if t == nil {
		return
	}
	for i := range t.Hazards {
		p.line(4, words.Caution(t.Hazards[i].Danger, words.Protect(&t.Hazards[i]), true, false))
	}
}

// dangers tells the dangers to people of treatments that may be done.
func (p *lessonPage) dangers(list ...*judge.Verdict) {
	told := map[string]bool{}
	for _, v := range list {
		for i := range v.Treatment.Hazards {
			h := &v.Treatment.Hazards[i]
			if s := words.Caution(h.Danger, words.Protect(h), true, false); !told[s] {
				told[s] = true
				p.item(2, "-", s+" "+words.Aside(v.Treatment.Name))
			}
		}
	}
	if len(told) > 0 {
		p.line(2, words.LocalRules)
	}
}

// Lines writes sentences as paragraphs, the first standing out where the terminal can.
func Lines(style Style, list ...string) string {
	p := &page{Style: style}
	for _, s := range list {
		p.line(0, s)
	}
	return p.String()
}

// Sheet writes how a run was done: each exercise, the sum, and what to look at again.
func Sheet(s *lesson.Sheet, style Style) string {
	p := &page{Style: style}
	p.heading(words.ScoreSheet)
	if len(s.Rows) == 0 {
		p.line(2, words.NothingAnswered)
		return p.String()
	}
	again := []lesson.Topic{}
	seen := map[lesson.Topic]bool{}
	for i := range s.Rows {
		r := &s.Rows[i]
		p.item(2, fmt.Sprintf("%d.", i+1), words.Of(words.Labelled(words.LessonKind(r.Exercise.Kind), words.LessonAbout(r.Exercise)), words.LessonOutcome(r)))
		for _, t := range r.Exercise.Topics() {
			if r.Outcome.Points() == 0 && !seen[t] {
				seen[t] = true
				again = append(again, t)
			}
		}
	}
	p.line(2, words.LessonPoints(s.Points(), len(s.Rows)))
	if len(again) > 0 {
		p.blank()
		p.heading(words.LookAtAgain)
		for _, t := range again {
			p.item(2, "-", words.LessonTopic(t))
		}
		p.line(2, words.SeeGuide)
	}
	return p.String()
}
