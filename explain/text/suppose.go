package text

import (
	"cmp"
	"slices"
	"strings"

	"tideline/engine/judge"
	"tideline/engine/suppose"
	"tideline/explain/account"
	"tideline/explain/words"
)

// Suppose writes what would be other with the supposed answers: verdicts first, then what only the support of moves.
func Suppose(r *suppose.Result, answers []suppose.Answer, style Style) string {
	p := &supposePage{page: page{Style: style}, r: r, answers: answers}
	p.heading(r.Before.Case.Book.Title)
	for _, a := range answers {
		c := r.Before.Case
		p.item(2, "-", words.Supposed(c.Asks[c.Number(c.At(a.Thing.Path), a.Question)], a.Answer))
	}
	var turned, moved []suppose.Change
	for _, c := range r.Changes {
		if c.Turned() {
			turned = append(turned, c)
		} else {
			moved = append(moved, c)
		}
	}
	p.blank()
	if len(turned) == 0 {
		p.line(0, words.SameVerdicts)
	}
	p.turned(turned)
	if len(moved) > 0 {
		p.blank()
		p.heading(words.Counted(words.SupportMoves, len(moved)))
	}
	for _, c := range moved {
		p.item(2, "-", words.Valued(words.On(c.After.Treatment.Name, c.After.Target.Path), string(c.After.Word)))
		p.line(4, p.support(p.r.Before, c.Before)+" / "+p.support(p.r.After, c.After))
		p.reason(c)
	}
	p.blank()
	p.line(0, words.PersonDecides)
	return p.String()
}

type supposePage struct {
	page
	r       *suppose.Result
	answers []suppose.Answer
}

func (p *supposePage) support(g *judge.Judgement, v *judge.Verdict) string {
	s := account.Of(g, v).Support
	return words.Support(s.For, s.Against, s.OpenFor, s.OpenAgainst)
}

// turned writes the verdicts that are other, those that go the same way together.
func (p *supposePage) turned(list []suppose.Change) {
	way := func(c suppose.Change) (was, is judge.Word) {
		if c.Before != nil {
			was = c.Before.Word
		}
		if c.After != nil {
			is = c.After.Word
		}
		return was, is
	}
	slices.SortStableFunc(list, func(a, b suppose.Change) int {
		aWas, aIs := way(a)
		bWas, bIs := way(b)
		return cmp.Or(cmp.Compare(aWas, bWas), cmp.Compare(aIs, bIs))
	})
	for i := 0; i < len(list); {
		was, is := way(list[i])
		n := 1
		for i+n < len(list) {
			if w, s := way(list[i+n]); w != was || s != is {
				break
			}
			n++
		}
		if i > 0 {
			p.blank()
		}
		switch {
		case was == "":
			p.heading(words.Counted(words.Upper(words.NewlyConsidered), n))
		case is == "":
			p.heading(words.Counted(words.Upper(words.NoLongerConsider), n))
		default:
			p.heading(words.WouldBe(was, is, n))
		}
		for _, same := range byReason(list[i : i+n]) {
			var names []string
			for _, c := range same {
				v := cmp.Or(c.After, c.Before)
				names = append(names, words.On(v.Treatment.Name, v.Target.Path))
			}
			p.item(2, "-", strings.Join(names, "; "))
			p.reason(same[0])
		}
		i += n
	}
}

// byReason puts changes together that one reason made, in the order of the first of each.
func byReason(list []suppose.Change) [][]suppose.Change {
	var groups [][]suppose.Change
	for _, c := range list {
		i := slices.IndexFunc(groups, func(g []suppose.Change) bool { return sameCause(g[0], c) })
		if i < 0 {
			groups = append(groups, []suppose.Change{c})
		} else {
			groups[i] = append(groups[i], c)
		}
	}
	return groups
}

func sameCause(a, b suppose.Change) bool {
	if a.Reason == nil || b.Reason == nil || a.Needer != nil || b.Needer != nil {
		return a.Needer == b.Needer && a.Reason == b.Reason
	}
	return a.Reason.Rule == b.Reason.Rule && a.Reason.Thing == b.Reason.Thing && a.Gone == b.Gone
}

// reason writes the first reason that made the difference, with the answers it rests on.
func (p *supposePage) reason(c suppose.Change) {
	if c.Needer != nil {
		v := c.Needer
		p.line(4, words.Labelled(words.Upper(words.NeededThen), words.Judged(v.Treatment.Name, v.Target.Path, string(v.Word))))
		return
	}
	if c.Reason == nil {
		return
	}
	g := p.r.After
	if c.Gone {
		g = p.r.Before
	}
	p.line(4, words.Speaks(words.Effect(c.Reason.Rule.Effect, c.Reason.Value), c.Reason.Rule.Because, c.Gone))
	for i, l := range account.Sufficient(c.Reason) {
		if i == 3 {
			break
		}
		ask := g.Case.Asks[l.Ask]
		if slices.ContainsFunc(p.answers, func(a suppose.Answer) bool {
			return !c.Gone && a.Thing == ask.Thing.Record && a.Question == ask.Question
		}) {
			p.line(6, words.Answered(words.Thing(ask.Thing), ask.Question.Asks, words.Answer(ask))+" "+words.Aside(words.IsSupposed))
			continue
		}
		p.line(6, answerLine(ask))
	}
}
