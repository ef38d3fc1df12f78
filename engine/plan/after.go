package plan

import (
	"cmp"
	"slices"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/vocab"
)

// Mishap is what a step can bring when it goes wrong, with the treatments that ease it, as they would be judged then.
type Mishap struct {
	Kind string
	On   string           // the side it would be on
	Then []*judge.Verdict // those not ruled out, the mildest first
}

// Mishaps finds what to do about what a step can bring: the book after the step, with that found on it.
func (s *Step) Mishaps() (list []*Mishap, err error) {
	if len(s.Treatment.CanBring) == 0 {
		return nil, nil
	}
	c := s.State.Case
	book := *c.Book
	date := c.On.Add(30 * 24 * time.Hour) // after all that the plan did before
	book.Done = append(slices.Clone(book.Done), record.Done{Treatment: s.Treatment.ID, Target: c.At(s.Path).Record, Date: date, Outcome: record.AsPlanned})
	book.Things, book.Results = slices.Clone(book.Things), slices.Clone(book.Results)
	kind := c.Pack.Vocabulary.Question(string(vocab.Finding) + ".kind")
	for _, k := range s.Treatment.CanBring {
		for _, side := range sidesOf(c, c.At(s.Path)) {
			t := &record.Thing{Kind: vocab.Finding, Name: k + " seen", Path: side.Path + "/" + k + " seen", Part: side.Record.Part, Side: side.Record, Found: date.Add(time.Second)}
			book.Things = append(book.Things, t)
			book.Results = append(book.Results, record.Result{Question: kind, Thing: t, Answer: vocab.Word(k), Date: t.Found})
			list = append(list, &Mishap{Kind: k, On: t.Path})
		}
	}
	after := evidence.Gather(c.Pack, &book, c.On)
	for _, m := range list {
		f := after.At(m.On)
		for _, t := range c.Pack.Treatments {
			if !slices.Contains(t.Clears, m.Kind) && !slices.Contains(t.Lessens, m.Kind) {
				continue
			}
			for _, target := range after.Reach(f, t.Of) {
				_, v, err := judge.One(after, t.ID, target.Path)
				if err != nil {
					return nil, err
				}
				if v != nil && v.Word != judge.RuledOut && v.Word != judge.NoNeed {
					m.Then = append(m.Then, v)
				}
			}
		}
		slices.SortStableFunc(m.Then, func(a, b *judge.Verdict) int {
			return cmp.Or(cmp.Compare(a.Treatment.Intervention, b.Treatment.Intervention), cmp.Compare(readiness(a.Word), readiness(b.Word)))
		})
		m.On = f.Side.Path
	}
	return list, nil
}

func readiness(w judge.Word) int {
	return slices.Index([]judge.Word{judge.Recommended, judge.Possible, judge.TestFirst}, w)
}

// sidesOf gives where a step can bring something: the side it is done to or lies on, else the first side of each part.
func sidesOf(c *evidence.Case, target *evidence.Thing) (sides []*evidence.Thing) {
	switch {
	case target.Kind == vocab.Side:
		return []*evidence.Thing{target}
	case target.Side != nil:
		return []*evidence.Thing{target.Side}
	}
	for _, part := range c.Reach(target, vocab.Part) {
		if all := c.Reach(part, vocab.Side); len(all) > 0 {
			sides = append(sides, all[0])
		}
	}
	return sides
}
