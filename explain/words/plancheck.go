package words

import (
	"fmt"
	"strings"

	"tideline/engine/plancheck"
	"tideline/rules/pack"
)

// PlanHolds says that nothing was found wrong with a plan.
const PlanHolds = "holds together"

// planFaults are the phrases for what does not hold together in a plan. Where a step takes part they speak of it as "it".
var planFaults = map[plancheck.Kind]string{
	plancheck.NoTarget:     "%[path]s is not there then",
	plancheck.NotOfPack:    "what is told of it is not what the packs say, so its hazards and stop signs may be missing",
	plancheck.DoesNothing:  "it leaves the book as it is, which is no step",
	plancheck.Repeated:     "it was done before",
	plancheck.Order:        "it belongs before %[other]s, which is done by then",
	plancheck.InPlace:      "it and %[other]s do the same work, and only one of them should be done",
	plancheck.Need:         "%[other]s must come first, and is not done by then",
	plancheck.Verdict:      "on the book as it then is, the verdict is %[word]s",
	plancheck.Unneeded:     "it is possible only, no later step needs it, and it meets nothing that an earlier one brings",
	plancheck.RetestAbsent: "it hangs on %[question]s of %[path]s, which went stale before and is not listed to be tested again",
	plancheck.RetestIdle:   "it does not hang on %[question]s of %[path]s, which would be tested again for nothing",
	plancheck.RetestWrong:  "%[question]s of %[path]s is told wrong: by the steps before, it is %[answer]s",
	plancheck.Told:         "the plan tells another verdict, or other support, than it gets: %[word]s",
	plancheck.ForWrong:     "it does nothing for %[path]s, which it is said to deal with",
	plancheck.ForAbsent:    "it deals with %[path]s too, and does not say so",
	plancheck.NeededWrong:  "it is said to be needed by %[other]s, which does not need it",
	plancheck.BringsAbsent: "it brings %[finding]s on %[path]s, which is not told",
	plancheck.BringsWrong:  "what it is told to bring is not what it brings: %[finding]s, %[path]s",
	plancheck.MeetsWrong:   "what it is told to meet is not what it meets: %[finding]s, %[path]s",
	plancheck.Idle:         "nothing would be lost without it",
	plancheck.MetWrong:     "what is told to become of %[path]s is not what becomes of it",
	plancheck.LeftAbsent:   "%[path]s calls for care, is not dealt with, and is not listed as left",
	plancheck.LeftWrong:    "%[path]s is listed as left, and that is not so",
	plancheck.LeftNoWhy:    "%[path]s is left, and no verdict says why",
	plancheck.CostsDiffer:  "it counts %[got]s %[cost]s, and they add up to %[want]s",
}

// PlanResult says whether a plan holds together, or at which step it breaks first and why.
func PlanResult(p *pack.Pack, r *plancheck.Report) string {
	if f := r.First(); f != nil {
		return PlanBreaks(p, f)
	}
	return PlanHolds
}

// PlanBreaks says where a plan breaks, and why: "breaks at step 4: ...".
func PlanBreaks(p *pack.Pack, f *plancheck.Fault) string {
	if f.Step == plancheck.Whole {
		return "breaks as a whole: " + planFault(p, f)
	}
	return fmt.Sprintf("breaks at step %d, %s: %s", f.Step+1, On(treatmentName(p, f.Key.Treatment), f.Key.Path), planFault(p, f))
}

func planFault(p *pack.Pack, f *plancheck.Fault) string {
	asks, answer := "", ""
	if f.Question != nil {
		asks, answer = f.Question.ID, f.Question.Text(f.Answer)
	}
	other := treatmentName(p, f.Other.Treatment)
	if f.Other.Path != "" {
		other = On(other, f.Other.Path)
	}
	word := string(f.Word)
	if word == "" {
		word = NoCandidateThere
	}
	got, want := fmt.Sprint(f.Got), fmt.Sprint(f.Want)
	if f.Cost == "support" { // in millionths
		got, want = Number(float64(f.Got)/1e6), Number(float64(f.Want)/1e6)
	}
	fill := strings.NewReplacer("%[path]s", f.Path, "%[other]s", other, "%[word]s", word, "%[question]s", asks, "%[answer]s", answer,
		"%[finding]s", f.Finding, "%[cost]s", costs[f.Cost], "%[got]s", got, "%[want]s", want)
	return fill.Replace(planFaults[f.Kind])
}

// NoCandidateThere stands for the verdict of a treatment that is not considered for a thing.
const NoCandidateThere = "none, since it is not considered there"

func treatmentName(p *pack.Pack, id string) string {
	if t := p.Treatment(id); t != nil {
		return t.Name
	}
	return id
}

// costs are the phrases for what plans are compared by.
var costs = map[string]string{
	"undone": "things that no step deals with", "unmet": "things brought and not met", "lessened": "things only lessened",
	"intervention 5": "steps of intervention 5", "intervention 4": "steps of intervention 4", "intervention 3": "steps of intervention 3",
	"intervention 2": "steps of intervention 2", "intervention 1": "steps of intervention 1", "steps": "steps",
	"support": "units of support", "minutes at the bench": "minutes at the bench", "minutes of waiting": "minutes of waiting",
}
