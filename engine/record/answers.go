package record

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"tideline/rules/fault"
	"tideline/rules/vocab"
	"tideline/rules/yamlfile"
)

// note takes an answer into the book. given is where it was written.
func (r *reader) note(res Result, given *yamlfile.Node) {
	if len(r.book.Results) == maxResults {
		if !r.full {
			given.Fault(fmt.Sprintf("more than %d answers", maxResults), "No book has so many. Is it the right file?")
		}
		r.full = true
		return
	}
	res.Place = given.Place()
	r.book.Results = append(r.book.Results, res)
	r.given = append(r.given, given)
}

// know notes an answer that follows from the record; the question is one of vocab.Measured.
func (r *reader) know(id string, t *Thing, answer vocab.Answer, given *yamlfile.Node, note string) {
	if q := r.words.Vocabulary.Question(id); q != nil {
		r.note(Result{Question: q, Thing: t, Answer: answer, Date: r.book.Examined, Note: note}, given)
	}
}

// observe reads the answer to q at n and notes it as seen at the examination.
func (r *reader) observe(n *yamlfile.Node, q *vocab.Question, t *Thing) {
	if answer, ok := r.answer(n, q); ok {
		r.note(Result{Question: q, Thing: t, Answer: answer, Date: r.book.Examined, By: r.book.By}, n)
	}
}

// answer reads an answer to q as a person writes it.
func (r *reader) answer(n *yamlfile.Node, q *vocab.Question) (vocab.Answer, bool) {
	if !n.IsScalar() {
		n.Fault(q.ID+" takes "+q.Expected(), "Write one answer, not a list or group.")
		return vocab.Answer{}, false
	}
	answer, _, err := q.Parse(n.Raw())
	if err != nil {
		n.Fault(err.Error(), "", q.Words...)
	}
	return answer, err == nil
}

// kind reads what kind of part, ink, finding or fastener a thing is.
func (r *reader) kind(n *yamlfile.Node, t *Thing) {
	q := r.words.Vocabulary.Question(string(t.Kind) + ".kind")
	switch {
	case n == nil: // told when the keys were read
	case q == nil:
		n.Fault(fmt.Sprintf("the pack declares no %s.kind", t.Kind), fmt.Sprintf("A pack must say which kinds of %s there are, under `tests`.", t.Kind))
	default:
		r.observe(n, q, t)
	}
}

// seen reads answers about one thing by the name of the question.
func (r *reader) seen(n *yamlfile.Node, t *Thing) {
	m := n.Map(fmt.Sprintf("answers about %s by name", a(t.Kind)))
	for _, p := range m.Pairs() {
		name := p.Key.Raw()
		q := r.words.Vocabulary.Question(string(t.Kind) + "." + name)
		switch {
		case q == nil:
			r.notAsked(p.Key, t.Kind)
		case saidElsewhere(q) != "":
			p.Key.Fault(fmt.Sprintf("%s is not answered here", q.ID), saidElsewhere(q))
		case m.Get(name) == nil:
			p.Key.Fault(fmt.Sprintf("%s has no answer", q.ID), "Leave out what was not tested. It takes "+q.Expected()+".")
		default:
			r.observe(p.Value, q, t)
		}
	}
}

// notAsked faults a name that is no question of the kind.
func (r *reader) notAsked(n *yamlfile.Node, k vocab.Kind) {
	var words []string
	for _, q := range askable(r.words, k) {
		words = append(words, q.Name)
	}
	help := fmt.Sprintf("The pack asks nothing of %s.", a(k))
	if len(words) > 0 {
		help = fmt.Sprintf("Of %s the pack asks %s.", a(k), strings.Join(words, ", "))
	}
	if short, ok := strings.CutPrefix(n.Raw(), string(k)+"."); ok && slices.Contains(words, short) {
		help = fmt.Sprintf("Here the name stands alone: write %s.", short)
	}
	n.Fault(fmt.Sprintf("unknown word %q", n.Raw()), help, words...)
}

// lists tells which lists were said to be complete, and where.
type lists map[string]said

type said struct {
	yes bool
	n   *yamlfile.Node
}

// without gives the lists but for one.
func (l lists) without(name string) lists {
	rest := maps.Clone(l)
	delete(rest, name)
	return rest
}

// listsAtFirst is what holds before the record says anything.
func (r *reader) listsAtFirst() lists {
	l := lists{}
	if r.o.Complete {
		for _, k := range bookLists.keys {
			l[k.name] = said{true, r.root}
		}
	}
	return l
}

// lists reads `listed`, laid over what a level above said.
func (r *reader) lists(n *yamlfile.Node, l *level, above lists) lists {
	out := maps.Clone(above)
	m := r.open(n, n, l)
	for _, k := range l.keys {
		v := m.Get(k.name)
		if yes, ok := v.YesNo(); ok {
			out[k.name] = said{yes, v}
		}
	}
	return out
}

// say notes whether the named lists of a thing are complete, where that is known.
func (r *reader) say(t *Thing, l lists, names ...string) {
	for _, name := range names {
		if s, ok := l[name]; ok {
			r.know(vocab.Listed(t.Kind, name).ID, t, vocab.Yes(s.yes), s.n, "")
		}
	}
}

// owner reads what the owner wants and refuses.
func (r *reader) owner(n *yamlfile.Node, t *Thing) {
	m := r.open(n, n, &ownerLevel)
	r.aims(m.Get("aims"))
	r.weights(m.Get("weights"))
	switch limits := m.Get("limits"); {
	case limits == nil:
	case limits.Raw() == "none":
		r.noLimits(limits, false)
	case limits.IsScalar():
		limits.Fault(fmt.Sprintf("%q is not an answer to `limits`", limits.Raw()), "Write `none`, or the owner's answers by name.", "none")
	default:
		r.seen(limits, t)
	}
}

func (r *reader) aims(n *yamlfile.Node) {
	if n == nil {
		return
	}
	r.book.Aims = []string{}
	for _, item := range n.List() {
		aim := item.Text()
		switch {
		case !item.IsScalar():
		case !slices.Contains(r.words.Aims, aim):
			item.Fault(fmt.Sprintf("unknown aim %q", aim), "The pack has "+orNone(r.words.Aims)+".", r.words.Aims...)
		case slices.Contains(r.book.Aims, aim):
			item.Fault(fmt.Sprintf("%q stands here twice", aim), "Remove one.")
		default:
			r.book.Aims = append(r.book.Aims, aim)
		}
	}
}

func (r *reader) weights(n *yamlfile.Node) {
	if n == nil {
		return
	}
	criteria := slices.Sorted(maps.Keys(r.words.Criteria))
	r.book.Weights = map[string]float64{}
	for _, p := range n.Map("weights by criterion").Pairs() {
		name := p.Key.Raw()
		bounds, known := r.words.Criteria[name]
		if !known {
			p.Key.Fault(fmt.Sprintf("unknown criterion %q", name), "The pack has "+orNone(criteria)+".", criteria...)
			continue
		}
		v, ok := p.Value.Number()
		if ok && (v < bounds.From || v > bounds.To) {
			p.Value.Fault(fmt.Sprintf("weight %s is out of bounds", p.Value.Raw()),
				fmt.Sprintf("The pack lets a record weigh %s from %g to %g.", name, bounds.From, bounds.To))
		} else if ok {
			r.book.Weights[name] = v
		}
	}
}

func orNone(words []string) string {
	if len(words) == 0 {
		return "none"
	}
	return strings.Join(words, ", ")
}

// noLimits answers every question about what the owner does not want with no; or only those that nothing else answers.
func (r *reader) noLimits(given *yamlfile.Node, open bool) {
	r.book.NoLimits = r.book.NoLimits || !open
	answered := map[*vocab.Question]bool{}
	for _, res := range r.book.Results {
		answered[res.Question] = answered[res.Question] || open
	}
	for _, q := range r.words.Vocabulary.Of(vocab.Owner) {
		if q.Limit && !answered[q] {
			r.note(Result{Question: q, Thing: r.byPath["owner"], Answer: vocab.Yes(false), Date: r.book.Examined, By: r.book.By}, given)
		}
	}
}

// contradictions faults two different answers of one moment to one question of one thing.
func (r *reader) contradictions() {
	type moment struct {
		q    *vocab.Question
		t    *Thing
		when time.Time
	}
	first := map[moment]int{}
	for i, res := range r.book.Results {
		at := moment{res.Question, res.Thing, res.Date}
		j, again := first[at]
		if !again {
			first[at] = i
			continue
		}
		earlier := r.book.Results[j]
		if res.Answer == earlier.Answer {
			continue
		}
		when, help := "on one day", "Give a time of day, as in 2026-10-14T15:30, or remove one."
		switch {
		case res.Date.IsZero():
			when, help = "without a date", "Give dates, so that the later one holds, or remove one."
		case res.Date.Hour()+res.Date.Minute()+res.Date.Second() > 0:
			when, help = "at one time", "Correct a time of day, or remove one."
		}
		r.fault(r.given[i], fault.Fault{
			Also:    []fault.Place{earlier.Place},
			Summary: fmt.Sprintf("%s of %s has two answers %s", res.Question.ID, res.Thing.Path, when),
			Help:    fmt.Sprintf("Here it is %s, before it was %s. %s", res.Question.Text(res.Answer), res.Question.Text(earlier.Answer), help),
		})
	}
}
