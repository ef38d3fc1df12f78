package evidence

import (
	"strings"
	"testing"

	"tideline/engine/record"
	"tideline/rules/vocab"
)

// Other answers stand whatever steps done would give, clear or make stale, also after a list was closed or opened, which
// makes the things anew; what a step answers by itself is not opened; and the case they came from stays as it is.
func TestWithAfterSteps(t *testing.T) {
	const done = `
  - {step: mend, on: cover/outside/tear, date: 2026-10-03, result: as planned}
  - {step: bath, on: wrap, date: 2026-10-03}
`
	open, yes, no := vocab.Answer{}, vocab.Yes(true), vocab.Yes(false)
	type change struct {
		path, question string
		answer         vocab.Answer
	}
	list := change{"cover/inside", "side.inks_listed", no}
	for _, tt := range []struct {
		name    string
		changes []change // one after another
		path    string
		asked   string
		want    string // "": not known
		cleared string
	}{
		{"nothing", nil, "cover", "part.torn", "no", "cover/outside/tear"},
		{"a step gives it: opened", []change{{"cover", "part.torn", open}}, "cover", "part.torn", "no", "cover/outside/tear"},
		{"otherwise, then opened", []change{{"cover", "part.torn", yes}, {"cover", "part.torn", open}}, "cover", "part.torn", "no", "cover/outside/tear"},
		{"opened, then otherwise", []change{{"cover", "part.torn", open}, {"cover", "part.torn", yes}}, "cover", "part.torn", "yes", "cover/outside/tear"},
		{"a person answered it: opened", []change{{"cover/outside/red", "ink.kind", open}}, "cover/outside/red", "ink.kind", "", "cover/outside/tear"},
		{"opened, then a list", []change{{"cover/outside/red", "ink.kind", open}, list}, "cover/outside/red", "ink.kind", "", "cover/outside/tear"},
		{"a step gives it: otherwise", []change{{"cover", "part.torn", yes}}, "cover", "part.torn", "yes", "cover/outside/tear"},
		{"otherwise, then a list", []change{{"cover", "part.torn", yes}, list}, "cover", "part.torn", "yes", "cover/outside/tear"},
		{"only a list", []change{list}, "cover", "part.torn", "no", "cover/outside/tear"},
		{"a step makes it stale", []change{{"wrap", "part.torn", yes}}, "wrap", "part.torn", "yes", "cover/outside/tear"},
		{"a step makes it stale, then a list", []change{{"wrap", "part.torn", yes}, list, list}, "wrap", "part.torn", "yes", "cover/outside/tear"},
		{"another finding is such a one", []change{{"cover/outside/stain", "finding.kind", vocab.Word("tear")}}, "cover", "part.torn", "no", "cover/outside/tear"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			first := gather(t, bookText+"done:"+done, "2026-10-03")
			before := told(first)
			c := first
			for _, x := range tt.changes {
				c = c.With(Change{c.Number(c.At(x.path), c.Pack.Vocabulary.Question(x.question)), x.answer})
			}
			q := c.Pack.Vocabulary.Question(tt.asked)
			got := ""
			if a := c.Asks[c.Number(c.At(tt.path), q)].Answer; a.Known {
				got = q.Text(a)
			}
			if got != tt.want {
				t.Errorf("%s of %s: %q, want %q", tt.asked, tt.path, got, tt.want)
			}
			if c.Cleared[tt.cleared] == nil || c.At(tt.cleared) != nil {
				t.Errorf("%s is not cleared", tt.cleared)
			}
			for _, a := range c.Asks {
				for _, r := range append(a.Earlier, a.Result) {
					if r != nil && r.Step == nil && !inside(c.Book.Results, r) {
						t.Errorf("a result of %s is not one of the book of its case", a.Question.ID)
					}
				}
			}
			if after := told(first); after != before {
				t.Errorf("the case it came from was\n%s\nand is\n%s", before, after)
			}
		})
	}
}

func inside(list []record.Result, r *record.Result) bool {
	for i := range list {
		if &list[i] == r {
			return true
		}
	}
	return false
}

// told writes out what a case holds to be so.
func told(c *Case) string {
	var b strings.Builder
	for _, a := range c.Asks {
		if a.Question != nil && a.Answer.Known {
			b.WriteString(a.Thing.Path + " " + a.Question.ID + " " + a.Question.Text(a.Answer) + "\n")
		}
	}
	return b.String()
}

// A finding that would be of a kind which a step done on it clears is cleared with it, as in a record that says so.
func TestWithKind(t *testing.T) {
	c := gather(t, bookText+"done:\n  - {step: mend, on: cover/outside/stain, date: 2026-10-03, result: as planned}\n", "2026-10-04")
	stain, kind := c.At("cover/outside/stain"), c.Pack.Vocabulary.Question("finding.kind")
	if stain == nil {
		t.Fatal("a step that clears tears cleared a stain")
	}
	torn := c.With(Change{c.Number(stain, kind), vocab.Word("tear")})
	if torn.At("cover/outside/stain") != nil || torn.Cleared["cover/outside/stain"] == nil {
		t.Error("as a tear, mended, it is still there")
	}
	if c.At("cover/outside/stain") == nil {
		t.Error("the case it came from has lost it")
	}
}
