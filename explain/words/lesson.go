package words

import (
	"fmt"
	"strings"

	"tideline/engine/evidence"
	"tideline/engine/lesson"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Phrases of a lesson, each for one state.
const (
	LessonKeys      = "Answer with numbers or with words. ? gives a hint, pass shows the answer, q stops."
	TakenOtherwise  = "For this exercise one answer is taken otherwise"
	KnownOfIt       = "What is known"
	WhichVerdict    = "Which verdict is it?"
	WhichReason     = "Which of these results rule it out? Any that are enough will do. Others of the record can be named too, by path and question as `tideline suppose` takes them."
	WhichOut        = "Which of these are ruled out? Give all of them, or none."
	WhichNext       = "It waits for a test. Which of these could settle whether it is ruled out? One is enough."
	WhichOrder      = "In which order would you do these? Give all of them, the first step first; where no order is laid down, any will do."
	WhichPrinciple  = "Which principle lies behind this rule?"
	RightAnswer     = "Right."
	WrongAnswer     = "Not so."
	TryAgain        = "Try again; ? gives a hint, pass shows the answer."
	TheAnswer       = "The answer"
	FirstFailing    = "The first step that fails"
	NotNamed        = "you did not name it"
	NothingReads    = "No rule that could rule it out reads what you named."
	NoRuleCould     = "No rule of the packs could make it so."
	NothingStands   = "No answer that is still open could make it so."
	NotConsidered   = "With that it is not considered at all."
	OnlyThatKnown   = "With nothing known but what you named, it would be"
	WithThatAnswer  = "With that answer it would be"
	AlsoEnough      = "Other results that are enough"
	NotRuledOut     = "not ruled out"
	MissedOut       = "Missed"
	SettlesNothing  = "no answer to it settles whether this is ruled out"
	GivenOfIt       = "Given with the book"
	AskedFirst      = "Of all open tests of this book, `tideline ask` puts first"
	NoMoreExercises = "This book gives no further exercise that is unlike these."
	StoppedNow      = "Stopped."
	ScoreSheet      = "Score sheet"
	NothingAnswered = "Nothing was answered."
	LookAtAgain     = "To look at again"
	AnyOrderElse    = "All else may come in any order."
	NoneOfThem      = "none"
	PassWord        = "pass"
	LineTooLong     = "That line is too long to be an answer."
	GiveAll         = "Give each of them once: %d in all."
	NoAnswerGiven   = "Nothing was typed."
	OneOnly         = "Give one answer only."
)

// lessonKinds are the kinds of exercises as a heading names them.
var lessonKinds = map[lesson.Kind]string{
	lesson.Verdict: "the verdict", lesson.Reason: "the results it rests on", lesson.Answer: "the answer to look for", lesson.Out: "what is ruled out",
	lesson.Next: "the next test", lesson.Order: "the order of steps", lesson.Principle: "the principle behind it",
}

// LessonKind names what an exercise asks for.
func LessonKind(k lesson.Kind) string { return lessonKinds[k] }

// LessonHead heads a run: how many exercises, and how to have them again.
func LessonHead(title string, seed uint64) string {
	return fmt.Sprintf("%s: exercises. --seed %d with the same notes gives these again.", title, seed)
}

// ExerciseNo heads an exercise.
func ExerciseNo(n, of int, k lesson.Kind) string {
	return fmt.Sprintf("Exercise %d of %d: %s", n, of, LessonKind(k))
}

// WhichAnswer asks what an answer must be.
func WhichAnswer(thing string, q *vocab.Question) string {
	return fmt.Sprintf("It is ruled out. What must the answer to this be, so that it is? %s: %s Expected is %s.", thing, q.Asks, q.Expected())
}

// MoreBear counts the answers that are not told.
func MoreBear(n int) string {
	return fmt.Sprintf("Not told here: %s; taken as the record has them, they make the verdict no other.", Count(n, "more answer that bears on it", "more answers that bear on it"))
}

// GivenOf tells what things are.
func GivenOf(things, asks, answer string) string {
	return fmt.Sprintf("%s: %s %s", things, asks, answer)
}

// NotNeededOf says what was named and is not needed.
func NotNeededOf(names string) string { return "Not needed for that: " + names + "." }

// OrderedBy says which of two steps comes first, and by whose word.
func OrderedBy(first, then, by string) string {
	return fmt.Sprintf("First %s, then %s: so says %s.", first, then, by)
}

// RuleNamed names a rule.
func RuleNamed(id string) string { return "the rule " + id }

// WorkNamed names the description of a treatment.
func WorkNamed(name string) string { return "the description of " + name }

// NoSuchNumber says that there is no such choice, and what there is.
func NoSuchNumber(n string, most int) string {
	return fmt.Sprintf("There is no %s here; the numbers go from 1 to %d.", n, most)
}

// NoSuchName says that a word names none of the choices.
func NoSuchName(word, near string) string {
	s := fmt.Sprintf("Nothing here is called %q.", word)
	if near != "" {
		s += " " + Meant(near)
	}
	return s
}

// NotAnAnswer says why a text is no answer to a question.
func NotAnAnswer(word string, err error, near string) string {
	s := fmt.Sprintf("%q is no answer to that: %v.", word, err)
	if near != "" {
		s += " " + Meant(near)
	}
	return s
}

// NotTestedYet says that what was named has no answer to name.
func NotTestedYet(name string) string {
	return fmt.Sprintf("%s is not tested here, so it cannot be the reason.", name)
}

// HintNo numbers a hint.
func HintNo(n, of int, says string) string { return fmt.Sprintf("Hint %d of %d: %s", n, of, says) }

// HintRules says how many rules are asked.
func HintRules(n int) string {
	return fmt.Sprintf("%s forbid it. Go through what is known and ask of each whether it holds, fails, or waits for something.", Count(n, "rule could", "rules could"))
}

// HintKind says what the deciding rule looks at.
func HintKind(k vocab.Kind) string { return fmt.Sprintf("What decides it is asked of the %s.", k) }

// HintSize says how many results are enough.
func HintSize(n int) string {
	if n == 1 {
		return "One result alone is enough."
	}
	return fmt.Sprintf("It takes %d results together.", n)
}

// HintShare says how many of the stretches of answers do.
func HintShare(n, of int) string {
	return fmt.Sprintf("The rules tell %s apart here; %d of these will do.", Count(of, "stretch of answers", "stretches of answers"), n)
}

// HintNotAnswer gives an answer that does not do.
func HintNotAnswer(answer string) string { return fmt.Sprintf("It is not so with %s.", answer) }

// HintCount says how many are asked for.
func HintCount(n int) string {
	return fmt.Sprintf("There %s %d.", map[bool]string{true: "is", false: "are"}[n == 1], n)
}

// HintNot gives one of the choices that is not asked for.
func HintNot(name string) string { return "Not among them: " + name }

// HintPairs says how many orders are laid down.
func HintPairs(n int) string {
	return fmt.Sprintf("%s an order laid down.", Count(n, "pair has", "pairs have"))
}

// LessonOutcome words how an exercise ended.
func LessonOutcome(r *lesson.Row) string {
	s := string(r.Outcome)
	var help []string
	if r.Tries > 1 {
		help = append(help, Count(r.Tries, "try", "tries"))
	}
	if r.Hints > 0 {
		help = append(help, Count(r.Hints, "hint", "hints"))
	}
	if r.Needless > 0 {
		help = append(help, fmt.Sprintf("%d named that were not needed", r.Needless))
	}
	if len(help) > 0 {
		s += " " + Aside(strings.Join(help, ", "))
	}
	return s
}

// LessonPoints adds a sheet up.
func LessonPoints(points float64, of int) string {
	return fmt.Sprintf("%s of %s.", Number(points), Count(of, "point", "points"))
}

// LessonAbout names what an exercise is about.
func LessonAbout(e *lesson.Exercise) string {
	switch {
	case e.Kind == lesson.Principle:
		return RuleNamed(e.Lead.Rule.ID)
	case e.Verdict != nil:
		return On(e.Verdict.Treatment.Name, e.Verdict.Target.Path)
	}
	var list []string
	for _, v := range e.Verdicts {
		list = append(list, v.Treatment.Name)
	}
	return strings.Join(list, ", ")
}

// LessonTopic names a topic in a sentence.
func LessonTopic(t lesson.Topic) string {
	if t.About == lesson.AboutOrder {
		return strings.Replace(t.ID, " ", " before ", 1)
	}
	return string(t.About) + " " + t.ID
}

// PrincipleSays writes a principle with its name.
func PrincipleSays(p *pack.Principle) string { return p.Says + " " + Aside(p.ID) }

// Path names a question of a thing as records and commands do: cover/outside/red.wet.
func Path(a evidence.Ask) string { return a.Thing.Path + "." + a.Question.Name }
