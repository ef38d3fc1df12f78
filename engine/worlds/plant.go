package worlds

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"tideline/engine/record"
	"tideline/rules/pack"
)

// Cause is how planted changes make a difference.
type Cause string

// The causes.
const (
	Single     Cause = "single"     // one change does
	Joint      Cause = "joint"      // two changes, only together
	EitherOne  Cause = "either"     // each of two changes does
	Cancelling Cause = "cancelling" // one change does, and another takes it back
)

// Causes lists them.
var Causes = []Cause{Single, Joint, EitherOne, Cancelling}

// Planted is a world with two sides between which changes were planted that move the verdict of one treatment, among random
// changes that cannot.
type Planted struct {
	Packs           [2]*pack.Pack // old, new
	Books           [2]*record.Book
	Treatment, Path string
	Cause           Cause
	// Changes are what was planted: of an answer its path and question, of a rule, fact or weight that word and its id. For
	// Cancelling, the one that does it comes first.
	Changes []string
	Text    string // for who must find out why it failed
}

// plant is a way to plant a cause: the rules and facts about the treatment `press` on either side, and which answers to the
// questions part.p1 to part.p3 are yes.
type plant struct {
	cause      Cause
	rules      [2]string // keys of plantRules
	fact       [2]string // condition of part.marked
	yes        [2]string // of 123
	looks      [2]string // the owner's weight for the criterion, "" for none
	changes    []string
	mayReverse bool // the sides can be swapped, and the cause is the same
}

var plantRules = map[byte]string{
	'1': "  stop: {treatment: press, rules out when: part.p1, because: x, standing: house}\n",
	'!': "  stop: {treatment: press, rules out when: '!part.p1', because: x, standing: house}\n",
	'&': "  stop: {treatment: press, rules out when: part.p1 && part.p2, because: x, standing: house}\n",
	'|': "  stop: {treatment: press, rules out when: part.p1 || part.p2, because: x, standing: house}\n",
	'-': "  stop: {treatment: press, rules out when: part.p1 && !part.p2, because: x, standing: house}\n",
	'm': "  stop: {treatment: press, rules out when: part.marked, because: x, standing: house}\n",
	'3': "  halt: {treatment: press, rules out when: part.p3, because: x, standing: house}\n",
	'a': "  mars: {treatment: press, against when: always, criterion: looks, weight: 3, because: x, standing: house}\n",
	'b': "  mars: {treatment: press, against when: part.p1, criterion: looks, weight: 3, because: x, standing: house}\n",
}

// part.marked is what it is on both sides where a plant says nothing of it.
const plainFact = "part.p3"

var plants = []plant{
	{Single, [2]string{"1", "1"}, [2]string{}, [2]string{"", "1"}, [2]string{}, []string{"cover part.p1"}, true},
	{Single, [2]string{"", "1"}, [2]string{}, [2]string{"1", "1"}, [2]string{}, []string{"rule stop"}, true},
	{Single, [2]string{"1", "!"}, [2]string{}, [2]string{"1", "1"}, [2]string{}, []string{"rule stop"}, true},
	{Single, [2]string{"m", "m"}, [2]string{"part.p1", "!part.p1"}, [2]string{"1", "1"}, [2]string{}, []string{"fact part.marked"}, true},
	{Single, [2]string{"a", "a"}, [2]string{}, [2]string{}, [2]string{"", "1"}, []string{"weight looks"}, true},
	{Joint, [2]string{"&", "&"}, [2]string{}, [2]string{"", "12"}, [2]string{}, []string{"cover part.p1", "cover part.p2"}, false},
	{Joint, [2]string{"", "1"}, [2]string{}, [2]string{"", "1"}, [2]string{}, []string{"cover part.p1", "rule stop"}, false},
	{Joint, [2]string{"", "m"}, [2]string{"part.p1 && part.p2", "part.p1"}, [2]string{"1", "1"}, [2]string{}, []string{"fact part.marked", "rule stop"}, false},
	{Joint, [2]string{"b", "b"}, [2]string{}, [2]string{"", "1"}, [2]string{"", "1"}, []string{"cover part.p1", "weight looks"}, false},
	{EitherOne, [2]string{"|", "|"}, [2]string{}, [2]string{"", "12"}, [2]string{}, []string{"cover part.p1", "cover part.p2"}, false},
	{EitherOne, [2]string{"1", "13"}, [2]string{}, [2]string{"3", "13"}, [2]string{}, []string{"cover part.p1", "rule halt"}, false},
	{EitherOne, [2]string{"", "13"}, [2]string{}, [2]string{"13", "13"}, [2]string{}, []string{"rule halt", "rule stop"}, false},
	{Cancelling, [2]string{"-", "-"}, [2]string{}, [2]string{"", "12"}, [2]string{}, []string{"cover part.p1", "cover part.p2"}, false},
	{Cancelling, [2]string{"1", ""}, [2]string{}, [2]string{"", "1"}, [2]string{}, []string{"cover part.p1", "rule stop"}, false},
	{Cancelling, [2]string{"", "m"}, [2]string{"part.p1", "!part.p1"}, [2]string{"1", "1"}, [2]string{}, []string{"rule stop", "fact part.marked"}, false},
}

// Plant makes a random world and plants a cause in it.
func Plant(t Host, rnd *rand.Rand, cause Cause) *Planted {
	t.Helper()
	w := New(t, rnd)
	fit := slices.DeleteFunc(slices.Clone(plants), func(p plant) bool { return p.cause != cause })
	p := fit[rnd.IntN(len(fit))]
	packs, books := w.others()
	planted := &Planted{Treatment: "press", Path: "cover", Cause: cause, Changes: p.changes}
	order := []int{0, 1}
	if p.mayReverse && rnd.IntN(2) == 0 {
		order = []int{1, 0}
	}
	for i, side := range order {
		text, book := p.pack(packs[i], side), p.book(books[i], side)
		planted.Packs[i] = Load(t, text)
		planted.Books[i] = Parse(t, planted.Packs[i], book)
		planted.Text += text + book
	}
	return planted
}

// others makes both sides' packs and books with random changes of other rules and answers.
func (w *World) others() (packs, books [2]string) {
	packs = [2]string{w.YAML, w.YAML}
	for i := range w.Rnd.IntN(3) {
		packs[w.Rnd.IntN(2)] += w.RuleText(fmt.Sprintf("n%d", i))
	}
	text := w.BookText(w.Rnd.IntN(3))
	books = [2]string{text, text}
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, "  - {test: ") && w.Rnd.IntN(4) == 0 {
			side := w.Rnd.IntN(2)
			books[side] = strings.Replace(books[side], line, "", 1)
		}
	}
	return packs, books
}

// pack plants a side's rules and fact in the text of a pack.
func (p plant) pack(text string, side int) string {
	rules := "  press-call: {treatment: press, called for when: always, because: x, standing: house}\n" +
		"  press-good: {treatment: press, for when: always, criterion: life, weight: 2, because: x, standing: house}\n"
	for i := range len(p.rules[side]) {
		rules += plantRules[p.rules[side][i]]
	}
	fact := p.fact[side]
	if fact == "" {
		fact = plainFact
	}
	for _, add := range [][2]string{
		{"\ntests:\n", "  part.p1: {asks: \"1?\", answer: yes/no}\n  part.p2: {asks: \"2?\", answer: yes/no}\n  part.p3: {asks: \"3?\", answer: yes/no}\n"},
		{"\nfacts:\n", fmt.Sprintf("  part.marked: {is: '%s', says: marked, standing: house}\n", fact)},
		{"\ntreatments:\n", "  press: {name: press, of: part, family: g, says: s, serves: [clean], intervention: 2, retreatable: yes}\n"},
		{"\nrules:\n", rules},
	} {
		text = strings.Replace(text, add[0], add[0]+add[1], 1)
	}
	return text
}

// book plants a side's answers and weight in the text of a book.
func (p plant) book(text string, side int) string {
	for _, n := range "123" {
		answer := map[bool]string{true: "yes", false: "no"}[strings.ContainsRune(p.yes[side], n)]
		text += fmt.Sprintf("  - {test: part.p%c, on: cover, yes: %s}\n", n, answer)
	}
	if p.looks[side] != "" {
		text += fmt.Sprintf("owner: {weights: {looks: %s}}\n", p.looks[side])
	}
	return text
}
