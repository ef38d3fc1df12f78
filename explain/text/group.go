package text

import (
	"fmt"
	"slices"
	"strings"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/explain/account"
	"tideline/explain/words"
	"tideline/rules/vocab"
)

// group is accounts told together, because the same is to be said of them.
type group struct{ accounts []*account.Account }

func (g group) first() *account.Account { return g.accounts[0] }
func (g group) last() *account.Account  { return g.accounts[len(g.accounts)-1] }

// targets names what the group's treatment is done to.
func (g group) targets() string {
	var list []*evidence.Thing
	for _, a := range g.accounts {
		if !slices.Contains(list, a.Target) {
			list = append(list, a.Target)
		}
	}
	return words.Things(list)
}

// names lists the group's treatments, each with its targets: "float washing, immersion bath on cover".
func (g group) names() string {
	var parts []string
	for _, on := range gather(g.accounts, func(a *account.Account) string {
		return strings.Join(targetsOf(g.accounts, a), " ")
	}) {
		var names []string
		for _, a := range on.accounts {
			if !slices.Contains(names, a.Treatment.Name) {
				names = append(names, a.Treatment.Name)
			}
		}
		parts = append(parts, words.On(strings.Join(names, ", "), on.targets()))
	}
	return strings.Join(parts, "; ")
}

// targetsOf gives the targets of a's treatment within the accounts.
func targetsOf(accounts []*account.Account, a *account.Account) []string {
	var list []string
	for _, b := range accounts {
		if b.Treatment == a.Treatment {
			list = append(list, b.Target.Path)
		}
	}
	return list
}

// gather puts accounts with the same key together, in the order of the first of each.
func gather(accounts []*account.Account, key func(*account.Account) string) []group {
	var groups []group
	at := map[string]int{}
	for _, a := range accounts {
		k := key(a)
		i, known := at[k]
		if !known {
			i = len(groups)
			at[k] = i
			groups = append(groups, group{})
		}
		groups[i].accounts = append(groups[i].accounts, a)
	}
	return groups
}

// sameRow is the key of ranked verdicts that share a row: one treatment, one rank, the same things said.
func sameRow(a *account.Account) string {
	return fmt.Sprint(a.Treatment.ID, a.Rank, a.Word, a.Support, a.Standing, a.Grounds, a.Unproven, a.Sampled, a.Refused) + sameTests(a)
}

// sameTests is the key of verdicts that wait for the same tests: of the same things, or each of its own.
func sameTests(a *account.Account) string {
	var list []string
	for _, m := range a.Missing {
		var things []string
		for _, t := range m.Things() {
			things = append(things, seenFrom(a.Target, t.Path))
		}
		slices.Sort(things)
		list = append(list, fmt.Sprint(m.Question.ID, things, turns(m)))
	}
	slices.Sort(list)
	return strings.Join(list, "|")
}

// seenFrom writes a path as seen from a target: what lies on the target itself, or on its other side, reads the same for
// all targets.
func seenFrom(target *evidence.Thing, path string) string {
	under := func(holder string) (string, bool) {
		rest, found := strings.CutPrefix(path, holder)
		return rest, found && (rest == "" || rest[0] == '/')
	}
	if rest, yes := under(target.Path); yes {
		return "@" + rest
	}
	if target.Kind == vocab.Side && target.Part != nil {
		if rest, yes := under(target.Part.Path); yes && strings.Count(rest, "/") > 0 {
			_, rest, _ = strings.Cut(rest[1:], "/")
			return "~" + rest
		}
	}
	return path
}

// missing gives what the accounts of the group hang on, by question, with all the things any of them waits for.
func (g group) missing() []account.Missing {
	var list []account.Missing
	for _, a := range g.accounts {
		for _, m := range a.Missing {
			i := slices.IndexFunc(list, func(o account.Missing) bool { return o.Question == m.Question })
			if i < 0 {
				list = append(list, account.Missing{Question: m.Question, Test: m.Test, Turns: m.Turns})
				i = len(list) - 1
			}
			for _, ask := range m.Asks {
				if !slices.ContainsFunc(list[i].Asks, func(o evidence.Ask) bool { return o.Thing == ask.Thing }) {
					list[i].Asks = append(list[i].Asks, ask)
				}
			}
		}
	}
	return list
}

// sameReason is the key of verdicts with the same leading reason.
func sameReason(a *account.Account) string {
	if len(a.RulesOut) == 0 {
		return a.Treatment.ID + a.Target.Path
	}
	r := a.RulesOut[0]
	return fmt.Sprint(r.Rule.ID, reasonThings(a, r))
}

// reasonThings names the things of which the rule of a reason holds as it does.
func reasonThings(a *account.Account, r *judge.Proof) string {
	var list []*evidence.Thing
	for _, o := range a.RulesOut {
		if o.Rule == r.Rule {
			list = append(list, o.Thing)
		}
	}
	return words.Things(list)
}
