package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/santhosh-tekuri/jsonschema/v6/kind"
	"gopkg.in/yaml.v3"

	"tideline/rules/fault"
	"tideline/rules/vocab"
)

// compiled is the schema under smallWords, as an independent validator reads it.
func compiled(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema(smallWords())))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("book.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("book.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// tree reads good.yaml as an editor does: as JSON values, with yes, no and dates as text.
func tree(t *testing.T) map[string]any {
	t.Helper()
	data, err := os.ReadFile(records + "good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var n yaml.Node
	if err := yaml.Unmarshal(data, &n); err != nil {
		t.Fatal(err)
	}
	return plain(n.Content[0]).(map[string]any)
}

func plain(n *yaml.Node) any {
	switch n.Kind {
	case yaml.MappingNode:
		m := map[string]any{}
		for i := 0; i < len(n.Content); i += 2 {
			m[n.Content[i].Value] = plain(n.Content[i+1])
		}
		return m
	case yaml.SequenceNode:
		list := []any{}
		for _, c := range n.Content {
			list = append(list, plain(c))
		}
		return list
	}
	var v any = n.Value
	if tag := n.ShortTag(); tag == "!!int" || tag == "!!float" {
		v = json.Number(n.Value)
	}
	return v
}

// place is a mapping of the tree, with the way to it.
type place struct {
	path string
	m    map[string]any
}

func mappings(path string, v any) []place {
	var all []place
	switch v := v.(type) {
	case map[string]any:
		all = append(all, place{path, v})
		for _, k := range slices.Sorted(maps.Keys(v)) {
			all = append(all, mappings(path+"/"+k, v[k])...)
		}
	case []any:
		for i, item := range v {
			all = append(all, mappings(fmt.Sprintf("%s/%d", path, i), item)...)
		}
	}
	return all
}

// told gives the summaries of all faults that the loader finds in the tree.
func told(t *testing.T, root any) []string {
	t.Helper()
	data, err := json.Marshal(root)
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	Parse("b.json", data, smallWords(), today, faults)
	var all []string
	for _, f := range faults.All() {
		all = append(all, f.Summary)
	}
	return all
}

// refusals flattens what the validator says against the tree: at each place, the keys it does not know or misses.
func refusals(t *testing.T, s *jsonschema.Schema, root any) (unknown, missing map[string]bool, valid bool) {
	t.Helper()
	unknown, missing = map[string]bool{}, map[string]bool{}
	data, err := json.Marshal(root)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	err = s.Validate(doc)
	if err == nil {
		return unknown, missing, true
	}
	var walk func(e *jsonschema.ValidationError)
	walk = func(e *jsonschema.ValidationError) {
		at := strings.Join(append([]string{""}, e.InstanceLocation...), "/")
		switch k := e.ErrorKind.(type) {
		case *kind.AdditionalProperties:
			for _, p := range k.Properties {
				unknown[at+"/"+p] = true
			}
		case *kind.PropertyNames:
			unknown[k.Property] = true // the validator's place of these is not to be relied on
		case *kind.Required:
			for _, p := range k.Missing {
				missing[at+"/"+p] = true
			}
		}
		for _, c := range e.Causes {
			walk(c)
		}
	}
	walk(err.(*jsonschema.ValidationError))
	return unknown, missing, false
}

// TestSchemaKnowsTheSameKeys adds every key that is known anywhere, and some that are not, at every place of a good
// record: the loader and the schema refuse the same ones.
func TestSchemaKnowsTheSameKeys(t *testing.T) {
	s, root := compiled(t), tree(t)
	if faults := told(t, root); len(faults) > 0 {
		t.Fatalf("the loader refuses the good record: %v", faults)
	}
	if unknown, missing, valid := refusals(t, s, root); !valid {
		t.Fatalf("the schema refuses the good record: %v %v", unknown, missing)
	}
	keys := map[string]bool{"zebra": true, "a b": true, "a/b": true, "": true, "Kind": true, "none": true}
	for _, l := range append(levels, &bookLevel) {
		for _, name := range l.names() {
			keys[name] = true
		}
	}
	for _, k := range vocab.Kinds {
		for _, q := range smallWords().Vocabulary.Of(k) {
			keys[q.Name] = true
		}
	}
	for _, word := range append(slices.Collect(maps.Keys(smallWords().Criteria)), reserved...) {
		keys[word] = true
	}
	tried, refused := 0, 0
	for _, at := range mappings("", root) {
		for key := range keys {
			if _, there := at.m[key]; there {
				continue
			}
			at.m[key] = map[string]any{"never": 1}
			loader := false
			for _, summary := range told(t, root) {
				loader = loader || refusesKey(summary, key)
			}
			unknown, _, _ := refusals(t, s, root)
			delete(at.m, key)
			if schema := unknown[at.path+"/"+key] || unknown[key]; schema != loader {
				t.Errorf("%s/%s: refused by the loader: %v, by the schema: %v", at.path, key, loader, schema)
			}
			tried++
			if loader {
				refused++
			}
		}
	}
	if tried < 1000 || refused == 0 || refused == tried {
		t.Errorf("%d keys tried, %d refused: is the good record whole?", tried, refused)
	}
}

// refusesKey tells whether a fault is about the key as such, not its value.
func refusesKey(summary, key string) bool {
	for _, start := range []string{"unknown word %q", "unknown criterion %q", "name %q has a", "%q cannot be the name of"} {
		if strings.HasPrefix(summary, fmt.Sprintf(start, key)) {
			return true
		}
	}
	return key == "" && summary == "a name is missing" || strings.HasSuffix(summary, "."+key+" is not answered here")
}

// TestSchemaMissesTheSameKeys takes away each key of a good record.
func TestSchemaMissesTheSameKeys(t *testing.T) {
	s, root := compiled(t), tree(t)
	needed := map[string]bool{}
	for _, at := range mappings("", root) {
		for _, key := range slices.Sorted(maps.Keys(at.m)) {
			value := at.m[key]
			delete(at.m, key)
			loader := false
			for _, summary := range told(t, root) {
				loader = loader || summary == fmt.Sprintf("%q is missing", key) || summary == "the test has no answer"
			}
			_, missing, _ := refusals(t, s, root)
			at.m[key] = value
			if missing[at.path+"/"+key] != loader {
				t.Errorf("%s/%s: missed by the loader: %v, by the schema: %v", at.path, key, loader, !loader)
			}
			if loader {
				needed[key] = true
			}
		}
	}
	const want = "date grade kind number on record step test title word yes"
	if got := strings.Join(slices.Sorted(maps.Keys(needed)), " "); got != want {
		t.Errorf("needed keys: %s, want %s", got, want)
	}
}

// TestSchemaTakesTheSameValues tries values of every form in turn for some keys.
func TestSchemaTakesTheSameValues(t *testing.T) {
	s := compiled(t)
	values := []string{
		`"yes"`, `"no"`, `true`, `"on"`, `1`, `1.5`, `1.25`, `"4-5"`, `"5-6"`, `"5 s"`, `"5 parsecs"`, `-1`, `99999`,
		`"rag"`, `"none"`, `"many"`, `[]`, `{}`, `[1, 2]`, `[0, 2]`, `[1, 2, 3]`, `["1", "2"]`, `[[0, 0], [1, 1]]`, `[[0, 0], [9, 0], [9, 9]]`,
		`"2026-10-12"`, `"2026-10-12T15:30"`, `"12.10.2026"`, `["clean"]`, `"clean"`, `["clean", "clean"]`, `"155 °F"`, `0.4`,
	}
	for _, at := range []struct {
		frame string // with %s for the value
		more  string // values told apart only by the loader: units, real dates
	}{
		{`{"record": 1, "title": "T", "seen": {"fastened": %s}}`, ``},
		{`{"record": 1, "title": "T", "examined": %s}`, ``},
		{`{"record": 1, "title": "T", "listed": {"inks": %s}}`, ``},
		{`{"record": 1, "title": "T", "by": %s}`, ``},
		{`{"record": %s, "title": "T"}`, ``},
		{`{"record": 1, "title": "T", "owner": {"aims": %s}}`, ``},
		{`{"record": 1, "title": "T", "owner": {"limits": %s}}`, ``},
		{`{"record": 1, "title": "T", "owner": {"limits": {"wishes": %s}}}`, ``},
		{`{"record": 1, "title": "T", "owner": {"weights": {"appearance": %s}}}`, ``},
		{`{"record": 1, "title": "T", "parts": {"c": {"kind": "cover", "size": %s}}}`, ``},
		{`{"record": 1, "title": "T", "parts": {"c": {"kind": "cover", "seen": {"furnish": %s}}}}`, ``},
		{`{"record": 1, "title": "T", "parts": {"c": {"kind": "cover", "seen": {"absorbency": %s}}}}`, `"5 parsecs" "155 °F"`},
		{`{"record": 1, "title": "T", "parts": {"c": {"kind": "cover", "inside": {"inks": {"i": {"kind": "stamp", "seen": {"wet": %s}}}}}}}`, ``},
		{`{"record": 1, "title": "T", "parts": {"c": {"kind": "cover", "size": [50, 50], "inside": {"findings": {"f": {"kind": "tear", "line": %s}}}}}}`, ``},
		{`{"record": 1, "title": "T", "parts": {"c": {"kind": "cover", "size": [50, 50], "inside": {"findings": {"f": {"kind": "tear", "area": %s}}}}}}`, ``},
		{`{"record": 1, "title": "T", "parts": {"c": {"kind": "cover", "size": [50, 50], "inside": {"findings": {"f": {"kind": "tear", "at": %s}}}}}}`, ``},
		{`{"record": 1, "title": "T", "parts": {"c": {"kind": %s}}}`, ``},
		{`{"record": 1, "title": "T", "tests": %s}`, ``},
	} {
		for _, v := range values {
			var root any
			d := json.NewDecoder(strings.NewReader(fmt.Sprintf(at.frame, v)))
			d.UseNumber()
			if err := d.Decode(&root); err != nil {
				t.Fatal(err)
			}
			loader := told(t, root)
			_, _, valid := refusals(t, s, root)
			if strings.Contains(at.more, v) && valid && len(loader) > 0 {
				continue
			}
			if valid != (len(loader) == 0) {
				t.Errorf("%s with %s: loader %v, schema takes it: %v", at.frame, v, loader, valid)
			}
		}
	}
}

// TestSchemaText holds the schema under the small vocabulary as a golden file, and that it is well described.
func TestSchemaText(t *testing.T) {
	got := Schema(smallWords())
	if !bytes.Equal(got, Schema(smallWords())) {
		t.Error("two schemas of the same words differ")
	}
	golden(t, records+"small.schema.json", string(got))
	for _, l := range append(levels, &bookLevel) {
		for _, k := range l.keys {
			if k.says == "" || strings.HasSuffix(k.says, ".") {
				t.Errorf("%s, %s: described as %q", l.what, k.name, k.says)
			}
		}
	}
}
