package words

import (
	"fmt"
	"strings"

	"tideline/engine/drift"
	"tideline/engine/judge"
	"tideline/rules/pack"
)

// Phrases of why a book would be decided otherwise now, each for one state.
const (
	NoDrift         = "Every verdict would be the same now."
	NoCandidate     = "no such candidate"
	OrElse          = "or"
	MovedBack       = "Moved, and moved back"
	ThenBecause     = "Then"
	NowBecause      = "Now"
	OnlyFactors     = "There are too many changes to try each by itself on the verdicts that stayed the same; of those only whole groups were tried."
	NotAttributed   = "What made the difference was not found: too much is open to search it to the end."
	ProgramDiffers  = "The program made the difference"
	SealedNotGiven  = "The sealed proof was not at hand."
	SealedHolds     = "Checked apart, the sealed proof holds."
	TodayHolds      = "Checked apart, today's proof holds."
	TodayNone       = "Today's program finds no such candidate, so there is no proof of it."
	SealedErred     = "So the program that sealed erred."
	TodayErred      = "So today's program erred."
	BothErred       = "So both programs erred."
	ErredUnknown    = "The proofs do not tell which of the two erred."
	WouldRestoreOne = "To have the old verdict back, this would have to be as it was"
	WouldRestoreAny = "To have the old verdict back, one of these would have to be as it was"
)

// DriftCounted says how many verdicts would be others.
func DriftCounted(changed, unchanged int) string {
	return fmt.Sprintf("%s would be decided otherwise now, %d the same.", Count(changed, "verdict", "verdicts"), unchanged)
}

// Drifted heads verdicts that went one way: "Recommended then, ruled out now".
func Drifted(was, is judge.Word, n int) string {
	return Counted(Upper(orNone(was))+" then, "+orNone(is)+" now", n)
}

// Still heads a verdict that is as it was.
func Still(name, path string, w judge.Word) string {
	return Judged(name, path, orNone(w)) + ", then and now"
}

func orNone(w judge.Word) string {
	if w == "" {
		return NoCandidate
	}
	return string(w)
}

// MadeDifference says which sort of change made the difference, where one did.
func MadeDifference(i drift.Item) string { return Upper(subject(i)) + " made the difference" }

// subject names what an edit is of.
func subject(i drift.Item) string {
	switch {
	case i.Kind == drift.Edited && i.Edit.Of == pack.OfWithdrawal:
		return "the withdrawal of the rule " + i.Edit.ID
	case i.Kind == drift.Edited && i.Edit.Of == pack.OfNever:
		return "the statement " + i.Edit.ID
	case i.Kind == drift.Edited && i.Edit.Of == pack.OfGoodFor:
		return "how long " + i.Edit.ID + " is good for"
	case i.Kind == drift.Edited:
		return fmt.Sprintf("the %s %s", i.Edit.Of, i.Edit.ID)
	case i.Kind == drift.Weighed:
		return "the weight of " + i.Of.ID
	case i.Kind == drift.Aimed:
		return "what the owner wants"
	case i.Question == nil:
		return "what is there"
	}
	return "the answer"
}

// TogetherMade heads changes that made the difference only together.
func TogetherMade(n int) string {
	if n == 2 {
		return "Only both together made the difference"
	}
	return fmt.Sprintf("Only all %d together made the difference", n)
}

// EitherWould heads sets of changes each of which is enough.
func EitherWould(n int) string {
	if n == 2 {
		return "Either would have made the difference"
	}
	return fmt.Sprintf("Any of these %d would have made the difference", n)
}

// MovedTo says that changes moved a verdict.
func MovedTo(w judge.Word) string { return "This alone would have made it " + orNone(w) }

// MovedByAll says that changes moved a verdict only together.
func MovedByAll(n int, w judge.Word) string {
	return Upper(All(n)) + " would have made it " + orNone(w)
}

// TookBack heads what moved a verdict back.
func TookBack(sets int) string {
	if sets == 1 {
		return "This took it back"
	}
	return fmt.Sprintf("Each of these %d takes it back", sets)
}

// ChangesTried says how far a search for sets of changes went.
func ChangesTried(upTo int) string {
	if upTo == 0 {
		return "There are too many changes to try all sets; there may be others."
	}
	return fmt.Sprintf("All sets of up to %s were tried; there may be larger ones that are not listed.", Count(upTo, "change", "changes"))
}

// Programs says what each program gave.
func Programs(p *drift.Program) string {
	return fmt.Sprintf("From the same record and packs, the program that sealed gave %s, and today's gives %s.", orNone(p.Sealed), orNone(p.Today))
}

// Checks says how the proofs fared, and which program erred.
func Checks(p *drift.Program) []string {
	list := []string{SealedNotGiven, TodayNone}
	if p.SealedProof.Given {
		list[0] = SealedHolds
		if p.SealedProof.Err != nil {
			list[0] = "Checked apart, the sealed proof does not hold: " + p.SealedProof.Err.Error() + "."
		}
	}
	if p.TodayProof.Given {
		list[1] = TodayHolds
		if p.TodayProof.Err != nil {
			list[1] = "Checked apart, today's proof does not hold: " + p.TodayProof.Err.Error() + "."
		}
	}
	return append(list, map[drift.Erred]string{drift.Then: SealedErred, drift.Now: TodayErred, drift.Both: BothErred, drift.Unproven: ErredUnknown}[p.Erred])
}

// Change says what an edit did.
func Change(i drift.Item) string {
	switch {
	case i.Kind == drift.Edited:
		return edited(i.Edit)
	case i.Kind == drift.Weighed:
		return fmt.Sprintf("the weight of %s: it was %s, it is %s", i.Of.ID, Number(i.From), Number(i.To))
	case i.Kind == drift.Aimed:
		return fmt.Sprintf("the owner's aims: they were %s, they are %s", aimsOf(i.Aims[0]), aimsOf(i.Aims[1]))
	case i.Question == nil:
		return fmt.Sprintf("%s: %s", i.Kind, i.Path)
	}
	return fmt.Sprintf("%s: %s: %s %s", i.Kind, i.Path, i.Question.Asks, became(i))
}

// became says what an answer was and is.
func became(i drift.Item) string {
	answer := func(known bool, text string) string {
		if !known {
			return "not known"
		}
		return text
	}
	was := "It was " + answer(i.Old.Known, i.Question.Text(i.Old))
	switch {
	case i.Lapse != nil && i.Lapse.Step != nil:
		return fmt.Sprintf("%s, tested before %s; test again", was, i.Lapse.Step.Treatment)
	case i.Lapse != nil:
		return fmt.Sprintf("%s, good for %s; test again", was, Count(i.Lapse.Days, "day", "days"))
	}
	return fmt.Sprintf("%s, it is %s", was, answer(i.New.Known, i.Question.Text(i.New)))
}

func aimsOf(list []string) string {
	switch {
	case list == nil:
		return "not given"
	case len(list) == 0:
		return "none"
	}
	return strings.Join(list, ", ")
}

// edited says what became of an entry of the packs, with both texts and places.
func edited(e *pack.Edit) string {
	what := subject(drift.Item{Kind: drift.Edited, Edit: e})
	switch {
	case e.Was == nil:
		return fmt.Sprintf("%s is new (%s): %s", what, e.Is.Place, e.Is.Text)
	case e.Is == nil:
		return fmt.Sprintf("%s is gone (%s): %s", what, e.Was.Place, e.Was.Text)
	}
	return fmt.Sprintf("%s changed. It was (%s): %s. It is (%s): %s", what, e.Was.Place, e.Was.Text, e.Is.Place, e.Is.Text)
}
