package record

import (
	"fmt"
	"maps"
	"slices"

	"tideline/rules/vocab"
	"tideline/rules/yamlfile"
)

// answerKeys are the keys of a test that can hold its answer, each for one type.
var answerKeys = map[string]vocab.Type{"grade": vocab.Grade, "number": vocab.Number, "yes": vocab.YesNo, "word": vocab.Words}

// takes names the types as messages write them, with the key for each.
var takes = map[vocab.Type]struct{ what, key string }{
	vocab.Grade: {"a grade", "grade"}, vocab.Number: {"a number", "number"}, vocab.YesNo: {"yes or no", "yes"}, vocab.Words: {"a word", "word"},
}

// test reads the result of one test.
func (r *reader) test(n *yamlfile.Node) {
	m := r.open(n, n, &testLevel)
	q := r.question(m.Get("test"))
	kind := vocab.Kind("")
	if q != nil {
		kind = q.Kind
	}
	t := r.find(m.Get("on"), kind, nil)
	res := Result{Question: q, Thing: t, Date: r.book.Examined, By: m.Text("by"), Note: m.Text("note")}
	if d := m.Get("date"); d != nil {
		res.Date, _ = r.date(d)
	}
	if at := m.Get("at"); at != nil && t != nil {
		res.At = r.place(at, t)
	}
	given := r.givenAnswer(n, m, q)
	if given == nil || q == nil {
		return
	}
	answer, ok := r.answer(given, q)
	if res.Answer = answer; ok && t != nil {
		r.note(res, n)
	}
}

// question looks up the question of a test.
func (r *reader) question(n *yamlfile.Node) *vocab.Question {
	if n == nil || n.Text() == "" {
		return nil
	}
	q := r.words.Vocabulary.Question(n.Raw())
	switch {
	case q == nil:
		n.Fault(fmt.Sprintf("no question is called %q", n.Raw()), "Questions are named kind.question, as in part.surface_ph; the packs declare them.", r.words.Vocabulary.IDs()...)
	case q.Measured:
		n.Fault(fmt.Sprintf("%s is not a test", q.ID), saidElsewhere(q))
		return nil
	}
	return q
}

// givenAnswer gives the one answer of a test, nil with a fault when there is none, more than one, or one of the wrong type.
func (r *reader) givenAnswer(n *yamlfile.Node, m *yamlfile.Map, q *vocab.Question) *yamlfile.Node {
	var keys []*yamlfile.Node
	for _, p := range m.Pairs() {
		if _, ok := answerKeys[p.Key.Raw()]; ok && m.Get(p.Key.Raw()) != nil {
			keys = append(keys, p.Key)
		}
	}
	expected := "Give one of grade, number, yes or word."
	if q != nil {
		expected = fmt.Sprintf("Write `%s:`, for %s takes %s.", takes[q.Type].key, q.ID, q.Expected())
	}
	switch {
	case !n.IsMap():
		return nil
	case len(keys) == 0:
		n.Fault("the test has no answer", expected+" A test not done is left out.")
		return nil
	case len(keys) > 1:
		keys[1].Fault("the test has two answers", expected)
		return nil
	case q != nil && answerKeys[keys[0].Raw()] != q.Type:
		keys[0].Fault(fmt.Sprintf("%s takes %s, not %s", q.ID, takes[q.Type].what, takes[answerKeys[keys[0].Raw()]].what), expected)
		return nil
	}
	return m.Get(keys[0].Raw())
}

// done reads a step already carried out.
func (r *reader) done(n *yamlfile.Node) {
	m := r.open(n, n, &doneLevel)
	d := Done{By: m.Text("by"), Note: m.Text("note"), Place: n.Place()}
	kind := r.treatment(m.Get("step"))
	d.Treatment = m.Get("step").Raw()
	d.Date, _ = r.date(m.Get("date"))
	on := m.Get("on")
	if d.Target = r.byPath[on.Raw()]; d.Target == nil || !on.IsScalar() {
		r.find(on, kind, nil) // tells what is there
		return
	}
	if kind != "" && d.Target.Kind != kind {
		on.Fault(fmt.Sprintf("%s is done to %s, but %s is %s", d.Treatment, a(kind), d.Target.Path, a(d.Target.Kind)), r.there(kind))
	}
	if n := m.Get("result"); n != nil {
		d.Outcome = Outcome(n.Word(outcomes...))
	}
	if n := m.Get("minutes"); n != nil {
		if d.Minutes, _ = n.Number(); d.Minutes < 0 {
			n.Fault(n.Raw()+" minutes is less than none", "Write how long the step took at the bench.")
		}
	}
	r.items(m.Get("readings"), "readings", maxReadings, func(n *yamlfile.Node) {
		m := r.open(n, n, &readingLevel)
		v := Reading{What: m.Text("what"), Unit: m.Text("unit")}
		v.Before, _ = m.Get("before").Number()
		v.After, _ = m.Get("after").Number()
		d.Readings = append(d.Readings, v)
	})
	r.book.Done = append(r.book.Done, d)
}

// treatment gives the kind of thing that a treatment is done to, "" when there is no such treatment.
func (r *reader) treatment(n *yamlfile.Node) vocab.Kind {
	if n == nil || n.Text() == "" {
		return ""
	}
	kind, known := r.words.Treatments[n.Raw()]
	if !known {
		n.Fault(fmt.Sprintf("no treatment is called %q", n.Raw()), "The packs declare the treatments.", slices.Sorted(maps.Keys(r.words.Treatments))...)
	}
	return kind
}
