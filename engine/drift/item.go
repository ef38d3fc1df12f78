package drift

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Factor is one of what a decision is made from.
type Factor int

// The factors.
const (
	Answers Factor = iota // and things
	Rules
	Wishes // weights and aims
)

// Factors lists them.
var Factors = []Factor{Answers, Rules, Wishes}

// Kind is what an edit did.
type Kind string

// The kinds. Of answers and things:
const (
	Answered  Kind = "answered"        // where no answer stood
	Corrected Kind = "corrected"       // an answer was given anew, and differs
	Renewed   Kind = "answered anew"   // with the same answer, on another day
	Stale     Kind = "gone stale"      // a step was done that makes the answer stale
	Expired   Kind = "out of date"     // the answer was good for so many days
	Forgotten Kind = "no longer known" // an answer was deleted from the record
	Relisted  Kind = "list reopened"   // a list that was complete is no longer said to be
	Seen      Kind = "newly seen"      // a thing was added, with all that lies on it
	Gone      Kind = "taken off"       // a thing is no longer there, nor what lay on it
	Replaced  Kind = "replaced"        // a thing of another kind has its name
	Moved     Kind = "reach changed"   // what lies near it, what it goes through or what it belongs to
)

// Of rules, weights and aims:
const (
	Edited  Kind = "edited" // see Item.Edit
	Weighed Kind = "weight changed"
	Aimed   Kind = "aims changed"
)

// Item is a single edit: one difference between the sides that can be made by itself.
type Item struct {
	Factor   Factor
	Kind     Kind
	Path     string           // of the thing concerned
	Question *vocab.Question  // for answers
	Old, New vocab.Answer     // for answers: those that stand
	Lapse    *evidence.Lapse  // for gone stale and out of date
	Edit     *pack.Edit       // for Edited
	edit     int              // its place in the blend
	From, To float64          // for Weighed
	Of       *pack.Criterion  // for Weighed
	Aims     [2][]string      // for Aimed, old and new; nil: all that the pack knows
	both     [2]*record.Thing // for things
}

// items finds every difference between the sides, by factor, path and question.
func (m *mixer) items() {
	m.things()
	m.answers()
	for i := range m.blend.Edits {
		m.list = append(m.list, Item{Factor: Rules, Kind: Edited, Edit: &m.blend.Edits[i], edit: i})
	}
	m.wishes()
	slices.SortStableFunc(m.list, func(a, b Item) int {
		return cmp.Or(cmp.Compare(a.Factor, b.Factor), cmp.Compare(a.Path, b.Path), cmp.Compare(questionID(a), questionID(b)))
	})
	for i, item := range m.list {
		switch item.Kind {
		case Edited:
			m.editAt[item.edit] = i
		case Seen, Gone, Replaced, Moved:
			m.thingAt[item.Path] = i
		case Weighed:
			m.weightAt[item.Of.ID] = i
		case Aimed:
			m.aimsAt = i
		default:
			m.answerAt[ask{item.Path, item.Question.ID}] = i
		}
	}
}

func questionID(i Item) string {
	if i.Question == nil {
		return ""
	}
	return i.Question.ID
}

// things notes what only one side has, the topmost of what lies on one another, and what has another reach.
func (m *mixer) things() {
	old, now := m.side[0].byPath, m.side[1].byPath
	differs := func(path string) bool {
		a, b := old[path], now[path]
		return a == nil || b == nil || a.Kind != b.Kind
	}
	for _, path := range slices.Sorted(maps.Keys(union(old, now))) {
		a, b := old[path], now[path]
		item := Item{Factor: Answers, Path: path, both: [2]*record.Thing{a, b}}
		switch {
		case above(path, differs):
			continue
		case a == nil:
			item.Kind = Seen
		case b == nil:
			item.Kind = Gone
		case a.Kind != b.Kind:
			item.Kind = Replaced
		case !sameReach(a, b):
			item.Kind = Moved
		default:
			continue
		}
		m.list = append(m.list, item)
	}
}

func union[K comparable, V any](a, b map[K]V) map[K]V {
	all := maps.Clone(a)
	maps.Copy(all, b)
	return all
}

// above tells whether something that a thing lies on is as asked. A thing's path goes on from that of what it lies on.
func above(path string, is func(path string) bool) bool {
	for i, r := range path {
		if r == '/' && is(path[:i]) {
			return true
		}
	}
	return false
}

func sameReach(a, b *record.Thing) bool {
	same := func(x, y []*record.Thing) bool {
		return (x == nil) == (y == nil) && slices.Equal(paths(x), paths(y))
	}
	return same(a.Near, b.Near) && same(a.Holds, b.Holds) && slices.Equal(paths([]*record.Thing{a.Fastener}), paths([]*record.Thing{b.Fastener}))
}

func paths(things []*record.Thing) []string {
	var list []string
	for _, t := range things {
		if t != nil {
			list = append(list, t.Path)
		}
	}
	slices.Sort(list)
	return list
}

// answers notes every question of a thing of both sides whose answer may be another by the rules of either.
func (m *mixer) answers() {
	var asks []ask
	for _, p := range []*pack.Pack{m.ends[0], m.ends[1]} {
		was, is := m.side[0].standing(p), m.side[1].standing(p)
		for a := range union(was, is) {
			if was[a] != is[a] {
				asks = append(asks, a)
			}
		}
	}
	asks = append(asks, m.lapsable()...)
	slices.SortFunc(asks, func(a, b ask) int { return cmp.Or(cmp.Compare(a.path, b.path), cmp.Compare(a.question, b.question)) })
	lone := func(path string) bool { _, lone := m.lone[path]; return lone }
	for _, a := range slices.Compact(asks) {
		if !lone(a.path) && !above(a.path, lone) {
			m.list = append(m.list, m.answer(a))
		}
	}
}

type ask struct{ path, question string }

// lapsable lists the answers that an edit of the rules can make stand or lapse, where what was done or the day differs.
func (m *mixer) lapsable() (asks []ask) {
	touched := map[string]bool{}
	for _, e := range m.blend.Edits {
		switch e.Of {
		case pack.OfGoodFor:
			touched[e.ID] = true
		case pack.OfTreatment:
			for i := range m.side {
				if t := m.side[i].Pack.Treatment(e.ID); t != nil {
					for _, q := range t.MakesStale {
						touched[q] = true
					}
				}
			}
		}
	}
	for i := range m.side {
		for _, r := range m.side[i].Book.Results {
			if touched[r.Question.ID] {
				asks = append(asks, ask{r.Thing.Path, r.Question.ID})
			}
		}
	}
	return asks
}

// answer says what became of an answer.
func (m *mixer) answer(a ask) Item {
	old, now := m.side[0].ask(a), m.side[1].ask(a)
	item := Item{Factor: Answers, Path: a.path, Old: old.Answer, New: now.Answer, Question: now.Question}
	if item.Question == nil {
		item.Question = old.Question
	}
	switch {
	case now.Lapsed != nil && now.Lapsed.Step != nil:
		item.Kind, item.Lapse = Stale, now.Lapsed
	case now.Lapsed != nil:
		item.Kind, item.Lapse = Expired, now.Lapsed
	case !item.New.Known && strings.HasSuffix(item.Question.Name, "_listed"):
		item.Kind = Relisted
	case !item.New.Known:
		item.Kind = Forgotten
	case !item.Old.Known:
		item.Kind = Answered
	case item.Old == item.New:
		item.Kind = Renewed
	default:
		item.Kind = Corrected
	}
	return item
}

// wishes notes the weights of criteria that both sides have, and the owner's aims.
func (m *mixer) wishes() {
	old, now := m.side[0].g.Weights, m.side[1].g.Weights
	for _, c := range m.side[1].Pack.Criteria {
		if w, both := old[c.ID]; both && w != now[c.ID] {
			m.list = append(m.list, Item{Factor: Wishes, Kind: Weighed, Of: c, From: w, To: now[c.ID], Path: c.ID})
		}
	}
	was, is := m.side[0].Book.Aims, m.side[1].Book.Aims
	if (was == nil) != (is == nil) || !slices.Equal(slices.Sorted(slices.Values(was)), slices.Sorted(slices.Values(is))) {
		m.list = append(m.list, Item{Factor: Wishes, Kind: Aimed, Aims: [2][]string{was, is}})
	}
}

// side is one side, judged, with what stands in it by other rules.
type side struct {
	Side
	g      *judge.Judgement
	byPath map[string]*record.Thing
	stand  map[*pack.Pack]standing
}

// standing is the answers that stand.
type standing map[ask]vocab.Answer

// standing gives the answers that stand on the side by the rules of a pack.
func (s *side) standing(p *pack.Pack) standing {
	if found := s.stand[p]; found != nil {
		return found
	}
	b := *s.Book
	b.Results = s.readBy(p)
	all := standing{}
	for _, a := range evidence.Gather(p, &b, s.g.Case.On).Asks {
		if a.Question != nil && a.Answer.Known {
			all[ask{a.Thing.Path, a.Question.ID}] = a.Answer
		}
	}
	s.stand[p] = all
	return all
}

// readBy gives the results of the side as answers to the questions of a pack, as far as these take them.
func (s *side) readBy(p *pack.Pack) []record.Result {
	results := make([]record.Result, 0, len(s.Book.Results))
	for _, r := range s.Book.Results {
		if q := p.Vocabulary.Question(r.Question.ID); takes(q, r.Question, r.Answer) {
			r.Question = q
			results = append(results, r)
		}
	}
	owner := s.byPath["owner"]
	for _, q := range p.Vocabulary.Of(vocab.Owner) {
		if s.Book.NoLimits && q.Limit && s.Pack.Vocabulary.Question(q.ID) == nil && owner != nil {
			results = append(results, record.Result{Question: q, Thing: owner, Answer: vocab.Yes(false), Date: s.Book.Examined, By: s.Book.By})
		}
	}
	return results
}

// takes tells whether an answer given to one form of a question is an answer to another.
func takes(q, given *vocab.Question, a vocab.Answer) bool {
	switch {
	case q == nil || q.Type != given.Type:
		return false
	case q.Type == vocab.Words:
		return slices.Contains(q.Words, a.Word)
	case q.Type == vocab.Number:
		return q.Unit == given.Unit && a.Num >= q.From && a.Num <= q.To
	}
	return true
}

// ask gives a question of the side; one with no question where the side has none such.
func (s *side) ask(a ask) evidence.Ask {
	c := s.g.Case
	if q, t := s.Pack.Vocabulary.Question(a.question), c.At(a.path); q != nil && t != nil && t.Kind == q.Kind {
		return c.Asks[c.Number(t, q)]
	}
	return evidence.Ask{}
}

// String names an item in short, for tests and logs; explain words it for people.
func (i Item) String() string {
	switch i.Kind {
	case Edited:
		return string(i.Edit.Of) + " " + i.Edit.ID
	case Weighed:
		return "weight " + i.Of.ID
	case Aimed:
		return "aims"
	}
	if i.Question == nil {
		return "thing " + i.Path
	}
	return i.Path + " " + i.Question.ID
}
