package guide

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"tideline/explain/words"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// What the handbook says between the sentences of the packs: headings, labels, and the few sentences of its own.
const (
	title      = "Handbook of the packs"
	contents   = "Contents"
	searchFor  = "Search the handbook"
	skip       = "Skip to the text"
	back       = "Top"
	findInPage = "Scripts are off: find words with the browser's own search in the page."

	chSubjects   = "Subjects"
	chTreatments = "Treatments"
	chRules      = "Rules"
	chTests      = "Tests"
	chFacts      = "Facts"
	chPrinciples = "Principles"
	chCriteria   = "Criteria and aims"
	chSources    = "Sources"

	saysTreatments = "What each treatment is, the dangers first, then when it is called for, what rules it out, and what to test before."
	saysRules      = "Every rule as it was written. A rule asks each thing it looks at; what is not known stays open, and never counts as no."
	saysTests      = "Every question a condition can ask, and how it is answered."
	saysFacts      = "Named stepping stones that conditions use, and answers that cannot go together."

	grpDangers  = "Dangers to people"
	grpCalled   = "Called for"
	grpStepFor  = "A step that others need"
	grpOut      = "Ruled out"
	grpFirst    = "What must come first"
	grpTests    = "Tests to do first"
	grpFor      = "Speaks for it"
	grpAgainst  = "Speaks against it"
	grpSettings = "Settings"
	grpWatch    = "Watch for"
	grpStop     = "Stop at"
	grpAfter    = "What it leaves"
	grpDisagree = "Sources disagree"

	noRulingOut = "No rule of the packs rules it out."
	noFor       = "No rule of the packs speaks for it."
	noAgainst   = "No rule of the packs speaks against it."
	secFacts    = "Stepping stones"
	secNever    = "Cannot go together"
	secCriteria = "Criteria"
	secAims     = "Aims"
	fromRecord  = "The record answers it; there is nothing to test."
	forTheBook  = "computed for the book in hand"
)

// does labels the treatments a rule speaks of.
var does = map[pack.Effect]string{
	pack.RulesOut: "Rules out", pack.CalledFor: "Calls for", pack.Needs: "Wants a step before", pack.For: "Speaks for",
	pack.Against: "Speaks against", pack.Caution: "Warns with",
}

// askedOf heads the tests of a kind of thing.
func askedOf(k vocab.Kind) string {
	if k.Singular() {
		return "Asked of the " + string(k)
	}
	article := "a "
	if strings.ContainsRune("aeiou", rune(k[0])) {
		article = "an "
	}
	return "Asked of " + article + string(k)
}

// named makes a heading of a file's name: "metal-work.yaml" is "Metal work".
func named(stem string) string {
	s := strings.Join(strings.FieldsFunc(words.Safe(stem), func(r rune) bool { return r == '-' || r == '_' || unicode.IsSpace(r) }), " ")
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}

// level says how much a treatment takes on itself, of five steps.
func level(n int) string { return fmt.Sprintf("%d of 5", n) }

func minutes(active, waiting int) string {
	var list []string
	if active > 0 {
		list = append(list, fmt.Sprintf("%d at work", active))
	}
	if waiting > 0 {
		list = append(list, fmt.Sprintf("%d waiting", waiting))
	}
	return strings.Join(list, ", ")
}
