package pack

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tideline/rules/fault"
)

var update = flag.Bool("update", false, "write golden files anew")

// golden compares got with a golden file, or writes it.
func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if os.Getenv("CI") != "" {
			t.Fatal("-update is refused where CI is set: golden files are made by a person who reads them")
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s is out of date; run with -update and read what changed (-want +got):\n%s", path, diff)
	}
}

// base is a small sound pack that every case stands beside. What it says is made up.
const base = `pack: p
sources: {bench-notes: {title: Notes from an invented bench}}
principles: {water-carries: {says: water carries, standing: house}}
criteria: {life: {says: it lasts, weight: 0.5, from: 0, to: 1}}
aims: {clean: {says: it is clean}}
tests:
  part.kind: {asks: "kind?", answer: {words: [cover, wrap]}}
  part.ph: {asks: "pH?", answer: {number: pH, from: 0, to: 14}}
  part.drop: {asks: "drop?", answer: {number: s, from: 0, to: 600}}
  part.warm: {asks: "warm?", answer: {number: degC, from: 0, to: 100}}
  part.torn: {asks: "torn?", answer: yes/no}
  ink.kind: {asks: "kind?", answer: {words: [print, stamp]}}
  ink.wet: {asks: "wet?", answer: grade}
  finding.kind: {asks: "kind?", answer: {words: [tear, stain]}}
  owner.says_no: {asks: "no?", answer: yes/no, limit: yes}
facts:
  ink.fast: {is: ink.wet == 5, says: the ink is fast, standing: house}
  part.safe: {is: 'part.inks.all(i, i.fast) && !part.torn', says: it is safe, standing: house}
treatments:
  bath: {name: bath, of: part, family: wet, says: s, serves: [clean], intervention: 3, retreatable: no}
  mend: {name: mend, of: finding, family: dry, says: s, serves: [clean], intervention: 2, retreatable: yes}
  unbind: {name: unbind, of: book, family: dry, says: s, serves: [clean], intervention: 2, retreatable: yes}
rules:
  bath-bleeds: {treatment: bath, each: ink, rules out when: ink.wet < 4, because: colour runs, standing: house}
  bath-cleans: {treatment: {family: wet}, for when: part.safe, criterion: life, weight: 2, because: it cleans, standing: house}
samples:
  plain: {parts: {cover: {kind: cover}}}
trials:
  - {name: nothing known, like: plain, open: [bath-bleeds]}
`

// load compiles texts as the files of one pack.
func load(texts ...string) (*Pack, *fault.List) {
	var layer Layer
	for i, text := range texts {
		layer.Files = append(layer.Files, File{Name: []string{"base.yaml", "case.yaml", "other.yaml"}[i], Data: []byte(text)})
	}
	faults := &fault.List{}
	return Load([]Layer{layer}, faults), faults
}

const (
	rule = "because: x, standing: house}"                                            // the end of a rule
	cure = "family: wet, says: s, serves: [clean], intervention: 1, retreatable: no" // the middle of a treatment
)

// cases are the faults that a pack can have. Each text stands in a file of its own beside base; the sign ▸ stands where a
// fault must point, in the order of wants, and is taken out before reading.
var cases = []struct {
	name, text string
	wants      []string
}{
	{"sound", "pack: p\n", nil},

	// The file as a whole.
	{"no name", "▸about: x\n", []string{`"pack" is missing`}},
	{"another name", "pack: ▸q\n", []string{`this file is of pack "q", its neighbour of "p"`}},
	{"an unknown section", "pack: p\n▸rule: {}\n", []string{`unknown word "rule"`}},
	{"a list for a pack", "▸- pack: p\n", []string{"expected a pack, found a list"}},
	{"a list for a section", "pack: p\nrules: ▸[]\n", []string{"expected a section of names, found a list"}},
	{"a section twice", "pack: p\nrules: {}\n▸rules: {}\n", []string{`"rules" stands here twice`}},
	{
		"no name for a thing", "pack: p\naims: {▸Clean Book: {says: x}, ▸a_b: {says: x}, ▸'': {says: x}, fine-2: {says: x}}\n",
		[]string{`"Clean Book" is not a name`, `"a_b" is not a name`, `"" is not a name`},
	},
	{"empty texts", "pack: p\naims: {a: {says: ▸''}}\nprinciples: {b: {says: ▸' ', standing: ▸''}}\n", []string{`"says" is empty`, `"says" is empty`, `"" is not one of standard`}},

	// Names taken, in the same file and in another, by the same and another sort of thing.
	{"a rule's name taken", "pack: p\nrules:\n  ▸bath-bleeds: {treatment: bath, caution when: always, say: x, " + rule + "\n", []string{`the name "bath-bleeds" is taken`}},
	{"a name taken by another sort", "pack: p\naims: {▸bath: {says: x}, ▸life: {says: x}}\n", []string{`the name "bath" is taken`, `the name "life" is taken`}},
	{"a treatment named like a rule, needed in a ring", "pack: p\ntreatments: {▸bath-bleeds: {name: x, of: part, family: odd, says: s, serves: [clean], intervention: 1, retreatable: no}}\n" +
		"rules: {n: {treatment: {family: odd}, needs when: always, step: bath, " + rule + "}\n", []string{`the name "bath-bleeds" is taken`}},
	{"a question's name taken", "pack: p\ntests: {▸ink.wet: {asks: x, answer: grade}}\n", []string{`the name "ink.wet" is taken`}},
	{
		"a fact named like a question", "pack: p\nfacts: {▸ink.wet: {is: always, says: x, standing: house}, ink.b: {is: ink.kind == \"stamp\", says: x, standing: house}}\n",
		[]string{`the name "ink.wet" is taken`},
	},
	{"a fact twice", "pack: p\nfacts: {▸part.safe: {is: always, says: x, standing: house}}\n", []string{`the name "part.safe" is taken`}},
	{"a trial's name taken", "pack: p\ntrials:\n  - {name: ▸nothing known, like: plain, silent: [bath-bleeds]}\n", []string{`the name "trial nothing known" is taken`}},

	// Settings. No function is offered here.
	{
		"a setting without a value, or with a dose that is no call", "pack: p\ntreatments:\n  soak: {name: x, of: part, " + cure + ", settings: [▸{what: x}, {what: y, dose: ▸[a]}, " +
			"{what: z, dose: part▸.ph}, {what: w, value: x, taken as: ▸{part.ph: 3}}]}\n",
		[]string{`"value" is missing`, "a dose is a call on one line", "this is no call of a function", "`taken as` goes with a dose"},
	},

	// Names of questions.
	{
		"questions misnamed", "pack: p\ntests:\n  ▸inc.wet: {asks: x, answer: grade}\n  ▸ink.Wet: {asks: x, answer: grade}\n  ▸ink: {asks: x, answer: grade}\n  ▸ink.a.b: {asks: x, answer: grade}\n",
		[]string{`"inc.wet" is not the name`, `"ink.Wet" is not the name`, `"ink" is not the name`, `"ink.a.b" is not the name`},
	},
	{
		"a question named like a link", "pack: p\ntests:\n  ▸part.inks: {asks: x, answer: grade}\n  ▸ink.part: {asks: x, answer: grade}\n",
		[]string{`"part.inks" is what leads to other things`, `"ink.part" is what leads to other things`},
	},
	{"a question that conditions cannot name", "pack: p\ntests:\n  ▸ink.in: {asks: x, answer: grade}\n  ▸part.true: {asks: x, answer: yes/no}\n", []string{`conditions cannot name "ink.in"`, `conditions cannot name "part.true"`}},
	{
		"a question the record answers", "pack: p\ntests:\n  ▸finding.length: {asks: x, answer: grade}\n  ▸side.inks_listed: {asks: x, answer: yes/no}\n",
		[]string{`"finding.length" is answered by the record itself`, `"side.inks_listed" is answered by the record itself`},
	},

	// Questions and answers.
	{"no question and no answer", "pack: p\ntests:\n  ink.a: ▸{purpose: x}\n  ink.b: ▸{asks: x, ▸ansver: grade}\n", []string{`"asks" is missing`, `"answer" is missing`, `"answer" is missing`, `unknown word "ansver"`}},
	{
		"no such answer", "pack: p\ntests:\n  ink.a: {asks: x, answer: ▸grades}\n  ink.b: {asks: x, answer: {words: ▸[one]}}\n  ink.c: {asks: x, answer: {words: ▸[one, one]}}\n  ink.d: {asks: x, answer: ▸{▸wrods: [a, b]}}\n",
		[]string{`"grades" is not a kind of answer`, "two different words", "two different words", `"number" is missing`, `"from" is missing`, `"to" is missing`, `unknown word "wrods"`},
	},
	{
		"no such number", "pack: p\ntests:\n  ink.a: {asks: x, answer: {number: ▸kg, from: 0, to: 1}}\n  ink.b: {asks: x, answer: ▸{number: mm, from: 5, to: 5}}\n  ink.c: {asks: x, answer: {number: mm, from: ▸low, to: 5}}\n",
		[]string{`"kg" is not one of`, "the range is empty", "expected a number"},
	},
	{
		"odd costs", "pack: p\ntests:\n  ink.a: {asks: x, answer: grade, minutes: ▸-1, spots: ▸99, harm: ▸much, good for: ▸0, nature: ▸wild, limit: ▸perhaps}\n",
		[]string{"-1 is not a whole number", "99 is not a whole number", `"much" is not one of`, "0 is not a whole number", `"wild" is not one of`, "expected yes or no"},
	},
	{
		"odd chances", "pack: p\ntests:\n  ink.a: {asks: x, answer: grade, chance: {3: 1, ▸6: 1, 5: ▸-2}}\n  ink.b: {asks: x, answer: {words: [none, heavy]}, chance: {▸hevy: 1}}\n",
		[]string{`"6" does not answer ink.a`, "a chance cannot be less than 0", `"hevy" does not answer ink.b`},
	},
	{"a hazard half told", "pack: p\ntests:\n  ink.a: {asks: x, answer: grade, hazards: [▸{danger: fumes}, {protect: gloves, danger: x, ▸stopp: y}]}\n", []string{`"protect" is missing`, `unknown word "stopp"`}},

	// What things stand on.
	{"no such source", "pack: p\nprinciples: {a: {says: x, source: ▸bench-note, standing: published}}\n", []string{`there is no source "bench-note"`}},
	{"published without a source", "pack: p\nprinciples: {a: {says: x, standing: ▸published}, b: {says: x, standing: ▸standard}}\n", []string{`"published" needs a source`, `"standard" needs a source`}},
	{"no standing", "pack: p\nprinciples: {a: ▸{says: x}}\n", []string{`"standing" is missing`}},
	{"no such standing", "pack: p\nprinciples: {a: {says: x, standing: ▸publishd}}\n", []string{`"publishd" is not one of standard`}},
	{"a list in a list", "pack: p\nprinciples: {a: {says: x, source: [▸[bench-notes]], standing: house}}\n", []string{"expected text, found a list"}},

	// Criteria.
	{
		"weights out of bounds", "pack: p\ncriteria:\n  ▸a: {says: x, weight: 0.9, from: 0, to: 0.5}\n  b: {says: x, weight: ▸2, from: 0, to: ▸3}\n  c: {says: x, weight: 0.5, from: 0, to: ▸high}\n",
		[]string{"the weight lies outside its bounds", "a weight lies between 0 and 1", "a weight lies between 0 and 1", "expected a number"},
	},

	// Treatments.
	{
		"a treatment of nothing", "pack: p\ntreatments: {t: ▸{of: ▸page, ▸nam: x}}\n",
		[]string{`"name" is missing`, `"says" is missing`, `"family" is missing`, `"serves" is missing`, `"intervention" is missing`, `"retreatable" is missing`, `"page" is not one of`, `unknown word "nam"`},
	},
	{"a treatment of an ink, or of no kind", "pack: p\ntreatments: {t: {name: x, of: ▸ink, " + cure + "}, u: {name: x, of: ▸'', " + cure + "}}\n", []string{`"ink" is not one of`, `"of" is empty`}},
	{
		"names a treatment gives", "pack: p\ntreatments: {t: {name: x, of: part, family: wet, says: s, serves: [▸cleen], intervention: ▸6, retreatable: ▸maybe, uses: [▸fire], equipment: [▸oven], variant of: ▸bth, " +
			"clears: [▸tears], lessens: [▸dirt], brings: [▸tear-2], makes stale: [▸ink.wett], before: [▸mendd], after: [▸none]}}\n",
		[]string{
			`there is no aim "cleen"`, "6 is not a whole number from 1 to 5", `"maybe" is not one of`, `"fire" is not one of`, `"oven" is not one of`, `there is no treatment "bth"`,
			`there is no kind of finding "tears"`, `there is no kind of finding "dirt"`, `there is no kind of finding "tear-2"`, `there is no question "ink.wett"`, `there is no treatment "mendd"`, `there is no treatment "none"`,
		},
	},
	{
		"dangers without a hazard", "pack: p\ntreatments:\n  t: {name: x, of: part, " + cure + ", uses: [water, pressure]}\n  ▸u: {name: x, of: part, " + cure + ", uses: [water, solvent]}\n" +
			"  ▸v: {name: x, of: part, " + cure + ", uses: blade}\n  w: {name: x, of: part, " + cure + ", uses: [heat], hazards: [{danger: a, protect: b}]}\n",
		[]string{"u uses solvent and warns of no hazard", "v uses blade and warns of no hazard"},
	},
	{
		"a setting half told", "pack: p\ntreatments: {t: {name: x, of: part, " + cure + ", settings: [▸{what: dwell}], minutes: {active: ▸1.5, ▸wait: 3}}}\n",
		[]string{`"value" is missing`, "1.5 is not a whole number", `unknown word "wait"`},
	},
	{"where", "pack: p\ntreatments: {t: {name: x, of: part, where: 'part.▸knid == \"cover\"', " + cure + "}}\n", []string{`no such question or fact: "knid"`}},

	// Rules.
	{"a rule with two effects", "pack: p\nrules: {r: {treatment: bath, ▸caution when: always, ▸say: x, rules out when: always, " + rule + "}\n", []string{"a rule has one effect", `"say" does not go with "rules out when"`}},
	{"a rule without an effect", "pack: p\nrules:\n  ▸r: {treatment: bath, " + rule + "\n", []string{"the rule says nothing"}},
	{"a rule without most things", "pack: p\nrules:\n  r: ▸{caution when: always}\n", []string{`"because" is missing`, `"standing" is missing`, `"say" is missing`, `"treatment" is missing`}},
	{"an unknown key", "pack: p\nrules:\n  r: {treatment: bath, caution when: always, say: x, ▸becuase: y, " + rule + "\n", []string{`unknown word "becuase"`}},
	{"an argument without criterion and weight", "pack: p\nrules:\n  r: ▸{treatment: bath, for when: always, " + rule + "\n", []string{`"criterion" is missing`, `"weight" is missing`}},
	{
		"no such criterion, weight and kind", "pack: p\nrules:\n  r: {treatment: bath, against when: always, criterion: ▸lief, weight: ▸4, kind: ▸danger, each: ▸inks, " + rule + "\n",
		[]string{`there is no criterion "lief"`, "4 is not a weight", `"danger" is not one of`, `"inks" is not one of`},
	},
	{
		"what does not go with the effect", "pack: p\nrules:\n  r: {treatment: bath, rules out when: always, ▸criterion: life, ▸weight: 1, ▸say: x, ▸step: mend, " + rule + "\n",
		[]string{`"criterion" does not go with "rules out when"`, `"weight" does not go with`, `"say" does not go with`, `"step" does not go with`},
	},
	{
		"no step, no such step", "pack: p\nrules:\n  r: ▸{treatment: bath, needs when: always, " + rule + "\n  s: {treatment: bath, needs when: always, step: ▸unbnd, " + rule + "\n",
		[]string{`"step" is missing`, `there is no treatment "unbnd"`},
	},
	{"from memory and inferred may not rule out", "pack: p\nrules:\n  r: {treatment: bath, ▸rules out when: always, because: x, standing: from memory}\n  s: {treatment: bath, ▸rules out when: always, because: x, standing: inferred}\n" +
		"  t: {treatment: bath, caution when: always, say: x, because: x, standing: from memory}\n", []string{`what is "from memory" may not rule out`, `what is "inferred" may not rule out`}},
	{
		"no such treatment", "pack: p\nrules:\n  r: {treatment: ▸bathe, caution when: always, say: x, " + rule + "\n  s: {treatment: [bath, ▸unbid, ▸[mend]], caution when: always, say: x, " + rule + "\n",
		[]string{`there is no treatment "bathe"`, `there is no treatment "unbid"`, "expected text, found a list"},
	},
	{"no treatment at all", "pack: p\nrules:\n  r: {treatment: ▸[], caution when: always, say: x, " + rule + "\n", []string{"the rule is about no treatment"}},
	{
		"no such family", "pack: p\nrules:\n  r: {treatment: {family: ▸wett}, caution when: always, say: x, " + rule + "\n  s: {treatment: ▸{▸familie: wet}, caution when: always, say: x, " + rule + "\n",
		[]string{`no treatment is of the family "wett"`, `"family" is missing`, `unknown word "familie"`},
	},
	{
		"no such principle, rule", "pack: p\nrules:\n  r: {treatment: bath, caution when: always, say: x, principle: ▸water-caries, disagrees with: [▸bath-bleed], " + rule + "\n",
		[]string{`there is no principle "water-caries"`, `there is no rule "bath-bleed"`},
	},

	// Rings.
	{
		"facts in a ring", "pack: p\nfacts:\n  part.a: {is: part.b, says: x, standing: house}\n  part.b: {is: 'part.inks.exists(i, i.c)', says: x, standing: house}\n  ▸ink.c: {is: ink.part.a, says: x, standing: house}\n",
		[]string{"facts run in a ring: ink.c → part.a → part.b → ink.c"},
	},
	{"a fact of itself", "pack: p\nfacts:\n  ▸part.a: {is: '!part.a', says: x, standing: house}\n", []string{"facts run in a ring: part.a → part.a"}},
	{"needs in a ring", "pack: p\ntreatments:\n  ▸t: {name: x, of: part, " + cure + "}\nrules:\n  a: {treatment: t, needs when: always, step: unbind, " + rule + "\n  b: {treatment: unbind, needs when: always, step: t, " + rule + "\n", []string{"treatments that need one another run in a ring: t → unbind → t"}},

	// Never statements and facts.
	{
		"never", "pack: p\nnever:\n  a: ▸{when: always}\n  b: {each: ▸leaf, when: always, because: x, standing: house}\n  c: {each: part, when: part.▸tron, because: x, standing: house}\n",
		[]string{`"because" is missing`, `"standing" is missing`, `"each" is missing`, `"leaf" is not one of`, `no such question or fact: "tron"`},
	},
	{"a fact without a condition", "pack: p\nfacts:\n  ink.a: ▸{says: x, standing: house}\n", []string{`"is" is missing`}},

	// Conditions: the fault points into the scalar.
	{"plain", "pack: p\nrules:\n  r:\n    treatment: bath\n    caution when: part.torn && part.▸tron\n    say: x\n    because: x\n    standing: house\n", []string{`no such question or fact: "tron"`}},
	{"single-quoted", "pack: p\nrules:\n  r: {treatment: bath, caution when: '!part.torn && part.kind == ''cover'' && part.▸tron', say: x, " + rule + "\n", []string{`no such question or fact: "tron"`}},
	{"double-quoted", "pack: p\nrules:\n  r: {treatment: bath, caution when: \"part.kind == \\\"cover\\\" && part.▸tron\", say: x, " + rule + "\n", []string{`no such question or fact: "tron"`}},
	{"literal block", "pack: p\nrules:\n  r:\n    treatment: bath\n    caution when: |\n      part.torn &&\n        part.▸tron &&\n      part.▸knid == \"cover\"\n    say: x\n    because: x\n    standing: house\n", []string{`no such question or fact: "tron"`, `no such question or fact: "knid"`}},
	{"JSON", `{"pack": "p", "rules": {"r": {"treatment": "bath",` + "\n\t" + `"caution when": "part.kind == \"cover\" && part.▸tron", "say": "\/", "because": "x", "standing": "house"}}}`, []string{`no such question or fact: "tron"`}},
	{"folded", "pack: p\nrules:\n  r:\n    treatment: bath\n    caution when: ▸>\n      part.torn\n    say: x\n    because: x\n    standing: house\n", []string{"this condition runs over several lines"}},
	{"plain over two lines", "pack: p\nrules:\n  r:\n    treatment: bath\n    caution when: ▸part.torn &&\n      part.tron\n    say: x\n    because: x\n    standing: house\n", []string{"this condition runs over several lines"}},
	{"quoted over two lines", "pack: p\nrules:\n  r:\n    treatment: bath\n    caution when: ▸'part.torn &&\n      part.tron'\n    say: x\n    because: x\n    standing: house\n", []string{"this condition runs over several lines"}},
	{
		"no text", "pack: p\nrules:\n  r: {treatment: bath, caution when: ▸[part.torn], say: x, " + rule + "\n  s: {treatment: bath, caution when: ▸{a: b}, say: x, " + rule + "\n",
		[]string{"a condition is one line of text", "a condition is one line of text"},
	},
	{"told once for all kinds of target", "pack: p\nrules:\n  r: {treatment: [bath, mend, unbind], caution when: book.▸pages, say: x, " + rule + "\n", []string{`no such question or fact: "pages"`}},
	{
		"units", "pack: p\nrules:\n  r: {treatment: bath, caution when: part.warm ▸< mm(40), say: x, " + rule + "\n  s: {treatment: bath, caution when: part.drop ▸< 10, say: x, " + rule + "\n" +
			"  t: {treatment: bath, each: ink, caution when: ink.wet ▸== \"bleeds\", say: x, " + rule + "\n  u: {treatment: bath, each: ink, caution when: ink.wet < ▸4.2, say: x, " + rule + "\n" +
			"  v: {treatment: bath, caution when: part.ph > ▸15, say: x, " + rule + "\n  w: {treatment: bath, each: ink, caution when: ink.wet ▸< part.ph, say: x, " + rule + "\n" +
			"  x: {treatment: bath, caution when: part.kind == ▸\"covr\", say: x, " + rule + "\n",
		[]string{
			"a number in degC is compared with a number in mm", "a number in s is compared with a bare number", "== does not go with a number and a word", "4.2 is not a grade",
			"15 is outside the range of part.ph", "a grade is compared with a number in pH", `"covr" is not an answer of part.kind`,
		},
	},
	{"characters before the fault", "pack: p\nrules:\n  r: {treatment: bath, caution when: 'part.kind == \"größe 😀\" || part.▸tron', say: x, " + rule + "\n", []string{`no such question or fact: "tron"`}},
	{
		"names out of scope", "pack: p\nrules:\n  r: {treatment: bath, caution when: ▸ink.wet < 4, say: x, " + rule + "\n  s: {treatment: unbind, caution when: ▸part.torn, say: x, " + rule + "\n",
		[]string{`unknown name "ink"`, `unknown name "part"`},
	},

	// Trials.
	{
		"trials", "pack: p\ntrials:\n  - ▸{name: a, like: plain}\n  - {name: b, like: ▸plian, fires: [▸bath-bleed]}\n  - ▸{proves: [▸part.saf]}\n  - {name: d, like: plain, verdicts: {▸bth: ruled out, bath: ▸forbidden}, ▸expects: x}\n",
		[]string{
			"the trial expects nothing", `there is no sample "plian"`, `there is no rule "bath-bleed"`, `"name" is missing`, `"like" is missing`, `there is no fact "part.saf"`,
			`there is no treatment "bth"`, `"forbidden" is not one of`, `unknown word "expects"`,
		},
	},
}

func TestFaults(t *testing.T) {
	var all strings.Builder
	for _, tt := range cases {
		t.Run(tt.name, func(t *testing.T) {
			text, places := unmark(tt.text)
			_, faults := load(base, text)
			check(t, faults, places, tt.wants)
			fmt.Fprintf(&all, "== %s\n", tt.name)
			for _, f := range faults.All() {
				all.WriteString(f.Render())
			}
		})
	}
	golden(t, filepath.Join("testdata", "faults.golden"), all.String())
}

// unmark takes the signs out of a text, and gives the places at which they stood.
func unmark(text string) (string, []fault.Place) {
	var places []fault.Place
	var b strings.Builder
	line, col := 1, 1
	for _, r := range text {
		switch r {
		case '▸':
			places = append(places, fault.Place{File: "case.yaml", Line: line, Col: col})
			continue
		case '\n':
			line, col = line+1, 0
		}
		b.WriteRune(r)
		col++
	}
	return b.String(), places
}

// check compares faults with what was wanted: every fault at one of the places, every place with a fault, the kinds in
// order.
func check(t *testing.T, faults *fault.List, places []fault.Place, wants []string) {
	t.Helper()
	at := map[fault.Place]bool{}
	for i, f := range faults.All() {
		switch {
		case i >= len(wants):
			t.Errorf("told unasked: %v", f)
		case !strings.Contains(f.Summary, wants[i]):
			t.Errorf("told %v, want %s", f, wants[i])
		}
		at[f.Where] = true
	}
	for _, w := range wants[min(len(wants), faults.Len()):] {
		t.Errorf("not told: %s", w)
	}
	for _, p := range places {
		if !at[p] {
			t.Errorf("no fault at %s", p)
		}
		delete(at, p)
	}
	for p := range at {
		t.Errorf("a fault at %s", p)
	}
}
