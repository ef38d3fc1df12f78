package lesson

import (
	"cmp"
	"encoding/json"
	"slices"

	"tideline/rules/fault"
	"tideline/rules/yamlfile"
)

// About is what a topic is.
type About string

// What there are topics about.
const (
	AboutRule      About = "rule"
	AboutTreatment About = "treatment"
	AboutTest      About = "test"      // ID is the question's
	AboutOrder     About = "order"     // ID is two treatments, the first first
	AboutPrinciple About = "principle" // ID is the principle's
)

var abouts = []string{string(AboutRule), string(AboutTreatment), string(AboutTest), string(AboutOrder), string(AboutPrinciple)}

// Topic is something of a pack that an apprentice knows or does not.
type Topic struct {
	About About
	ID    string
}

// Note is how an apprentice stands with a topic.
type Note struct {
	Topic
	Stage  int // how much is hidden: 0 the verdict, 1 the results, 2 the answer to look for; MaxStage when all that is known
	Right  int
	Wrong  int
	Lapsed bool // the last answer was wrong
}

// MaxStage is the stage of what an apprentice can do with nothing told.
const MaxStage = 3

const mostTimes = 1_000_000

// Notes is what is kept of one apprentice. It holds nothing of any book, and no day.
type Notes struct{ list []Note } // by topic

func compare(a Note, t Topic) int {
	return cmp.Or(cmp.Compare(a.About, t.About), cmp.Compare(a.ID, t.ID))
}

// Of gives the note of a topic; that of one never asked is empty.
func (n *Notes) Of(t Topic) Note {
	if i, found := slices.BinarySearchFunc(n.list, t, compare); found {
		return n.list[i]
	}
	return Note{Topic: t}
}

// All gives the notes by topic.
func (n *Notes) All() []Note { return slices.Clone(n.list) }

// Took notes an answer: right the first time and without a hint, or not.
func (n *Notes) Took(t Topic, right bool) {
	note := n.Of(t)
	note.Lapsed = !right
	if right {
		note.Right, note.Stage = min(note.Right+1, mostTimes), min(note.Stage+1, MaxStage)
	} else {
		note.Wrong, note.Stage = min(note.Wrong+1, mostTimes), max(note.Stage-1, 0)
	}
	i, found := slices.BinarySearchFunc(n.list, t, compare)
	if found {
		n.list[i] = note
	} else {
		n.list = slices.Insert(n.list, i, note)
	}
}

// need is how much a topic should be asked for: most what went wrong last, then what was begun, least what is known.
func (n *Notes) need(list []Topic) (most int) {
	for _, t := range list {
		switch note := n.Of(t); {
		case note.Lapsed:
			most = max(most, mostNeed)
		case note.Stage == MaxStage:
			most = max(most, 1)
		case note.Stage > 0:
			most = max(most, 6)
		default:
			most = max(most, 3)
		}
	}
	return most
}

const mostNeed = 12

type noteForm struct {
	About  About  `json:"about"`
	ID     string `json:"id"`
	Stage  int    `json:"stage"`
	Right  int    `json:"right"`
	Wrong  int    `json:"wrong"`
	Lapsed bool   `json:"lapsed"`
}

// Bytes writes notes as a file: JSON, one note a line. The same notes give the same bytes.
func (n *Notes) Bytes() []byte {
	b := []byte("{\n  \"format\": 1,\n  \"notes\": [")
	for i, note := range n.list {
		line, err := json.Marshal(noteForm{note.About, note.ID, note.Stage, note.Right, note.Wrong, note.Lapsed})
		if err != nil {
			panic(err) // texts and numbers can always be written
		}
		if i > 0 {
			b = append(b, ',')
		}
		b = append(append(b, "\n    "...), line...)
	}
	if len(n.list) > 0 {
		b = append(b, "\n  "...)
	}
	return append(b, "]\n}\n"...)
}

// ParseNotes reads notes that Bytes wrote. What is not as expected is a fault; with faults the notes are not to be used,
// and their file is not to be replaced.
func ParseNotes(name string, data []byte, faults *fault.List) *Notes {
	n := &Notes{}
	root := yamlfile.Parse(name, data, faults)
	if root == nil {
		return n
	}
	m := root.Map("notes of a lesson", "format", "notes")
	if f := m.Need("format", "Notes say `\"format\": 1`."); f != nil {
		f.Int(1, 1)
	}
	list := m.Need("notes", "Notes hold a list `\"notes\": [...]`, which may be empty.")
	if list == nil {
		return n
	}
	if !list.IsList() {
		list.Fault("this is no list", "Notes hold a list `\"notes\": [...]`, which may be empty.")
		return n
	}
	for _, item := range list.List() {
		n.read(item)
	}
	return n
}

func (n *Notes) read(item *yamlfile.Node) {
	m := item.Map("a note", "about", "id", "stage", "right", "wrong", "lapsed")
	note := Note{Topic: Topic{ID: m.Text("id")}}
	if about := m.Need("about", "A note says what it is about."); about != nil {
		note.About = About(about.Word(abouts...))
	}
	m.Need("id", "A note names the rule, treatment, test, order or principle.")
	if v := m.Need("right", "A note counts the right answers."); v != nil {
		note.Right = v.Int(0, mostTimes)
	}
	if v := m.Need("wrong", "A note counts the wrong answers."); v != nil {
		note.Wrong = v.Int(0, mostTimes)
	}
	if v := m.Need("stage", "A note gives the stage, 0 to 3."); v != nil {
		note.Stage = v.Int(0, MaxStage)
	}
	if v := m.Need("lapsed", "A note says whether the last answer was wrong: true or false."); v != nil {
		note.Lapsed, _ = v.YesNo()
	}
	i, found := slices.BinarySearchFunc(n.list, note.Topic, compare)
	if found {
		item.Fault("this is noted twice", "Each rule, treatment, test, order or principle has one note.")
		return
	}
	n.list = slices.Insert(n.list, i, note)
}
