package verify

import (
	"slices"
	"time"

	"tideline/engine/record"
	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// node is a thing of the book as the checker reads it.
type node struct {
	kind       vocab.Kind
	path       string
	rec        *record.Thing // nil for a thing not listed
	part, side *node
	listed     *question // of a thing not listed: whether the list is complete
}

// question is a question of one thing.
type question struct {
	of   *node
	asks *vocab.Question
}

// given is the answer that stands for a question, and the result it comes from.
type given struct {
	answer vocab.Answer
	result *record.Result
	stands bool
}

// reading is the record as the checker reads it.
type reading struct {
	pack    *pack.Pack
	book    *record.Book
	on      time.Time
	nodes   []*node
	byPath  map[string]*node
	asks    map[string]*question
	answers map[*question]given
}

func read(p *pack.Pack, b *record.Book, on time.Time) *reading {
	r := &reading{pack: p, book: b, on: on, byPath: map[string]*node{}, asks: map[string]*question{}, answers: map[*question]given{}}
	for _, t := range b.Things {
		n := &node{kind: t.Kind, path: t.Path, rec: t}
		if t.Part != nil {
			n.part = r.byPath[t.Part.Path]
		}
		if t.Side != nil {
			n.side = r.byPath[t.Side.Path]
		}
		r.nodes, r.byPath[t.Path] = append(r.nodes, n), n
	}
	given := r.steps()
	r.standing(given)
	for _, n := range slices.Clone(r.nodes) {
		switch n.kind {
		case vocab.Side:
			r.unlisted(n, "inks", vocab.Ink)
			r.unlisted(n, "findings", vocab.Finding)
		case vocab.Book:
			r.unlisted(n, "fasteners", vocab.Fastener)
		}
	}
	return r
}

func (r *reading) unlisted(holder *node, list string, k vocab.Kind) {
	q := r.ask(holder, r.pack.Vocabulary.Question(string(holder.kind)+"."+list+"_listed"))
	if a := r.answers[q]; a.stands && a.answer.Yes {
		return
	}
	n := &node{kind: k, path: holder.path + "/unlisted " + string(k), part: holder.part, listed: q}
	if holder.kind == vocab.Side {
		n.side = holder
	}
	r.nodes, r.byPath[n.path] = append(r.nodes, n), n
}

// ask gives the one question of a thing.
func (r *reading) ask(n *node, q *vocab.Question) *question {
	key := n.path + "\x00" + q.ID
	if r.asks[key] == nil {
		r.asks[key] = &question{n, q}
	}
	return r.asks[key]
}

// steps takes the findings that steps done have cleared off the book, and gives the answers that the steps give.
func (r *reading) steps() (given []*record.Result) {
	words := map[*record.Thing]string{}
	for _, res := range r.book.Results {
		if res.Question.ID == string(vocab.Finding)+".kind" {
			words[res.Thing] = res.Answer.Word
		}
	}
	gone := map[*node]bool{}
	for i := range r.book.Done {
		d := &r.book.Done[i]
		t := r.pack.Treatment(d.Treatment)
		if t == nil || d.Outcome != "" && d.Outcome != record.AsPlanned {
			continue
		}
		for _, n := range r.nodes {
			meets := n.kind == vocab.Finding && r.meets(r.byPath[d.Target.Path], n)
			older := n.rec.Found.IsZero() || d.Date.After(n.rec.Found)
			if meets && older && d.Outcome == record.AsPlanned && slices.Contains(t.Clears, words[n.rec]) {
				gone[n] = true
			}
			for _, s := range t.Sets {
				touched := n.kind != vocab.Finding || older || n.rec == d.Target
				if n.kind == s.Question.Kind && touched && !slices.Contains(t.MakesStale, s.Question.ID) && r.meets(r.byPath[d.Target.Path], n) {
					given = append(given, &record.Result{Question: s.Question, Thing: n.rec, Answer: s.Answer, Date: d.Date, By: d.By, Place: d.Place, Step: d})
				}
			}
		}
	}
	r.nodes = slices.DeleteFunc(r.nodes, func(n *node) bool { return gone[n] })
	return given
}

// standing finds the latest result of each question, and whether it stands. Of results of one date the last written does;
// those that steps give come after them, in the order of the steps.
func (r *reading) standing(bySteps []*record.Result) {
	slices.SortStableFunc(bySteps, func(a, b *record.Result) int { return a.Date.Compare(b.Date) })
	results := make([]*record.Result, 0, len(r.book.Results)+len(bySteps))
	for i := range r.book.Results {
		results = append(results, &r.book.Results[i])
	}
	for _, res := range append(results, bySteps...) {
		q := r.ask(r.byPath[res.Thing.Path], res.Question)
		if old := r.answers[q].result; old != nil && res.Date.Before(old.Date) {
			continue
		}
		r.answers[q] = given{result: res}
	}
	for q, g := range r.answers {
		if !r.stale(q, g.result) {
			r.answers[q] = given{g.result.Answer, g.result, true}
		}
	}
}

// stale tells whether a later step, or time, has withdrawn a result.
func (r *reading) stale(q *question, res *record.Result) bool {
	if t := r.pack.Test(q.asks.ID); t != nil && t.GoodFor > 0 && r.on.Sub(res.Date) > time.Duration(t.GoodFor)*24*time.Hour {
		return true
	}
	for i := range r.book.Done {
		d := &r.book.Done[i]
		t := r.pack.Treatment(d.Treatment)
		if t != nil && !r.survives(res, d) && slices.Contains(t.MakesStale, q.asks.ID) && slices.Contains(r.near(r.byPath[d.Target.Path], q.asks.Kind), q.of) {
			return true
		}
	}
	return false
}

// survives tells whether a result was got after a step; the answer that a step gives is got at its end.
func (r *reading) survives(res *record.Result, d *record.Done) bool {
	if res.Step == nil {
		return surelyLater(res.Date, d.Date)
	}
	at := func(d *record.Done) int {
		for i := range r.book.Done {
			if &r.book.Done[i] == d {
				return i
			}
		}
		return -1
	}
	return res.Step == d || res.Step.Date.After(d.Date) || res.Step.Date.Equal(d.Date) && at(res.Step) > at(d)
}

// surelyLater tells whether a result came after a step. A step given by its day only may have lasted till its end.
func surelyLater(result, step time.Time) bool {
	if h, m, s := step.Clock(); h == 0 && m == 0 && s == 0 {
		return !step.IsZero() && !result.Before(step.AddDate(0, 0, 1))
	}
	return result.After(step)
}

// near lists the things of a kind that have to do with n, by the rules that rules/README.md gives for reach.
func (r *reading) near(n *node, k vocab.Kind) []*node {
	var list []*node
	for _, m := range r.nodes {
		if m.kind == k && r.meets(n, m) {
			list = append(list, m)
		}
	}
	return list
}

func (r *reading) meets(n, m *node) bool {
	switch {
	case n.kind == m.kind:
		return n == m
	case m.kind.Singular() || n.kind.Singular():
		return true
	case m.kind == vocab.Part && n.kind == vocab.Fastener:
		return goesThrough(n, m)
	case m.kind == vocab.Part:
		return n.part == m
	case n.kind == vocab.Fastener && m.kind == vocab.Finding:
		others := m.rec != nil && m.rec.Fastener != nil && m.rec.Fastener != n.rec
		return goesThrough(n, m.part) && !others
	case n.kind == vocab.Fastener:
		return goesThrough(n, m.part)
	case m.kind == vocab.Fastener:
		return goesThrough(m, partOf(n))
	case n.kind == vocab.Finding && m.kind == vocab.Ink && n.rec != nil && n.rec.Near != nil:
		return m.rec != nil && slices.Contains(n.rec.Near, m.rec)
	case m.kind == vocab.Side && n.side != nil:
		return n.side == m
	case n.kind == vocab.Side:
		return m.side == n
	case n.kind == vocab.Ink:
		return m.side == n.side
	}
	return m.part == partOf(n)
}

func partOf(n *node) *node {
	if n.kind == vocab.Part {
		return n
	}
	return n.part
}

func goesThrough(f, part *node) bool {
	return f.rec == nil || f.rec.Holds == nil || slices.Contains(f.rec.Holds, part.rec)
}

// seats puts things into the slots of a condition's names.
func (r *reading) seats(c *cond.Cond, target, thing *node) []*node {
	env := make([]*node, len(c.Vars))
	for i, v := range c.Vars {
		switch v.From {
		case cond.FromTarget:
			env[i] = target
		case cond.FromThing:
			env[i] = thing
		case cond.FromPart, cond.FromSide:
			env[i] = up(v.Kind, thing)
			if env[i] == nil {
				env[i] = up(v.Kind, target)
			}
		case cond.Bound:
		default:
			env[i] = r.byPath[string(v.Kind)]
		}
	}
	return env
}

func up(k vocab.Kind, n *node) *node {
	if k == vocab.Part {
		return n.part
	}
	return n.side
}

// follow goes along links to one thing.
func (r *reading) follow(p cond.Path, env []*node) *node {
	n := env[p.Slot]
	for _, l := range p.Links {
		n = r.near(n, l.To)[0]
	}
	return n
}

// members lists the things that a path with a list at its end leads to.
func (r *reading) members(p cond.Path, env []*node) []*node {
	last := len(p.Links) - 1
	return r.near(r.follow(cond.Path{Slot: p.Slot, Links: p.Links[:last]}, env), p.Links[last].To)
}
