package record

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"tideline/rules/fault"
	"tideline/rules/nearest"
	"tideline/rules/vocab"
	"tideline/rules/yamlfile"
)

// Thing gives the thing of that path, nil when there is none.
func (b *Book) Thing(path string) *Thing {
	for _, t := range b.Things {
		if t.Path == path {
			return t
		}
	}
	return nil
}

// single reads the three things that every book has: itself, its owner and the bench.
func (r *reader) single(m *yamlfile.Map, lists lists) {
	book := r.add(&Thing{Kind: vocab.Book}, "", r.root)
	owner := r.add(&Thing{Kind: vocab.Owner}, "", r.keyOr(m, "owner", r.root))
	bench := r.add(&Thing{Kind: vocab.Bench}, "", r.keyOr(m, "bench", r.root))
	r.seen(m.Get("seen"), book)
	r.say(book, lists, "fasteners")
	r.owner(m.Get("owner"), owner)
	r.seen(m.Get("bench"), bench)
}

// keyOr gives the key's own node, or the other when it is absent.
func (r *reader) keyOr(m *yamlfile.Map, key string, other *yamlfile.Node) *yamlfile.Node {
	if n := m.Key(key); n != nil {
		return n
	}
	return other
}

// add gives a thing its name, path and place, and takes it into the book. Two of one path are a fault.
func (r *reader) add(t *Thing, under string, at *yamlfile.Node) *Thing {
	switch {
	case t.Kind.Singular():
		t.Name = string(t.Kind)
	case t.Kind != vocab.Side:
		t.Name = at.Raw()
	}
	t.Path, t.Place = under+t.Name, at.Place()
	r.book.Things = append(r.book.Things, t)
	first, taken := r.byPath[t.Path]
	switch {
	case !taken:
		r.byPath[t.Path] = t
	case !first.Kind.Singular(): // those names are refused by themselves
		r.fault(at, fault.Fault{
			Also: []fault.Place{first.Place}, Summary: fmt.Sprintf("%q names two things", t.Path),
			Help: fmt.Sprintf("It is %s already. Give one of them another name.", a(first.Kind)),
		})
	}
	return t
}

// name faults a name that could not stand in a path.
func (r *reader) name(n *yamlfile.Node, kind vocab.Kind) {
	name := n.Raw()
	help := "Names are one word, such as red, tear-1 or wrap-2."
	switch {
	case name == "":
		n.Fault("a name is missing", help)
	case strings.Contains(name, "/"):
		n.Fault(fmt.Sprintf("name %q has a slash", name), help+" The slash separates names in a path.")
	case strings.ContainsFunc(name, func(c rune) bool { return unicode.IsSpace(c) || unicode.IsControl(c) }):
		n.Fault(fmt.Sprintf("name %q has a space", name), help+" Join words by a hyphen.")
	case slices.Contains(reserved, name):
		n.Fault(fmt.Sprintf("%q cannot be the name of %s", name, a(kind)), help+" "+strings.Join(reserved, ", ")+" mean something else in a path.")
	}
}

func (r *reader) part(name, n *yamlfile.Node, above lists) {
	r.name(name, vocab.Part)
	t := r.add(&Thing{Kind: vocab.Part}, "", name)
	m := r.open(n, name, &partLevel)
	if t.Size = r.size(m.Get("size"), t); t.Size != nil {
		r.know("part.width", t, vocab.Num(t.Size.Width), m.Get("size"), "the size of the record")
		r.know("part.height", t, vocab.Num(t.Size.Height), m.Get("size"), "the size of the record")
	}
	r.kind(m.Get("kind"), t)
	r.seen(m.Get("seen"), t)
	lists := r.lists(m.Get("listed"), &sideLists, above)
	for _, side := range []string{"outside", "inside"} {
		r.side(t, side, r.keyOr(m, side, name), m.Get(side), lists)
	}
}

// side reads a side, which a part has whether the record writes it or not.
func (r *reader) side(part *Thing, name string, at, n *yamlfile.Node, above lists) {
	t := r.add(&Thing{Kind: vocab.Side, Name: name, Part: part}, part.Path+"/", at)
	m := r.open(n, at, &sideLevel)
	r.know("side.name", t, vocab.Word(name), at, "")
	r.seen(m.Get("seen"), t)
	if !r.o.Complete && m.Get("inks") == nil {
		above = above.without("inks") // nobody wrote down what is printed here, be it nothing
	}
	lists := r.lists(m.Get("listed"), &sideLists, above)
	r.say(t, lists, "inks", "findings")
	r.each(m.Get("inks"), "inks", maxInks, func(name, v *yamlfile.Node) { r.ink(t, name, v) })
	r.each(m.Get("findings"), "findings", maxFindings, func(name, v *yamlfile.Node) { r.finding(t, name, v) })
}

func (r *reader) ink(side *Thing, name, n *yamlfile.Node) {
	r.name(name, vocab.Ink)
	t := r.add(&Thing{Kind: vocab.Ink, Part: side.Part, Side: side}, side.Path+"/", name)
	m := r.open(n, name, &inkLevel)
	r.kind(m.Get("kind"), t)
	r.seen(m.Get("seen"), t)
}

func (r *reader) finding(side *Thing, name, n *yamlfile.Node) {
	r.name(name, vocab.Finding)
	t := r.add(&Thing{Kind: vocab.Finding, Part: side.Part, Side: side}, side.Path+"/", name)
	m := r.open(n, name, &findingLevel)
	before := len(r.book.Results)
	r.kind(m.Get("kind"), t)
	r.seen(m.Get("seen"), t)
	r.shape(m, t)
	if f := m.Get("found"); f != nil {
		if t.Found, _ = r.date(f); !t.Found.IsZero() {
			for i := range r.book.Results[before:] {
				r.book.Results[before+i].Date = t.Found
			}
		}
	}
	r.later = append(r.later, func() {
		t.Near = r.refs(m.Get("near"), vocab.Ink, t)
		if f := m.Get("fastener"); f != nil {
			t.Fastener = r.find(f, vocab.Fastener, nil)
		}
	})
}

func (r *reader) fastener(name, n *yamlfile.Node) {
	r.name(name, vocab.Fastener)
	t := r.add(&Thing{Kind: vocab.Fastener}, "", name)
	m := r.open(n, name, &fastenerLevel)
	r.kind(m.Get("kind"), t)
	r.seen(m.Get("seen"), t)
	r.later = append(r.later, func() {
		t.Holds = r.refs(m.Get("holds"), vocab.Part, nil)
		if at := m.Get("at"); at != nil {
			t.Shape.At = r.place(at, t)
		}
	})
}

// refs looks up a list of names, nil when it was not given. Those of a finding may be names on its own side.
func (r *reader) refs(n *yamlfile.Node, kind vocab.Kind, from *Thing) []*Thing {
	if n == nil {
		return nil
	}
	things := []*Thing{}
	for _, item := range n.List() {
		t := r.find(item, kind, from)
		switch {
		case t == nil:
		case slices.Contains(things, t):
			item.Fault(fmt.Sprintf("%q stands here twice", item.Raw()), "Remove one.")
		case from != nil && t.Part != from.Part:
			item.Fault(fmt.Sprintf("%s is not on %s", t.Path, from.Part.Path), "A finding touches inks of its own part only.")
		default:
			things = append(things, t)
		}
	}
	return things
}

// find looks up the thing that n names; kind "" takes any.
func (r *reader) find(n *yamlfile.Node, kind vocab.Kind, from *Thing) *Thing {
	if n == nil {
		return nil
	}
	if !n.IsScalar() {
		n.Text() // tells that a name was expected
		return nil
	}
	var t *Thing
	if from != nil {
		t = r.byPath[from.Side.Path+"/"+n.Raw()]
	}
	if t == nil {
		t = r.byPath[n.Raw()]
	}
	switch {
	case t == nil:
		r.notThere(n, kind, from)
	case kind != "" && t.Kind != kind:
		n.Fault(fmt.Sprintf("%s is %s, not %s", t.Path, a(t.Kind), a(kind)), r.there(kind))
		return nil
	}
	return t
}

// notThere faults a name that nothing has, with what is there.
func (r *reader) notThere(n *yamlfile.Node, kind vocab.Kind, from *Thing) {
	f := fault.Fault{Summary: fmt.Sprintf("nothing is called %q", n.Raw()), Help: r.there(kind)}
	if kind != "" {
		f.Summary = fmt.Sprintf("no %s is called %q", kind, n.Raw())
	}
	const most = 100 // a person mends some and runs it again
	if r.guesses++; r.guesses <= most {
		f.Nearest = r.nearest(n.Raw(), kind, from)
	}
	r.fault(n, f)
}

// nearest gives the path probably meant: the one of that last name if only one has it, else the one spelt most alike.
func (r *reader) nearest(name string, kind vocab.Kind, from *Thing) string {
	var words, tails []string
	for _, t := range r.book.Things {
		if kind != "" && t.Kind != kind {
			continue
		}
		if from != nil && t.Side == from.Side {
			words = append(words, t.Name)
		}
		words = append(words, t.Path)
		if t.Name == name {
			tails = append(tails, t.Path)
		}
	}
	if len(tails) == 1 {
		return tails[0]
	}
	return nearest.Word(name, words)
}

// there lists what the record has of a kind.
func (r *reader) there(kind vocab.Kind) string {
	var paths []string
	for _, t := range r.book.Things {
		if t.Kind == kind || kind == "" && !t.Kind.Singular() {
			paths = append(paths, t.Path)
		}
	}
	const most = 12
	what := map[vocab.Kind]string{
		"": "Things", vocab.Part: "Parts", vocab.Side: "Sides", vocab.Ink: "Inks",
		vocab.Finding: "Findings", vocab.Fastener: "Fasteners",
	}[kind]
	switch n := len(paths); {
	case kind.Singular():
		return fmt.Sprintf("Write %s.", kind)
	case n == 0:
		return fmt.Sprintf("The record has no %s.", strings.ToLower(what))
	case n > most:
		return fmt.Sprintf("%s in the record (%d): %s and so on.", what, n, strings.Join(paths[:most], ", "))
	}
	return fmt.Sprintf("%s in the record: %s.", what, strings.Join(paths, ", "))
}
