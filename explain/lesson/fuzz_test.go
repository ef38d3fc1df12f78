package lesson

import (
	"strings"
	"sync"
	"testing"

	"tideline/engine/lesson"
	"tideline/explain/text"
)

// FuzzTyped types anything into every kind of exercise: nothing brings it down, and what is taken is marked and worded.
func FuzzTyped(f *testing.F) {
	for _, s := range []string{"1", "1 2 3", "3,2,1", "none", "ruled out", "4-5", "yes", "cover/inside/black.dry", "1;;", "-0", "99999999999999999999", "\x00", "\u202e1"} {
		f.Add(s)
	}
	var once sync.Once
	byKind := map[lesson.Kind]*lesson.Exercise{}
	f.Fuzz(func(t *testing.T, line string) {
		once.Do(func() {
			notes := &lesson.Notes{}
			m := maker(t, judgements(t, "lantern-street-4")[0], 9, notes)
			for range 25 {
				e, err := m.Next()
				if err != nil || e == nil {
					t.Fatal(e, err)
				}
				e.Note(notes, nil, lesson.Right)
				byKind[e.Kind] = e
			}
		})
		line = strings.TrimSpace(line)
		for kind, e := range byKind {
			said, help := read(e, line)
			if help != "" {
				continue
			}
			m, err := e.Mark(said)
			if err != nil {
				t.Fatalf("%s, %q: %v", kind, line, err)
			}
			if worded := text.Marked(e, m, page); worded == "" || strings.ContainsAny(worded, "\x1b\u202e") {
				t.Errorf("%s, %q: %q", kind, line, worded)
			}
		}
	})
}
