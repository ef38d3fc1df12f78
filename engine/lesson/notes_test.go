package lesson

import (
	"bytes"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"tideline/rules/fault"
)

// TestNotesRoundTrip: notes written and read again are the same, whatever the order in which they were taken.
func TestNotesRoundTrip(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 1))
	topics := []Topic{{AboutRule, "wash-a"}, {AboutRule, "wash-b"}, {AboutTest, "ink.wet"}, {AboutOrder, "brush bath"}, {AboutPrinciple, "water-carries"}, {AboutTreatment, "box"}}
	for range 50 {
		n := &Notes{}
		for range rnd.IntN(30) {
			n.Took(topics[rnd.IntN(len(topics))], rnd.IntN(2) == 0)
		}
		faults := &fault.List{}
		again := ParseNotes("notes.json", n.Bytes(), faults)
		if err := faults.Err(); err != nil {
			t.Fatalf("%v\n%s", err, n.Bytes())
		}
		if !slices.Equal(n.All(), again.All()) || !bytes.Equal(n.Bytes(), again.Bytes()) {
			t.Fatalf("%v became %v", n.All(), again.All())
		}
	}
}

// TestTook holds how a note changes: the stage goes up by a right answer and down by a wrong one, within its bounds.
func TestTook(t *testing.T) {
	n, topic := &Notes{}, Topic{AboutRule, "r"}
	for i, step := range []struct {
		right bool
		want  Note
	}{
		{false, Note{topic, 0, 0, 1, true}},
		{true, Note{topic, 1, 1, 1, false}},
		{true, Note{topic, 2, 2, 1, false}},
		{true, Note{topic, 3, 3, 1, false}},
		{true, Note{topic, 3, 4, 1, false}},
		{false, Note{topic, 2, 4, 2, true}},
	} {
		n.Took(topic, step.right)
		if got := n.Of(topic); got != step.want {
			t.Errorf("step %d: %+v, want %+v", i, got, step.want)
		}
	}
}

// TestNotesFaults: what is wrong with a file of notes is told with its place.
func TestNotesFaults(t *testing.T) {
	const note = `{"about":"rule","id":"r","stage":1,"right":1,"wrong":0,"lapsed":false}`
	wrap := func(notes string) string { return "{\n  \"format\": 1,\n  \"notes\": [" + notes + "]\n}\n" }
	for _, tt := range []struct {
		name, text, summary string
		line                int
	}{
		{"nothing", "", "", 0},
		{"cut off", wrap(note)[:60], "", 0},
		{"another format", strings.Replace(wrap(note), "1,", "9,", 1), "9", 2},
		{"an unknown key", wrap(strings.Replace(note, "lapsed", "lapsd", 1)), "lapsd", 3},
		{"an unknown topic", wrap(strings.Replace(note, `"rule"`, `"rules"`, 1)), "rules", 3},
		{"a stage there is not", wrap(strings.Replace(note, `"stage":1`, `"stage":4`, 1)), "4", 3},
		{"twice", wrap(note + ",\n" + note), "twice", 4},
		{"no list", "{\n  \"format\": 1,\n  \"notes\": 3\n}\n", "no list", 3},
		{"a book", "record: 1\ntitle: T\n", "record", 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			faults := &fault.List{}
			ParseNotes("notes.json", []byte(tt.text), faults)
			if faults.Len() == 0 {
				t.Fatal("no fault is told")
			}
			told := func(f fault.Fault) bool {
				return strings.Contains(f.Summary+f.Help, tt.summary) && (tt.line == 0 || f.Where.Line == tt.line) && f.Where.File == "notes.json"
			}
			if !slices.ContainsFunc(faults.All(), told) {
				t.Errorf("told: %v", faults.All())
			}
		})
	}
}

// FuzzNotes checks that no file of notes brings the reader down, that every fault has a place, and that what is read
// without fault is written and read again as the same.
func FuzzNotes(f *testing.F) {
	n := &Notes{}
	f.Add(n.Bytes())
	n.Took(Topic{AboutRule, "wash-bleeding-ink"}, true)
	n.Took(Topic{AboutOrder, "brush bath"}, false)
	f.Add(n.Bytes())
	f.Add(n.Bytes()[:len(n.Bytes())/2])
	f.Add([]byte("format: 1\nnotes: []\n"))
	f.Add([]byte("{\"format\":1,\"notes\":[{\"about\":\"rule\",\"id\":\"\u202e\"}]}"))
	f.Fuzz(func(t *testing.T, data []byte) {
		faults := &fault.List{}
		n := ParseNotes("notes.json", data, faults)
		for _, f := range faults.All() {
			if f.Where.File != "notes.json" || f.Summary == "" {
				t.Errorf("a fault without a place: %+v", f)
			}
		}
		if faults.Len() > 0 {
			return
		}
		again := ParseNotes("notes.json", n.Bytes(), faults)
		if err := faults.Err(); err != nil {
			t.Fatalf("what was written is not read: %v\n%s", err, n.Bytes())
		}
		if !slices.Equal(n.All(), again.All()) {
			t.Fatalf("%v became %v", n.All(), again.All())
		}
	})
}
