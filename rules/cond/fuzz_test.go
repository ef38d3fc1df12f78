package cond

import (
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"tideline/rules/vocab"
)

// FuzzCompile: whatever a condition says, compiling it does not panic or hang; every problem has a place in the text; and
// an atom of what compiles evaluates without an error for every cell of every question it reads, and for none known. An
// error would be a fault that a connective could hide.
func FuzzCompile(f *testing.F) {
	for _, text := range []string{
		"ink.wet < 4", "4 > ink.wet", "ink.wet < 4 && (ink.dry == 5 || !ink.stamped)", `ink.kind in ["stamp", "ballpoint"]`, "part.inks.exists(i, i.wet < 3)",
		"part.inks.all(i, i.fast || i.wet == 5)", "book.parts.exists(p, p.inks.all(i, i.wet == 5 && p.torn))", "part.inks.atLeast(2, i, i.wet < 3)", "ink.part.torn",
		"!part.safe", "part.sinks < s(30)", "part.sinks * 2 < min(1)", "part.torn ? ink.wet < 3 : ink.wet < 4", "part.ph in [6, 7]", "ink.wet < ink.dry", "always", "true",
		"part.warm - degC(3) <= degF(155)", "-part.ph < -6", "part.ph / 2 > 3", "10 / ink.wet > 2", "(ink.wet + ink.dry) / 2 < 4", "ink.kind == ink.kind", "part.sinks / s(2) > 1",
		"part.torn == part.torn", "ink.stamped != true", "part.inks.exists(i, i.kind == ink.kind)", "mm(3) < mm(4)", "ink == ink", "has(ink.wet)", "part.inks.exists(__result__, __result__)",
		"part.inks.exists(i, @result)", "ink.wet < 4 && ink.dryy", "ink.wet ? ink.wet : ink.dry", "(part.torn ? part.ph : part.ph) < 3", "1.0/0.0 == 1.0 || ink.stamped", "ink.wet % 2 == 0",
		`ink.kind + "x" == "stamp"`, "ink.wet in [ink.wet]", "[1, 2] == [1, 2]", "{'a': 1}.a == 1", "dyn(ink.wet) == 'x'", "type(ink.wet) == double", "double('x') < ink.wet", "ink.wet < 1e308 * 1e308",
		"timestamp('2026-01-01T00:00:00Z') < timestamp('2027-01-01T00:00:00Z')", "\xff", "ü < 3", "ink.wet < 4 // note", "part.sinks * part.ph < s(3)", "part.inks.exists(i, part.inks.exists(j, i.wet < j.wet))",
		"part.inks.map(i, i.wet) == []", "ink.wet < 9223372036854775808", "ink.wet < 5u", "b'a' == b'a'", "null == null", ".ink.wet < 3", "ink[\"wet\"] < 3", "tideline.ink{wet: 3}.wet < 3", "ink.wet < 4 ? true : false",
		"depth(part.ph) > mm(20)", `soaked("thin", part.sinks, part.ph) < s(3)`, "recalled(part.ph) + 1 > 3", "depth(13) > mm(2)", "depth(depth(part.ph)) > mm(2)", "part.inks.exists(i, depth(part.ph) > mm(3) && i.wet < 3)",
	} {
		f.Add(text)
	}
	v := testVocabulary()
	f.Fuzz(func(t *testing.T, text string) {
		e, err := NewEnv(v, []string{"ink.fast", "part.safe"}, sums()...)
		if err != nil {
			t.Fatal(err)
		}
		if _, problems := e.CompileDose(text, testVars); len(problems) > 0 && problems[0].Summary == "" {
			t.Errorf("%q: a dose is refused without a word", text)
		}
		start := time.Now()
		c, problems := e.Compile(text, testVars)
		if took := time.Since(start); took > time.Minute {
			t.Errorf("%q took %v", text, took)
		}
		if (c == nil) == (len(problems) == 0) {
			t.Errorf("%q: compiled %v, with %d problems", text, c != nil, len(problems))
		}
		lines := strings.Split(text, "\n")
		for _, p := range problems {
			if p.Summary == "" || p.Line < 1 || p.Col < 1 || p.Line > len(lines) || p.Col > utf8.RuneCountInString(lines[p.Line-1])+1 {
				t.Errorf("%q: %+v has no word or lies outside the text", text, p)
			}
		}
		agrees(t, text)
		if c != nil {
			for _, a := range e.Atoms() {
				evaluates(t, e, a)
			}
		}
	})
}

// evaluates tries an atom with every combination of an answer of each cell, and of no answer, for what it reads.
func evaluates(t *testing.T, e *Env, a *Atom) {
	t.Helper()
	things := map[string]*Thing{}
	// Each argument is a thing of its own; what its links lead to is one more for each way.
	var args []*Thing
	for _, k := range a.Kinds {
		args = append(args, e.NewThing(k, 0))
	}
	type slot struct {
		thing *Thing
		q     *vocab.Question
	}
	var reads []slot
	for _, r := range a.Reads {
		thing, way := args[r.Arg], string(rune('0'+r.Arg))
		for _, l := range r.Links {
			way += "." + l.Name
			if things[way] == nil {
				things[way] = e.NewThing(l.To, 0)
				thing.Lead(l.Name, things[way])
			}
			thing = things[way]
		}
		if len(reads) < 4 {
			reads = append(reads, slot{thing, r.Question})
		} else { // too many to try all
			cells, _ := e.Cells(r.Question)
			thing.Set(e.Slot(r.Question), r.Question, cells[0].Some())
		}
	}
	var try func(i int, known bool)
	try = func(i int, known bool) {
		if i == len(reads) {
			v, err := a.Eval(args...)
			if err != nil {
				t.Fatalf("%s: %v", a.Text, err)
			}
			if known && v == Open && len(a.Calls) == 0 {
				t.Fatalf("%s is open though all is known", a.Text)
			}
			return
		}
		s := reads[i]
		slot := e.Slot(s.q)
		before := s.thing.slots[slot]
		s.thing.Open(slot, i)
		try(i+1, false)
		cells, _ := e.Cells(s.q)
		step := max(1, len(cells)/8)
		for n := 0; n < len(cells); n += step {
			for _, answer := range cells[n].Answers {
				s.thing.Set(slot, s.q, answer)
				try(i+1, known)
				if len(reads) > 2 {
					break // one answer for each cell will do
				}
			}
		}
		s.thing.slots[slot] = before
	}
	try(0, true)
}

// TestAtLeast: the three-valued count, for every number of members that hold, fail and are open. It is true when n are
// known to hold, false when too few could, and open otherwise; with n = 1 it is exists.
func TestAtLeast(t *testing.T) {
	for n := 1; n <= 4; n++ {
		for holds := range 5 {
			for open := range 5 {
				want := Open
				can, must := holds+open >= n, holds >= n // over all ways the open ones can turn out
				switch {
				case must:
					want = True
				case !can:
					want = False
				}
				if got := AtLeast(n, holds, open); got != want {
					t.Errorf("at least %d, %d hold, %d open: %v, want %v", n, holds, open, got, want)
				}
				if n == 1 {
					any := False
					for range holds {
						any = Or(any, True)
					}
					for range open {
						any = Or(any, Open)
					}
					if any != want {
						t.Errorf("%d hold, %d open: exists is %v, at least one %v", holds, open, any, want)
					}
				}
			}
		}
	}
}

// TestKleene: the tables of Kleene's strong logic (S. C. Kleene, Introduction to Metamathematics, 1952, §64, from memory).
func TestKleene(t *testing.T) {
	all := []Truth{True, Open, False}
	and := [3][3]Truth{{True, Open, False}, {Open, Open, False}, {False, False, False}}
	or := [3][3]Truth{{True, True, True}, {True, Open, Open}, {True, Open, False}}
	for i, a := range all {
		for j, b := range all {
			if And(a, b) != and[i][j] || Or(a, b) != or[i][j] {
				t.Errorf("%v and %v: %v, or: %v", a, b, And(a, b), Or(a, b))
			}
		}
	}
	if Not(True) != False || Not(False) != True || Not(Open) != Open {
		t.Error("not")
	}
}
