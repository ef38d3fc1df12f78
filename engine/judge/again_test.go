package judge

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"tideline/engine/dose"
	"tideline/engine/evidence"
	"tideline/engine/record"
	"tideline/engine/worlds"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
	"tideline/rules/vocab"
)

// told writes out all that a judgement says, proofs, premises and what is broken included.
func told(g *Judgement) string {
	var b strings.Builder
	for _, c := range g.Contradictions {
		fmt.Fprintf(&b, "%s breaks %s\n", c.Thing.Path, c.Never.ID)
	}
	var proof func(p *Proof)
	proof = func(p *Proof) {
		fmt.Fprintf(&b, "(%v %q %v %d %d %v", p.Step, p.Text, p.Value, p.Ask, p.Leaves, p.Cells)
		if p.Thing != nil {
			b.WriteString(p.Thing.Path)
		}
		if d := p.Dose; d != nil {
			fmt.Fprintf(&b, "%s %v %v %v", d.Call.Text, d.Values, d.Value, d.Refusal)
		}
		for _, k := range p.Kids {
			proof(k)
		}
		b.WriteString(")")
	}
	for _, v := range g.Verdicts {
		fmt.Fprintf(&b, "%d %s on %s: %s %v %v %v %v %v %v %v %v %v %v %v\n", v.Rank, v.Treatment.ID, v.Target.Path, v.Word, v.EitherWay, v.Open, v.Least, v.Most,
			v.CalledFor, v.ServesAim, v.Unordered, v.Unproven, v.doubtful, v.Sampled, v.Refused)
		p := g.Prove(v)
		for _, list := range [][]*Proof{p.RulesOut, p.CalledFor, p.Needs, p.For, p.Against, p.Cautions, g.Premises(v).Listed} {
			for _, r := range list {
				proof(r)
			}
		}
		for _, n := range append(p.NeededBy, p.NotNeededBy...) {
			fmt.Fprintf(&b, "\nby %s on %s: %s", n.Verdict.Treatment.ID, n.Verdict.Target.Path, n.Verdict.Word)
			for _, r := range n.Reasons {
				proof(r)
			}
		}
		if p.Cases != nil {
			proof(p.Cases)
		}
		for _, tie := range g.Premises(v).Never {
			fmt.Fprintf(&b, "\ntied by %s", tie.Never.ID)
			proof(tie.Proof)
		}
		b.WriteString("\n")
	}
	return b.String()
}

// changesOf makes a few random changes: an answer given, another, or taken back.
func changesOf(rnd *rand.Rand, g *Judgement, lists bool) (list []evidence.Change) {
	for range 1 + rnd.IntN(3) {
		n := rnd.IntN(len(g.Case.Asks))
		ask := &g.Case.Asks[n]
		if ask.Question == nil || ask.Thing.Unlisted || ask.Question.Name == "kind" || strings.HasSuffix(ask.Question.Name, evidence.Listed) && !lists {
			continue
		}
		x := evidence.Change{Number: n}
		if cells := g.j.cells(n); rnd.IntN(4) > 0 {
			answers := cells[rnd.IntN(len(cells))].Answers
			x.Answer = answers[rnd.IntN(len(answers))]
		}
		list = append(list, x)
	}
	return list
}

// firstDifference gives the lines at which two texts part.
func firstDifference(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			return fmt.Sprintf("- %.1500s\n+ %.1500s", x[i], y[i])
		}
	}
	return fmt.Sprintf("%d lines against %d", len(x), len(y))
}

// TestAgainIsJudging: a book judged again in another state, one state after another, is told as one judged from the
// beginning, ranks, order and proofs included; and the judgement it came from tells what it told. Every third world has
// functions of doses in its conditions.
func TestAgainIsJudging(t *testing.T) {
	states, other, kept, clashes, reckoned := 0, 0, 0, 0, 0
	for seed := range howMany(t) * 10 {
		rnd := rand.New(rand.NewPCG(uint64(seed), 41))
		w := worlds.New(t, rnd)
		if seed%3 == 0 {
			w = worlds.NewDosed(t, rnd)
		}
		g := judged(t, evidence.Gather(w.Pack, w.Book(t, rnd.IntN(6)), time.Time{}))
		for range 4 {
			was := told(g)
			c := g.Case.With(changesOf(rnd, g, rnd.IntN(6) == 0)...)
			next, err := g.Again(c)
			if err != nil {
				t.Fatal(err)
			}
			fresh := judged(t, evidence.Gather(w.Pack, c.Book, c.On))
			got, want := told(next), told(fresh)
			if got != want {
				t.Fatalf("seed %d: again tells otherwise than from the beginning\n%s\n%s", seed, firstDifference(want, got), w.YAML)
			}
			if still := told(g); still != was {
				t.Fatalf("seed %d: the judgement before tells otherwise now\n%s", seed, firstDifference(was, still))
			}
			states++
			if got != was {
				other++
			}
			if &c.Things[0] == &g.Case.Things[0] {
				kept++
			}
			clashes += len(next.Contradictions)
			if slices.ContainsFunc(next.Verdicts, func(v *Verdict) bool { return v.Sampled || v.Refused }) {
				reckoned++
			}
			g = next
		}
	}
	t.Logf("%d states, %d told otherwise than before, %d with the same things, %d broken statements, %d with doses", states, other, kept, clashes, reckoned)
	if other*4 < states || kept == states || kept*2 < states || clashes == 0 || reckoned == 0 {
		t.Error("the states are too much alike")
	}
}

// TestAgainOnBooks: the same on the example books with the shipped pack.
func TestAgainOnBooks(t *testing.T) {
	p, books := shippedBooks(t)
	for name, book := range books {
		rnd := rand.New(rand.NewPCG(7, uint64(len(name))))
		g := judged(t, evidence.Gather(p, book, time.Time{}))
		for range 6 {
			c := g.Case.With(changesOf(rnd, g, false)...)
			next, err := g.Again(c)
			if err != nil {
				t.Fatal(err)
			}
			fresh, err := Judge(again(c)) // not gathered: steps done would make some answers stale
			if err != nil {
				t.Fatal(err)
			}
			if got, want := words(next), words(fresh); got != want {
				t.Fatalf("%s: again tells otherwise than from the beginning\n%s", name, firstDifference(want, got))
			}
			g = next
		}
	}
}

// again makes a case of its own with the answers of another.
func again(c *evidence.Case) *evidence.Case {
	fresh := evidence.Gather(c.Pack, c.Book, c.On)
	for n := range c.Asks {
		if fresh.Asks[n].Answer != c.Asks[n].Answer {
			fresh.Answer(n, c.Asks[n].Answer)
		}
	}
	return fresh
}

// words writes out the verdicts and the values of their instances.
func words(g *Judgement) string {
	var b strings.Builder
	for _, v := range g.Verdicts {
		fmt.Fprintf(&b, "%d %s on %s: %s %v %v %v %v %v %v %v %v %v %v ", v.Rank, v.Treatment.ID, v.Target.Path, v.Word, v.EitherWay, v.Open, v.Least, v.Most,
			v.CalledFor, v.ServesAim, v.Unordered, v.Unproven, v.Sampled, v.Refused)
		for _, i := range v.Instances {
			b.WriteString(i.Value.String()[:1])
		}
		b.WriteString("\n")
	}
	return b.String()
}

func shippedBooks(t testing.TB) (*pack.Pack, map[string]*record.Book) {
	t.Helper()
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.Trim(layer)}, faults, dose.Functions()...)
	paths, _ := filepath.Glob("../../testdata/books/*.yaml")
	books := map[string]*record.Book{}
	for _, path := range paths {
		books[filepath.Base(path)] = record.Load(path, nil, record.WordsOf(p), time.Time{}, faults)
	}
	if err := faults.Err(); err != nil || len(books) == 0 {
		t.Fatal(len(books), err)
	}
	return p, books
}

// TestAgainWhere: a treatment that comes to be considered, or no longer is, and what it needs with it; an answer read by
// way of a link, of a fact of another thing, and by an atom of two things.
func TestAgainWhere(t *testing.T) {
	p := worlds.Load(t, strings.Replace(rules(
		"c: {treatment: bath, called for when: 'part.u'}", "n: {treatment: bath, needs when: 'part.n > 3', step: lift}",
		"l: {treatment: bath, each: ink, caution when: 'ink.part.u && ink.part.n > 5', say: x}",
		"f: {treatment: lift, called for when: 'book.parts.exists(p, p.bad)'}", "o: {treatment: brush, each: ink, called for when: 'ink.wet < 3 || ink.part.bad'}",
		"w: {treatment: bath, each: ink, rules out when: 'part.inks.exists(i, i.wet > ink.wet)'}",
	), "bath: {", "bath: {where: 'part.n > 1', ", 1))
	c := evidence.Gather(p, worlds.Parse(t, p, seen("n: 5, u: yes")), time.Time{})
	wet := c.Number(c.At("cover/outside/blue"), p.Vocabulary.Question("ink.wet"))
	n, u := c.Number(c.At("cover"), p.Vocabulary.Question("part.n")), c.Number(c.At("cover"), p.Vocabulary.Question("part.u"))
	g := judged(t, c)
	counts := map[int]bool{}
	for _, x := range []evidence.Change{{Number: n, Answer: vocab.Num(0)}, {Number: n, Answer: vocab.Num(9)}, {Number: u}, {Number: n}, {Number: u, Answer: vocab.Yes(true)}, {Number: n, Answer: vocab.Num(5)}, {Number: wet, Answer: vocab.Num(4)}, {Number: wet, Answer: vocab.Num(2)}} {
		c = g.Case.With(x)
		next, err := g.Again(c)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := told(next), told(judged(t, evidence.Gather(p, c.Book, c.On))); got != want {
			t.Fatalf("%v:\n%s", x, firstDifference(want, got))
		}
		counts[len(next.Verdicts)] = true
		g = next
	}
	if len(counts) < 2 {
		t.Errorf("numbers of verdicts: %v", counts)
	}
}
