package judge

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/worlds"
	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// smallPack is a made-up pack to which a test adds rules; nobody should treat a book by it.
const smallPack = `pack: p
criteria: {life: {says: it lasts, weight: 0.5, from: 0, to: 1}}
aims: {clean: {says: it is clean}, whole: {says: it is whole}}
tests:
  part.kind: {asks: "kind?", answer: {words: [cover, wrap]}}
  part.u: {asks: "u?", answer: yes/no}
  part.w: {asks: "w?", answer: yes/no}
  part.n: {asks: "n?", answer: {number: count, from: 0, to: 10}}
  part.drop: {asks: "How long does a drop stand?", answer: {number: s, from: 0, to: 600}}
  part.fold_torn: {asks: "Is it torn through the fold?", answer: yes/no}
  ink.kind: {asks: "kind?", answer: {words: [print, stamp]}}
  ink.wet: {asks: "wet?", answer: grade}
  ink.fades: {asks: "fades?", answer: yes/no}
  owner.says_no: {asks: "no?", answer: yes/no, limit: yes}
facts:
  part.bad: {is: part.n < 3, says: it is bad, standing: house}
treatments:
  bath: {name: bath, of: part, family: wet, says: s, serves: [clean], intervention: 3, retreatable: no}
  brush: {name: brush, of: part, family: dry, says: s, serves: [clean], intervention: 1, retreatable: yes}
  swab: {name: swab, of: part, family: dry, says: s, serves: [clean], intervention: 1, retreatable: yes}
  unbind: {name: unbind, of: book, family: dry, says: s, serves: [], intervention: 2, retreatable: yes}
  lift: {name: lift, of: book, family: dry, says: s, serves: [], intervention: 2, retreatable: yes}
rules:
`

// smallBook has one part with two inks of which one was tested.
const smallBook = `record: 1
title: T
examined: 2026-01-01
listed: {inks: yes, findings: yes, fasteners: yes}
owner: {aims: [clean], limits: none}
parts:
  cover:
    kind: cover
    seen: {SEEN}
    outside: {inks: {black: {kind: print, seen: {wet: 2}}, blue: {kind: print}}}
    inside: {inks: {}}
`

func rules(lines ...string) string {
	for i, l := range lines {
		lines[i] = "  " + strings.Replace(l, "}", ", because: x, standing: house}", 1) + "\n"
	}
	return smallPack + strings.Join(lines, "")
}

// judgeBook judges a book under a pack.
func judgeBook(t *testing.T, packText, book string) *Judgement {
	t.Helper()
	p := worlds.Load(t, packText)
	return judged(t, evidence.Gather(p, worlds.Parse(t, p, book), time.Time{}))
}

// seen is the small book with answers about its part.
func seen(answers string) string { return strings.Replace(smallBook, "SEEN", answers, 1) }

// TestUnknownTable: what our own formula makes of unknown answers, row by row of the table in which the evaluation of
// whole rules is shown to fall short (package cond has the table for cel-go alone). u and w are yes/no questions not
// answered, n a number; of two inks black has grade 2 and blue was not tested. Source: our own measurement.
func TestUnknownTable(t *testing.T) {
	const yes, no, open, refused = "true", "false", "open", "refused"
	for _, tt := range []struct {
		condition string
		kleene    string // the value of the instance
		exact     string // the value over all completions
		hangsOn   string // the questions that can decide it
	}{
		{"part.u || true", yes, yes, ""},
		{"part.u && false", no, no, ""},
		{"part.u || false", open, open, "part.u"},
		{"!part.u", open, open, "part.u"},
		{"part.u == true", open, open, "part.u"},
		{"part.n < 3", open, open, "part.n"},
		{"part.u || part.w", open, open, "part.u part.w"},
		{"has(part.n)", refused, refused, ""},
		{"part.u || !part.u", open, yes, ""},
		{"part.u && !part.u", open, no, ""},
		{"part.n == part.n", open, yes, ""},
		{"part.n < part.n", open, no, ""},
		{"part.n < 3 || part.n >= 3", open, yes, ""},
		{"part.n < 3 && part.n > 5", open, no, ""},
		{"part.n >= 0", open, yes, ""}, // the range says so
		{"part.u ? true : true", open, yes, ""},
		{"part.u ? part.w : part.w", open, open, "part.w"},
		{"(part.u && part.w) || (part.u && !part.w)", open, open, "part.u"}, // w cannot matter
		{"part.bad || part.n >= 3", open, yes, ""},                          // through a fact
		{"part.inks.exists(i, i.wet < 3)", yes, yes, ""},
		{"part.inks.all(i, i.wet > 3)", no, no, ""},
		{"part.inks.exists(i, i.wet > 4)", open, open, "ink.wet"},
		{"part.inks.all(i, i.wet < 3)", open, open, "ink.wet"},
		{"part.inks.exists(i, i.wet < 3 || i.wet >= 3)", yes, yes, ""},
		{"part.inks.all(i, i.fades || !i.fades)", open, yes, ""},
		{"part.inks.exists(i, i.wet > 9)", refused, refused, ""}, // no such grade
		{"part.inks.atLeast(1, i, i.wet < 3)", yes, yes, ""},
		{"part.inks.atLeast(2, i, i.wet < 3)", open, open, "ink.wet"},
		{"part.inks.atLeast(3, i, i.wet < 3)", no, no, ""},
		{"part.inks.atLeast(2, i, i.wet < 3 || i.wet >= 3)", open, yes, ""},
		{"part.inks.exists_one(i, i.wet < 3)", refused, refused, ""},
		{"part.inks.filter(i, i.wet < 3).size() > 0", refused, refused, ""},
		{"part.inks.map(i, i.wet).size() == 3", refused, refused, ""},
		{"part.typo > 1 || part.n > 3", refused, refused, ""},
		{"part.typo > 1 || true", refused, refused, ""},
		{"part.inks.exists(i, i.typo > 3 || i.wet < 3)", refused, refused, ""},
		{"part == part", refused, refused, ""},
		{"part.inks == part.inks", refused, refused, ""},
		{"part.n in [3, part.n]", refused, refused, ""},
		{"1 / 0 == 1 || part.u", refused, refused, ""},
		{"[].all(x, x)", refused, refused, ""},
		{"part.findings.all(f, f.length > mm(3))", yes, yes, ""}, // the list is said to be complete, and empty
	} {
		t.Run(tt.condition, func(t *testing.T) {
			text := rules("c: {treatment: bath, called for when: always}", "r: {treatment: bath, rules out when: '"+tt.condition+"'}")
			faults := &fault.List{}
			p := pack.Load([]pack.Layer{{Files: []pack.File{{Name: "pack.yaml", Data: []byte(text)}}}}, faults)
			if refusedAtLoad := faults.Len() > 0; refusedAtLoad || tt.kleene == refused {
				if tt.kleene != refused || !refusedAtLoad {
					t.Errorf("faults at load: %v", faults.Err())
				}
				return
			}
			g := judged(t, evidence.Gather(p, worlds.Parse(t, p, seen("")), time.Time{}))
			v := g.Of("bath", "cover")
			i := v.Instances[slices.IndexFunc(v.Instances, func(i *Instance) bool { return i.Rule.ID == "r" })]
			if got := i.Value.String(); got != tt.kleene {
				t.Errorf("by Kleene's tables %s, want %s", got, tt.kleene)
			}
			// Since nothing else decides, the verdict tells the value over all completions.
			if got := map[Word]string{RuledOut: yes, Possible: no, TestFirst: open}[v.Word]; got != tt.exact {
				t.Errorf("over all completions %s (%s), want %s", got, v.Word, tt.exact)
			}
			if v.EitherWay != (tt.kleene == open && tt.exact == yes) {
				t.Errorf("either way: %v", v.EitherWay)
			}
			var on []string
			for _, n := range v.Open {
				on = append(on, g.Case.Asks[n].Question.ID)
			}
			if got := strings.Join(on, " "); got != tt.hangsOn {
				t.Errorf("hangs on %q, want %q", got, tt.hangsOn)
			}
		})
	}
}

// verdicts lists verdicts by treatment.
func verdicts(g *Judgement) map[string]Word {
	words := map[string]Word{}
	for _, v := range g.Verdicts {
		words[v.Treatment.ID] = v.Word
	}
	return words
}

// missing lists what a verdict hangs on.
func missing(g *Judgement, v *Verdict) string {
	var list []string
	for _, ask := range g.Missing(v) {
		list = append(list, ask.Thing.Path+" "+ask.Question.ID)
	}
	return strings.Join(list, ", ")
}

// TestVerdictWords: one small case for each way to a verdict.
func TestVerdictWords(t *testing.T) {
	ruleOut := func(when string) string { return "r: {treatment: bath, each: ink, rules out when: " + when + "}" }
	const called = "c: {treatment: bath, called for when: always}"
	const listed = "listed: {inks: yes, findings"
	for _, tt := range []struct {
		name    string
		rules   []string
		book    string
		want    Word
		missing string
	}{
		{"nothing calls for it", nil, seen(""), NoNeed, ""},
		{"nothing calls for it, whatever comes", []string{"c: {treatment: bath, called for when: part.u && !part.u}"}, seen(""), NoNeed, ""},
		{"ruled out before not needed", []string{ruleOut("ink.wet < 3")}, seen(""), RuledOut, ""},
		{"not needed before not tested", []string{ruleOut("ink.wet > 4")}, seen(""), NoNeed, ""},
		{"not tested", []string{called, ruleOut("ink.wet > 4")}, seen(""), TestFirst, "cover/outside/blue ink.wet"},
		{"called for, nothing speaks for it", []string{called}, seen(""), Possible, ""},
		{"called for, and an argument", []string{called, "f: {treatment: bath, for when: always, criterion: life, weight: 1}"}, seen(""), Recommended, ""},
		{"for and against alike", []string{called, "f: {treatment: bath, for when: always, criterion: life, weight: 1}", "a: {treatment: bath, against when: always, criterion: life, weight: 1}"}, seen(""), Possible, ""},
		{"an argument against is open", []string{called, "f: {treatment: bath, for when: always, criterion: life, weight: 1}", "a: {treatment: bath, against when: part.u, criterion: life, weight: 1}"}, seen(""), Possible, "cover part.u"},
		{"an open argument against is too light", []string{called, "f: {treatment: bath, for when: always, criterion: life, weight: 2}", "a: {treatment: bath, against when: part.u, criterion: life, weight: 1}"}, seen(""), Recommended, ""},
		{"two arguments of which one must hold", []string{called, "f: {treatment: bath, for when: part.u, criterion: life, weight: 1}", "a: {treatment: bath, for when: '!part.u', criterion: life, weight: 1}"}, seen(""), Recommended, ""},
		{"it is open whether it is called for", []string{"c: {treatment: bath, called for when: part.u}", "f: {treatment: bath, for when: always, criterion: life, weight: 1}"}, seen(""), Possible, "cover part.u"},
		{"it serves no aim of the owner", []string{called, "f: {treatment: bath, for when: always, criterion: life, weight: 1}"}, strings.Replace(seen(""), "aims: [clean]", "aims: [whole]", 1), Possible, ""},
		{"the owner names no aim: all count", []string{called, "f: {treatment: bath, for when: always, criterion: life, weight: 1}"}, strings.Replace(seen(""), "aims: [clean], ", "", 1), Recommended, ""},

		// The owner's limits.
		{"a limit not answered", []string{called, "r: {treatment: bath, rules out when: owner.says_no}"}, strings.Replace(seen(""), ", limits: none", "", 1), TestFirst, "owner owner.says_no"},
		{"no limits", []string{called, "r: {treatment: bath, rules out when: owner.says_no}"}, seen(""), Possible, ""},
		{"a limit said", []string{called, "r: {treatment: bath, rules out when: owner.says_no}"}, strings.Replace(seen(""), "limits: none", "limits: {says_no: yes}", 1), RuledOut, ""},
		{"a limit denied", []string{called, "r: {treatment: bath, rules out when: owner.says_no}"}, strings.Replace(seen(""), "limits: none", "limits: {says_no: no}", 1), Possible, ""},

		// Inks that are not listed.
		{"all inks known and listed", []string{called, ruleOut("ink.wet == 5")}, strings.Replace(seen(""), "blue: {kind: print}", "blue: {kind: print, seen: {wet: 3}}", 1), Possible, ""},
		{
			"all inks known, none said to be missing",
			[]string{called, ruleOut("ink.wet == 5")},
			strings.NewReplacer("blue: {kind: print}", "blue: {kind: print, seen: {wet: 3}}", listed, "listed: {findings").Replace(seen("")), TestFirst,
			"cover/outside side.inks_listed, cover/inside side.inks_listed",
		},
		{
			"all inks known, some said to be missing",
			[]string{called, ruleOut("ink.wet == 5")},
			strings.NewReplacer("blue: {kind: print}", "blue: {kind: print, seen: {wet: 3}}", listed, "listed: {inks: no, findings").Replace(seen("")), TestFirst,
			"cover/outside side.inks_listed, cover/inside side.inks_listed",
		},
		{"an ink not listed cannot save it", []string{called, ruleOut("ink.wet < 3")}, strings.Replace(seen(""), listed, "listed: {findings", 1), RuledOut, ""},
		{
			"every ink, also one not listed",
			[]string{called, "r: {treatment: bath, rules out when: 'part.inks.all(i, i.wet < 5)'}"},
			strings.NewReplacer("blue: {kind: print}", "blue: {kind: print, seen: {wet: 3}}", listed, "listed: {findings").Replace(seen("")), TestFirst,
			"cover/outside side.inks_listed, cover/inside side.inks_listed",
		},
	} {
		t.Run(tt.name, func(t *testing.T) {
			g := judgeBook(t, rules(slices.Clone(tt.rules)...), tt.book)
			v := g.Of("bath", "cover")
			if v.Word != tt.want || missing(g, v) != tt.missing {
				t.Errorf("%s, hanging on %q; want %s, %q", v.Word, missing(g, v), tt.want, tt.missing)
			}
			if v.EitherWay || v.Unproven {
				t.Errorf("either way %v, unproven %v", v.EitherWay, v.Unproven)
			}
		})
	}
}

// TestEitherWay: the invented example of a ruling-out that no single reason gives. A drop that sinks in under 10 s, and
// one that stands longer, each rule out a bath of paper torn through the fold; the fold is torn, the drop was not tried.
func TestEitherWay(t *testing.T) {
	text := rules("c: {treatment: bath, called for when: always}",
		"fast: {treatment: bath, rules out when: part.drop < s(10) && part.fold_torn}",
		"slow: {treatment: bath, rules out when: part.drop >= s(10) && part.fold_torn}")
	g := judgeBook(t, text, seen("fold_torn: yes"))
	v := g.Of("bath", "cover")
	if v.Word != RuledOut || !v.EitherWay || len(v.Open) > 0 || len(g.Missing(v)) > 0 {
		t.Errorf("%s, either way %v, and asks for %q", v.Word, v.EitherWay, missing(g, v))
	}
	for _, i := range v.Instances {
		if i.Rule.Effect == pack.RulesOut && i.Value != cond.Open {
			t.Errorf("%s alone is %v", i.Rule.ID, i.Value)
		}
	}
	cases := g.Prove(v).Cases
	if cases == nil || cases.Step != StepCases || cases.Value != cond.True || g.Case.Asks[cases.Ask].Question.ID != "part.drop" || len(cases.Kids) != 2 {
		t.Fatalf("the proof by cases is %+v", cases)
	}
	// The ways cover all answers, each once, and in each one rule holds by itself.
	drop := g.Case.Asks[cases.Ask].Question
	met := map[vocab.Answer]string{}
	for _, way := range cases.Kids {
		if way.Step != StepCase || len(way.Kids) != 1 || way.Kids[0].Step != StepReason || way.Kids[0].Value != cond.True {
			t.Fatalf("a way is %+v", way)
		}
		for _, a := range way.Cells {
			if met[a] != "" {
				t.Errorf("%s is met twice", drop.Text(a))
			}
			met[a] = way.Kids[0].Rule.ID
			if want := map[bool]string{true: "fast", false: "slow"}[a.Num < 10]; met[a] != want {
				t.Errorf("at %s %s rules out, want %s", drop.Text(a), met[a], want)
			}
		}
	}
	cells, _ := g.Case.Pack.Env.Cells(drop)
	for _, c := range cells {
		for _, a := range c.Answers {
			if met[a] == "" {
				t.Errorf("%s is met by no way", drop.Text(a))
			}
		}
	}
	for answers, want := range map[string]string{
		"":                           "test first, asking cover part.fold_torn", // whichever way the drop goes
		"fold_torn: no":              "possible, asking ",
		"fold_torn: yes, drop: 5":    "ruled out, asking ",
		"fold_torn: yes, drop: 10":   "ruled out, asking ",
		"drop: 5":                    "test first, asking cover part.fold_torn",
		"fold_torn: no, drop: 2 min": "possible, asking ",
	} {
		g := judgeBook(t, text, seen(answers))
		v := g.Of("bath", "cover")
		if got := fmt.Sprintf("%s, asking %s", v.Word, missing(g, v)); got != want || v.EitherWay {
			t.Errorf("%q: %s, either way %v, want %s", answers, got, v.EitherWay, want)
		}
		if p := g.Prove(v); p.Cases != nil {
			t.Errorf("%q: proved by cases", answers)
		}
	}
}

// TestNeeds: what is needed by what is called for is called for too, unless the needer is ruled out.
func TestNeeds(t *testing.T) {
	chain := []string{
		"c: {treatment: bath, called for when: part.u}", "n1: {treatment: bath, needs when: always, step: unbind}", "n2: {treatment: unbind, needs when: always, step: lift}",
		"f1: {treatment: {family: dry}, for when: always, criterion: life, weight: 1}", "f2: {treatment: bath, for when: always, criterion: life, weight: 1}",
	}
	chain[3] = "f1: {treatment: [unbind, lift], for when: always, criterion: life, weight: 1}"
	for _, tt := range []struct {
		name  string
		rules []string
		seen  string
		want  string // bath, unbind, lift
	}{
		{"called for", nil, "u: yes", "recommended, recommended, recommended"},
		{"not called for", nil, "u: no", "no need, no need, no need"},
		{"not known", nil, "", "possible, possible, possible"},
		{"the needer is ruled out", []string{"r: {treatment: bath, rules out when: part.w}"}, "u: yes, w: yes", "ruled out, no need, no need"},
		{"the needer waits for a test", []string{"r: {treatment: bath, rules out when: part.w}"}, "u: yes", "test first, possible, possible"},
		{"the middle is ruled out", []string{"r: {treatment: unbind, rules out when: 'book.parts.exists(p, p.w)'}"}, "u: yes, w: yes", "recommended, ruled out, no need"},
		{"the middle waits for a test", []string{"r: {treatment: unbind, rules out when: 'book.parts.exists(p, p.w)'}"}, "u: yes", "recommended, test first, possible"},
		{"called for by itself too", []string{"r: {treatment: bath, rules out when: part.w}", "c2: {treatment: lift, called for when: always}"}, "u: yes, w: yes", "ruled out, no need, possible"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			g := judgeBook(t, rules(append(slices.Clone(chain), tt.rules...)...), seen(tt.seen))
			words := verdicts(g)
			if got := fmt.Sprintf("%s, %s, %s", words["bath"], words["unbind"], words["lift"]); got != tt.want {
				t.Errorf("got %s, want %s", got, tt.want)
			}
		})
	}
	// A need that itself hangs on an answer; and the proof that names who needs it.
	sometimes := []string{"c: {treatment: bath, called for when: always}", "n: {treatment: bath, needs when: part.u, step: unbind}"}
	for answers, want := range map[string]Word{"u: yes": Possible, "u: no": NoNeed, "": Possible} {
		g := judgeBook(t, rules(slices.Clone(sometimes)...), seen(answers))
		v := g.Of("unbind", "book")
		by := g.Prove(v).NeededBy
		if v.Word != want || (len(by) == 1) != (want != NoNeed) {
			t.Errorf("%q: %s, needed by %d", answers, v.Word, len(by))
		}
		if len(by) == 1 && (by[0].Verdict != g.Of("bath", "cover") || len(by[0].Reasons) != 1 || by[0].Reasons[0].Rule.ID != "n") {
			t.Errorf("%q: needed by %+v", answers, by[0])
		}
	}
}

// TestWithdrawn: a ruling-out that a house pack withdraws does not rule out, and still stands in the proof with its value.
func TestWithdrawn(t *testing.T) {
	below := rules("c: {treatment: bath, called for when: always}", "r: {treatment: bath, rules out when: part.u}")
	house := "pack: house\nwithdraw: {r: {because: we do it otherwise, by: A. Nobody, date: 2026-01-05}}\n"
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{{Files: []pack.File{{Name: "a.yaml", Data: []byte(below)}}}, {Files: []pack.File{{Name: "b.yaml", Data: []byte(house)}}}}, faults)
	if faults.Len() > 0 {
		t.Fatal(faults.Err())
	}
	for answers, value := range map[string]cond.Truth{"u: yes": cond.True, "": cond.Open, "u: no": cond.False} {
		g := judged(t, evidence.Gather(p, worlds.Parse(t, p, seen(answers)), time.Time{}))
		v := g.Of("bath", "cover")
		if v.Word != Possible || len(v.Open) > 0 {
			t.Errorf("%q: %s, hanging on %s", answers, v.Word, missing(g, v))
		}
		if out := g.Prove(v).RulesOut; len(out) != 1 || out[0].Value != value || out[0].Rule.Withdrawn == nil || out[0].Rule.Withdrawn.Because != "we do it otherwise" {
			t.Errorf("%q: %+v", answers, out)
		}
	}
}

// TestRanks: ties share a rank, places whose support overlaps have no order, and what is not clear has no rank.
func TestRanks(t *testing.T) {
	argue := func(treatment, when string, weight int) string {
		return fmt.Sprintf("{treatment: %s, for when: %s, criterion: life, weight: %d}", treatment, when, weight)
	}
	all := "c: {treatment: [bath, brush, swab], called for when: always}"
	for _, tt := range []struct {
		name  string
		rules []string
		seen  string
		want  string
	}{
		{"in order", []string{argue("bath", "always", 3), argue("brush", "always", 2), argue("swab", "always", 1)}, "", "1 bath, 2 brush, 3 swab"},
		{"a tie", []string{argue("bath", "always", 2), argue("brush", "always", 2), argue("swab", "always", 1)}, "", "1 bath, 1 brush, 3 swab"},
		{"a tie of three", []string{argue("bath", "always", 1), argue("brush", "always", 1), argue("swab", "always", 1)}, "", "1 bath, 1 brush, 1 swab"},
		{"overlapping", []string{argue("bath", "always", 2), argue("brush", "always", 1), argue("brush", "part.u", 3), argue("swab", "always", 1)}, "", "1 bath ~, 2 brush, 3 swab"},
		{"answered, no longer", []string{argue("bath", "always", 2), argue("brush", "always", 1), argue("brush", "part.u", 3), argue("swab", "always", 1)}, "u: yes", "1 brush, 2 bath, 3 swab"},
		{"no higher than the one before", []string{argue("bath", "always", 2), argue("brush", "always", 1), argue("brush", "part.u", 1), argue("swab", "always", 1)}, "", "1 bath, 2 brush, 3 swab"},
		{"recommended before possible", []string{argue("bath", "part.u", 3), argue("brush", "always", 1)}, "", "1 brush, 2 bath, 3 swab"},
		{"ruled out has none", []string{argue("bath", "always", 3), "{treatment: bath, rules out when: always}", argue("brush", "always", 2), argue("swab", "always", 1)}, "", "1 brush, 2 swab, 0 bath"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			list := []string{all}
			for i, r := range tt.rules {
				list = append(list, fmt.Sprintf("r%d: %s", i, r))
			}
			g := judgeBook(t, rules(list...), seen(tt.seen))
			var got []string
			for _, v := range g.Verdicts {
				if v.Word == NoNeed {
					continue
				}
				s := fmt.Sprintf("%d %s", v.Rank, v.Treatment.ID)
				if v.Unordered {
					s += " ~"
				}
				got = append(got, s)
			}
			if s := strings.Join(got, ", "); s != tt.want {
				t.Errorf("got %s, want %s", s, tt.want)
			}
		})
	}
}

// TestSwallowedErrors: an atom that cannot be evaluated is a fault of the pack, also where the rest of the condition
// decides. What the vocabulary lets through always evaluates, so the fault is made here: a word where a number belongs.
func TestSwallowedErrors(t *testing.T) {
	for _, when := range []string{
		"part.n * 2 < 6", "part.n * 2 < 6 || true", "true || part.n * 2 < 6", "part.n * 2 < 6 && false", "false && part.n * 2 < 6", "part.u || part.n * 2 < 6",
		"part.u ? true : part.n * 2 < 6", "book.parts.exists(p, p.n * 2 < 6 || true)", "book.parts.all(p, p.n * 2 < 6 && false)", "book.parts.atLeast(1, p, true || p.n * 2 < 6)", "!(part.n * 2 < 6 || true)",
	} {
		p := worlds.Load(t, rules("c: {treatment: bath, called for when: always}", "r: {treatment: bath, caution when: '"+when+"', say: x}"))
		c := evidence.Gather(p, worlds.Parse(t, p, seen("n: 5")), time.Time{})
		if _, err := Judge(c); err != nil {
			t.Fatal(err)
		}
		cover, n, kind := c.At("cover"), p.Vocabulary.Question("part.n"), p.Vocabulary.Question("part.kind")
		c.Cel(cover).Swap(c.Number(cover, n)-cover.Base, cond.Value(kind, vocab.Word("cover")))
		if _, err := Judge(c); err == nil || !strings.Contains(err.Error(), ".n * 2") {
			t.Errorf("%s: the error is %v", when, err)
		}
	}
}
