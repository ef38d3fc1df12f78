package cond

import (
	"fmt"
	"reflect"

	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/ref"

	"tideline/rules/vocab"
)

// Thing is one thing of a book as conditions see it: an answer or an unknown for each question of its kind, and the
// things it leads to.
type Thing struct {
	kind  *kind
	id    int       // the number of its first question
	slots []ref.Val // by question, then by fact; nil where unknown
	one   map[string]*Thing
	many  map[string][]*Thing
}

// kind is a kind of thing with its fields.
type kind struct {
	vocab.Kind
	typ    *types.Type
	fields map[string]field
	names  []string // fields a condition may name, for "did you mean"
	slots  int
}

// field is one of a question, a fact and a link.
type field struct {
	slot     int
	question *vocab.Question
	fact     string
	link     *vocab.Link
}

// NewThing makes a thing of the kind whose every question is open. The first question is given the number id, the next
// id+1, and so on: unknown answers carry these numbers.
func (e *Env) NewThing(k vocab.Kind, id int) *Thing {
	return &Thing{kind: e.kinds[k], id: id, slots: make([]ref.Val, e.kinds[k].slots), one: map[string]*Thing{}, many: map[string][]*Thing{}}
}

// Slots is the number of questions of a kind: how many numbers a thing takes.
func (e *Env) Slots(k vocab.Kind) int { return e.kinds[k].slots }

// Slot is the place of a question among those of its kind.
func (e *Env) Slot(q *vocab.Question) int { return e.kinds[q.Kind].fields[q.Name].slot }

// Set gives the thing an answer; an answer not known leaves the slot as it is.
func (t *Thing) Set(slot int, q *vocab.Question, a vocab.Answer) {
	if !a.Known {
		return
	}
	switch q.Type {
	case vocab.YesNo:
		t.slots[slot] = types.Bool(a.Yes)
	case vocab.Words:
		t.slots[slot] = types.String(a.Word)
	default:
		t.slots[slot] = types.Double(a.Num)
	}
}

// Swap puts v in a slot and gives what was there, so that a supposed answer can be tried and taken back.
func (t *Thing) Swap(slot int, v any) any {
	old := t.slots[slot]
	t.slots[slot], _ = v.(ref.Val) // nil where it was unknown
	return old
}

// Value makes what [Thing.Swap] takes.
func Value(q *vocab.Question, a vocab.Answer) any {
	switch q.Type {
	case vocab.YesNo:
		return types.Bool(a.Yes)
	case vocab.Words:
		return types.String(a.Word)
	}
	return types.Double(a.Num)
}

// Lead sets what a link of the thing leads to.
func (t *Thing) Lead(link string, to ...*Thing) {
	l, _ := vocab.LinkOf(t.kind.Kind, link)
	if l.Many {
		t.many[link] = to
	} else {
		t.one[link] = to[0]
	}
}

// The methods below make a Thing a value of cel-go.

// ConvertToNative is not offered: a thing has no Go value.
func (t *Thing) ConvertToNative(typ reflect.Type) (any, error) {
	return nil, fmt.Errorf("a thing cannot become %v", typ)
}

// ConvertToType gives an error value for every type but the thing's own.
func (t *Thing) ConvertToType(typ ref.Type) ref.Val {
	if typ == t.kind.typ {
		return t
	}
	return types.NewErr("a thing cannot become %v", typ)
}

// Equal is identity; conditions cannot compare things.
func (t *Thing) Equal(other ref.Val) ref.Val { return types.Bool(t == other) }

// Type is the kind of thing.
func (t *Thing) Type() ref.Type { return t.kind.typ }

// Value is the thing itself.
func (t *Thing) Value() any { return t }

// get reads a field for cel-go.
func (f field) get(target any) (any, error) {
	switch t := target.(type) {
	case *Thing:
		switch {
		case f.link == nil && t.slots[f.slot] == nil:
			return types.NewUnknown(int64(t.id+f.slot), nil), nil
		case f.link == nil:
			return t.slots[f.slot], nil
		case !f.link.Many:
			return t.one[f.link.Name], nil
		}
		vals := make([]ref.Val, 0, len(t.many[f.link.Name]))
		for _, m := range t.many[f.link.Name] {
			vals = append(vals, m)
		}
		return types.NewRefValList(types.DefaultTypeAdapter, vals), nil
	case *types.Unknown:
		return t, nil
	}
	return nil, fmt.Errorf("%T is not a thing", target)
}

// Open makes the question in a slot, numbered id, unknown again.
func (t *Thing) Open(slot, id int) { t.slots[slot] = types.NewUnknown(int64(id), nil) }
