package judge

import (
	"fmt"
	"math/rand/v2"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/worlds"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// The synthetic book: 4 parts of 6 inks with 12 questions each, 30 findings; 250 rules, of which 75 look at each ink, 130
// at the part (40 of them through all its inks), 20 at each finding and 25 at the book: 2,945 rule instances.

const syntheticVocabulary = `pack: synthetic
criteria: {life: {says: it lasts, weight: 0.8, from: 0.2, to: 1}}
aims: {clean: {says: it is clean}}
tests:
  part.kind: {asks: "kind?", answer: {words: [cover, wrap]}}
  ink.kind: {asks: "kind?", answer: {words: [print, stamp, pen]}}
  finding.kind: {asks: "kind?", answer: {words: [tear, stain]}}
  finding.deep: {asks: "deep?", answer: yes/no}
  book.old: {asks: "old?", answer: yes/no}
`

type synthetic struct {
	pack *pack.Pack
	text string // the book
}

func newSynthetic(b testing.TB, open bool) *synthetic {
	rnd := rand.New(rand.NewPCG(1, 2))
	var p strings.Builder
	p.WriteString(syntheticVocabulary)
	for i := range 11 {
		fmt.Fprintf(&p, "  ink.g%d: {asks: \"grade?\", answer: grade}\n  part.p%d: {asks: \"pH?\", answer: {number: pH, from: 0, to: 14}}\n  book.b%d: {asks: \"b?\", answer: yes/no}\n", i, i, i)
	}
	p.WriteString("treatments:\n  bath: {name: bath, of: part, family: wet, says: s, serves: [clean], intervention: 2, retreatable: no}\n" +
		"  rest: {name: rest, of: book, family: dry, says: s, serves: [clean], intervention: 1, retreatable: yes}\nrules:\n")
	for i := range 250 {
		n := func() int { return rnd.IntN(11) }
		var head, text string
		switch {
		case i < 75:
			head, text = "treatment: bath, each: ink", fmt.Sprintf("ink.g%d < %d && (ink.g%d == 5 || ink.g%d > 2) && ink.kind != \"pen\"", n(), 2+rnd.IntN(3), n(), n())
		case i < 165:
			head, text = "treatment: bath", fmt.Sprintf("part.p%d < %d && (part.p%d > 6 || part.p%d < 9)", n(), 4+rnd.IntN(5), n(), n())
		case i < 205:
			head, text = "treatment: bath", fmt.Sprintf("part.p%d > 5 && part.inks.exists(i, i.g%d < 3 && i.g%d < 4)", n(), n(), n())
		case i < 225:
			head, text = "treatment: bath, each: finding", fmt.Sprintf("finding.deep && finding.kind == \"tear\" && part.p%d < 7", n())
		default:
			head, text = "treatment: rest", fmt.Sprintf("book.b%d && (book.b%d || book.old)", n(), n())
		}
		effect := []string{"caution when: '%s', say: s", "for when: '%s', criterion: life, weight: 1", "against when: '%s', criterion: life, weight: 1", "called for when: '%s'"}[i%4]
		if i%25 == 0 {
			effect, text = "rules out when: '%s'", text+map[bool]string{true: " && ink.g0 == 1 && ink.g1 == 1", false: ""}[i < 75]
		}
		fmt.Fprintf(&p, "  r%d: {%s, %s, because: x, standing: house}\n", i, head, fmt.Sprintf(effect, text))
	}
	return &synthetic{worlds.Load(b, p.String()), syntheticBook(rnd, open)}
}

func syntheticBook(rnd *rand.Rand, open bool) string {
	var b strings.Builder
	b.WriteString("record: 1\ntitle: T\nexamined: 2026-01-01\nlisted: {inks: yes, findings: yes, fasteners: yes}\nowner: {aims: [clean]}\nseen: {old: yes")
	some := func() bool { return !open || rnd.IntN(4) > 0 }
	for i := range 11 {
		if some() {
			fmt.Fprintf(&b, ", b%d: %s", i, []string{"yes", "no"}[rnd.IntN(2)])
		}
	}
	b.WriteString("}\nparts:\n")
	for part := range 4 {
		fmt.Fprintf(&b, "  w%d:\n    kind: wrap\n    seen: {p0: 7", part)
		for i := 1; i < 11; i++ {
			if some() {
				fmt.Fprintf(&b, ", p%d: %d", i, 3+rnd.IntN(8))
			}
		}
		b.WriteString("}\n    inside: {inks: {}}\n    outside:\n      inks:\n")
		for ink := range 6 {
			fmt.Fprintf(&b, "        i%d: {kind: print, seen: {g0: 5", ink)
			for i := 1; i < 11; i++ {
				if some() {
					fmt.Fprintf(&b, ", g%d: %d", i, 2+rnd.IntN(4))
				}
			}
			b.WriteString("}}\n")
		}
		b.WriteString("      findings:\n")
		for f := range 8 {
			if part*8+f < 30 {
				fmt.Fprintf(&b, "        f%d: {kind: tear, seen: {deep: %s}}\n", f, []string{"yes", "no"}[rnd.IntN(2)])
			}
		}
	}
	return b.String()
}

// BenchmarkSynthetic collects garbage as seldom as the program does.
func BenchmarkSynthetic(b *testing.B) {
	defer debug.SetGCPercent(debug.SetGCPercent(800))
	for _, open := range []bool{false, true} {
		name := map[bool]string{false: "all answered", true: "a quarter open"}[open]
		s := newSynthetic(b, open)
		c := evidence.Gather(s.pack, worlds.Parse(b, s.pack, s.text), time.Time{})
		g := judged(b, c)
		instances := 0
		for _, v := range g.Verdicts {
			instances += len(v.Instances)
		}
		if instances != 2945 {
			b.Fatalf("%d instances", instances)
		}
		b.Run(name+"/verdicts", func(b *testing.B) {
			for b.Loop() {
				judged(b, c)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(instances), "ns/instance")
		})
		b.Run(name+"/verdicts and every proof", func(b *testing.B) {
			for b.Loop() {
				g := judged(b, c)
				for _, v := range g.Verdicts {
					g.Prove(v)
				}
			}
		})
		b.Run(name+"/gather", func(b *testing.B) {
			book := worlds.Parse(b, s.pack, s.text)
			for b.Loop() {
				evidence.Gather(s.pack, book, time.Time{})
			}
		})
		b.Run(name+"/bare cel-go, whole rules, no proofs", func(b *testing.B) { bareCEL(b, s, g) })
		b.Run(name+"/plain Go", func(b *testing.B) { plainGo(b, s, g) })
	}
}

// bareCEL evaluates each rule in one piece for each instance, which is all that bare cel-go does.
func bareCEL(b *testing.B, s *synthetic, g *Judgement) {
	type call struct {
		whole  *cond.Whole
		things []*cond.Thing
	}
	o := newOracle(b, s.pack)
	var calls []call
	for _, v := range g.Verdicts {
		for _, i := range v.Instances {
			vars := pack.Scope(v.Treatment.Of, eachOf(i.Rule, v.Treatment))
			things := make([]*cond.Thing, 0, len(vars))
			for _, x := range vars {
				things = append(things, g.Case.Cel(o.resolve(g.Case, x.Kind, i.Target, i.Thing)))
			}
			calls = append(calls, call{o.whole(i.Rule.Text, vars), things})
		}
	}
	b.ResetTimer()
	for b.Loop() {
		for _, c := range calls {
			if _, _, err := c.whole.Eval(c.things...); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// plainGo evaluates the same rules as closures over Go values, three-valued, with nothing interpreted.
func plainGo(b *testing.B, s *synthetic, g *Judgement) {
	var calls []func() cond.Truth
	for _, v := range g.Verdicts {
		for _, i := range v.Instances {
			calls = append(calls, plain(g, i.Rule.When[v.Treatment.Of].Root, g.j.env(i)))
		}
	}
	b.ResetTimer()
	for b.Loop() {
		for _, call := range calls {
			call()
		}
	}
}

// plain turns a condition into closures: each atom compares a Go number, word or bool directly.
func plain(g *Judgement, n *cond.Node, env []int32) func() cond.Truth {
	var kids []func() cond.Truth
	if n.Op == cond.OpExists {
		for _, m := range g.j.things(n.Of, env) {
			inner := append([]int32(nil), env...)
			inner[n.Bind] = int32(m.Index)
			kids = append(kids, plain(g, n.Kids[0], inner))
		}
	} else {
		for _, k := range n.Kids {
			kids = append(kids, plain(g, k, env))
		}
	}
	switch n.Op {
	case cond.OpAtom:
		r := n.Atom.Reads[0]
		thing := g.j.end(cond.Path{Slot: n.Args[r.Arg], Links: r.Links}, env)
		ask, test := &g.Case.Asks[g.Case.Number(thing, r.Question)], n.Atom.Test
		first := test.Values[0]
		switch {
		case r.Question.Type == vocab.YesNo:
			return func() cond.Truth { return known(ask, ask.Answer.Yes) }
		case r.Question.Type == vocab.Words && test.Op == "!=":
			return func() cond.Truth { return known(ask, ask.Answer.Word != first.Word) }
		case r.Question.Type == vocab.Words:
			return func() cond.Truth { return known(ask, ask.Answer.Word == first.Word) }
		case test.Op == "<":
			return func() cond.Truth { return known(ask, ask.Answer.Num < first.Num) }
		case test.Op == ">":
			return func() cond.Truth { return known(ask, ask.Answer.Num > first.Num) }
		}
		return func() cond.Truth { return known(ask, ask.Answer.Num == first.Num) }
	case cond.OpAnd:
		return func() cond.Truth {
			v := cond.True
			for _, k := range kids {
				v = cond.And(v, k())
			}
			return v
		}
	}
	return func() cond.Truth {
		v := cond.False
		for _, k := range kids {
			v = cond.Or(v, k())
		}
		return v
	}
}

func known(ask *evidence.Ask, v bool) cond.Truth {
	if !ask.Answer.Known {
		return cond.Open
	}
	return cond.Of(v)
}
