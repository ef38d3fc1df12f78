package export

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"tideline/engine/dose"
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
	"tideline/rules/vocab"
)

const standards = "../../testdata/standards/"

var shipped = sync.OnceValues(func() (*pack.Pack, error) {
	layer, err := packs.Shipped()
	if err != nil {
		return nil, err
	}
	faults := &fault.List{}
	return pack.Load([]pack.Layer{pack.Trim(layer)}, faults, dose.Functions()...), faults.Err()
})

// judged judges a book for the last day it mentions.
func judged(t *testing.T, p *pack.Pack, path string) *judge.Judgement {
	t.Helper()
	faults := &fault.List{}
	b := record.Load(path, nil, record.WordsOf(p), time.Time{}, faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// tiny judges the small book under the small pack.
func tiny(t *testing.T) *judge.Judgement {
	t.Helper()
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.ReadPath("../../testdata/packs/tiny.yaml", faults)}, faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return judged(t, p, "../../testdata/packs/tiny-book.yaml")
}

// everyBook judges every example book, and the small one.
func everyBook(t *testing.T, look func(t *testing.T, g *judge.Judgement)) {
	t.Helper()
	p, err := shipped()
	if err != nil {
		t.Fatal(err)
	}
	books, err := filepath.Glob("../../testdata/books/*.yaml")
	if err != nil || len(books) == 0 {
		t.Fatalf("no books: %v", err)
	}
	for _, path := range books {
		t.Run(filepath.Base(path), func(t *testing.T) { look(t, judged(t, p, path)) })
	}
	t.Run("tiny", func(t *testing.T) { look(t, tiny(t)) })
}

// encoded gives a document's bytes, and the same as a validator reads them.
func encoded(t *testing.T, d *Document) ([]byte, any) {
	t.Helper()
	b, err := Encode(d.Content)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return b, doc
}

// compiled reads schemas from testdata; the first is the one to validate by.
func compiled(t *testing.T, files map[string]string, main string) *jsonschema.Schema {
	t.Helper()
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	for url, file := range files {
		data, err := os.ReadFile(standards + file)
		if err != nil {
			t.Fatal(err)
		}
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		if err := c.AddResource(url, doc); err != nil {
			t.Fatal(err)
		}
	}
	s, err := c.Compile(main)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestUUID checks names against the example of RFC 9562, appendix A.4 (from memory): www.example.com in the name space
// of host names, which section 6.6 gives.
func TestUUID(t *testing.T) {
	hosts := urlSpace
	hosts[3] = 0x10
	if got := named(hosts, "www.example.com").String(); got != "2ed6657d-e927-568b-95e1-2665a8aea6a2" {
		t.Errorf("got %s", got)
	}
}

// TestLocal checks that names are escaped so that no two become one.
func TestLocal(t *testing.T) {
	for name, want := range map[string]string{"cover/outside/red": "cover/outside/red", "M. K.": "M.%20K.", "é%#:": "%C3%A9%25%23%3A"} {
		if got := local(name); got != want {
			t.Errorf("%q: got %s, want %s", name, got, want)
		}
	}
}

// TestSpan checks the seconds between which something dated lies.
func TestSpan(t *testing.T) {
	for _, tt := range []struct{ at, start, end string }{
		{"2026-10-13T00:00:00Z", "2026-10-13T00:00:00Z", "2026-10-13T23:59:59Z"},
		{"2026-10-13T15:30:00Z", "2026-10-13T15:30:00Z", "2026-10-13T15:30:59Z"},
		{"2026-10-13T15:30:12Z", "2026-10-13T15:30:12Z", "2026-10-13T15:30:12Z"},
	} {
		at, err := time.Parse(time.RFC3339, tt.at)
		if err != nil {
			t.Fatal(err)
		}
		if start, end := span(at); start != tt.start || end != tt.end {
			t.Errorf("%s: %s to %s", tt.at, start, end)
		}
	}
}

// TestSameBytes checks that documents are ASCII, the same for the same judgement, and hold the list of what is lost.
func TestSameBytes(t *testing.T) {
	everyBook(t, func(t *testing.T, g *judge.Judgement) {
		for _, standard := range Standards {
			d := As(standard, g, nil)
			first, _ := encoded(t, d)
			second, _ := encoded(t, As(standard, g, nil))
			if !bytes.Equal(first, second) {
				t.Errorf("%s: two exports differ", standard)
			}
			if i := bytes.IndexFunc(first, func(r rune) bool { return r > '~' }); i >= 0 {
				t.Errorf("%s: not ASCII at %d", standard, i)
			}
			for _, l := range d.Lost {
				text, err := json.Marshal(l)
				if err != nil {
					t.Fatal(err)
				}
				if !bytes.Contains(first, text[1:len(text)-1]) {
					t.Errorf("%s: not in the document: %s", standard, l)
				}
			}
			if told := strings.Contains(strings.Join(d.Lost, "\n"), "contradiction"); told != (len(g.Contradictions) > 0) {
				t.Errorf("%s: contradictions told %v", standard, told)
			}
		}
	})
}

// TestDigest checks that a judgement made from anything else has another name.
func TestDigest(t *testing.T) {
	g := tiny(t)
	b, was := g.Case.Book, digest(g, nil)
	for name, change := range map[string]func(){
		"a title": func() { b.Title += "x" }, "a hand": func() { b.By += "x" }, "an aim": func() { b.Aims = append(b.Aims, "x") },
		"a weight": func() { b.Weights = map[string]float64{"x": 1} }, "an answer": func() { b.Results[len(b.Results)-1].Answer.Num++ },
		"a note": func() { b.Results[0].Note += "x" }, "a date": func() { b.Results[0].Date = b.Results[0].Date.Add(time.Hour) },
		"a size":  func() { b.Things[3].Size = &record.Size{Width: 1, Height: 2} },
		"a shape": func() { b.Things[3].Shape.At = &record.Point{X: 1, Y: 2} },
		"a step":  func() { b.Done = append(b.Done, record.Done{Treatment: "bath", Target: b.Things[3]}) },
		"the day": func() { g.Case.On = g.Case.On.Add(24 * time.Hour) },
	} {
		keep, on := *b, g.Case.On
		things, results := make([]record.Thing, len(b.Things)), append([]record.Result(nil), b.Results...)
		for i, thing := range b.Things {
			things[i] = *thing
		}
		change()
		if digest(g, nil) == was {
			t.Errorf("%s changes nothing", name)
		}
		*b, g.Case.On = keep, on
		copy(b.Results, results)
		for i := range things {
			*b.Things[i] = things[i]
		}
		if digest(g, nil) != was {
			t.Fatalf("%s was not undone", name)
		}
	}
	if digest(g, []string{"x"}) == was {
		t.Error("a pack changes nothing")
	}
}

// TestLinkedArt holds records against the published schema, and every key and class against the published context.
func TestLinkedArt(t *testing.T) {
	schema := compiled(t, map[string]string{
		"https://linked.art/api/1.0/schema/object.json": "linked-art/object.json",
		"https://linked.art/api/1.0/schema/core.json":   "linked-art/core.json",
	}, "https://linked.art/api/1.0/schema/object.json")
	if schema.Validate(map[string]any{"@context": artDocuments, "id": "urn:uuid:x", "type": "HumanMadeObject", "_label": "x", "attributed_by": "x"}) == nil {
		t.Fatal("the schema lets a word pass for a list of assignments")
	}
	known := contextWords(t)
	everyBook(t, func(t *testing.T, g *judge.Judgement) {
		_, doc := encoded(t, LinkedArt(g, nil))
		if err := schema.Validate(doc); err != nil {
			t.Error(err)
		}
		vetTerms(t, doc, known)
		top := doc.(map[string]any)
		findings := 0
		for _, thing := range g.Case.Book.Things {
			if thing.Kind == vocab.Finding {
				findings++
			}
		}
		for key, want := range map[string]int{"attributed_by": findings, "modified_by": len(g.Case.Book.Done)} {
			if list, _ := top[key].([]any); len(list) != want {
				t.Errorf("%s has %d entries, want %d", key, len(list), want)
			}
		}
		h := historyOf(g)
		tests, _ := top["used_for"].([]any)
		if n := len(tests); n != len(h.tested) && n != len(h.tested)+1 {
			t.Errorf("used_for has %d entries for %d tests", n, len(h.tested))
		}
	})
}

// contextWords gives the words that the published context defines.
func contextWords(t *testing.T) map[string]bool {
	t.Helper()
	data, err := os.ReadFile(standards + "linked-art/context.json")
	if err != nil {
		t.Fatal(err)
	}
	var c struct {
		Context map[string]any `json:"@context"`
	}
	if err := json.Unmarshal(data, &c); err != nil || len(c.Context) < 100 {
		t.Fatalf("%d words, %v", len(c.Context), err)
	}
	words := map[string]bool{"@context": true}
	for word := range c.Context {
		words[word] = true
	}
	return words
}

var absolute = regexp.MustCompile(`^(urn:uuid:[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}(#[A-Za-z0-9%._~/-]+)?|http://vocab\.getty\.edu/aat/\d{9})$`)

// vetTerms checks that every key and class is defined, every name is a URI we mean to use, and every span runs forward.
func vetTerms(t *testing.T, v any, known map[string]bool) {
	t.Helper()
	switch v := v.(type) {
	case []any:
		for _, kid := range v {
			vetTerms(t, kid, known)
		}
	case map[string]any:
		for key, kid := range v {
			if !known[key] {
				t.Errorf("the context has no %q", key)
			}
			vetTerms(t, kid, known)
		}
		if class, _ := v["type"].(string); !known[class] {
			t.Errorf("the context has no class %q", class)
		}
		if id, ok := v["id"]; ok && !absolute.MatchString(fmt.Sprint(id)) {
			t.Errorf("the name %v", id)
		}
		if p, ok := v["assigned_property"].(string); ok && !known[p] {
			t.Errorf("the context has no property %q", p)
		}
		if begin, ok := v["begin_of_the_begin"].(string); ok && begin > v["end_of_the_end"].(string) {
			t.Errorf("from %s to %s", begin, v["end_of_the_end"])
		}
	}
}
