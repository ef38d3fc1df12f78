package pack

import (
	"fmt"
	"slices"

	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/vocab"
	"tideline/rules/yamlfile"
)

// The keys that say what something stands on.
var citeKeys = []string{"source", "standing", "stands on"}

func keys(own ...string) []string { return append(own, citeKeys...) }

func (l *loader) source(key, body *yamlfile.Node) {
	m := body.Map("a source", "title", "author", "year", "publisher", "url", "note")
	s := &Source{
		Title: m.Need("title", "").Text(), Author: m.Text("author"), Year: m.Text("year"), Publisher: m.Text("publisher"),
		URL: m.Text("url"), Note: m.Text("note"), Place: key.Place(),
	}
	s.ID = l.name(key, s)
	l.Sources = append(l.Sources, s)
}

func (l *loader) principle(key, body *yamlfile.Node) {
	m := body.Map("a principle", keys("says")...)
	p := &Principle{Says: m.Need("says", "Say the mechanism in one sentence.").Text(), Cite: l.cite(m, true), Place: key.Place()}
	p.ID = l.name(key, p)
	l.Principles = append(l.Principles, p)
}

func (l *loader) criterion(key, body *yamlfile.Node) {
	m := body.Map("a criterion", "says", "weight", "from", "to")
	c := &Criterion{Says: m.Need("says", "").Text(), Place: key.Place()}
	before := l.faults.Len()
	c.Weight, c.From, c.To = l.share(m, "weight"), l.share(m, "from"), l.share(m, "to")
	if l.faults.Len() == before && (c.From > c.Weight || c.Weight > c.To) {
		key.Fault("the weight lies outside its bounds", "from ≤ weight ≤ to.")
	}
	c.ID = l.name(key, c)
	l.layerOf[c] = len(l.Layers)
	l.Criteria = append(l.Criteria, c)
}

func (l *loader) share(m *yamlfile.Map, key string) float64 {
	n := m.Need(key, "A number from 0 to 1.")
	v, ok := n.Number()
	if ok && (v < 0 || v > 1) {
		n.Fault("a weight lies between 0 and 1", "")
	}
	return v
}

// weigh gives a criterion of a pack below another weight. Its bounds are widened to hold it.
func (l *loader) weigh(key, value *yamlfile.Node) {
	l.refer(key, "criterion", func(id string) bool { _, ok := l.ids[id].(*Criterion); return ok })
	own := len(l.Layers)
	l.declare = append(l.declare, func() {
		w, ok := value.Number()
		c, known := l.ids[key.Raw()].(*Criterion)
		last, again := l.weighed[c]
		switch {
		case !ok || !known:
		case w < 0 || w > 1:
			value.Fault("a weight lies between 0 and 1", "")
		case l.layerOf[c] == own:
			key.Fault(fmt.Sprintf("%q is this pack's own criterion", c.ID), "Change the weight where it is declared.")
		case again && last == own:
			key.Fault(fmt.Sprintf("%q is weighed twice", c.ID), "")
		default:
			l.weighed[c] = own
			c.Weight, c.From, c.To = w, min(c.From, w), max(c.To, w)
		}
	})
}

func (l *loader) aim(key, body *yamlfile.Node) {
	m := body.Map("an aim", "says")
	a := &Aim{Says: m.Need("says", "").Text(), Place: key.Place()}
	a.ID = l.name(key, a)
	l.Aims = append(l.Aims, a)
}

func (l *loader) test(key, body *yamlfile.Node) {
	m := body.Map("a test", keys("asks", "answer", "purpose", "materials", "how", "read", "dwell", "where", "spots", "goes wrong", "minutes",
		"harm", "nature", "chance", "good for", "limit", "hazards")...)
	t := &Test{
		Purpose: m.Text("purpose"), How: m.Text("how"), Read: m.Text("read"), Dwell: m.Text("dwell"), Where: m.Text("where"),
		GoesWrong: m.Text("goes wrong"), Materials: m.Get("materials").Texts(), Harm: m.Get("harm").Word(Harms...),
		Hazards: l.hazards(m.Get("hazards")), Cite: l.cite(m, false), Place: key.Place(),
	}
	if n := m.Get("spots"); n != nil {
		t.Spots = n.Int(0, 50)
	}
	if n := m.Get("minutes"); n != nil {
		t.Minutes = n.Int(0, 10000)
	}
	if n := m.Get("good for"); n != nil {
		t.GoodFor = n.Int(1, 100000)
	}
	id, kind, name, ok := l.asked(key, t)
	if !ok {
		return
	}
	q := &vocab.Question{ID: id, Kind: kind, Name: name, Asks: m.Need("asks", "Write the question as you would ask it.").Text(), Nature: vocab.Testable}
	if n := m.Get("nature"); n != nil {
		q.Nature = vocab.Nature(n.Word(string(vocab.Fixed), string(vocab.Treatable), string(vocab.Testable)))
	}
	if n := m.Get("limit"); n != nil {
		q.Limit, _ = n.YesNo()
	}
	l.answer(m.Need("answer", "grade, yes/no, {words: [...]} or {number: UNIT, from:, to:}."), q)
	t.Question = q
	if !l.Vocabulary.Add(q) && l.places[id] == key {
		key.Fault(fmt.Sprintf("%q is answered by the record itself", id), "Choose another name.")
	}
	t.Chance = l.chance(m.Get("chance"), q)
	l.Tests = append(l.Tests, t)
	l.layerOf[t] = len(l.Layers)
}

func (l *loader) answer(n *yamlfile.Node, q *vocab.Question) {
	const help = "It is one of grade, yes/no, {words: [...]}, {number: UNIT, from: 0, to: 100}."
	if n.IsScalar() {
		switch n.Raw() {
		case "grade":
			q.Type, q.From, q.To = vocab.Grade, 1, 5
		case "yes/no":
			q.Type = vocab.YesNo
		default:
			n.Fault(fmt.Sprintf("%q is not a kind of answer", n.Raw()), help)
		}
		return
	}
	m := n.Map("an answer", "words", "number", "from", "to")
	if w := m.Get("words"); w != nil {
		q.Type, q.Words = vocab.Words, w.Texts()
		if len(q.Words) < 2 || len(slices.Compact(slices.Sorted(slices.Values(q.Words)))) < len(q.Words) {
			w.Fault("a question needs two different words or more", "")
		}
		return
	}
	q.Type, q.Unit = vocab.Number, m.Need("number", help).Word(vocab.UnitNames()...)
	from, okFrom := m.Need("from", "The least it can be.").Number()
	to, okTo := m.Need("to", "The most it can be.").Number()
	if q.From, q.To = from, to; okFrom && okTo && from >= to {
		n.Fault("the range is empty", "from must be less than to.")
	}
}

func (l *loader) chance(n *yamlfile.Node, q *vocab.Question) map[string]float64 {
	if n == nil {
		return nil
	}
	chances := map[string]float64{}
	for _, p := range n.Map("chances by answer").Pairs() {
		a, near, err := q.Parse(p.Key.Raw())
		if err != nil {
			p.Key.Fault(err.Error(), "")
			l.faults.Amend(func(f *fault.Fault) { f.Nearest = near })
			continue
		}
		if v, ok := p.Value.Number(); ok && v >= 0 {
			chances[q.Text(a)] = v
		} else if ok {
			p.Value.Fault("a chance cannot be less than 0", "")
		}
	}
	return chances
}

func (l *loader) hazards(n *yamlfile.Node) []Hazard {
	var list []Hazard
	for _, item := range n.List() {
		m := item.Map("a hazard", keys("danger", "protect", "stop", "hand over")...)
		list = append(list, Hazard{
			Danger:  m.Need("danger", "Say what can happen to a person.").Text(),
			Protect: m.Need("protect", "Say how to be safe.").Text(), Stop: m.Text("stop"), HandOver: m.Text("hand over"), Cite: l.cite(m, false),
		})
	}
	return list
}

func (l *loader) fact(key, body *yamlfile.Node) {
	m := body.Map("a fact", keys("is", "says")...)
	f := &Fact{Says: m.Need("says", "Say it as a sentence: the paper is rich in lignin.").Text(), Cite: l.cite(m, true), Place: key.Place()}
	id, kind, name, ok := l.asked(key, f)
	if !ok {
		return
	}
	f.ID, f.Kind = id, kind
	is := m.Need("is", "The condition under which it holds.")
	l.Facts = append(l.Facts, f)
	l.declare = append(l.declare, func() {
		for _, q := range l.Vocabulary.Of(kind) {
			if q.Name == name && l.Fact(id) == f {
				key.Fault(fmt.Sprintf("%q is already a question", id), "Choose another name.")
			}
		}
	})
	l.compile = append(l.compile, func() { l.condition(is, Scope(kind, kind), func(c *cond.Cond) { f.Is = c }) })
}

func (l *loader) never(key, body *yamlfile.Node) {
	m := body.Map("a never", keys("each", "when", "because")...)
	n := &Never{Because: m.Need("because", "").Text(), Cite: l.cite(m, true), Place: key.Place()}
	n.Each = l.kind(m.Need("each", "Which things it is said of."))
	n.ID = l.name(key, n)
	when := m.Need("when", "The condition that cannot be.")
	l.Never = append(l.Never, n)
	l.compile = append(l.compile, func() {
		if n.Each != "" {
			l.condition(when, Scope(n.Each, n.Each), func(c *cond.Cond) { n.When = c })
		}
	})
}

func (l *loader) kind(n *yamlfile.Node) vocab.Kind {
	words := make([]string, 0, len(vocab.Kinds))
	for _, k := range vocab.Kinds {
		words = append(words, string(k))
	}
	return vocab.Kind(n.Word(words...))
}

func (l *loader) sample(key, body *yamlfile.Node) {
	s := &Sample{Book: body}
	s.ID = l.name(key, s)
	l.Samples = append(l.Samples, s)
}

func (l *loader) withdraw(key, body *yamlfile.Node) {
	m := body.Map("a withdrawal", "because", "by", "date")
	w := &Withdrawal{
		Because: m.Need("because", "Every explanation will show it.").Text(), By: m.Need("by", "Who withdraws it.").Text(),
		Pack: l.layer.Name, Place: key.Place(),
	}
	if d, ok := m.Need("date", "When.").Date(); ok {
		w.Date = d.Format("2006-01-02")
	}
	l.refer(key, "rule", func(id string) bool { return l.Rule(id) != nil })
	own := len(l.Layers)
	l.declare = append(l.declare, func() {
		r := l.Rule(key.Raw())
		switch {
		case r == nil:
		case r.Effect != RulesOut:
			key.Fault(fmt.Sprintf("%q does not rule out", r.ID), "Only a ruling-out can be withdrawn; outweigh an argument with one of your own.")
		case l.layerOf[r] == own:
			key.Fault(fmt.Sprintf("%q is this pack's own rule", r.ID), "Delete it instead.")
		case r.Withdrawn != nil:
			key.Fault(fmt.Sprintf("%q is withdrawn twice", r.ID), "")
		default:
			r.Withdrawn = w
		}
	})
}
