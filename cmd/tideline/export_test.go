package main

import (
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tideline/explain/export"
)

// TestExportJSON holds what export --json prints against its schema, and against what it prints without.
func TestExportJSON(t *testing.T) {
	schema := strictly(t, say(t, exitDone, "schema", "export"))
	const book = "../../testdata/books/ropewalk-review.yaml"
	for _, standard := range export.Standards {
		got := say(t, exitDone, "export", book, "--as", standard, "--on", "record", "--json")
		validate(t, schema, got)
		var whole struct{ Document any }
		var alone any
		if err := json.Unmarshal([]byte(got), &whole); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal([]byte(say(t, exitDone, "export", book, "--as", standard, "--on", "record")), &alone); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(whole.Document, alone); diff != "" {
			t.Errorf("%s: the document differs:\n%s", standard, diff)
		}
	}
}
