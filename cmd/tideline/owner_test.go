package main

import (
	"context"
	"slices"
	"strings"
	"testing"

	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/explain/account"
	"tideline/explain/text"
	"tideline/explain/words"
)

// wide is a page on which no line is broken.
var wide = text.Style{Width: 100_000}

// TestThreeReaders: what the owner is told stands in the proof, and no danger of the proof is kept from the owner or from the
// apprentice, for the plan of every example book and every verdict.
func TestThreeReaders(t *testing.T) {
	for _, book := range books(t) {
		g := judged(t, book)
		p, err := plan.Make(context.Background(), g, plan.Options{})
		if err != nil {
			t.Fatal(err)
		}
		taught, err := text.Plan(p, nil, wide, true, true)
		if err != nil {
			t.Fatal(err)
		}
		owner, known := text.OwnerPlan(p, wide), []string{}
		for _, s := range p.Steps {
			known = append(known, s.Treatment.Name, s.Treatment.Says, s.Path)
			known = append(known, said(t, s.State, s.Verdict, owner, taught)...)
			for _, i := range s.Verdict.Instances {
				for _, leaf := range s.State.Reason(i).Answers() {
					if q := s.State.Case.Asks[leaf.Ask].Question; q != nil {
						known = append(known, q.Asks)
					}
				}
			}
		}
		for _, l := range p.Left {
			known = append(known, words.SubjectIn(p, l.Subject))
		}
		fixed := []string{
			words.OwnerTime(p.Cost.Active, p.Cost.Waiting), words.Counted(words.OwnerWillDo, len(p.Steps)), words.OwnerWhy + ":", words.OwnerPeople + ":",
			words.OwnerNotUndone, words.OwnerPartUndone, words.OwnerStays, words.OwnerYourWord, words.OwnerBench, words.OwnerRecommends,
			words.OwnerWaits, words.OwnerNothing,
		}
		for n, line := range strings.Split(owner, "\n") {
			told := strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(line), "- "))
			if n < 3 || told == "" || slices.Contains(fixed, told) || strings.HasPrefix(told, words.OwnerMayBring) {
				continue // the first lines name the book, the day and the aims
			}
			if !slices.ContainsFunc(known, func(k string) bool { return k != "" && strings.Contains(plain(told), plain(k)) }) {
				t.Errorf("%s: the owner is told what no proof holds: %q", book, told)
			}
		}
		for _, v := range g.Verdicts {
			if v.Word == judge.Recommended || v.Word == judge.Possible { // of others the chain tells no cautions
				said(t, g, v, text.OwnerWhy(g, v, wide), text.Why(g, v, wide, true))
			}
		}
	}
}

// said gives the reasons and dangers of a verdict, and checks that the owner and the apprentice are told of every danger.
func said(t *testing.T, g *judge.Judgement, v *judge.Verdict, owner, apprentice string) (list []string) {
	t.Helper()
	a := account.Of(g, v)
	for _, r := range a.Calls {
		list = append(list, r.Rule.Because)
	}
	for _, c := range a.Cautions {
		if !c.Hazard {
			continue
		}
		list = append(list, c.Say)
		told := plain(c.Say)
		for reader, page := range map[string]string{"owner": owner, "apprentice": apprentice} {
			if !strings.Contains(plain(page), told) {
				t.Errorf("%s on %s: the %s is not told %q", v.Treatment.ID, v.Target.Path, reader, told)
			}
		}
	}
	return list
}

// plain takes away what wording a sentence adds: capitals, blanks and the full stop.
func plain(s string) string {
	return strings.TrimRight(strings.ToLower(strings.Join(strings.Fields(s), " ")), ".")
}
