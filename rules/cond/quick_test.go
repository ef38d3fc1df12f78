package cond

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"tideline/rules/vocab"
)

// agrees tells whether a condition was compiled quickly, and fails the test when cel-go's reading gives another formula or
// a problem, or when an atom cannot be evaluated afterwards.
func agrees(t *testing.T, text string) bool {
	t.Helper()
	facts := []string{"ink.fast", "part.safe"}
	one, err := NewEnv(testVocabulary(), facts, sums()...)
	if err != nil {
		t.Fatal(err)
	}
	two, err := NewEnv(one.vocabulary, facts, sums()...)
	if err != nil {
		t.Fatal(err)
	}
	got := one.quick(text, testVars, quickParse(text))
	if got == nil {
		if len(one.atoms)+len(one.byKey) > 0 {
			t.Fatalf("%q: given up, but atoms were left behind", text)
		}
		return false
	}
	checked, problems := two.check(text, testVars)
	want, problems := two.build(text, testVars, checked, problems)
	if problems != nil {
		t.Fatalf("%q: compiled quickly, but cel-go says %v", text, problems)
	}
	ignore := cmpopts.IgnoreUnexported(Atom{})
	if diff := cmp.Diff(want, got, ignore); diff != "" {
		t.Fatalf("%q (-cel-go +quick):\n%s", text, diff)
	}
	if diff := cmp.Diff(two.atoms, one.atoms, ignore); diff != "" {
		t.Fatalf("%q: atoms (-cel-go +quick):\n%s", text, diff)
	}
	return true
}

// plainConditions have every form that is read quickly.
var plainConditions = []string{
	"ink.wet < 4", "4 > ink.wet && ink.dry <= 4.5", "ink.wet < 4 && (ink.dry == 5 || !ink.stamped)", `ink.kind in ["stamp", 'ballpoint']`, "part.ph in [6, 7]",
	"part.inks.exists(i, i.wet < 3)", "part.inks.all(i, i.fast || i.wet == 5)", "book.parts.exists(p, p.inks.all(i, i.wet == 5 && p.torn))",
	"part.inks.atLeast(2, i, i.wet < 3)", "ink.part.torn || ink.wet < ink.dry", "!part.safe && !(ink.fast || ink.stamped == false)", "part.sinks < s(30) || part.sinks > min(1.5)",
	"part.warm >= degF(155)", "true || ink.stamped", `ink.kind != "stamp" &&` + "\n  ink.kind == ink.kind", "part.inks.exists(i, i.kind == ink.kind)", "ink.stamped == part.torn",
}

// TestQuick: what is compiled quickly is what comes of cel-go's reading.
func TestQuick(t *testing.T) {
	for _, text := range plainConditions {
		if !agrees(t, text) {
			t.Errorf("%q is not compiled quickly", text)
		}
	}
	for _, text := range []string{
		"", "ink.wett < 3", "ink.wet", "ink", "ink.wet < 4.2", "ink.wet + 1 < 4", "-ink.wet < 4", "ink.wet < -4", "part.torn ? ink.fast : ink.stamped", "ink.wet < 4 // note",
		"ink.wet < 1e3", "ink.wet < 4u", "ink.wet < 0x4", "ink.wet < 007", "ink.wet < 4.", "ink.wet < .5", "ink .wet < 4", ".ink.wet < 4", `ink.kind == "st\x61mp"`, `ink.kind == r"stamp"`,
		`ink.kind == ""`, `ink.kind == """stamp"""`, "ink.wet < 3 < 4", "!ink.stamped == true", "!!ink.fast", "! !ink.fast", "(ink.wet) < 4", "ink.wet in [ink.dry]", "ink.wet in []", "has(ink.wet)", "ink.fast == true",
		"part.inks.filter(i, i.fast)", "part.inks.exists(ink, ink.fast)", "part.inks.exists(__result__, __result__.fast)", "part.inks.exists(if, if.fast)", "size(part.inks) > 2",
		`ink.kind < "stamp"`, "ink.stamped > false", "depth(part.ph) > mm(3)", "ink.fast || depth(part.ph) > mm(3)", `s(3) < soaked("thin", part.sinks, part.ph)`, "depth(6) > mm(3)",
		strings.Repeat("(", 20) + "ink.fast" + strings.Repeat(")", 20), strings.Repeat("!", 400) + "ink.fast", "ink.fast ink.fast", "ink.fast &&", "(ink.fast", "part.inks.atLeast(0, i, i.fast)",
	} {
		if agrees(t, text) {
			t.Errorf("%q is compiled quickly", text)
		}
	}
}

// TestQuickMixed: the same of conditions in which some words were changed for others, mostly of the same sort.
func TestQuickMixed(t *testing.T) {
	sorts := [][]string{
		strings.Fields("< > == != <= >= in"), strings.Fields("&& ||"), strings.Fields("( ! !( (("), strings.Fields(") ))"), strings.Fields(`3 4.5 "stamp" true s(3) min(1) degC(5) [3] 007 -3`),
		strings.Fields("ink.wet ink.dry ink.kind part.ph part.torn ink.fast part.safe part.sinks part.warm ink.part.torn !ink.stamped ink part.inks"),
		strings.Fields("part.inks.exists(i, part.inks.all(i, part.inks.atLeast(2, part.inks.map(i, book.parts.exists(i, has( size("), strings.Fields("i.wet i.fast i.kind i"),
	}
	all := slices.Concat(sorts...)
	rnd := rand.New(rand.NewPCG(5, 6))
	compiled := 0
	for range 10_000 {
		words := strings.Fields(plainConditions[rnd.IntN(len(plainConditions))])
		for range 1 + rnd.IntN(3) {
			at, piece := rnd.IntN(len(words)), all[rnd.IntN(len(all))]
			if same := slices.IndexFunc(sorts, func(s []string) bool { return slices.Contains(s, words[at]) }); same >= 0 && rnd.IntN(4) > 0 {
				words[at] = sorts[same][rnd.IntN(len(sorts[same]))]
			} else if rnd.IntN(2) == 0 {
				words[at] = piece
			} else {
				words = slices.Insert(words, at, piece)
			}
		}
		if agrees(t, strings.Join(words, " ")) {
			compiled++
		}
	}
	t.Logf("%d compiled quickly", compiled)
	if compiled < 500 {
		t.Errorf("only %d were compiled quickly", compiled)
	}
}

// TestQuickEvaluates: an atom compiled quickly is evaluated by cel-go, from its own text, as the one cel-go read.
func TestQuickEvaluates(t *testing.T) {
	for _, text := range plainConditions {
		e := testEnv(t)
		if c, problems := e.Compile(text, testVars); c == nil {
			t.Fatal(text, problems)
		}
		for _, a := range e.Atoms() {
			evaluates(t, e, a)
		}
	}
	e := testEnv(t)
	c, _ := e.Compile("ink.wet < ink.dry", testVars)
	for _, tt := range []struct {
		wet, dry float64
		want     Truth
	}{{2, 3, True}, {3, 3, False}, {0, 3, Open}} {
		thing := e.NewThing(vocab.Ink, 0)
		for name, v := range map[string]float64{"ink.wet": tt.wet, "ink.dry": tt.dry} {
			q := e.vocabulary.Question(name)
			thing.Set(e.Slot(q), q, vocab.Answer{Known: v > 0, Num: v})
		}
		if got, err := c.Root.Atom.Eval(thing); got != tt.want || err != nil {
			t.Errorf("wet %g, dry %g: %v (%v), want %v", tt.wet, tt.dry, got, err, tt.want)
		}
	}
}
