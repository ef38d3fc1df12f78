package plancheck

import (
	"cmp"
	"slices"

	"tideline/engine/plan"
	"tideline/engine/record"
)

// retests gives the questions that a step lists to be tested again, of those that have to be.
func (c *checker) retests(i int, s *State) (list []ask) {
	for _, r := range c.p.Steps[i].Retests {
		a := ask{s.At(r.Path), r.Question}
		switch e, stale := s.stale[a]; {
		case !stale || slices.Contains(list, a):
			c.fault(i, Fault{Kind: RetestIdle, Path: r.Path, Question: r.Question})
		case r.Before != e.before:
			c.fault(i, Fault{Kind: RetestWrong, Path: r.Path, Question: r.Question, Answer: e.before})
		case r.Expected != e.now:
			c.fault(i, Fault{Kind: RetestWrong, Path: r.Path, Question: r.Question, Answer: e.now})
		}
		if !slices.Contains(list, a) {
			list = append(list, a)
		}
	}
	return list
}

// open lists what steps of the plan have opened again, in the order of the book.
func (s *State) open() (list []ask) {
	at := map[*record.Thing]int{}
	for n, t := range s.things {
		at[t] = n
	}
	for a := range s.stale {
		list = append(list, a)
	}
	slices.SortFunc(list, func(a, b ask) int {
		return cmp.Or(cmp.Compare(at[a.thing], at[b.thing]), cmp.Compare(a.question.ID, b.question.ID))
	})
	return list
}

// absent tells of the first stale answer on which a step hangs, by its verdict or by what it needs, and which the plan does
// not list.
func (c *checker) absent(i int, is seen, open []ask) Fault {
	f := Fault{Kind: RetestAbsent, Word: is.word, Verdict: is.v}
	hangs := is.hangs(c.tested[i])
	if len(hangs) == 0 {
		hangs = open
	}
	f.Path, f.Question = hangs[0].thing.Path, hangs[0].question
	return f
}

// idleRetests finds listed tests without which a step would be judged the same and would not hang on them, and would have
// its needs met the same.
func (c *checker) idleRetests(i int) {
	step, s := c.p.Steps[i], c.states[i]
	for n, r := range step.Retests {
		a := ask{s.At(r.Path), r.Question}
		if _, stale := s.stale[a]; !stale || c.placed(step.Key, r) {
			continue
		}
		var others []ask
		for m, o := range step.Retests {
			if m != n {
				others = append(others, ask{s.At(o.Path), o.Question})
			}
		}
		without := c.look(s.tested(others...), step.Key)
		_, was := c.unmet(c.seen[i], c.keys[:i])
		_, is := c.unmet(without, c.keys[:i])
		if without.word == c.seen[i].word && was == is && !slices.Contains(without.hangs(s), a) {
			c.fault(i, Fault{Kind: RetestIdle, Path: r.Path, Question: r.Question})
		}
	}
}

// placed tells whether a treatment is considered at all only by the answer to a question.
func (c *checker) placed(k plan.Key, r plan.Retest) bool {
	t := c.pack.Treatment(k.Treatment)
	if t == nil || t.Where == nil {
		return false
	}
	asks := map[string]bool{}
	c.reads(t.Where.Root, asks)
	return asks[r.Question.ID]
}
