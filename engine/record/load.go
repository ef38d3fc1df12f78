package record

import (
	"fmt"
	"io"
	"sort"
	"time"
	"unicode/utf8"

	"tideline/rules/fault"
	"tideline/rules/vocab"
	"tideline/rules/yamlfile"
)

// Load reads the record at path ("-" is stdin). See [Parse].
func Load(path string, stdin io.Reader, words *Words, today time.Time, faults *fault.List) *Book {
	data := yamlfile.Read(path, stdin, faults)
	if data == nil {
		return nil
	}
	return Parse(path, data, words, today, faults)
}

// Parse reads a record from data; name stands for the file in faults. Dates after today are faults, unless today is
// zero. It goes on after a fault, so that one run tells all of them; the book is whole only if none was added. It gives
// nil, with a fault, when there is nothing to walk.
func Parse(name string, data []byte, words *Words, today time.Time, faults *fault.List) *Book {
	n := yamlfile.Parse(name, data, faults)
	if n == nil {
		return nil
	}
	return read(n, words, Options{Today: today}, true, faults)
}

// Options say how a sample book is read.
type Options struct {
	Today    time.Time // dates after it are faults; zero: none is
	Complete bool      // lists count as complete and the owner has no limits, unless the record says otherwise
}

// ParseNode reads a book that stands inside another file, which need have no edition, title, or dates of steps done.
// faults must be the list that n was parsed with.
func ParseNode(n *yamlfile.Node, words *Words, o Options, faults *fault.List) *Book {
	if n == nil {
		return nil
	}
	return read(n, words, o, false, faults)
}

// reader holds what is known of a record while it is read.
type reader struct {
	words  *Words
	o      Options
	file   bool // a file of its own, not a sample
	faults *fault.List
	root   *yamlfile.Node

	book    *Book
	byPath  map[string]*Thing
	given   []*yamlfile.Node // where each of book.Results was written
	full    bool             // there are too many results; said once
	later   []func()         // what can be looked up only when all things are known
	guesses int              // how many names were searched for their nearest
	unsized map[*Thing]bool  // parts whose want of a size was told
}

func read(n *yamlfile.Node, words *Words, o Options, file bool, faults *fault.List) *Book {
	r := &reader{
		words: words, o: o, file: file, faults: faults, root: n,
		book: &Book{}, byPath: map[string]*Thing{}, unsized: map[*Thing]bool{},
	}
	m := r.open(n, n, &bookLevel)
	if !n.IsMap() {
		return nil
	}
	r.head(m)
	lists := r.lists(m.Get("listed"), &bookLists, r.listsAtFirst())
	r.single(m, lists)
	r.each(m.Get("parts"), "parts", maxParts, func(name, v *yamlfile.Node) { r.part(name, v, lists) })
	r.each(m.Get("fasteners"), "fasteners", maxFasteners, r.fastener)
	for _, look := range r.later {
		look()
	}
	r.items(m.Get("tests"), "tests", maxResults, r.test)
	r.items(m.Get("done"), "steps done", maxDone, r.done)
	if o.Complete {
		r.noLimits(n, true)
	}
	r.contradictions()
	r.inFileOrder()
	return r.book
}

// open reads n as a group of the level's keys. What is missing is told at the node named by at.
func (r *reader) open(n, at *yamlfile.Node, l *level) *yamlfile.Map {
	m := n.Map(l.what, l.names()...)
	for _, k := range l.keys {
		must := k.need == always || k.need == inFiles && r.file
		if must && n.IsMap() && m.Get(k.name) == nil {
			at.Fault(fmt.Sprintf("%q is missing", k.name), fmt.Sprintf("Add `%s:`, %s.", k.name, k.says))
		}
	}
	return m
}

// each reads the entries of a group that a person names; at most so many.
func (r *reader) each(n *yamlfile.Node, what string, most int, read func(name, value *yamlfile.Node)) {
	for i, p := range n.Map(what + " by name").Pairs() {
		if i == most {
			p.Key.Fault(fmt.Sprintf("more than %d %s", most, what), "No book has so many. Is it the right file?")
			return
		}
		read(p.Key, p.Value)
	}
}

// items reads the entries of a list; at most so many.
func (r *reader) items(n *yamlfile.Node, what string, most int, read func(*yamlfile.Node)) {
	if n == nil {
		return
	}
	if !n.IsList() {
		n.Fault("expected a list of "+what, "Start each with `- ` on a line of its own.")
		return
	}
	for i, item := range n.List() {
		if r.full {
			return
		}
		if i == most {
			item.Fault(fmt.Sprintf("more than %d %s", most, what), "No book has so many. Is it the right file?")
			return
		}
		read(item)
	}
}

// head reads the edition, title, date and hand of the record.
func (r *reader) head(m *yamlfile.Map) {
	b := r.book
	if n := m.Get("record"); n != nil {
		if v, ok := n.Number(); ok && v != Edition {
			n.Fault(fmt.Sprintf("edition %s is not known", n.Raw()),
				fmt.Sprintf("This program reads edition %d. Was the record written by a newer one?", Edition))
		}
	}
	b.Edition = Edition
	b.Title, b.By = m.Text("title"), m.Text("by")
	if n := m.Get("title"); n.IsScalar() && b.Title == "" {
		n.Fault("the title is empty", "Write what the book is called.")
	}
	b.Examined, _ = r.date(m.Get("examined"))
}

// date reads a date that can be true.
func (r *reader) date(n *yamlfile.Node) (time.Time, bool) {
	t, ok := n.Date()
	if !ok {
		return t, false
	}
	if summary, help := Unlikely(n.Raw(), t, r.o.Today); summary != "" {
		n.Fault(summary, help)
		return t, false
	}
	return t, true
}

// Unlikely tells why a date, as written, cannot be that of something seen or done by today; "" when it can. Today may be
// zero: then nothing is in the future.
func Unlikely(written string, t, today time.Time) (summary, help string) {
	if t.Year() < 1900 {
		return written + " is before 1900", "Records are of examinations since then; check the year."
	}
	if y, m, d := today.Date(); !today.IsZero() && !t.Before(time.Date(y, m, d+1, 0, 0, 0, 0, time.UTC)) {
		return written + " is in the future", fmt.Sprintf("Today is %s. A record holds what was seen and done, not what is planned.", today.Format(time.DateOnly))
	}
	return "", ""
}

// inFileOrder sorts the results by where they were written.
func (r *reader) inFileOrder() {
	results := r.book.Results
	sort.SliceStable(results, func(i, j int) bool {
		a, b := results[i].Place, results[j].Place
		return a.Line < b.Line || a.Line == b.Line && a.Col < b.Col
	})
}

// fault notes f at n, with the line of the file.
func (r *reader) fault(n *yamlfile.Node, f fault.Fault) {
	f.Where, f.Width = n.Place(), 1
	if lines := n.Lines(1, f.Where.Line); len(lines) == f.Where.Line && len(lines) > 0 {
		f.Source = lines[len(lines)-1]
	}
	if n.IsScalar() {
		f.Width = max(1, utf8.RuneCountInString(n.Raw()))
	}
	r.faults.Add(f)
}

// a writes a kind with its article.
func a(k vocab.Kind) string {
	switch {
	case k.Singular():
		return "the " + string(k)
	case k == vocab.Ink:
		return "an ink"
	}
	return "a " + string(k)
}
