package record

import (
	"testing"

	"tideline/engine/dose"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
)

// TestShippedSchema holds the schema that editors read against the shipped pack.
func TestShippedSchema(t *testing.T) {
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	shipped := pack.Load([]pack.Layer{layer}, faults, dose.Functions()...)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	golden(t, "book.schema.json", string(Schema(WordsOf(shipped))))
}
