package judge

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/record"
	"tideline/engine/worlds"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// lists gives the reasons of a proof by what they do.
func (p *VerdictProof) lists() map[pack.Effect][]*Proof {
	return map[pack.Effect][]*Proof{pack.RulesOut: p.RulesOut, pack.CalledFor: p.CalledFor, pack.Needs: p.Needs, pack.For: p.For, pack.Against: p.Against, pack.Caution: p.Cautions}
}

func (p *Proof) walk(visit func(*Proof)) {
	visit(p)
	for _, k := range p.Kids {
		k.walk(visit)
	}
}

// TestProofs: P1 (leaves equal the record), P3 (connectives by the tables), P4 (each-nodes list just the members), P7
// and P9 (every rule instance in scope is there, once, with its value), and the deciding branch first.
func TestProofs(t *testing.T) {
	reasons, nodes, steps := 0, 0, map[Step]int{}
	each(t, 5, func(t *testing.T, w *worlds.World, n int) {
		book := w.Book(t, n%5)
		g := judged(t, evidence.Gather(w.Pack, book, time.Time{}))
		for _, v := range g.Verdicts {
			p := g.Prove(v)
			checkScope(t, g, p)
			for effect, list := range p.lists() {
				for i, r := range list {
					reasons++
					if r.Step != StepReason || r.Rule.Effect != effect {
						t.Errorf("%s stands among what %s", r.Rule.ID, effect)
					}
					if i > 0 && rank3(list[i-1].Value) > rank3(r.Value) {
						t.Errorf("%s is told in the wrong place", r.Rule.ID)
					}
					r.walk(func(node *Proof) {
						nodes++
						steps[node.Step]++
						checkNode(t, g, book.Results, node)
					})
				}
			}
		}
	})
	t.Logf("%d reasons, %d nodes: %v", reasons, nodes, steps)
	for _, s := range []Step{StepReason, StepAnd, StepOr, StepNot, StepAll, StepExists, StepCount, StepEach, StepAtom, StepFact, StepAnswer} {
		if steps[s] == 0 {
			t.Errorf("no proof has a node %q: the generator is too narrow", s)
		}
	}
}

// rank3 is the order in which reasons are told: what holds, what is open, what does not hold.
func rank3(v cond.Truth) int { return map[cond.Truth]int{cond.True: 0, cond.Open: 1, cond.False: 2}[v] }

// checkScope makes the instances anew: every rule about the treatment, for every thing of its kind in reach.
func checkScope(t *testing.T, g *Judgement, p *VerdictProof) {
	t.Helper()
	want := map[string]int{}
	for _, r := range g.Case.Pack.Rules {
		if slices.Contains(r.Treatments, p.Verdict.Treatment) {
			for _, thing := range g.Case.Reach(p.Verdict.Target, cmp.Or(r.Each, p.Verdict.Treatment.Of)) {
				want[r.ID+" of "+thing.Path]++
			}
		}
	}
	values := map[string]cond.Truth{}
	for _, i := range p.Verdict.Instances {
		values[i.Rule.ID+" of "+i.Thing.Path] = i.Value
	}
	for _, list := range p.lists() {
		for _, r := range list {
			key := r.Rule.ID + " of " + r.Thing.Path
			want[key]--
			if v, ok := values[key]; !ok || v != r.Value {
				t.Errorf("%s is %v in the proof, %v in the verdict", key, r.Value, v)
			}
		}
	}
	for key, n := range want {
		if n != 0 {
			t.Errorf("%s of %s: %s is missing or too many (%d)", p.Verdict.Treatment.ID, p.Verdict.Target.Path, key, n)
		}
	}
}

// checkNode checks one node against its kids, or against the record.
func checkNode(t *testing.T, g *Judgement, results []record.Result, p *Proof) {
	t.Helper()
	holds, fails, open := 0, 0, 0
	for _, k := range p.Kids {
		switch k.Value {
		case cond.True:
			holds++
		case cond.False:
			fails++
		default:
			open++
		}
	}
	bad := func(format string, args ...any) {
		t.Helper()
		t.Errorf("%s %q is %v with %d, %d, %d: %s", p.Step, p.Text, p.Value, holds, fails, open, fmt.Sprintf(format, args...))
	}
	first := func(decides cond.Truth) {
		t.Helper()
		if p.Value == decides && p.Kids[0].Value != decides {
			bad("what decides is not told first")
		}
	}
	switch p.Step {
	case StepAnd, StepAll:
		if want := cond.Not(cond.AtLeast(1, fails, open)); p.Value != want {
			bad("by the tables %v", want)
		}
		first(cond.False)
	case StepOr, StepExists:
		if want := cond.AtLeast(1, holds, open); p.Value != want {
			bad("by the tables %v", want)
		}
		first(cond.True)
	case StepCount:
		if want := cond.AtLeast(p.Count, holds, open); p.Value != want {
			bad("by the tables %v", want)
		}
	case StepNot:
		if p.Value != cond.Not(p.Kids[0].Value) {
			bad("not the opposite")
		}
	case StepFact, StepReason, StepEach:
		if may := len(p.Kids) > 1; p.Value != p.Kids[0].Value && !(may && p.Value == cond.Open) {
			bad("not as its condition, %v", p.Kids[0].Value)
		}
		if p.Thing == nil || p.Step == StepReason && p.Rule == nil || p.Step == StepFact && p.Fact == nil {
			bad("of what?")
		}
	case StepAtom:
		if len(p.Kids) == 0 || p.Value == cond.Open != (open > 0) && open == 0 {
			bad("an atom rests on answers")
		}
	case StepAnswer:
		checkAnswer(t, g, results, p)
	case StepAlways:
		if len(p.Kids) > 0 || p.Value == cond.Open {
			bad("a constant")
		}
	default:
		bad("unexpected here")
	}
}

// checkAnswer compares a leaf with the record: its latest result, read without the case's help.
func checkAnswer(t *testing.T, g *Judgement, results []record.Result, p *Proof) {
	t.Helper()
	ask := g.Case.Asks[p.Ask]
	if ask.Thing != p.Thing {
		t.Errorf("a leaf speaks of %s, its question is of %s", p.Thing.Path, ask.Thing.Path)
	}
	var latest *record.Result
	for i, r := range results {
		if r.Thing.Path == p.Thing.Path && r.Question.ID == ask.Question.ID && (latest == nil || !r.Date.Before(latest.Date)) {
			latest = &results[i]
		}
	}
	switch known := p.Value != cond.Open; {
	case known != ask.Answer.Known || known != (latest != nil):
		t.Errorf("%s of %s: known %v in the proof, %v in the case, in the record %v", ask.Question.ID, p.Thing.Path, known, ask.Answer.Known, latest)
	case known && (ask.Answer != latest.Answer || ask.Result.Answer != latest.Answer):
		t.Errorf("%s of %s: %v in the case, %v in the record", ask.Question.ID, p.Thing.Path, ask.Answer, latest.Answer)
	}
}

// leaves gathers the numbers of the questions that stand in the proof of a verdict, and in the proofs of those that need
// it.
func leaves(g *Judgement, v *Verdict, into map[int]bool) {
	p := g.Prove(v)
	gather := func(r *Proof) {
		r.walk(func(n *Proof) {
			if n.Step == StepAnswer || n.Step == StepCases {
				into[n.Ask] = true
			}
		})
	}
	for _, list := range p.lists() {
		for _, r := range list {
			gather(r)
		}
	}
	for _, n := range p.NeededBy {
		for _, r := range n.Reasons {
			gather(r)
		}
		leaves(g, n.Verdict, into)
	}
	for _, n := range p.NotNeededBy {
		for _, r := range n.Reasons {
			gather(r)
		}
	}
}

// TestNoHiddenLeaf: P8. Whatever question is altered, to whatever cell or to not known, no verdict changes in whose proof
// it is no leaf, and no premise. Left out: whether a list is complete, since that says what things there are.
func TestNoHiddenLeaf(t *testing.T) {
	altered, compared := 0, 0
	each(t, 2, func(t *testing.T, w *worlds.World, n int) {
		c := evidence.Gather(w.Pack, w.Book(t, 1+n*2), time.Time{})
		g := judged(t, c)
		before, leafOf := map[string]Word{}, map[string]map[int]bool{}
		for _, v := range g.Verdicts {
			key := v.Treatment.ID + " " + v.Target.Path
			before[key], leafOf[key] = v.Word, map[int]bool{}
			leaves(g, v, leafOf[key])
			for _, tie := range g.Premises(v).Never {
				for _, l := range tie.Proof.Answers() {
					leafOf[key][l.Ask] = true
				}
			}
		}
		for number, ask := range c.Asks {
			if ask.Question == nil || ask.Question.Measured || strings.HasSuffix(ask.Question.Name, "_listed") || ask.Thing.Unlisted {
				continue
			}
			cells, _ := w.Pack.Env.Cells(ask.Question)
			for _, answer := range append(some(cells), vocab.Answer{}) {
				c.Answer(number, answer)
				altered++
				for _, v := range judged(t, c).Verdicts {
					key := v.Treatment.ID + " " + v.Target.Path
					if leafOf[key][number] {
						continue
					}
					if compared++; v.Word != before[key] {
						t.Errorf("%s went from %s to %s when %s of %s, no leaf of its proof, became %s", key, before[key], v.Word, ask.Question.ID, ask.Thing.Path, ask.Question.Text(answer))
					}
				}
			}
			c.Answer(number, ask.Answer)
		}
	})
	t.Logf("%d answers altered, %d verdicts compared", altered, compared)
	if compared < 1000 {
		t.Errorf("only %d verdicts compared: the generator is too narrow", compared)
	}
}

func some(cells []cond.Cell) []vocab.Answer {
	var list []vocab.Answer
	for _, c := range cells {
		list = append(list, c.Some())
	}
	return list
}

// TestShortestFirst: of reasons that hold the one with the fewest answers is told first, and within it the branch that
// decides, which is the shortest that does.
func TestShortestFirst(t *testing.T) {
	g := judgeBook(t, rules("c: {treatment: bath, called for when: always}",
		"a: {treatment: bath, rules out when: part.u && part.w && part.fold_torn}",
		"b: {treatment: bath, rules out when: 'part.n > 8 || part.inks.exists(i, i.wet < 3) || part.w'}",
		"d: {treatment: bath, rules out when: part.n > 8}",
		"e: {treatment: bath, rules out when: part.drop < s(10)}"), seen("u: yes, w: yes, fold_torn: yes, n: 5"))
	p := g.Prove(g.Of("bath", "cover"))
	var got []string
	for _, r := range p.RulesOut {
		got = append(got, fmt.Sprintf("%s %v %d", r.Rule.ID, r.Value, r.Leaves))
	}
	if s, want := strings.Join(got, ", "), "b true 1, a true 3, e open 1, d false 1"; s != want {
		t.Errorf("got %s, want %s", s, want)
	}
	b := p.RulesOut[0].Kids[0]
	if b.Step != StepOr || b.Kids[0].Value != cond.True || b.Kids[0].Leaves != 1 || b.Kids[len(b.Kids)-1].Text != "part.n > 8" {
		t.Errorf("the branches of b: %+v", b)
	}
	for _, k := range b.Kids {
		if k.Step == StepExists && (k.Kids[0].Thing.Path != "cover/outside/black" || len(k.Kids) != 2) {
			t.Errorf("of the inks %s is told first", k.Kids[0].Thing.Path)
		}
	}
}
