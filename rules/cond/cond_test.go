package cond

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tideline/rules/vocab"
)

// testVocabulary is a small made-up vocabulary with a question of every type.
func testVocabulary() *vocab.Vocabulary {
	v := vocab.NewVocabulary()
	add := func(k vocab.Kind, name string, q vocab.Question) {
		q.ID, q.Kind, q.Name, q.Nature = string(k)+"."+name, k, name, vocab.Testable
		v.Add(&q)
	}
	add(vocab.Ink, "wet", vocab.Question{Type: vocab.Grade, From: 1, To: 5})
	add(vocab.Ink, "dry", vocab.Question{Type: vocab.Grade, From: 1, To: 5})
	add(vocab.Ink, "stamped", vocab.Question{Type: vocab.YesNo})
	add(vocab.Ink, "kind", vocab.Question{Type: vocab.Words, Words: []string{"printing ink", "stamp", "ballpoint"}})
	add(vocab.Part, "ph", vocab.Question{Type: vocab.Number, Unit: "pH", From: 0, To: 14})
	add(vocab.Part, "sinks", vocab.Question{Type: vocab.Number, Unit: "s", From: 0, To: 3600})
	add(vocab.Part, "torn", vocab.Question{Type: vocab.YesNo})
	add(vocab.Part, "warm", vocab.Question{Type: vocab.Number, Unit: "degC", From: -20, To: 200})
	add(vocab.Finding, "kind", vocab.Question{Type: vocab.Words, Words: []string{"tear", "mould"}})
	return v
}

func testEnv(t *testing.T) *Env {
	t.Helper()
	e, err := NewEnv(testVocabulary(), []string{"ink.fast", "part.safe"})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

var testVars = []Var{{Name: "part", Kind: vocab.Part}, {Name: "ink", Kind: vocab.Ink}, {Name: "book", Kind: vocab.Book}}

// outline writes a formula with its atoms in brackets.
func outline(n *Node) string {
	var kids []string
	for _, k := range n.Kids {
		kids = append(kids, outline(k))
	}
	in := strings.Join(kids, " ")
	switch n.Op {
	case OpConst:
		return fmt.Sprint(n.Value)
	case OpAtom:
		return fmt.Sprintf("[%s]", n.Text)
	case OpFact:
		return "<" + n.Fact + ">"
	case OpCount:
		return fmt.Sprintf("count%d(%s)", n.Count, in)
	}
	return map[Op]string{OpNot: "not", OpAnd: "and", OpOr: "or", OpAll: "all", OpExists: "exists"}[n.Op] + "(" + in + ")"
}

func TestCompile(t *testing.T) {
	e := testEnv(t)
	for _, tt := range []struct{ text, want string }{
		{"ink.wet < 4", "[ink.wet < 4]"},
		{"4 > ink.wet", "[4 > ink.wet]"},
		{"ink.wet < 4 && (ink.dry == 5 || !ink.stamped)", "and([ink.wet < 4] or([ink.dry == 5] not([ink.stamped])))"},
		{"ink.wet < 4 && ink.dry < 3 && ink.stamped", "and([ink.wet < 4] [ink.dry < 3] [ink.stamped])"},
		{`ink.kind in ["stamp", "ballpoint"]`, `[ink.kind in ["stamp", "ballpoint"]]`},
		{"part.inks.exists(i, i.wet < 3)", "exists([i.wet < 3])"},
		{"part.inks.all(i, i.fast || i.wet == 5)", "all(or(<ink.fast> [i.wet == 5]))"},
		{"book.parts.exists(p, p.inks.all(i, i.wet == 5 && p.torn))", "exists(all(and([i.wet == 5] [p.torn])))"},
		{"part.inks.atLeast(2, i, i.wet < 3)", "count2([i.wet < 3])"},
		{"ink.part.torn", "[ink.part.torn]"},
		{"!part.safe", "not(<part.safe>)"},
		{"part.sinks < s(30)", "[part.sinks < s(30)]"},
		{"part.sinks * 2 < min(1)", "[(part.sinks * 2) < min(1)]"},
		{"part.torn ? ink.wet < 3 : ink.wet < 4", "or(and([part.torn] [ink.wet < 3]) and(not([part.torn]) [ink.wet < 4]))"},
		{"part.ph < 6", "[part.ph < 6]"}, // whole numbers are numbers
		{"part.ph == 6", "[part.ph == 6]"},
		{"part.ph in [6, 7]", "[part.ph in [6, 7]]"},
		{"ink.wet < ink.dry", "[ink.wet < ink.dry]"},
		{"always", "true"},
	} {
		c, problems := e.Compile(tt.text, testVars)
		if problems != nil {
			t.Errorf("%s: %v", tt.text, problems)
			continue
		}
		if got := outline(c.Root); got != tt.want {
			t.Errorf("%s:\n got %s\nwant %s", tt.text, got, tt.want)
		}
	}
}

func TestAtomsAreShared(t *testing.T) {
	e := testEnv(t)
	for _, text := range []string{"ink.wet < 4", "part.inks.exists(x, x.wet < 4)", "book.inks.all(other, !(other.wet < 4))"} {
		if _, problems := e.Compile(text, testVars); problems != nil {
			t.Fatal(problems)
		}
	}
	if n := len(e.Atoms()); n != 1 {
		t.Errorf("%d atoms, want the one that all three share", n)
	}
}

// Each row is something a writer might put down; the place and the words are what they get for it. Together they close
// the ways in which an unknown could be taken for a no.
func TestRefused(t *testing.T) {
	e := testEnv(t)
	for _, tt := range []struct {
		name, text string
		col        int
		summary    string
		nearest    string
	}{
		{"misspelt question", "ink.wett < 3", 5, "no such question", "wet"},
		{"misspelt name", "inc.wet < 3", 1, "unknown name", "ink"},
		{"misspelt answer", `ink.kind == "stanp"`, 13, "is not an answer of ink.kind", "stamp"},
		{"misspelt answer in a list", `ink.kind in ["stamp", "balpoint"]`, 23, "is not an answer of ink.kind", "ballpoint"},
		{"words in order", `ink.kind < "stamp"`, 10, "a word has no order", ""},
		{"words in order, turned round", `"stamp" >= ink.kind`, 9, "a word has no order", ""},
		{"two answers in words in order", "ink.kind <= ink.kind", 10, "a word has no order", ""},
		{"yes and no in order", "ink.stamped > false", 13, "a yes or no has no order", ""},
		{"grade with a word", `ink.wet == "bleeds"`, 9, "does not go with", ""},
		{"degrees with millimetres", "part.warm < mm(3)", 11, "is compared with", ""},
		{"quantity with a bare number", "part.sinks < 30", 12, "is compared with a bare number", ""},
		{"grade with pH", "ink.wet < part.ph", 9, "is compared with", ""},
		{"no such grade", "ink.wet < 4.2", 11, "is not a grade", ""},
		{"pH of 15", "part.ph < 15", 11, "outside the range", ""},
		{"records compared", "ink == ink", 1, "whole things are compared", ""},
		{"record in a list of things", "ink in part.inks", 1, "whole things", ""},
		{"answer in the book's own list", "ink.wet in part.inks", 9, "does not go with", ""},
		{"an answer inside the list", "ink.wet in [3, ink.dry]", 0, "holds an answer", ""},
		{"empty list", "ink.wet in []", 9, "written list", ""},
		{"has", "has(ink.wet)", 4, "has is not offered", ""},
		{"filter", "part.inks.filter(i, i.wet < 3).size() > 0", 17, "filter is not offered", ""},
		{"map", "part.inks.map(i, i.wet).size() == 3", 0, "map is not offered", ""},
		{"exists_one", "part.inks.exists_one(i, i.wet < 3)", 0, "exists_one is not offered", ""},
		{"size", "size(part.inks) > 2", 0, "size is not offered", ""},
		{"index", "part.inks[0].wet < 3", 10, "[ is not offered", ""},
		{"regular expression", `ink.kind.matches("st.*")`, 0, "is not offered", ""},
		{"division by an answer", "10 / ink.wet > 2", 4, "cannot be divided by", ""},
		{"division by nothing", "ink.wet / 0 > 2", 9, "cannot be divided by", ""},
		{"a number alone", "ink.wet", 1, "not a yes-or-no", ""},
		{"a list alone", "part.inks", 1, "not a yes-or-no", ""},
		{"a fact compared", "ink.fast == true", 4, "is a fact", ""},
		{"and", "ink.wet < 3 and ink.stamped", 0, "cannot be read as a condition", ""},
		{"single equals", "ink.wet = 3", 0, "cannot be read as a condition", ""},
		{"unclosed", "(ink.wet < 3", 0, "cannot be read as a condition", ""},
		{"nested too deep", "book.parts.exists(p, p.inks.exists(i, p.sides.exists(x, i.wet < 3)))", 0, "nested too deep", ""},
		{"a name bound twice", "part.inks.exists(ink, ink.wet < 3)", 0, "already in use", ""},
		{"two written values", "3 < 4", 3, "two written values", ""},
		{"quantifier over a question", "ink.wet.exists(i, i.wet < 3)", 0, "", ""},
		{"count of nothing", "part.inks.atLeast(0, i, i.wet < 3)", 0, "whole number from 1", ""},
		{"unit with an answer", "s(part.sinks) < s(3)", 0, "takes a written number", ""},
		{"text too long", strings.Repeat("ink.wet < 3 || ", 200) + "ink.stamped", 0, "", ""},
		{"brackets without end", strings.Repeat("(", 500) + "ink.stamped" + strings.Repeat(")", 500), 0, "", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, problems := e.Compile(tt.text, testVars)
			if len(problems) == 0 {
				t.Fatalf("%q was taken", tt.text)
			}
			p := problems[0]
			if !strings.Contains(p.Summary, tt.summary) || tt.col > 0 && p.Col != tt.col || p.Nearest != tt.nearest {
				t.Errorf("%q: got column %d, %q (%q, near %q)", tt.text, p.Col, p.Summary, p.Help, p.Nearest)
			}
		})
	}
}

func TestCells(t *testing.T) {
	e := testEnv(t)
	for _, text := range []string{"ink.wet < 4", "ink.wet == 5", "part.ph < 6 || part.ph == 7", `ink.kind == "stamp"`, "part.sinks * 2 < s(60)"} {
		if _, problems := e.Compile(text, testVars); problems != nil {
			t.Fatal(problems)
		}
	}
	for _, tt := range []struct {
		question string
		want     string
		exact    bool
	}{
		{"ink.wet", "1 1-2 2 2-3 3 3-4|4 4-5|5", true},
		{"ink.dry", "1 1-2 2 2-3 3 3-4 4 4-5 5", true},
		{"ink.kind", "printing ink ballpoint|stamp", true},
		{"part.torn", "no|yes", true},
		{"part.ph", "0 3|6 6.5|7|10.5 14", true},
		{"part.sinks", "", false},
	} {
		q := e.vocabulary.Question(tt.question)
		cells, exact := e.Cells(q)
		var texts []string
		for _, c := range cells {
			var answers []string
			for _, a := range c.Answers {
				answers = append(answers, strings.TrimSuffix(q.Text(a), " s"))
			}
			texts = append(texts, strings.Join(answers, " "))
		}
		if got := strings.Join(texts, "|"); exact != tt.exact || tt.want != "" && got != tt.want {
			t.Errorf("%s: %s exact %v, want %s exact %v", tt.question, got, exact, tt.want, tt.exact)
		}
	}
}

func TestTestAgreesWithCEL(t *testing.T) {
	e := testEnv(t)
	var texts []string
	for _, op := range []string{"<", "<=", ">", ">=", "==", "!="} {
		texts = append(texts, "ink.wet "+op+" 3", "3 "+op+" ink.wet", "part.sinks "+op+" min(1)", "part.warm "+op+" degF(155)")
	}
	texts = append(texts, `ink.kind != "stamp"`, `ink.kind in ["stamp", "ballpoint"]`, "ink.stamped", "ink.stamped == false", "ink.wet in [3, 4.5]")
	for _, text := range texts {
		c, problems := e.Compile(text, testVars)
		if problems != nil {
			t.Fatal(text, problems)
		}
		atom := c.Root.Atom
		q := atom.Reads[0].Question
		cells, _ := e.Cells(q)
		for _, cell := range cells {
			for _, a := range cell.Answers {
				thing := e.NewThing(q.Kind, 0)
				thing.Set(e.Slot(q), q, a)
				got, err := atom.Eval(thing)
				if err != nil || got != Of(atom.Test.Holds(q, a)) {
					t.Errorf("%s with %s: cel-go says %v (%v), the test %v", text, q.Text(a), got, err, atom.Test.Holds(q, a))
				}
			}
		}
	}
}

func TestProblemPlaces(t *testing.T) {
	e := testEnv(t)
	_, problems := e.Compile("ink.wet < 4 &&\n  ink.dryy < 3 && part.tron", testVars)
	type place struct {
		Line, Col int
		Nearest   string
	}
	var got []place
	for _, p := range problems {
		got = append(got, place{p.Line, p.Col, p.Nearest})
	}
	if diff := cmp.Diff([]place{{2, 7, "dry"}, {2, 24, "torn"}}, got); diff != "" {
		t.Errorf("places (-want +got):\n%s", diff)
	}
}
