package words

import (
	"fmt"
	"strings"

	"tideline/rules/pack"
)

// Phrases of the whole chain, each for one state.
const (
	NoDifference = "No rule tells the two apart here."
)

// Judged opens a whole chain: "immersion bath on cover: ruled out".
func Judged(treatment, target, verdict string) string {
	return On(treatment, target) + ": " + verdict
}

// RuleSays says which rule does what, of which thing.
func RuleSays(rule, effect, thing string) string {
	return fmt.Sprintf("%s %s: %s", rule, effect, thing)
}

// Because gives a rule's reason.
func Because(s string) string { return "Because: " + s }

// Principle gives the mechanism behind a rule.
func Principle(says string) string { return "Behind it: " + says }

// Founded says how well something is founded, and on which sources.
func Founded(standing string, sources []*pack.Source) string {
	var list []string
	for _, s := range sources {
		list = append(list, Source(s))
	}
	switch {
	case len(list) == 0:
		return "Standing: " + standing + "."
	case standing == "":
		return "Source: " + strings.Join(list, "; ") + "."
	}
	return fmt.Sprintf("Standing: %s. Source: %s.", standing, strings.Join(list, "; "))
}

// Grounded says the same in an aside.
func Grounded(standing string, sources []*pack.Source) string {
	return strings.TrimSuffix(strings.TrimPrefix(Founded(standing, sources), "Standing: "), ".")
}

// Condition gives what a rule asks, as its writer put it.
func Condition(text string) string { return "Applies when: " + text }

// Valued puts a part of a condition with its value.
func Valued(text, value string) string { return text + ": " + value }

// Enough says which answers are enough for what was asked, when the answer given is one of them.
func Enough(answers string) string { return "(enough: " + answers + ")" }

// AskedFor says which answers were asked for, when the answer given is none of them or there is none.
func AskedFor(answers string) string { return "(asked for: " + answers + ")" }

// FactMeans says what a named fact stands for.
func FactMeans(id, condition string) string { return id + " means: " + condition }

// FactOf says a fact of a thing with its value: "so it is: the paper is rich in lignin (the part cover)".
func FactOf(value, says, thing string) string { return fmt.Sprintf("%s: %s (%s)", value, says, thing) }

// NotNeeded counts branches that the value does not hang on.
func NotNeeded(n int) string {
	return fmt.Sprintf("%s not needed for this; --all shows %s", Count(n, "branch is", "branches are"), them(n))
}

func them(n int) string {
	if n == 1 {
		return "it"
	}
	return "them"
}

// Whatever opens a proof by cases.
func Whatever(asks, thing string) string {
	return fmt.Sprintf("%s (%s) Whatever the answer:", asks, thing)
}

// IfAnswer opens one case.
func IfAnswer(answers string) string { return "if it is " + answers }

// MoreRules counts the rules asked that do not apply.
func MoreRules(n int) string {
	return fmt.Sprintf("%s asked and %s not apply; --all shows %s.", Count(n, "more rule was", "more rules were"), does(n), them(n))
}

func does(n int) string {
	if n == 1 {
		return "does"
	}
	return "do"
}

// AlsoSpeak counts the rules that apply or may, and that the verdict does not rest on.
func AlsoSpeak(n int) string {
	return fmt.Sprintf("%s here, but the verdict does not rest on %s; --all shows %s.", Count(n, "more rule speaks", "more rules speak"), them(n), them(n))
}

// Disagrees points at a rule that says otherwise.
func Disagrees(rule, because string) string {
	return fmt.Sprintf("Sources disagree; the rule %s says: %s", rule, because)
}

// ComesFirst names the step a rule wants first.
func ComesFirst(step string) string { return "First: " + step }

// How describes a test.
func How(t *pack.Test) []string {
	var lines []string
	add := func(label, s string) {
		if s != "" {
			lines = append(lines, label+": "+s)
		}
	}
	add("How", t.How)
	add("With", strings.Join(t.Materials, ", "))
	add("Where", t.Where)
	add("How long", t.Dwell)
	add("Read", t.Read)
	add("Goes wrong", t.GoesWrong)
	cost := []string{}
	if t.Minutes > 0 {
		cost = append(cost, Count(t.Minutes, "minute", "minutes"))
	}
	if t.Spots > 0 {
		cost = append(cost, Count(t.Spots, "place", "places"))
	}
	if t.Harm != "" {
		cost = append(cost, "harm to the book: "+t.Harm)
	}
	add("Costs", strings.Join(cost, "; "))
	return lines
}

// Filled puts a number into a phrase.
func Filled(phrase string, n int) string { return fmt.Sprintf(phrase, n) }

// Sentence makes a phrase a sentence.
func Sentence(phrase string) string {
	return strings.ToUpper(phrase[:1]) + phrase[1:] + "."
}

// SpeaksToo heads the rules that the verdict does not rest on.
func SpeaksToo(effect string) string { return "Besides, what " + effect }

// Rather asks why one and not the other.
func Rather(chosen, foil string) string { return chosen + ", rather than " + foil }

// OnlyHere heads the rules that speak of one of two and not, or not so, of the other.
func OnlyHere(effect string) string { return "Only here: " + effect }
