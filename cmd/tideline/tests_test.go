package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestTestsJSON holds what tests out and tests in print for programs against their schemas.
func TestTestsJSON(t *testing.T) {
	out := strictly(t, say(t, exitDone, "schema", "tests-out"))
	for _, book := range books(t) {
		validate(t, out, say(t, exitDone, "tests", "out", book, "--json", "--on", "record"))
	}
	in := strictly(t, say(t, exitDone, "schema", "tests-in"))
	const book = "../../testdata/books/lantern-street-4.yaml"
	got := say(t, exitDone, "tests", "in", book, "../../testdata/sheets/lantern-street-4.csv", "--json")
	validate(t, in, got)
	if n := strings.Count(got, `"row": `); n != 3 {
		t.Errorf("%d results added, want 3", n)
	}
}

// TestReplaceUnchanged checks that a record someone else has changed meanwhile is left as they left it.
func TestReplaceUnchanged(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.yaml")
	for _, tt := range []struct {
		name, there, want string
		told              bool
	}{
		{"as it was read", "old", "new", false},
		{"changed meanwhile", "theirs", "theirs", true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if err := os.WriteFile(path, []byte(tt.there), 0o600); err != nil {
				t.Fatal(err)
			}
			err := (&app{}).replaceUnchanged(path, []byte("old"), []byte("new"))
			if (err != nil) != tt.told {
				t.Errorf("told %v", err)
			}
			got, err := os.ReadFile(path)
			if err != nil || string(got) != tt.want {
				t.Errorf("the file holds %q, %v; want %q", got, err, tt.want)
			}
		})
	}
}
