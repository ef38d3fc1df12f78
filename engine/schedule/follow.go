package schedule

import (
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// jobOf says what a step takes and what it follows.
func jobOf(steps []*touch, place int) job {
	s := steps[place]
	j := job{active: s.Treatment.Active, waiting: s.Treatment.Waiting, equipment: s.Treatment.Equipment}
	for _, r := range s.Retests {
		if test := s.State.Case.Pack.Test(r.Question.ID); test != nil {
			j.tests += test.Minutes
		}
	}
	for i, earlier := range steps[:place] {
		if earlier.hinders(s) || serves(earlier.Step, s.Step) {
			j.after = append(j.after, i)
		}
	}
	return j
}

// serves tells whether a step needs an earlier one, or meets what it brings.
func serves(earlier, s *plan.Step) bool {
	return slices.Contains(earlier.Needed, s.Key) ||
		slices.ContainsFunc(s.Meets, func(b *plan.Brought) bool { return slices.Contains(b.By, earlier.Key) })
}

// touch is what a step has to do with.
type touch struct {
	*plan.Step
	keeps         []string        // parts and fasteners it keeps occupied, sorted
	reads, writes map[string]bool // answers and findings its verdict rests on, and those it gives, takes away or makes stale
}

// touched finds what a step has to do with.
func touched(s *plan.Step) *touch {
	t := &touch{Step: s, keeps: keeps(s), reads: map[string]bool{}, writes: map[string]bool{}}
	c := s.State.Case
	write := func(q *vocab.Question) {
		for _, m := range c.Reach(s.Verdict.Target, q.Kind) {
			t.writes[m.Path+" "+q.ID] = true
		}
	}
	for _, set := range s.Treatment.Sets {
		write(set.Question)
	}
	for _, id := range s.Treatment.MakesStale {
		write(c.Pack.Vocabulary.Question(id))
	}
	if q := c.Pack.Vocabulary.Question("finding.kind"); q != nil {
		for _, f := range c.Reach(s.Verdict.Target, vocab.Finding) {
			if slices.Contains(s.Treatment.Clears, c.Asks[c.Number(f, q)].Answer.Word) {
				t.writes[there(f.Path)] = true
			}
		}
	}
	for _, b := range s.Brings {
		t.writes[there(b.Path)] = true
	}
	p := s.State.Prove(s.Verdict)
	for _, list := range [][]*judge.Proof{p.RulesOut, p.CalledFor, p.Needs, p.For, p.Against, p.Cautions} {
		for _, reason := range list {
			t.read(reason)
		}
	}
	return t
}

// read notes what a reason rests on: the answers it reads, and the findings that have to be there for it. Of a list of which
// one member decides, each that does has to be there; that one more or less which does not decide is there changes nothing.
func (t *touch) read(p *judge.Proof) {
	asks := t.State.Case.Asks
	switch {
	case p.Step == judge.StepAnswer && asks[p.Ask].Question != nil:
		t.reads[asks[p.Ask].Thing.Path+" "+asks[p.Ask].Question.ID] = true
	case p.Step == judge.StepReason && p.Value != cond.False:
		t.reads[there(p.Thing.Path)] = true
	case p.Step == judge.StepEach:
		return // its list has seen to it
	}
	decides := p.Step == judge.StepAll && p.Value != cond.True || (p.Step == judge.StepExists || p.Step == judge.StepCount) && p.Value != cond.False
	for _, k := range p.Kids {
		if k.Step != judge.StepEach {
			t.read(k)
			continue
		}
		if decides && k.Value == p.Value && k.Thing != nil {
			t.reads[there(k.Thing.Path)] = true
		}
		for _, in := range k.Kids {
			t.read(in)
		}
	}
}

// there stands for whether something is there at all.
func there(path string) string { return path + " there" }

// hinders tells whether a later step cannot be done while this one is, or would be judged otherwise before it.
func (t *touch) hinders(later *touch) bool {
	if share(t.keeps, later.keeps) {
		return true
	}
	for w := range t.writes {
		if later.reads[w] || later.writes[w] {
			return true
		}
	}
	for w := range later.writes {
		if t.reads[w] {
			return true
		}
	}
	return false
}

// keeps gives the parts and fasteners that a step keeps occupied, sorted. A fastener that is out and stays out is worked on
// away from the parts.
func keeps(s *plan.Step) []string {
	c, target := s.State.Case, s.Verdict.Target
	var list []string
	if target.Kind == vocab.Book {
		for _, f := range c.Of(vocab.Fastener) {
			list = append(list, f.Path)
		}
	}
	if target.Kind == vocab.Fastener {
		list = append(list, target.Path)
		if holds(c, target, outQuestion) && !changes(s.Treatment, outQuestion) {
			return list
		}
	}
	for _, part := range c.Reach(target, vocab.Part) {
		list = append(list, fastened(c, part.Path)...)
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// changes tells whether a treatment gives the answer to a question or makes it stale.
func changes(t *pack.Treatment, question string) bool {
	return slices.Contains(t.MakesStale, question) || slices.ContainsFunc(t.Sets, func(s pack.Set) bool { return s.Question.ID == question })
}

// The questions by which parts are told to lie free of each other, where a pack has them.
const (
	outQuestion   = "fastener.out"
	looseQuestion = "part.loose"
)

// fastened gives a part and all that hang together with it by fasteners.
func fastened(c *evidence.Case, part string) []string {
	parts := []string{part}
	for i := 0; i < len(parts); i++ {
		if holds(c, c.At(parts[i]), looseQuestion) {
			continue
		}
		for _, f := range c.Of(vocab.Fastener) {
			through := c.Reach(f, vocab.Part)
			if holds(c, f, outQuestion) || !slices.ContainsFunc(through, func(p *evidence.Thing) bool { return p.Path == parts[i] }) {
				continue
			}
			for _, p := range through {
				if !holds(c, p, looseQuestion) && !slices.Contains(parts, p.Path) {
					parts = append(parts, p.Path)
				}
			}
		}
	}
	return parts
}

// holds tells whether a yes/no question is known to be yes of a thing. A pack may have no such question.
func holds(c *evidence.Case, t *evidence.Thing, question string) bool {
	q := c.Pack.Vocabulary.Question(question)
	if q == nil || q.Type != vocab.YesNo {
		return false
	}
	a := c.Asks[c.Number(t, q)].Answer
	return a.Known && a.Yes
}
