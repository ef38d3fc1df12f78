package cond

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"tideline/rules/vocab"
)

// sums are functions for tests: they compute nothing that is true of paper.
func sums() []*Function {
	within := func(v, from, to float64) error {
		if v < from || v > to {
			return fmt.Errorf("%g lies outside %g to %g", v, from, to)
		}
		return nil
	}
	return []*Function{
		{
			Name: "depth", Unit: "mm", Params: []Param{{Name: "ph", Unit: "pH", From: 2, To: 12, Steady: true}},
			Allow: func(_ int, v vocab.Answer) error { return within(v.Num, 2, 12) },
			Do:    func(v []vocab.Answer) (float64, error) { return 100 / v[0].Num, nil },
		},
		{
			Name: "soaked", Unit: "s", Params: []Param{{Name: "paper", Words: []string{"thin", "thick"}}, {Name: "drop", Unit: "s"}, {Name: "ph", Unit: "pH"}},
			Allow: func(int, vocab.Answer) error { return nil },
			Do: func(v []vocab.Answer) (float64, error) {
				if v[2].Num > 10 {
					return 0, errors.New("no such water")
				}
				return v[1].Num * float64(len(v[0].Word)), nil
			},
		},
		{
			Name: "recalled", Unit: "", Memory: true, Params: []Param{{Name: "ph", Unit: "pH"}},
			Allow: func(int, vocab.Answer) error { return nil },
			Do:    func(v []vocab.Answer) (float64, error) { return v[0].Num, nil },
		},
	}
}

func dosedEnv(t testing.TB) *Env {
	t.Helper()
	e, err := NewEnv(testVocabulary(), []string{"ink.fast", "part.safe"}, sums()...)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// What is wrong with a call is told where it stands: units that do not go together, written values outside the range,
// words that are none.
func TestCallsRefused(t *testing.T) {
	for _, tt := range []struct{ text, at, want string }{
		{"depth(part.sinks) > mm(3)", "part.sinks", "ph of depth takes a number in pH, and this is a number in s"},
		{"depth(s(3)) > mm(part.ph)", "s(3)", "ph of depth takes a number in pH"},
		{"depth(part.ph) > s(3)", "", "a number in mm is compared with a number in s"},
		{"depth(part.ph) > 3", "", "a number in mm is compared with a bare number"},
		{"depth(part.ph) > part.sinks", "", "a number in mm is compared with a number in s"},
		{"depth(part.ph) + s(3) > s(4)", "", "cannot be put together"},
		{"depth(13) > mm(part.ph)", "13", "depth refuses this ph"},
		{"part.ph < 7 && depth(1.5) > mm(2)", "1.5", "depth refuses this ph"},
		{"depth(7) > mm(2)", "", "only written values are reckoned with"},
		{"depth(part.ph * 2) > mm(2)", "", "ph of depth is reckoned with"},
		{"depth(part.ph, 3) > mm(2)", "", "depth is not called like this"},
		{"depth() > mm(2)", "", "depth is not called like this"},
		{`depth("acid") > mm(2)`, "", "depth is not called like this"},
		{"dept(part.ph) > mm(2)", "", `unknown name "dept"`},
		{`soaked("thik", part.sinks, part.ph) > s(9)`, `"thik"`, `"thik" is no paper of soaked`},
		{"soaked(ink.kind, part.sinks, part.ph) > s(9)", "ink.kind", "paper of soaked is a written word"},
		{`soaked("thin", part.ph, part.ph) > s(9)`, "part.ph", "drop of soaked takes a number in s, and this is a number in pH"},
		{"depth(part.ph)", "", "not a yes-or-no condition"},
		{"part.torn == depth(part.ph)", "", "=="},
		{"depth(part.ph) in [mm(2)]", "", "`in` looks for one answer"},
		{`soaked("thin", part.sinks, part.ph) > s(1) + part.sinks + part.sinks`, "", "too many answers compared at once"},
		{"depth(part.safe) > mm(2)", "", "depth is not called like this"},
	} {
		_, problems := dosedEnv(t).Compile(tt.text, []Var{{Name: "part", Kind: vocab.Part}, {Name: "ink", Kind: vocab.Ink}})
		if len(problems) == 0 {
			t.Errorf("%s is taken", tt.text)
			continue
		}
		p := problems[0]
		if !strings.Contains(p.Summary, tt.want) {
			t.Errorf("%s: %q, wanted %q", tt.text, p.Summary, tt.want)
		}
		if col := strings.Index(tt.text, tt.at) + 1; tt.at != "" && p.Col != col && !strings.Contains(tt.at, "(") && !strings.Contains(tt.at, ".") {
			t.Errorf("%s: column %d, wanted %d", tt.text, p.Col, col)
		}
		if p.Line != 1 || p.Col < 1 || p.Col > len(tt.text) {
			t.Errorf("%s: place %d:%d", tt.text, p.Line, p.Col)
		}
	}
}

var partVars = []Var{{Name: "part", Kind: vocab.Part}}

// An answer not known, or a refusal, makes the comparison open; and what stands beside it decides as ever.
func TestUnknownAndRefused(t *testing.T) {
	ph, drop := vocab.Num, vocab.Num
	none := vocab.Answer{}
	for _, tt := range []struct {
		text     string
		ph, drop vocab.Answer
		want     Truth
		refused  bool // whatever is not known
	}{
		{"depth(part.ph) > mm(20)", ph(4), none, True, false},
		{"depth(part.ph) > mm(20)", ph(6), none, False, false},
		{"depth(part.ph) > mm(20)", none, none, Open, false},
		{"depth(part.ph) > mm(20)", ph(1.9), none, Open, true},
		{"depth(part.ph) > mm(20)", ph(2), none, True, false},
		{"depth(part.ph) > mm(20)", ph(12), none, False, false},
		{"depth(part.ph) > mm(20)", ph(math.Nextafter(12, 13)), none, Open, true},
		{`soaked("thin", part.sinks, part.ph) > s(20)`, ph(7), drop(6), True, false},
		{`soaked("thin", part.sinks, part.ph) > s(20)`, ph(7), none, Open, false},
		{`soaked("thick", part.sinks, part.ph) > s(20)`, none, drop(6), Open, false},
		{`soaked("thick", part.sinks, part.ph) > s(20)`, ph(11), drop(6), Open, true},
	} {
		e := dosedEnv(t)
		c, problems := e.Compile(tt.text, partVars)
		if problems != nil {
			t.Fatal(tt.text, problems)
		}
		part := e.NewThing(vocab.Part, 1)
		for id, a := range map[string]vocab.Answer{"part.ph": tt.ph, "part.sinks": tt.drop} {
			q := e.vocabulary.Question(id)
			part.Set(e.Slot(q), q, a)
		}
		got, err := c.Root.Atom.Eval(part)
		if err != nil || got != tt.want {
			t.Errorf("%s, %v, %v: %v, %v; wanted %v", tt.text, tt.ph, tt.drop, got, err, tt.want)
		}
		_, known, refusal := c.Root.Atom.Calls[0].Do(func(n int) vocab.Answer {
			return map[string]vocab.Answer{"part.ph": tt.ph, "part.sinks": tt.drop}[c.Root.Atom.Reads[n].Question.ID]
		})
		if known != (tt.want != Open) || (refusal != nil) != tt.refused {
			t.Errorf("%s: known %v, refusal %v", tt.text, known, refusal)
		}
		both, problems := e.Compile(tt.text+" || part.torn", partVars)
		if problems != nil {
			t.Fatal(problems)
		}
		soft := e.vocabulary.Question("part.torn")
		part.Set(e.Slot(soft), soft, vocab.Yes(true))
		whole, _ := e.Whole(both.Text, partVars)
		if v, _, err := whole.Eval(part); v != True || err != nil {
			t.Errorf("%s beside what is true: %v, %v", tt.text, v, err)
		}
	}
}

// The cells of a steady function are exact: no two answers of one cell are told apart.
func TestSteadyCells(t *testing.T) {
	e := dosedEnv(t)
	texts := []string{"depth(part.ph) > mm(20)", "mm(30) >= depth(part.ph)", "part.ph < 7"}
	for _, text := range texts {
		if _, problems := e.Compile(text, partVars); problems != nil {
			t.Fatal(problems)
		}
	}
	q := e.vocabulary.Question("part.ph")
	cells, exact := e.Cells(q)
	if !exact {
		t.Error("the cells are not exact")
	}
	borders := []float64{2, 100.0 / 30, 5, 7, 12} // where it is refused, where depth is 30 and 20, the written 7, refused again
	if len(cells) != len(borders)+1 {
		t.Errorf("%d cells: %v", len(cells), cells)
	}
	for _, x := range []float64{0, 1.99, 2, 3, 3.3333, 3.3334, 4.999, 5, 5.001, 6.999, 7, 8, 12, 12.01, 14} {
		in := slices.IndexFunc(borders, func(b float64) bool { return x < b })
		for i, b := range borders { // belongs to the cell above its border, but at the upper end of a range and where < turns
			if x == b && i == 4 {
				in = i
			}
		}
		if in < 0 {
			in = len(borders)
		}
		for _, text := range texts {
			a, _ := e.Compile(text, partVars)
			says := func(v float64) Truth {
				if a.Root.Atom.Test != nil {
					return Of(a.Root.Atom.Test.Holds(q, vocab.Num(v)))
				}
				return a.Root.Atom.Says(vocab.Num(v))
			}
			for _, y := range cells[in].Answers {
				if says(x) != says(y.Num) {
					t.Errorf("%s tells %v from %v of cell %d: %v", text, x, y.Num, in, cells)
				}
			}
		}
	}
	if _, problems := e.Compile(`soaked("thin", part.sinks, part.ph) > s(20)`, partVars); problems != nil {
		t.Fatal(problems)
	}
	if more, exact := e.Cells(q); exact || len(more) < 2*gridPoints-1 {
		t.Errorf("reckoned with another answer: %d cells, exact %v", len(more), exact)
	}
}

func TestCompileDose(t *testing.T) {
	e := dosedEnv(t)
	d, problems := e.CompileDose(` soaked("thin", part.sinks, 7) `, partVars)
	if problems != nil || len(d.Reads) != 1 || d.Call.Function.Name != "soaked" || d.Text != `soaked("thin", part.sinks, 7)` {
		t.Errorf("%+v, %v", d, problems)
	}
	for text, want := range map[string]string{
		"part.sinks":             "no call of a function",
		"depth(part.ph) > mm(2)": "a condition, not a dose",
		"depth(part.ph) * 2":     "no call of a function",
		"depth(13)":              "refuses this ph",
		"depth(part.sinks)":      "takes a number in pH",
		"":                       "empty",
		"depth(":                 "cannot be read",
	} {
		if _, problems := e.CompileDose(text, partVars); len(problems) == 0 || !strings.Contains(problems[0].Summary, want) {
			t.Errorf("%q: %v, wanted %q", text, problems, want)
		}
	}
}

func TestVaryLimit(t *testing.T) {
	e := dosedEnv(t)
	for _, tt := range []struct {
		text string
		v    float64
		want string
	}{
		{"depth(part.ph) > mm(20)", 21, "depth(part.ph) > mm(21)"},
		{"mm(20) >= depth(part.ph)", 19, "depth(part.ph) <= mm(19)"},
		{"recalled(part.ph) == 3", 4, "recalled(part.ph) == 4"},
	} {
		c, problems := e.Compile(tt.text, partVars)
		if problems != nil {
			t.Fatal(problems)
		}
		n, err := e.VaryLimit(c.Vars, c.Root, tt.v)
		if err != nil || n.Text != tt.want {
			t.Errorf("%s: %v, %v; wanted %s", tt.text, n, err, tt.want)
		}
		if v, ok := n.Atom.Limit(); !ok || v != tt.v {
			t.Errorf("%s: limit %v", n.Text, v)
		}
	}
	c, _ := e.Compile("part.ph < 3", partVars)
	if _, err := e.VaryLimit(c.Vars, c.Root, 4); err == nil {
		t.Error("a comparison without a function was varied")
	}
}
