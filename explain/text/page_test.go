package text

import (
	"slices"
	"strings"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/fault"
	"tideline/rules/pack"
)

// TestWrap breaks lines at blanks, long words where they must be and paths behind a slash, and counts wide characters
// twice and joining ones not at all.
func TestWrap(t *testing.T) {
	for _, tt := range []struct {
		text    string
		columns int
		want    string
	}{
		{"", 10, ""},
		{"one two three", 8, "one two|three"},
		{"  blanks \n and   lines  ", 20, "blanks and lines"},
		{"abcdefghijklmnop", 10, "abcdefghij|klmnop"},
		{"cover/outside/tideline-1", 20, "cover/outside/|tideline-1"},
		{"日本語 日本語", 8, "日本語|日本語"},
		{"cafe\u0301 cafe\u0301", 9, "cafe\u0301 cafe\u0301"},
		{"a\x1b[2J", 20, `a\u001b[2J`},
		{"anything", 1, "anything"}, // never less than 8 columns
	} {
		if got := strings.Join(wrap(tt.text, tt.columns), "|"); got != tt.want {
			t.Errorf("%q in %d: got %q, want %q", tt.text, tt.columns, got, tt.want)
		}
	}
}

// tiny judges the book of testdata/packs.
func tiny(t *testing.T) *judge.Judgement {
	t.Helper()
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.ReadPath("../../testdata/packs/tiny.yaml", faults)}, faults)
	if faults.Len() > 0 {
		t.Fatal(faults.Err())
	}
	b := record.Load("../../testdata/packs/tiny-book.yaml", nil, record.WordsOf(p), time.Time{}, faults)
	if faults.Len() > 0 {
		t.Fatal(faults.Err())
	}
	g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// everything writes all that can be written of a judgement.
func everything(g *judge.Judgement, style Style) string {
	var b strings.Builder
	for _, all := range []bool{false, true} {
		b.WriteString(Decide(g, style, all))
		for i, v := range g.Verdicts {
			b.WriteString(Why(g, v, style, all))
			b.WriteString(RatherThan(g, v, g.Verdicts[(i+1)%len(g.Verdicts)], style, all))
		}
	}
	return b.String()
}

// TestWidth checks at many widths that no line is wider than the page, that the words are the same at all of them, and
// that plain pages hold nothing a terminal would obey.
func TestWidth(t *testing.T) {
	g := tiny(t)
	bare := func(s string) string { // the characters in order, without blanks and tree lines: cells side by side interleave
		kept := []rune(strings.Map(func(r rune) rune {
			if strings.ContainsRune(" \n│├└─|`-", r) {
				return -1
			}
			return r
		}, s))
		slices.Sort(kept)
		return string(kept)
	}
	want := bare(everything(g, Style{Width: 110}))
	for columns := 20; columns <= 110; columns++ {
		for _, ascii := range []bool{false, true} {
			s := everything(g, Style{Width: columns, ASCII: ascii})
			for line := range strings.Lines(s) {
				if w := width(strings.TrimSuffix(line, "\n")); w > columns && columns >= 40 {
					t.Fatalf("a line of %d columns on a page of %d:\n%s", w, columns, line)
				}
				if ascii && strings.ContainsFunc(line, func(r rune) bool { return r > 0x7e }) {
					t.Fatalf("not ASCII: %s", line)
				}
			}
			if !ascii && bare(s) != want {
				t.Fatalf("the words differ at %d columns", columns)
			}
			if strings.Contains(s, "\x1b") {
				t.Fatal("an escape byte on a plain page")
			}
		}
	}
}

// TestBold checks that bold adds nothing but bold.
func TestBold(t *testing.T) {
	g := tiny(t)
	bold := everything(g, Style{Width: 80, Bold: true})
	plain := strings.NewReplacer("\x1b[1m", "", "\x1b[22m", "").Replace(bold)
	if plain != everything(g, Style{Width: 80}) {
		t.Error("the words differ")
	}
	if plain == bold {
		t.Error("nothing is bold")
	}
}

// TestEachCautionOnce checks that the list of verdicts says no caution twice.
func TestEachCautionOnce(t *testing.T) {
	s := Decide(tiny(t), Style{Width: 80}, true)
	if n := strings.Count(s, "Dust harms the lungs."); n != 1 {
		t.Errorf("one danger is told %d times:\n%s", n, s)
	}
}
