package main

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"tideline/engine/judge"
	"tideline/explain/data"
)

// strictly compiles a schema with every key that it does not name refused, so that output and schema cannot drift.
func strictly(t *testing.T, source string) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(source))
	if err != nil {
		t.Fatal(err)
	}
	var refuse func(any)
	refuse = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			if _, ok := v["properties"]; ok && v["additionalProperties"] == nil {
				v["additionalProperties"] = false
			}
			for _, kid := range v {
				refuse(kid)
			}
		case []any:
			for _, kid := range v {
				refuse(kid)
			}
		}
	}
	refuse(doc)
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource("strict.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("strict.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func validate(t *testing.T, s *jsonschema.Schema, output string) {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(output))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(doc); err != nil {
		t.Errorf("%v", err)
	}
}

func encode(t *testing.T, v any) string {
	t.Helper()
	b, err := data.Encode(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// TestDecideJSON holds what decide --json prints of every book against its schema, and against the judgement.
func TestDecideJSON(t *testing.T) {
	schema := strictly(t, say(t, exitDone, "schema", "decide"))
	for _, book := range books(t) {
		g := judged(t, book)
		output := encode(t, data.Decide(g))
		validate(t, schema, output)
		if output != encode(t, data.Decide(judged(t, book))) {
			t.Errorf("%s: two judgements of it differ", book)
		}
		var d struct {
			Verdicts []struct {
				Treatment string
				Target    struct{ Path string }
				Verdict   judge.Word
				Reasons   []json.RawMessage
			}
		}
		if err := json.Unmarshal([]byte(output), &d); err != nil {
			t.Fatal(err)
		}
		if len(d.Verdicts) != len(g.Verdicts) {
			t.Fatalf("%s: %d verdicts printed of %d", book, len(d.Verdicts), len(g.Verdicts))
		}
		for i, v := range d.Verdicts {
			if w := g.Verdicts[i]; v.Verdict != w.Word || v.Treatment != w.Treatment.ID || v.Target.Path != w.Target.Path {
				t.Errorf("%s: place %d: %v, want %s of %s", book, i, v, w.Word, w.Treatment.ID)
			}
			if (v.Verdict == judge.RuledOut || v.Verdict == judge.TestFirst) && len(v.Reasons) == 0 {
				t.Errorf("%s: %s of %s on %s has no reason", book, v.Verdict, v.Treatment, v.Target.Path)
			}
		}
	}
}

// TestWhyJSON does the same for why, of one verdict of each word.
func TestWhyJSON(t *testing.T) {
	schema := strictly(t, say(t, exitDone, "schema", "why"))
	for _, book := range books(t) {
		g := judged(t, book)
		for _, w := range allVerdicts {
			if v := first(g, func(v *judge.Verdict) bool { return v.Word == w }); v != nil {
				validate(t, schema, encode(t, data.Why(g, []*judge.Verdict{v})))
			}
		}
	}
}

// TestTinyJSON holds a case whose proof has cases, a withdrawn rule and a contradiction against the schemas: the example
// books may hold none.
func TestTinyJSON(t *testing.T) {
	pack := []string{"--pack", "../../testdata/packs/tiny.yaml", "--pack", "../../testdata/packs/tiny-house.yaml", "--json", "--on", "record"}
	book := "../../testdata/packs/tiny-book.yaml"
	decide := say(t, exitDone, append([]string{"decide", book}, pack...)...)
	validate(t, strictly(t, say(t, exitDone, "schema", "decide")), decide)
	why := say(t, exitDone, append([]string{"why", book, "damp-cloth"}, pack...)...)
	validate(t, strictly(t, say(t, exitDone, "schema", "why")), why)
	for key, text := range map[string]string{"contradictions": decide, "cases": decide, "withdrawn": why} {
		if !strings.Contains(text, fmt.Sprintf("%q: {", key)) && !strings.Contains(text, fmt.Sprintf("%q: [\n", key)) {
			t.Errorf("the case has no %s to hold against the schema", key)
		}
	}
}
