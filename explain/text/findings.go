package text

import (
	"fmt"
	"strings"

	"tideline/explain/words"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// findingSays holds the phrase for each kind of finding: {what} is what was found, {other} the other rule.
var findingSays = map[pack.FindingKind]string{
	pack.UnreadQuestion:      "no rule, fact or never statement reads {what}",
	pack.UnusedFact:          "no condition uses the fact {what}",
	pack.NoRulingOut:         "nothing can rule {what} out",
	pack.NoCall:              "nothing can call for {what}, and no other treatment needs it",
	pack.NoArgument:          "nothing speaks for {what}, so it can never be recommended",
	pack.UntreatedFinding:    "no treatment is called for by a finding of the kind {what}, and none clears it",
	pack.UncitedSource:       "nothing cites the source {what}",
	pack.UnusedAim:           "no treatment serves the aim {what}",
	pack.UnusedCriterion:     "no argument belongs to the criterion {what}",
	pack.UnusedPrinciple:     "no rule names the principle {what}",
	pack.NeverTrue:           "{what} holds for no book",
	pack.AlwaysTrue:          "{what} holds for every book: write `always` if that is meant",
	pack.CoveredRule:         "wherever {what} holds, {other} holds too and does the same",
	pack.DoubledRule:         "{what} and {other} hold for the same books and do the same",
	pack.UndecidedRule:       "whether {what} holds for some books and not for others was not searched to the end",
	pack.UndecidedComparison: "whether {other} covers {what} was not searched to the end",
}

// Findings writes what a check of a pack found. They are notes: a pack can be judged by as it is.
func Findings(list []pack.Finding, style Style) string {
	p := &page{Style: style}
	for _, f := range list {
		p.put("", "  ", fmt.Sprintf("%s: %s", f.Place, strings.NewReplacer("{what}", f.What, "{other}", f.Other).Replace(findingSays[f.Kind])))
		if f.Other != "" {
			p.line(2, fmt.Sprintf("%s stands at %s", f.Other, f.OtherPlace))
		}
		if len(f.Witness) > 0 {
			p.line(2, "both hold, for example: "+supposed(f.Witness))
		}
		if len(f.Wider) > 0 {
			p.line(2, fmt.Sprintf("only %s holds, for example: %s", f.Other, supposed(f.Wider)))
		}
	}
	if len(list) > 0 {
		p.line(0, words.Count(len(list), "note", "notes")+". Conditions were compared over every answer they can tell apart; "+
			"the things of different lists were taken to be different things, and never statements were left out of account.")
	}
	return p.String()
}

// supposed writes the answers of a made-up book.
func supposed(list []cond.Supposed) string {
	var texts []string
	for _, s := range list {
		if s.Question == nil {
			there := "is there"
			if !s.There {
				there = "is not there"
			}
			texts = append(texts, s.Thing+" "+there)
			continue
		}
		var answers []string
		for _, a := range s.Answers {
			answers = append(answers, s.Question.Text(a))
		}
		if len(answers) > 3 {
			answers = append(answers[:2], "the like")
		}
		texts = append(texts, fmt.Sprintf("%s.%s %s", s.Thing, s.Question.Name, strings.Join(answers, " or ")))
	}
	return strings.Join(texts, "; ")
}
