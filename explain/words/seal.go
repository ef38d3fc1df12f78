package words

import (
	"fmt"
	"slices"
	"strings"

	"tideline/engine/audit"
	"tideline/engine/judge"
	"tideline/engine/seal"
)

// Phrases of sealed decisions and their audits, each for one state.
const (
	NotDecidedYet   = "No decision recorded yet: what is sealed is the advice."
	NothingAccepted = "A decision is recorded that takes up no step."
	NoPlanSealed    = "No plan was sealed with it."
	LeftOfPlan      = "Of the plan, not to be done"
	BesidePlan      = "To be done beside the plan"
	OwnersSheet     = "The number on the owner's sheet"
	OwnersSheetSays = "Write it there. It is the witness that none of this was cut off or written anew: `tideline audit FILE --witness NUMBER`."
	OverridesFirst  = "Decided otherwise than ruled out"
	AtHand          = "To have at hand when it is done"
	TheChain        = "The chain"
	JudgedAgain     = "Judged again"
	KnownThen       = "On what was known then"
	AlsoNoted       = "Also noted"
	JudgedNow       = "Judged now"

	LinksWhole    = "Every link is as it was sealed and follows the one before it."
	SameBytes     = "The same record and packs give the same verdicts and proofs, byte for byte."
	OtherReading  = "What is read from the text of the record is not what was read then."
	OnlyElsewhere = "Every verdict and every proof is the same; what differs are other words of the seal."
	NothingFound  = "Nothing was done against the advice without a reason, no test that mattered was skipped, and nothing it rests on had gone stale."
	NoneToJudge   = "No step was decided on or done, so nothing was done against the advice."
	NowTheSame    = "Every verdict is the same."
	NoNowAsked    = "What would be decided now was not found out."

	WithoutWitness = "What the chain alone cannot show: that later decisions were not cut off its end, and that it was not written anew as a whole. The number on the owner's sheet shows it: --witness NUMBER."
	WithoutTail    = "What the chain alone cannot show: that later decisions were not cut off its end. The number on the owner's sheet shows it: --witness NUMBER."
	NotSigned      = "It is not signed."
	NoCases        = "There is no sealed decision in it."
)

// SealedAs says where a decision was sealed.
func SealedAs(path, name string, number int) string {
	return fmt.Sprintf("Sealed in %s, decision %d of the case %s.", path, number, name)
}

// PlanSealed says what plan was sealed.
func PlanSealed(steps int, proven bool) string {
	s := fmt.Sprintf("The plan is sealed with it: %s.", Count(steps, "step", "steps"))
	if !proven {
		return s + " " + PlanUnproven
	}
	return s
}

// Follows says which decision a new one follows.
func Follows(previous string) string {
	if previous == "" {
		return "It is the first of its case."
	}
	return "It follows " + seal.Number(previous) + "."
}

// SealedMeanwhile says that another run was faster.
func SealedMeanwhile(file string) string {
	return fmt.Sprintf("While this was at work, another run sealed %s. This decision follows it and was taken without it: look at both.", file)
}

// SignedWith names the key of a signature.
func SignedWith(key string) string { return "Signed with the key " + key + "." }

// UntrustedKey says whose signature it is, and that nothing was held against it.
func UntrustedKey(key string) string {
	return fmt.Sprintf("It is signed with the key %s. Whose key that is, the signature cannot say: hold it against a key you know with --trust.", key)
}

// TrustedKey says that every link bears the signature asked for.
func TrustedKey(key string) string {
	return fmt.Sprintf("Every link is signed with the trusted key %s.", key)
}

// DecidedOtherwise gives the reason for going against advice.
func DecidedOtherwise(because string) string { return "Decided otherwise, because: " + because }

// Recorded counts what a decision holds.
func Recorded(accepted, departures int, consent bool) string {
	s := fmt.Sprintf("The decision: %s accepted, %s.", Count(accepted, "step", "steps"), Count(departures, "departure", "departures"))
	if consent {
		return s + " The owner's consent is recorded."
	}
	return s + " No consent of the owner is recorded."
}

// ResultOf names the result of an audit and what it is of.
func ResultOf(r audit.Result, what string) string { return string(r) + ": " + what }

// SealedOn tells when a decision was judged and sealed.
func SealedOn(on, at, sum string) string {
	return fmt.Sprintf("Judged for %s, sealed at %s. Its number: %s.", on, at, seal.Number(sum))
}

// Links counts the links of a chain.
func Links(n int) string { return Count(n, "link", "links") }

// breaks say what is wrong with a link.
var breaks = map[seal.BreakKind]string{
	seal.Unreadable:  "cannot be read",
	seal.NotSealed:   "is not a sealed decision, or was cut short",
	seal.Altered:     "was altered after it was sealed: its bytes do not have the hash it bears",
	seal.BadlySigned: "bears no signature that is its signer's",
	seal.Renamed:     "bears a name that is not its own",
	seal.Missing:     "is missing, though later links are there",
	seal.Parted:      "does not follow the link before it: one of the two is not the one it was, or they stand in another order",
	seal.Untrusted:   "is not signed with the trusted key",
	seal.NoWitness:   "no link has the number on the owner's sheet: later decisions were cut off, or the chain was written anew, or the number is of another case",
}

// Break says what is wrong with a link.
func Break(b seal.Break) string {
	s := b.File + " " + breaks[b.Kind]
	if b.Kind == seal.NoWitness {
		s = breaks[b.Kind]
	}
	if b.Detail != "" {
		s += " " + Aside(b.Detail)
	}
	return s + "."
}

// Witnessed says what the number on the owner's sheet shows.
func Witnessed(number, last int, sum string) string {
	s := fmt.Sprintf("The number %s on the owner's sheet is that of decision %d: up to there nothing was cut off or written anew.", seal.Number(sum), number)
	if number < last {
		return s + " For the decisions after it, a later sheet would have to speak."
	}
	return s + " Only a decision sealed after that sheet was written could have been cut off."
}

// Unfinished says that a run was killed and left a file behind.
func Unfinished(file string) string {
	return fmt.Sprintf("%s was left by a run that did not finish. It is no part of the chain and can be deleted.", file)
}

// OtherJudge says that the program judges in another way since.
func OtherJudge(was string) string {
	return fmt.Sprintf("The program's way of judging was called %s then, and is called %s now.", was, seal.Judge)
}

// erred say whose proof does not hold, by the independent checker.
var erred = map[audit.Side]string{
	audit.ThatProgram:   "The independent checker finds that the sealed proof does not hold and today's does: the program of that time erred",
	audit.TodaysProgram: "The independent checker finds that the sealed proof holds and today's does not: this program errs",
	audit.Both:          "The independent checker finds that neither proof holds",
	audit.Neither:       "The independent checker finds that both proofs hold: they differ in what is no part of a proof, such as the rank",
}

// Moved says of a verdict what it was and is, and which program erred.
func Moved(m audit.Moved) (was, who string) {
	who = erred[m.Erred()]
	switch {
	case m.Erred() == audit.ThatProgram || m.Erred() == audit.Both:
		who += " " + Aside(m.Then.Why)
	case m.Erred() == audit.TodaysProgram:
		who += " " + Aside(m.Today.Why)
	}
	return On(m.Name, m.On) + ": sealed as " + verdictOr(m.Was) + ", today " + verdictOr(m.Is) + ".", who + "."
}

func verdictOr(word string) string {
	if word == "" {
		return NoCandidate
	}
	return word
}

// CannotJudge says why a decision could not be judged again.
func CannotJudge(why string) string {
	return "It cannot be judged again: " + strings.TrimRight(why, ".") + "."
}

// CannotJudgeNow says why it could not be judged by what holds today.
func CannotJudgeNow(why string) string {
	return "It cannot be judged by what holds today: " + strings.TrimRight(why, ".") + "."
}

// Finding says what was found about a decision.
func Finding(f audit.Finding) string {
	step := On(f.Name, f.On)
	switch f.Kind {
	case audit.AgainstAdvice:
		return fmt.Sprintf("%s%s, though it was %s, and no reason is given.", step, acted(f), was(f.Verdict))
	case audit.TestSkipped:
		return "Worth testing then, and not tested:"
	case audit.NotCarried:
		return fmt.Sprintf("%s: %s carried neither into a plan nor into the working notes:", step, Count(len(f.Missing), "caution or stop sign was", "cautions and stop signs were"))
	case audit.StaleThen:
		return fmt.Sprintf("%s%s on answers that no longer stood:", step, acted(f))
	case audit.NotRetested:
		return fmt.Sprintf("%s%s, and what the plan has tested again before it was not:", step, acted(f))
	case audit.StepSkipped:
		return fmt.Sprintf("%s was accepted as a step of the plan, and passed over: a step was done that has to come after it, and no reason is given.", step)
	case audit.NotDone:
		return fmt.Sprintf("%s was accepted, and is not recorded as done so far.", step)
	case audit.OtherOrder:
		return fmt.Sprintf("%s%s before %s (%s), which has to come first.", step, acted(f), On(f.Before.Name, f.Before.On), f.Before.Done)
	case audit.OtherOrderFree:
		return fmt.Sprintf("%s%s before %s (%s), which stands before it in the plan.", step, acted(f), On(f.Before.Name, f.Before.On), f.Before.Done)
	case audit.StoppedUnsaid:
		return fmt.Sprintf("%s%s and stopped early, and it is not said why.", step, acted(f))
	case audit.LeftOfPlan:
		if f.Because != "" {
			return fmt.Sprintf("%s is a step of the plan that was left, because: %s", step, f.Because)
		}
		return fmt.Sprintf("%s is a step of the plan that was not taken up.", step)
	case audit.BesidePlan:
		return fmt.Sprintf("%s was taken up, and is no step of the plan.", step)
	case audit.WrongThen:
		return fmt.Sprintf("%s: the verdict given then does not follow from the record and the packs.", step)
	case audit.NoConsent:
		return "Steps were decided on, and no consent of the owner is recorded."
	case audit.NotRecorded:
		return fmt.Sprintf("%s%s, and no decision says so. It was %s.", step, acted(f), was(f.Verdict))
	case audit.TestsLeft:
		return fmt.Sprintf("%s left open; nothing decided on hangs on them.", Count(f.Count, "test worth doing was", "tests worth doing were"))
	case audit.DecidedOther:
		return fmt.Sprintf("%s was %s. %s", step, was(f.Verdict), DecidedOtherwise(f.Because))
	}
	return step
}

func acted(f audit.Finding) string {
	if f.Done != "" {
		return " was done (" + f.Done + ")"
	}
	return " was decided on"
}

// was puts a verdict behind "was" or "would be".
func was(verdict string) string {
	switch judge.Word(verdict) {
	case "":
		return NoCandidate
	case judge.TestFirst:
		return "waiting for a test"
	case judge.NoNeed:
		return "of no need"
	}
	return verdict
}

// CouldHave says which verdicts could have been others.
func CouldHave(c audit.Could) string {
	to := make([]string, 0, len(c.To))
	for _, w := range c.To {
		if w = was(w); !slices.Contains(to, w) {
			to = append(to, w)
		}
	}
	return fmt.Sprintf("%s was %s, and could have been %s.", On(c.Name, c.On), was(c.Was), strings.Join(to, " or "))
}

// NowWouldBe says what a verdict would be now.
func NowWouldBe(c audit.Could) string {
	return fmt.Sprintf("%s was %s, and would be %s.", On(c.Name, c.On), was(c.Was), was(strings.Join(c.To, "")))
}

// NowBy says with what it was judged now.
func NowBy(n *audit.Now) string {
	s := fmt.Sprintf("The sealed record, for %s, by today's packs: %s.", n.On, strings.Join(n.Packs, ", "))
	if n.Record {
		s = fmt.Sprintf("Today's record, for %s, by today's packs: %s.", n.On, strings.Join(n.Packs, ", "))
	}
	if len(n.Kept) > 0 {
		s += fmt.Sprintf(" Taken as it was sealed, since none was given with --pack: %s.", strings.Join(n.Kept, ", "))
	}
	return s
}

// AuditCounts counts what a folder holds.
func AuditCounts(cases, decisions int) string {
	return Count(cases, "case", "cases") + ", " + Count(decisions, "decision", "decisions")
}

// CountedResult counts the cases that came to a result.
func CountedResult(r audit.Result, n int) string { return fmt.Sprintf("%d %s", n, r) }

// AuditProgress says how far an audit is.
func AuditProgress(done, all int) string { return fmt.Sprintf("audited %d of %d cases", done, all) }

// StopAt names a stop sign.
func StopAt(sign string) string { return "Stop at: " + sign }

// Phrases of keys.
const (
	PublicHalf = "Its public half, to be given to whoever audits"
	KeyKept    = "Keep the file to yourself and keep a copy of it: whoever has it can sign in your name, and nobody can make it again."
)

// KeyMade says where a key is.
func KeyMade(path string) string {
	return fmt.Sprintf("A key to sign with was made in %s, which only you may read.", path)
}

// MoreOfIt counts what is told only when the decision's file is audited by itself.
func MoreOfIt(n int) string { return fmt.Sprintf("and %d more; the file by itself tells all", n) }
