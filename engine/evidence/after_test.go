package evidence

import (
	"strings"
	"testing"
)

// What steps done leave behind: answers they give, findings they clear.
func TestLeave(t *testing.T) {
	const mended = `
  - {step: mend, on: cover/outside/tear, date: 2026-10-03, result: RESULT}`
	book := func(done string) string { return bookText + "done:" + done + "\n" }
	for _, c := range []struct {
		name, book string
		tear       bool
		soft       string // part.torn of the cover
	}{
		{"not done", bookText, true, ""},
		{"as planned", book(strings.ReplaceAll(mended, "RESULT", "as planned")), false, "no"},
		{"in part", book(strings.ReplaceAll(mended, "RESULT", "partly")), true, ""},
		{"stopped", book(strings.ReplaceAll(mended, "RESULT", "stopped early")), true, ""},
		{"outcome not said", book(strings.ReplaceAll(mended, ", result: RESULT", "")), true, "no"},
		{"made stale later", book(strings.ReplaceAll(mended, "RESULT", "as planned") + "\n  - {step: bath, on: cover, date: 2026-10-04}"), false, ""},
		{"made stale the same day, later in the list", book(strings.ReplaceAll(mended, "RESULT", "as planned") + "\n  - {step: bath, on: cover, date: 2026-10-03}"), false, ""},
		{"made stale before", book("\n  - {step: bath, on: cover, date: 2026-10-03}" + strings.ReplaceAll(mended, "RESULT", "as planned")), false, "no"},
		{"found later", strings.Replace(book(strings.ReplaceAll(mended, "RESULT", "as planned")), "kind: tear,", "kind: tear, found: 2026-10-03,", 1), true, "no"},
		{"found before", strings.Replace(book(strings.ReplaceAll(mended, "RESULT", "as planned")), "kind: tear,", "kind: tear, found: 2026-10-02,", 1), false, "no"},
		{"answered anew later", book(strings.ReplaceAll(mended, "RESULT", "as planned")) + "tests: [{test: part.torn, on: cover, date: 2026-10-05, yes: yes}]\n", false, "yes"},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := gather(t, c.book, "")
			if there := g.At("cover/outside/tear") != nil; there != c.tear {
				t.Errorf("the tear is there: %v, want %v", there, c.tear)
			}
			if gone := g.Cleared["cover/outside/tear"] != nil; gone == c.tear {
				t.Errorf("the tear is cleared: %v", gone)
			}
			q := g.Pack.Vocabulary.Question("part.torn")
			answer := ""
			if a := g.Asks[g.Number(g.At("cover"), q)].Answer; a.Known {
				answer = q.Text(a)
			}
			if answer != c.soft {
				t.Errorf("torn: %q, want %q", answer, c.soft)
			}
			for _, other := range []string{"cover/outside/stain", "cover/inside/rust"} {
				if g.At(other) == nil {
					t.Error(other, "is gone too")
				}
			}
		})
	}
}

// A step answers questions of the findings that were there, not of one found afterwards.
func TestLeaveFindings(t *testing.T) {
	const rust = "rust: {kind: stain,"
	for _, c := range []struct {
		name, found, want string
	}{
		{"there from the start", "", "no"},
		{"found before", " found: 2026-10-02,", "no"},
		{"found the same day", " found: 2026-10-03,", "not known"},
		{"found afterwards", " found: 2026-10-04,", "not known"},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := gather(t, strings.Replace(bookText, rust, rust+c.found, 1)+"done:\n  - {step: quiet, on: cover, date: 2026-10-03, result: as planned}\n", "")
			q := g.Pack.Vocabulary.Question("finding.deep")
			if got := q.Text(g.Asks[g.Number(g.At("cover/inside/rust"), q)].Answer); got != c.want {
				t.Errorf("deep: %q, want %q", got, c.want)
			}
		})
	}
}
