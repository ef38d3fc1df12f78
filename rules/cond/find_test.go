package cond

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tideline/rules/vocab"
)

func compile(t *testing.T, e *Env, text string) *Cond {
	t.Helper()
	c, problems := e.Compile(text, testVars)
	if problems != nil {
		t.Fatalf("%s: %+v", text, problems)
	}
	return c
}

// answers writes what Find found.
func answers(w []Supposed) string {
	var list []string
	for _, s := range w {
		if s.Question == nil {
			list = append(list, fmt.Sprintf("%s: %v", s.Thing, s.There))
			continue
		}
		var texts []string
		for _, a := range s.Answers {
			texts = append(texts, s.Question.Text(a))
		}
		list = append(list, fmt.Sprintf("%s.%s: %s", s.Thing, s.Question.Name, strings.Join(texts, "|")))
	}
	return strings.Join(list, "; ")
}

func TestFind(t *testing.T) {
	e := testEnv(t)
	facts := map[string]*Cond{}
	fact, problems := e.Compile("ink.wet == 5 && ink.dry == 5", []Var{{Name: "ink", Kind: vocab.Ink}, {Name: "part", Kind: vocab.Part, From: FromPart}})
	if problems != nil {
		t.Fatal(problems)
	}
	facts["ink.fast"] = fact
	for _, tt := range []struct {
		name, holds, fails string
		want               string // "" for none
	}{
		{"a grade", "ink.wet < 2", "", "ink.wet: 1|1-2"},
		{"nothing below the least grade", "ink.wet < 1", "", ""},
		{"a limit between two", "ink.wet < 4", "ink.wet < 3.5", "ink.wet: 3-4"},
		{"at or below is below the next", "ink.wet <= 4", "ink.wet < 4.5", ""},
		{"opposites", "ink.stamped && !ink.stamped", "", ""},
		{"either or", "ink.stamped || !ink.stamped", "always", ""},
		{"what is not needed is left out", "ink.wet < 2 && (ink.dry < 2 || ink.wet < 3)", "", "ink.wet: 1|1-2"},
		{"a word", `ink.kind in ["stamp", "ballpoint"]`, `ink.kind == "stamp"`, "ink.kind: ballpoint"},
		{"a fact is looked into", "ink.fast", "ink.wet > 4", ""},
		{"the part of the ink is the part", "part.torn", "ink.part.torn", ""},
		{"one member", "part.inks.exists(i, i.wet < 2)", "", "part.inks 1.wet: 1|1-2; part.inks 1: true"},
		{"all of an empty list", "part.inks.all(i, i.wet < 2)", "part.inks.exists(i, i.wet < 2)", "part.inks 1: false; part.inks 2: false"},
		{
			"one member for each of two", "part.inks.exists(i, i.stamped) && part.inks.exists(i, !i.stamped)", "",
			"part.inks 1.stamped: no; part.inks 2.stamped: yes; part.inks 1: true; part.inks 2: true",
		},
		{"two hold means one holds", "part.inks.atLeast(2, i, i.stamped)", "part.inks.exists(i, i.stamped)", ""},
		{
			"one holding is not two", "part.inks.exists(i, i.stamped)", "part.inks.atLeast(2, i, i.stamped)",
			"part.inks 1.stamped: yes; part.inks 2.stamped: no; part.inks 3.stamped: no; part.inks 1: true",
		},
		{"a list inside a list", "book.parts.exists(p, p.inks.all(i, i.stamped) && p.inks.exists(i, !i.stamped))", "", ""},
		{"a member's own part", "book.inks.exists(i, i.part.torn)", "part.torn", "book.inks 1.part.torn: yes; part.torn: no; book.inks 1: true"},
		{"inks of the part lie on it", "part.inks.exists(i, i.part.torn)", "part.torn", ""},
	} {
		var holds, fails []*Cond
		holds = append(holds, compile(t, e, tt.holds))
		if tt.fails != "" {
			fails = append(fails, compile(t, e, tt.fails))
		}
		w, found, sure := e.Find(holds, fails, func(id string) *Cond { return facts[id] })
		if !sure {
			t.Errorf("%s: not sure", tt.name)
		}
		if found != (tt.want != "") {
			t.Errorf("%s: found %v: %s", tt.name, found, answers(w))
			continue
		}
		if tt.name == "one holding is not two" || strings.HasPrefix(tt.name, "all of an empty") || strings.HasPrefix(tt.name, "one member for") || strings.HasPrefix(tt.name, "a member's") {
			continue // which members it is does not matter
		}
		if diff := cmp.Diff(tt.want, answers(w)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", tt.name, diff)
		}
	}
}

// TestFindNumbers: where a condition reckons with answers only points are tried, and that is said.
func TestFindNumbers(t *testing.T) {
	e := testEnv(t)
	none := func(string) *Cond { return nil }
	a, b := compile(t, e, "part.ph < 6"), compile(t, e, "part.ph <= 6")
	if w, found, _ := e.Find([]*Cond{b}, []*Cond{a}, none); !found || answers(w) != "part.ph: 6" {
		t.Errorf("at the limit: %v %s", found, answers(w))
	}
	c := compile(t, e, "part.sinks * 2 < min(1) && part.sinks > s(30)")
	if _, found, sure := e.Find([]*Cond{c}, nil, none); found || sure {
		t.Errorf("reckoned with: found %v, sure %v", found, sure)
	}
}

// TestFindAgainstTrying compares Find with trying all answers, on random conditions over three questions of one ink.
func TestFindAgainstTrying(t *testing.T) {
	e := testEnv(t)
	r := rand.New(rand.NewPCG(8, 4))
	atoms := []string{"ink.wet < 3", "ink.wet >= 4", "ink.wet == 5", "ink.dry <= 2", "ink.dry > 4", "ink.stamped"}
	var random func(depth int) string
	random = func(depth int) string {
		switch n := r.IntN(4); {
		case depth == 0 || n == 0:
			return atoms[r.IntN(len(atoms))]
		case n == 1:
			return "!(" + random(depth-1) + ")"
		default:
			return "(" + random(depth-1) + []string{" && ", " || "}[n-2] + random(depth-1) + ")"
		}
	}
	q := func(name string) *vocab.Question { return e.vocabulary.Question("ink." + name) }
	foundSome := 0
	for range 400 {
		a, b := compile(t, e, random(3)), compile(t, e, random(3))
		_, found, sure := e.Find([]*Cond{a}, []*Cond{b}, nil)
		want := false
		for wet := 1.0; wet <= 5; wet += 0.5 {
			for dry := 1.0; dry <= 5; dry += 0.5 {
				for _, stamped := range []bool{false, true} {
					holds := func(n *Node) bool { return try(n, q, vocab.Num(wet), vocab.Num(dry), vocab.Yes(stamped)) }
					want = want || holds(a.Root) && !holds(b.Root)
				}
			}
		}
		if found != want || !sure {
			t.Errorf("%s but not %s: found %v, sure %v, want %v", a.Text, b.Text, found, sure, want)
		}
		if want {
			foundSome++
		}
	}
	if foundSome < 50 || foundSome > 350 {
		t.Errorf("%d of 400 found: the conditions are too much alike", foundSome)
	}
}

// try evaluates a formula of one ink with no help of Find's.
func try(n *Node, q func(string) *vocab.Question, wet, dry, stamped vocab.Answer) bool {
	switch n.Op {
	case OpAtom:
		a := map[string]vocab.Answer{"wet": wet, "dry": dry, "stamped": stamped}[n.Atom.Reads[0].Question.Name]
		return n.Atom.Test.Holds(n.Atom.Reads[0].Question, a)
	case OpNot:
		return !try(n.Kids[0], q, wet, dry, stamped)
	}
	for _, k := range n.Kids {
		if v := try(k, q, wet, dry, stamped); v != (n.Op == OpAnd) {
			return v
		}
	}
	return n.Op == OpAnd
}
