package text

import (
	"slices"
	"strings"

	"tideline/explain/account"
	"tideline/explain/words"
	"tideline/rules/pack"
)

// Long lists of cautions are not read, so the list of verdicts has a budget: mostCautions for one treatment, mostOthers of
// them that are no danger to people, and mostListed of those for all. Dangers to people are never cut for all.
const (
	mostCautions = 4
	mostOthers   = 1
	mostListed   = 8
)

// warning is a caution with all the treatments it goes with, so that no caution is printed twice.
type warning struct {
	account.Caution
	names []string
}

// cautions writes what to watch for with the recommended treatments, dangers to people first.
func (p *decidePage) cautions(list []*account.Account) {
	var warnings []*warning
	left, others, treatments := 0, 0, []string{}
	for _, g := range gather(list, func(a *account.Account) string { return a.Treatment.ID }) {
		name := g.first().Treatment.Name
		treatments = append(treatments, name)
		shown, all := pick(g.accounts, p.all)
		left += all - len(shown)
		for _, c := range shown {
			i := slices.IndexFunc(warnings, func(w *warning) bool { return sameCaution(w.Caution, c) })
			if i < 0 && !c.Hazard && !p.all {
				if others++; others > mostListed {
					left++
					continue
				}
			}
			if i < 0 {
				warnings = append(warnings, &warning{Caution: c})
				i = len(warnings) - 1
			}
			warnings[i].names = append(warnings[i].names, name)
		}
	}
	if len(warnings) == 0 {
		return
	}
	slices.SortStableFunc(warnings, func(a, b *warning) int { return rank(a.Caution) - rank(b.Caution) })
	p.line(2, words.WatchFor+":")
	for _, w := range warnings {
		who := strings.Join(w.names, ", ")
		if len(w.names) == len(treatments) && len(treatments) > 2 {
			who = words.AllOfThem
		}
		p.item(4, "-", words.Caution(w.Say, p.protect(w.Caution), w.Hazard, w.Open)+" "+words.Aside(who))
	}
	if left > 0 {
		p.line(4, words.MoreCautions(left))
	}
	if slices.ContainsFunc(warnings, func(w *warning) bool { return w.Hazard }) {
		p.line(4, words.LocalRules)
	}
}

// pick gives the cautions of a treatment for all its targets that are shown, and how many there are.
func pick(accounts []*account.Account, all bool) (shown []account.Caution, n int) {
	for _, a := range accounts {
		for _, c := range a.Cautions {
			if !slices.ContainsFunc(shown, func(o account.Caution) bool { return sameCaution(o, c) }) {
				shown = append(shown, c)
			}
		}
	}
	slices.SortStableFunc(shown, func(a, b account.Caution) int { return rank(a) - rank(b) })
	n = len(shown)
	if all {
		return shown, n
	}
	others := 0
	shown = slices.DeleteFunc(shown[:min(n, mostCautions)], func(c account.Caution) bool {
		if !c.Hazard {
			others++
		}
		return others > mostOthers
	})
	return shown, n
}

func sameCaution(a, b account.Caution) bool {
	return a.Say == b.Say && a.Open == b.Open && protect(a) == protect(b)
}

// rank orders cautions: dangers first, then what applies, then what may.
func rank(c account.Caution) int {
	n := 0
	if !c.Hazard {
		n += 2
	}
	if c.Open {
		n++
	}
	return n
}

// protect gives what the list says of a danger: how to be safe from it. When to stop and hand over follows with `why`.
func (p *decidePage) protect(c account.Caution) string {
	if c.Danger == nil || p.all {
		return protect(c)
	}
	return words.Protect(&pack.Hazard{Protect: c.Danger.Protect})
}

func protect(c account.Caution) string {
	if c.Danger == nil {
		return ""
	}
	return words.Protect(c.Danger)
}
