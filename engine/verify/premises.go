package verify

import (
	"slices"
	"strings"

	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/vocab"
)

// Premises replays what a verdict rests on besides its rules: every never statement that reads an answer of the proof is told,
// with its proof, and no other but those tied to it in turn; and every list in reach that the record says is complete.
func (c *Checker) Premises(p *judge.VerdictProof, m *judge.Premises) (n Count, err error) {
	where := p.Verdict.Treatment.ID + " on " + p.Verdict.Target.Path
	told := map[statement]bool{}
	asks := c.asksOf(p)
	for _, tie := range m.Never {
		of := c.r.byPath[tie.Thing.Path]
		s := statement{tie.Never, of}
		if of == nil || of.kind != tie.Never.Each || told[s] || !slices.Contains(c.r.pack.Never, tie.Never) {
			return n, &Failure{where, tie.Never.ID, "no such statement applies to this thing, or it stands twice"}
		}
		told[s] = true
		if err := c.step(&n, tie.Never.ID+" of "+of.path, tie.Never.When.Root, c.r.seats(tie.Never.When, of, of), tie.Proof); err != nil {
			return n, err
		}
		reads := c.readBy(s)
		if !slices.ContainsFunc(reads, func(q *question) bool { return asks[q] }) {
			return n, &Failure{where, tie.Never.ID, "it reads no answer that the verdict rests on"}
		}
		for _, q := range reads {
			asks[q] = true
		}
	}
	for _, never := range c.r.pack.Never {
		for _, of := range c.r.nodes {
			s := statement{never, of}
			if of.kind == never.Each && !told[s] && slices.ContainsFunc(c.readBy(s), func(q *question) bool { return asks[q] }) {
				return n, &Failure{where, never.ID, "it ties answers of the proof and is not told, for " + of.path}
			}
		}
	}
	return n, c.lists(&n, where, p, m.Listed)
}

// asksOf gives the questions at the leaves of a proof, and of the reasons of those that need it.
func (c *Checker) asksOf(p *judge.VerdictProof) map[*question]bool {
	asks := map[*question]bool{}
	seen := map[*judge.Verdict]bool{}
	var add func(p *judge.VerdictProof)
	note := func(list []*judge.Proof) {
		for _, r := range list {
			for _, a := range r.Answers() {
				if ask := c.g.Case.Asks[a.Ask]; ask.Question != nil {
					asks[c.r.ask(c.r.byPath[ask.Thing.Path], ask.Question)] = true
				}
			}
		}
	}
	add = func(p *judge.VerdictProof) {
		if seen[p.Verdict] {
			return
		}
		seen[p.Verdict] = true
		for _, list := range [][]*judge.Proof{p.RulesOut, p.CalledFor, p.Needs, p.For, p.Against, p.Cautions} {
			note(list)
		}
		for _, n := range p.NeededBy {
			note(n.Reasons)
			add(c.g.Prove(n.Verdict))
		}
		for _, n := range p.NotNeededBy {
			note(n.Reasons)
		}
	}
	add(p)
	return asks
}

// readBy gives the questions that a statement about a thing reads.
func (c *Checker) readBy(s statement) (list []*question) {
	var walk func(n *cond.Node, env []*node)
	walk = func(n *cond.Node, env []*node) {
		switch n.Op {
		case cond.OpAtom:
			list = append(list, c.l.reads(n, env)...)
		case cond.OpFact:
			f, of := c.r.pack.Fact(n.Fact), c.r.follow(n.Of, env)
			walk(f.Is.Root, c.r.seats(f.Is, of, of))
		case cond.OpAll, cond.OpExists, cond.OpCount:
			for _, m := range c.r.members(n.Of, env) {
				env[n.Bind] = m
				walk(n.Kids[0], env)
			}
		default:
			for _, k := range n.Kids {
				walk(k, env)
			}
		}
	}
	walk(s.never.When.Root, c.r.seats(s.never.When, s.of, s.of))
	return list
}

// lists checks the lists that a verdict takes as whole: the sides in reach of its target, and the book.
func (c *Checker) lists(n *Count, where string, p *judge.VerdictProof, told []*judge.Proof) error {
	target := c.r.byPath[p.Verdict.Target.Path]
	left := map[*question]bool{}
	for _, holder := range append(c.r.near(target, vocab.Side), c.r.byPath[string(vocab.Book)]) {
		for _, q := range c.r.pack.Vocabulary.Of(holder.kind) {
			if mine := c.r.ask(holder, q); strings.HasSuffix(q.ID, "_listed") && c.r.answers[mine].stands {
				left[mine] = true
			}
		}
	}
	for _, leaf := range told {
		ask := c.g.Case.Asks[leaf.Ask]
		q := c.r.ask(c.r.byPath[ask.Thing.Path], ask.Question)
		if why := c.leaf(q, ask, leaf.Value); why != "" {
			return &Failure{where, ask.Question.ID, why}
		}
		delete(left, q)
		n.Leaves++
	}
	for q := range left {
		return &Failure{where, q.asks.ID, "the list of " + q.of.path + " is taken as whole, and the proof does not say so"}
	}
	return nil
}
