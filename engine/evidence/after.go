package evidence

import (
	"slices"

	"tideline/engine/record"
	"tideline/rules/vocab"
)

// leave finds what the steps done have changed: findings that a step cleared are no more, and a step answers the questions
// that it settles by being done. A step that went as planned does both; of one whose outcome was not said only the second
// is sure; one done in part, or stopped early, does neither. An answer that a treatment both settles and makes stale is only
// what is expected of it: it is to be asked again. It answers nothing of a finding found
// afterwards.
func (c *Case) leave() (cleared map[*record.Thing]bool) {
	done := make([]*record.Done, 0, len(c.Book.Done))
	for i := range c.Book.Done {
		done = append(done, &c.Book.Done[i])
	}
	slices.SortStableFunc(done, func(a, b *record.Done) int { return a.Date.Compare(b.Date) })
	for n, d := range done {
		c.turn[d] = n
		t, target := c.Pack.Treatment(d.Treatment), c.byPath[d.Target.Path]
		if t == nil || d.Outcome == record.Partly || d.Outcome == record.Stopped {
			continue
		}
		for _, s := range t.Sets {
			if slices.Contains(t.MakesStale, s.Question.ID) {
				continue
			}
			for _, m := range c.Reach(target, s.Question.Kind) {
				if m.Kind == vocab.Finding && m != target && !surelyBefore(m.Record, d) {
					continue
				}
				c.given = append(c.given, &record.Result{Question: s.Question, Thing: m.Record, Answer: s.Answer, Date: d.Date, By: d.By, Place: d.Place, Step: d})
			}
		}
		if d.Outcome != record.AsPlanned || len(t.Clears) == 0 {
			continue
		}
		for _, f := range c.Reach(target, vocab.Finding) {
			if surelyBefore(f.Record, d) && slices.Contains(t.Clears, c.kindOf(f.Record)) {
				if cleared == nil {
					cleared = map[*record.Thing]bool{}
				}
				cleared[f.Record] = true
			}
		}
	}
	return cleared
}

// surelyBefore tells whether a finding was found before a step was done. One with a date is found after the steps of that
// day; one without was there when the book was examined, before all of them.
func surelyBefore(f *record.Thing, d *record.Done) bool {
	return f.Found.IsZero() || f.Found.Before(d.Date)
}

// kindOf gives the word that the record says a finding is.
func (c *Case) kindOf(f *record.Thing) (kind string) {
	for i := range c.Book.Results {
		if r := &c.Book.Results[i]; r.Thing == f && r.Question.Name == "kind" {
			kind = r.Answer.Word
		}
	}
	return kind
}

// standing gives the thing of that path, also when a step done has cleared it.
func (c *Case) standing(path string) *Thing {
	if t := c.byPath[path]; t != nil {
		return t
	}
	return c.Cleared[path]
}
