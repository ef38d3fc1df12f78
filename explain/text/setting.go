package text

import (
	"tideline/engine/judge"
	"tideline/engine/setting"
	"tideline/explain/words"
)

// settings writes the settings that are computed for what the treatment is done to, each with its working, range and
// source, or with what is missing. A treatment that is ruled out or not needed is not set.
func (p *whyPage) settings() {
	a := p.a
	if !p.all && (a.Word == judge.RuledOut || a.Word == judge.NoNeed) {
		return
	}
	list := setting.Of(p.g.Case, a.Treatment, a.Target)
	if len(list) == 0 {
		return
	}
	p.blank()
	p.heading(words.Counted(words.ComputedSettings, len(list)))
	danger := false
	for _, c := range list {
		danger = danger || c.Danger
		p.setting(c)
	}
	if danger {
		p.line(2, words.LocalRules)
	}
	p.line(2, words.SaysNoMore)
}

func (p *whyPage) setting(c setting.Computed) {
	s := c.Setting
	switch {
	case c.Done:
		p.item(2, "-", words.Of(s.What, c.Value.String()+" "+words.Aside(c.Value.Says))+words.Doubt(c.Value.Class))
	case c.Refusal != nil:
		p.item(2, "-", words.Of(s.What, words.NoNumberGiven+"; "+words.Refusal(c.Refusal)))
	default:
		var missing []string
		for _, ask := range c.Missing {
			missing = append(missing, words.Of(words.Thing(ask.Thing), ask.Question.ID))
		}
		p.item(2, "-", words.Of(s.What, words.CannotBeComputed(missing)))
	}
	if s.Value != "" {
		p.line(4, words.Labelled(words.AsWritten, s.Value))
	}
	for _, t := range c.Taken {
		p.line(4, words.Sentence(words.TakenAs(t.Ask.Question, t.Answer, words.Thing(t.Ask.Thing))))
	}
	for _, ask := range c.Given {
		p.line(4, answerLine(ask))
	}
	if c.Done {
		for _, caution := range c.Result.Cautions {
			p.line(4, words.Caution(caution, "", false, false))
		}
		for _, l := range c.Result.Working {
			p.line(4, words.WorkedOut(l))
		}
		p.line(4, words.Labelled(words.HoldsFor, c.Result.Range))
		for _, from := range c.Result.Sources {
			p.line(4, words.Aside(from.ID)+" "+words.DoseSource(from))
		}
	}
	if s.Because != "" {
		p.line(4, words.Because(s.Because))
	}
	if s.Standing != "" {
		p.line(4, words.Founded(s.Standing, sources(p.g, s.Cite)))
	}
}
