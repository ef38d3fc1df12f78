package main

import (
	"strings"
	"testing"

	"tideline/engine/ask"
	"tideline/engine/verify"
	"tideline/explain/data"
	"tideline/explain/text"
)

// TestAskJSON holds what ask --json prints of every book against its schema; two askings of one book are the same.
func TestAskJSON(t *testing.T) {
	schema := strictly(t, say(t, exitDone, "schema", "ask"))
	for _, book := range books(t) {
		if strings.Contains(book, "parcel-from-the-attic") {
			continue // nothing is tested there: asking takes seconds
		}
		output := encode(t, data.Ask(ask.Next(judged(t, book), ask.Options{Draws: 20})))
		validate(t, schema, output)
		if again := encode(t, data.Ask(ask.Next(judged(t, book), ask.Options{Draws: 20}))); again != output {
			t.Errorf("%s: two askings of it differ", book)
		}
	}
}

// TestAskCommand checks on one book that the command prints what is worded of the report.
func TestAskCommand(t *testing.T) {
	const book = "../../testdata/books/lantern-street-4.yaml"
	want := text.Ask(ask.Next(judged(t, book), ask.Options{Draws: askDraws}), page, 2)
	if got := say(t, exitDone, "ask", book, "--on", "record", "--top", "2"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// TestVerifyFails checks what is told of a proof that does not hold.
func TestVerifyFails(t *testing.T) {
	g := judged(t, "../../testdata/books/lantern-street-4.yaml")
	v := g.Verdicts[0]
	p := g.Prove(v)
	p.RulesOut = p.RulesOut[1:]
	if _, err := verify.New(g).Check(p); err == nil || !strings.Contains(err.Error(), "leaves it out") {
		t.Errorf("a proof without a rule: %v", err)
	}
}
