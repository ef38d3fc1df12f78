package cond

import (
	"testing"

	"tideline/rules/vocab"
)

func TestVary(t *testing.T) {
	e := testEnv(t)
	for _, tt := range []struct {
		text string
		test Test
		want string
	}{
		{"ink.wet < 4", Test{"<", []vocab.Answer{vocab.Num(3.5)}}, "ink.wet < 3.5"},
		{"4 > ink.wet", Test{"<=", []vocab.Answer{vocab.Num(4)}}, "ink.wet <= 4"},
		{"part.sinks < min(1)", Test{"<", []vocab.Answer{vocab.Num(57)}}, "part.sinks < s(57)"},
		{"part.warm > degC(5)", Test{">", []vocab.Answer{vocab.Num(-5)}}, "part.warm > degC(-5)"},
		{`ink.kind == "stamp"`, Test{"==", []vocab.Answer{vocab.Word("ballpoint")}}, `ink.kind == "ballpoint"`},
		{`ink.kind in ["stamp", "ballpoint"]`, Test{"in", []vocab.Answer{vocab.Word("stamp"), vocab.Word("printing ink")}}, `ink.kind in ["stamp", "printing ink"]`},
		{"ink.part.ph < 6", Test{"<", []vocab.Answer{vocab.Num(7)}}, "ink.part.ph < 7"},
	} {
		c := compile(t, e, tt.text)
		fork := e.Fork()
		n, err := fork.Vary(c.Vars, c.Root, tt.test)
		if err != nil {
			t.Errorf("%s: %v", tt.text, err)
			continue
		}
		if n.Text != tt.want || n.Args[0] != c.Root.Args[0] {
			t.Errorf("%s: got %s of %d", tt.text, n.Text, n.Args[0])
		}
		if got := n.Atom.Test; got == nil || got.Op != tt.test.Op || len(got.Values) != len(tt.test.Values) {
			t.Errorf("%s: tests %+v", tt.text, got)
		}
	}
	if _, err := e.Vary(nil, compile(t, e, "ink.stamped && part.torn").Root, Test{}); err == nil {
		t.Error("a conjunction is no atom")
	}
}

// TestFork: what a fork compiles leaves the first environment as it is.
func TestFork(t *testing.T) {
	e := testEnv(t)
	c := compile(t, e, "part.ph < 6 && part.inks.exists(i, i.wet < 3)")
	ph := e.vocabulary.Question("part.ph")
	before, _ := e.Cells(ph)
	atoms := len(e.Atoms())
	for range 2 {
		fork := e.Fork()
		if _, err := fork.Vary(c.Vars, c.Root.Kids[0], Test{"<", []vocab.Answer{vocab.Num(7)}}); err != nil {
			t.Fatal(err)
		}
		if n, err := fork.Vary(c.Vars, c.Root.Kids[1].Kids[0], Test{"<", []vocab.Answer{vocab.Num(2)}}); err != nil || n.Text != "i.wet < 2" {
			t.Errorf("inside exists: %v %v", n, err)
		}
		if len(fork.Atoms()) != atoms+2 {
			t.Errorf("the fork has %d atoms", len(fork.Atoms()))
		}
		if cells, _ := fork.Cells(ph); len(cells) <= len(before) {
			t.Error("the fork does not cut at 7")
		}
	}
	if after, _ := e.Cells(ph); len(after) != len(before) || len(e.Atoms()) != atoms {
		t.Error("the fork changed what it was made of")
	}
}

func TestReplace(t *testing.T) {
	e := testEnv(t)
	c := compile(t, e, "part.torn ? ink.wet < 3 : ink.stamped")
	torn := c.Root.Kids[0].Kids[0]
	got := c.Root.Replace(torn, &Node{Op: OpConst, Value: true})
	if text := outline(got); text != "or(and(true [ink.wet < 3]) and(not(true) [ink.stamped]))" {
		t.Errorf("replaced: %s", text)
	}
	if text := outline(c.Root); text != "or(and([part.torn] [ink.wet < 3]) and(not([part.torn]) [ink.stamped]))" {
		t.Errorf("the formula itself: %s", text)
	}
}
