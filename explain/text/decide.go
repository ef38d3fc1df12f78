package text

import (
	"slices"
	"strings"

	"tideline/engine/judge"
	"tideline/explain/account"
	"tideline/explain/words"
)

// Decide writes all verdicts of a judgement, ranked. all unfolds what is otherwise counted.
func Decide(g *judge.Judgement, style Style, all bool) string {
	p := &decidePage{page: page{Style: style}, g: g, all: all}
	byWord := map[judge.Word][]*account.Account{}
	for _, v := range g.Verdicts {
		byWord[v.Word] = append(byWord[v.Word], account.Of(g, v))
	}
	p.head()
	p.contradictions()
	p.recommended(byWord[judge.Recommended])
	p.possible(byWord[judge.Possible])
	p.testFirst(byWord[judge.TestFirst])
	p.ruledOut(byWord[judge.RuledOut])
	p.noNeed(byWord[judge.NoNeed])
	p.blank()
	p.line(0, words.SeeWhy)
	p.line(0, words.PersonDecides)
	return p.String()
}

type decidePage struct {
	page
	g   *judge.Judgement
	all bool
}

func (p *decidePage) head() { p.titled(p.g) }

// titled writes what was judged: the book, the day, the packs, the aims.
func (p *page) titled(g *judge.Judgement) {
	c := g.Case
	p.heading(c.Book.Title)
	var packs []string
	for _, l := range c.Pack.Layers {
		packs = append(packs, l.Name)
	}
	p.line(0, words.JudgedFor(words.Day(c.On), packs))
	if c.Book.Aims == nil {
		p.line(0, words.NoAimsGiven)
	} else {
		p.line(0, words.Aims(g.Aims))
	}
}

func (p *decidePage) contradictions() { p.clashes(p.g) }

// clashes writes the answers that cannot all be true.
func (p *page) clashes(g *judge.Judgement) {
	if len(g.Contradictions) == 0 {
		return
	}
	p.blank()
	p.heading(words.CannotBothBe)
	for _, c := range g.Contradictions {
		p.item(2, "-", words.Of(words.Thing(c.Thing), c.Never.Because))
		p.line(4, c.Never.When.Text)
		for _, leaf := range g.Clash(c).Answers() {
			p.line(4, answerLine(g.Case.Asks[leaf.Ask]))
		}
	}
}

// section writes a verdict's heading with its number of rows.
func (p *decidePage) section(w judge.Word, n int) {
	p.blank()
	p.heading(words.Counted(words.Heading(w), n))
}

// columns gives the widths of the name, target and support columns for ranked rows.
func (p *decidePage) columns(groups []group) []int {
	name, target := 12, 8
	for _, g := range groups {
		name = max(name, width(g.first().Treatment.Name))
		target = max(target, width(g.targets()))
	}
	room := p.Width - 2 - 4 - 3*2
	name, target = min(name, room*2/5), min(target, room*7/20)
	return []int{4, name, target, room - name - target}
}

func (p *decidePage) ranked(groups []group, more func(group)) {
	widths := p.columns(groups)
	for i, g := range groups {
		a := g.first()
		tied := i > 0 && groups[i-1].first().Rank == a.Rank || i+1 < len(groups) && groups[i+1].first().Rank == a.Rank
		s := a.Support
		p.row(2, widths, words.Rank(a.Rank, tied || len(g.accounts) > 1), a.Treatment.Name, g.targets(), words.Support(s.For, s.Against, s.OpenFor, s.OpenAgainst))
		if a.Word == judge.Recommended && a.Standing != "" && !firm(a.Standing) {
			p.line(8, words.RestsOn(a.Standing))
		}
		for _, a := range g.accounts {
			if a.Done != nil {
				p.line(8, words.AlreadyDone(a.Target.Path, a.Done))
			}
		}
		p.unproven(a)
		if more != nil {
			more(g)
		}
		if i+1 < len(groups) && groups[i+1].first().Rank == a.Rank {
			p.line(8, words.Tie)
		} else if g.last().Unordered && i+1 < len(groups) {
			p.line(8, words.NoOrder)
		}
	}
}

// firm tells whether a standing is that of a source one can look up.
func firm(standing string) bool { return standing == "standard" || standing == "published" }

func (p *decidePage) recommended(list []*account.Account) {
	p.section(judge.Recommended, len(list))
	if len(list) == 0 {
		p.line(2, words.NothingRecommended)
		return
	}
	p.ranked(gather(list, sameRow), nil)
	p.cautions(list)
}

func (p *decidePage) possible(list []*account.Account) {
	if len(list) == 0 {
		return
	}
	p.section(judge.Possible, len(list))
	p.ranked(gather(list, sameRow), func(g group) {
		a := g.first()
		if text := grounds(a); text != "" {
			p.line(8, text)
		}
		if len(a.Missing) > 0 {
			p.line(8, words.Labelled(words.HangsOn, p.questions(g.missing())))
		}
	})
}

func (p *decidePage) unproven(a *account.Account) {
	if a.Unproven {
		p.line(8, words.Unproven)
	}
	if a.Sampled {
		p.line(8, words.Sampled)
	}
	if a.Refused {
		p.line(8, words.CannotCompute)
	}
}

// grounds is the phrase for why a verdict is no better, "" where the reasons say it.
func grounds(a *account.Account) string {
	return map[account.Grounds]string{
		account.NothingCalls: words.NothingCalls, account.NoRuleCalls: words.NoRuleCalls,
		account.OnlyForRuledOut: words.OnlyForRuledOut, account.ServesNoAim: words.ServesNoAim, account.NotOutweighed: words.NotOutweighed,
	}[a.Grounds]
}

// mostQuestions is how many missing questions of a verdict the list names; the others are counted.
const mostQuestions = 2

// questions names missing questions on one line.
func (p *decidePage) questions(list []account.Missing) string {
	var parts []string
	for i, m := range list {
		if i == mostQuestions && len(list) > mostQuestions+1 && !p.all {
			parts = append(parts, words.More(len(list)-mostQuestions, "question", "questions"))
			break
		}
		parts = append(parts, words.Asked(m.Question.Asks, p.things(m)))
	}
	return strings.Join(parts, " ")
}

// things names what a question is open for: a few, or their number.
func (p *decidePage) things(m account.Missing) string {
	if len(m.Asks) > 6 && !p.all {
		return words.Count(len(m.Asks), string(m.Question.Kind), string(m.Question.Kind)+"s")
	}
	return words.Things(m.Things())
}

func (p *decidePage) testFirst(list []*account.Account) {
	if len(list) == 0 {
		return
	}
	p.section(judge.TestFirst, len(list))
	groups := gather(list, sameTests)
	slices.SortStableFunc(groups, func(a, b group) int { return len(a.first().Missing) - len(b.first().Missing) })
	for _, g := range groups {
		a, missing := g.first(), g.missing()
		p.item(2, "-", g.names())
		for i, m := range missing {
			if i == mostQuestions && len(missing) > mostQuestions+1 && !p.all {
				p.line(6, words.More(len(missing)-mostQuestions, "question", "questions"))
				break
			}
			p.line(6, words.Asked(m.Question.Asks, p.things(m))+turnsOf(m))
		}
		p.unproven(a)
	}
}

// turns says which answers would rule out by themselves: "4 or below".
func turns(m account.Missing) string {
	var ranges []string
	for _, t := range m.Turns {
		if r := words.Range(t.Test, m.Question, t.Passes); !slices.Contains(ranges, r) {
			ranges = append(ranges, r)
		}
	}
	return words.Either(ranges)
}

func turnsOf(m account.Missing) string {
	if t := turns(m); t != "" {
		return " " + words.RulesOutAt(t)
	}
	return ""
}

func (p *decidePage) ruledOut(list []*account.Account) {
	if len(list) == 0 {
		return
	}
	p.section(judge.RuledOut, len(list))
	wanted, idle := split(list, p.all)
	for _, g := range gather(wanted, sameReason) {
		a := g.first()
		p.item(2, "-", g.names())
		if a.EitherWay {
			p.line(6, words.EitherWay+".")
			p.cases(a.Proof.Cases)
			continue
		}
		r := a.RulesOut[0]
		p.line(6, r.Rule.Because)
		if things := reasonThings(a, r); strings.ContainsAny(things, ",;") {
			p.line(6, words.HoldsOf(things))
		}
		for i, l := range account.Sufficient(r) {
			if i == 3 && !p.all {
				break
			}
			p.line(6, answerLine(p.g.Case.Asks[l.Ask]))
		}
	}
	if len(idle) > 0 {
		p.item(2, "-", words.Labelled(words.NothingCallsEither, group{idle}.names()))
	}
}

// split parts what something may call for from what nothing calls for; with all, everything is told.
func split(list []*account.Account, all bool) (wanted, idle []*account.Account) {
	for _, a := range list {
		if all || len(a.Calls)+len(a.MayCall)+len(a.Proof.NeededBy) > 0 {
			wanted = append(wanted, a)
		} else {
			idle = append(idle, a)
		}
	}
	return wanted, idle
}

// cases tells a ruling-out either way: each way the questions could turn out, and what then rules it out.
func (p *decidePage) cases(c *judge.Proof) {
	for _, way := range c.Kids {
		ask := p.g.Case.Asks[way.Ask]
		in := words.InCase(ask.Question, words.Thing(ask.Thing), way.Cells, account.Points(p.g.Case, ask.Question))
		for _, k := range way.Kids {
			if k.Step == judge.StepCases {
				p.line(6, in)
				p.cases(k)
				continue
			}
			p.line(6, in+" "+k.Rule.Because)
		}
	}
}

func (p *decidePage) noNeed(list []*account.Account) {
	if len(list) == 0 {
		return
	}
	p.section(judge.NoNeed, len(list))
	for _, g := range gather(list, grounds) {
		p.line(2, words.Counted(grounds(g.first()), len(g.accounts)))
		if p.all {
			p.line(6, g.names())
		}
	}
}
