package words

import (
	"fmt"

	"tideline/rules/cond"
	"tideline/rules/pack"
)

// The phrases for what a standard could not carry, each for one kind of loss. %d stands for a number, %s for its noun.
const (
	LostProofs      = "the proofs: of each verdict only its leading reasons and the answers it read are carried, not how the one follows from the other"
	LostVerdicts    = "verdicts and their proofs: the standard has a form for what was done, none for what was judged; they stand as one text"
	LostSupport     = "the weighing: aims, weights, arguments and support"
	LostCautions    = "cautions, and what protects the worker: read them in the decision itself before any step"
	LostZone        = "time zones: the record gives none; days and times are written as UTC, a day as its first and last second"
	LostPersons     = "who the people are: the record gives names or initials, which may be another's elsewhere"
	LostCopies      = "which copy it is: identifiers follow from title and day of examination, which another copy may share"
	LostTerms       = "a shared meaning for our own terms: they stand under example.org, where nothing is published"
	LostDuration    = "how sure an answer is: how long a result stays good, and what makes it stale"
	LostStructure   = "the parts as things of their own: their sizes, inks and fasteners stand in texts"
	LostVocabulary  = "shared terms for findings, tests and treatments: they are the packs' own words"
	LostSeal        = "what makes the decision tamper-evident: its chain and its exact bytes stay with the sealed file, of which the hash is given"
	LostPlanReasons = "why the plan is the mildest one, what it leaves as it is and why, and the next best ones"
	LostPlan        = "the plan and the decision as such: the standard has a form for what was done, none for what is to be done; they stand as texts"
	lostOpen        = "%s: a question without an answer is named in the verdicts that hang on it, and nowhere else"
	lostUnanswered  = "%s: the standard has no form for a question"
	lostUndated     = "the order of %s without a date"
	lostReplaced    = "which later result replaced an earlier one (%s)"
	lostMapped      = "the drawn places of %s"
	lostClashes     = "%s among the answers"
	lostStale       = "that a step made %s stale"
)

// LostOpen says that questions without an answer are only named.
func LostOpen(n int) string {
	return fmt.Sprintf(lostOpen, Count(n, "open question", "open questions"))
}

// LostUnanswered says that questions without an answer are left out.
func LostUnanswered(n int) string {
	return fmt.Sprintf(lostUnanswered, Count(n, "open question", "open questions"))
}

// LostUndated says that some of the record has no date.
func LostUndated(n int) string {
	return fmt.Sprintf(lostUndated, Count(n, "answer or step", "answers and steps"))
}

// LostReplaced says that which result replaced which is not carried.
func LostReplaced(n int) string { return fmt.Sprintf(lostReplaced, Count(n, "result", "results")) }

// LostMapped says that places are not carried.
func LostMapped(n int) string {
	return fmt.Sprintf(lostMapped, Count(n, "finding or fastener", "findings and fasteners"))
}

// LostClashes says that answers which cannot all be true are not marked.
func LostClashes(n int) string {
	return fmt.Sprintf(lostClashes, Count(n, "contradiction", "contradictions"))
}

// LostStale says that what a step made stale is not marked.
func LostStale(n int) string { return fmt.Sprintf(lostStale, Count(n, "result", "results")) }

// NotCarried heads the list of what a standard could not carry.
func NotCarried(standard string) string { return fmt.Sprintf("Not carried by %s:", standard) }

// VerdictOn says what was judged of a treatment: "immersion bath on cover: ruled out".
func VerdictOn(treatment, target, verdict string) string {
	return fmt.Sprintf("%s on %s: %s", treatment, target, verdict)
}

// Reason says what a rule does here and why: "rules it out: The colour would run. (bath-bleeding-ink)".
func Reason(r *pack.Rule, v cond.Truth) string {
	return fmt.Sprintf("%s: %s (%s)", Effect(r.Effect, v), r.Because, r.ID)
}

// StepDone names a step done in a sentence: "dry brush on cover/outside".
func StepDone(treatment, target string) string { return treatment + " on " + target }

// Found names a finding: "tear: cover/outside/tear-1".
func Found(kind, path string) string { return kind + ": " + path }

// Afterwards names a thing as a step left it.
func Afterwards(path, treatment string) string { return path + " after " + treatment }

// The names of what a record tells of, as headings.
const (
	PlanRecommended  = "Plan recommended"
	PersonDecided    = "What was decided"
	OwnerConsented   = "Consent given"
	Examination      = "Examination"
	TreatmentsJudged = "Treatments judged"
	LeftOut          = "What this record leaves out"
)

// SealOf names a sealed decision.
func SealOf(name, number string) string {
	return fmt.Sprintf("Sealed decision %s of the case %s", number, name)
}

// StepOfPlan names a step at its place in a plan.
func StepOfPlan(n int, treatment, target string) string {
	return fmt.Sprintf("%d. %s", n, StepDone(treatment, target))
}

// TakenUp says that a step was accepted.
func TakenUp(step string) string { return "Accepted: " + step }

// Departed says what was done or left otherwise than advised, and why.
func Departed(what, did, left, because string) string {
	if did != "" {
		return fmt.Sprintf("%s, done otherwise: %s. Because: %s", what, did, because)
	}
	return fmt.Sprintf("%s, left: %s. Because: %s", what, left, because)
}

// ConsentOf says who consented, when and how.
func ConsentOf(by, date, form string) string {
	return fmt.Sprintf("Consent by %s, %s, %s", by, date, form)
}
