package plan

import (
	"cmp"
	"slices"
	"strings"

	"tideline/engine/judge"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// How much a step does for a subject.
const (
	lessens = 1
	clears  = 2
)

// findSubjects finds what calls for care that serves an aim of the owner, and what each treatment that is called for does for
// it. A call is about the findings it rests on that the treatment clears or lessens, or that it is asked of; where there
// are none, about the answers it rests on: treatments called for by the same answers are ways to deal with the same thing.
func (pl *planner) findSubjects() {
	for _, v := range pl.base.Verdicts {
		if v.Treatment.DoesNothing || !pl.wanted(v.Treatment) {
			continue
		}
		for _, i := range v.Instances {
			if i.Rule.Effect != pack.CalledFor || i.Value != cond.True {
				continue
			}
			for _, s := range pl.about(v, i) {
				s.Calls = append(s.Calls, i)
				for _, aim := range v.Treatment.Serves {
					if slices.Contains(pl.base.Aims, aim) && !slices.Contains(s.Aims, aim) {
						s.Aims = append(s.Aims, aim)
					}
				}
			}
		}
	}
	slices.SortFunc(pl.subjects, func(a, b *Subject) int { return cmp.Or(cmp.Compare(a.Path, b.Path), cmp.Compare(a.key(), b.key())) })
	for _, s := range pl.subjects {
		slices.Sort(s.Aims)
	}
}

// wanted tells whether a treatment serves an aim of the owner.
func (pl *planner) wanted(t *pack.Treatment) bool {
	return slices.ContainsFunc(t.Serves, func(a string) bool { return slices.Contains(pl.base.Aims, a) })
}

// about gives the subjects of a call, and notes what the treatment called for does for them.
func (pl *planner) about(v *judge.Verdict, i *judge.Instance) []*Subject {
	key := Key{v.Treatment.ID, v.Target.Path}
	answers := pl.base.Reason(i).Answers()
	var list []*Subject
	add := func(path string, level int) {
		s := pl.subject(&Subject{Path: path})
		list = append(list, s)
		pl.note(key, s, level)
	}
	for _, a := range answers {
		if t := pl.base.Case.Asks[a.Ask].Thing; t.Kind == vocab.Finding && !t.Unlisted && eases(v.Treatment, pl.kinds[t.Path]) > 0 {
			add(t.Path, eases(v.Treatment, pl.kinds[t.Path]))
		}
	}
	for _, path := range []string{i.Thing.Path, v.Target.Path} {
		if pl.kinds[path] != "" {
			add(path, max(lessens, eases(v.Treatment, pl.kinds[path])))
		}
	}
	if len(list) > 0 {
		return uniq(list)
	}
	s := &Subject{Path: i.Thing.Path}
	for _, a := range answers {
		if q := pl.base.Case.Asks[a.Ask].Question; q != nil && !slices.Contains(s.Asks, q) {
			s.Asks = append(s.Asks, q)
		}
	}
	slices.SortFunc(s.Asks, func(a, b *vocab.Question) int { return cmp.Compare(a.ID, b.ID) })
	if len(s.Asks) == 0 {
		s.rule = i.Rule.ID
	}
	s = pl.subject(s)
	pl.note(key, s, clears)
	return []*Subject{s}
}

func uniq(list []*Subject) []*Subject {
	slices.SortFunc(list, func(a, b *Subject) int { return cmp.Compare(a.Path, b.Path) })
	return slices.Compact(list)
}

// subject gives the one subject that is the same.
func (pl *planner) subject(s *Subject) *Subject {
	for _, o := range pl.subjects {
		if o.Path == s.Path && o.key() == s.key() {
			return o
		}
	}
	pl.subjects = append(pl.subjects, s)
	return s
}

// note notes what a treatment does for a subject.
func (pl *planner) note(k Key, s *Subject, level int) {
	if pl.deals[k] == nil {
		pl.deals[k] = map[*Subject]int{}
	}
	pl.deals[k][s] = max(level, pl.deals[k][s])
	s.clearable = s.clearable || level == clears
}

func (s *Subject) key() string {
	var b strings.Builder
	b.WriteString(s.rule)
	for _, q := range s.Asks {
		b.WriteString(" " + q.ID)
	}
	return b.String()
}

// eases tells what a treatment does to findings of a kind: clears, lessens, or 0.
func eases(t *pack.Treatment, kind string) int {
	switch {
	case kind == "":
		return 0
	case slices.Contains(t.Clears, kind):
		return clears
	case slices.Contains(t.Lessens, kind):
		return lessens
	}
	return 0
}
