package export

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tideline/engine/judge"
	"tideline/engine/suppose"
)

// A graph is a PROV-JSON document as the checker below reads it, without the code that wrote it.
type graph map[string]map[string]map[string]any

func graphOf(t *testing.T, doc any) graph {
	t.Helper()
	g := graph{}
	for section, records := range doc.(map[string]any) {
		if section == "prefix" {
			continue
		}
		g[section] = map[string]map[string]any{}
		for id, attributes := range records.(map[string]any) {
			g[section][id] = attributes.(map[string]any)
		}
	}
	return g
}

// relations gives the records of a section, by name.
func (g graph) relations(section string) (list []map[string]any) {
	for _, id := range slices.Sorted(maps.Keys(g[section])) {
		list = append(list, g[section][id])
	}
	return list
}

// roles says what each relation must join (W3C PROV-CONSTRAINTS, 30 April 2013, constraint 50, typing).
var roles = map[string]map[string]string{
	"used":              {"prov:activity": "activity", "prov:entity": "entity"},
	"wasGeneratedBy":    {"prov:entity": "entity", "prov:activity": "activity"},
	"wasInvalidatedBy":  {"prov:entity": "entity", "prov:activity": "activity"},
	"wasDerivedFrom":    {"prov:generatedEntity": "entity", "prov:usedEntity": "entity"},
	"wasAssociatedWith": {"prov:activity": "activity", "prov:agent": "agent", "prov:plan": "entity"},
	"specializationOf":  {"prov:specificEntity": "entity", "prov:generalEntity": "entity"},
	"hadMember":         {"prov:collection": "entity", "prov:entity": "entity"},
}

// broken tells which constraints of PROV-CONSTRAINTS a document breaks. The numbers are those of the Recommendation;
// those from 24 to 49 are from memory, the names were seen.
func broken(g graph) (list []string) {
	say := func(format string, args ...any) { list = append(list, fmt.Sprintf(format, args...)) }
	for section := range g {
		if _, known := roles[section]; !known && section != "entity" && section != "activity" && section != "agent" {
			say("section %s is not checked", section)
		}
	}
	for _, id := range slices.Sorted(maps.Keys(g["entity"])) {
		if g["activity"][id] != nil {
			say("55 entity-activity-disjoint: %s", id)
		}
	}
	for section, keys := range roles {
		for _, r := range g.relations(section) {
			for key, kind := range keys {
				if id, given := r[key]; given && g[kind][id.(string)] == nil {
					say("50 typing: %s of %s: no %s %v", key, section, kind, id)
				}
			}
		}
	}
	for section, what := range map[string]string{"wasGeneratedBy": "24 unique-generation", "wasInvalidatedBy": "25 unique-invalidation"} {
		seen := map[any]bool{}
		for _, r := range g.relations(section) {
			if seen[r["prov:entity"]] {
				say("%s: %v", what, r["prov:entity"])
			}
			seen[r["prov:entity"]] = true
		}
	}
	for _, r := range g.relations("specializationOf") {
		if r["prov:specificEntity"] == r["prov:generalEntity"] {
			say("52 impossible-specialization-reflexive: %v", r["prov:specificEntity"])
		}
	}
	return append(list, g.order()...)
}

// events orders what happened, by the constraints on events; strictly where a constraint says so.
type events struct {
	after map[string][]string // from an event to those that cannot be before it
	times map[string]string   // of the events whose time is given
}

// order tells which constraints on the order of events are broken: there must be one order that agrees with all of them
// and with the times given.
func (g graph) order() (list []string) {
	e := events{after: map[string][]string{}, times: map[string]string{}}
	before := func(a, b string) { e.after[a] = append(e.after[a], b) }
	for id, a := range g["activity"] {
		before("start "+id, "end "+id) // 30 start-precedes-end
		for key, event := range map[string]string{"prov:startTime": "start ", "prov:endTime": "end "} {
			if s, ok := a[key].(string); ok {
				e.times[event+id] = s
			}
		}
	}
	text := func(r map[string]any, key string) string { s, _ := r[key].(string); return s }
	for i, r := range g.relations("used") {
		use := fmt.Sprintf("use %d of %s", i, text(r, "prov:entity"))
		before("start "+text(r, "prov:activity"), use) // 33 usage-within-activity
		before(use, "end "+text(r, "prov:activity"))
		before("generation of "+text(r, "prov:entity"), use)   // 37 generation-precedes-usage
		before(use, "invalidation of "+text(r, "prov:entity")) // 38 usage-precedes-invalidation
	}
	for section, event := range map[string]string{"wasGeneratedBy": "generation of ", "wasInvalidatedBy": "invalidation of "} {
		for _, r := range g.relations(section) { // 34 generation-within-activity, 36 generation-precedes-invalidation
			before("start "+text(r, "prov:activity"), event+text(r, "prov:entity"))
			before(event+text(r, "prov:entity"), "end "+text(r, "prov:activity"))
			before("generation of "+text(r, "prov:entity"), "invalidation of "+text(r, "prov:entity"))
		}
	}
	for _, r := range g.relations("wasDerivedFrom") { // 42 derivation-generation-generation-ordering
		before("generation of "+text(r, "prov:usedEntity"), "generation of "+text(r, "prov:generatedEntity"))
	}
	for _, r := range g.relations("specializationOf") { // 45 and 46 specialization-generation- and -invalidation-ordering
		before("generation of "+text(r, "prov:generalEntity"), "generation of "+text(r, "prov:specificEntity"))
		before("invalidation of "+text(r, "prov:specificEntity"), "invalidation of "+text(r, "prov:generalEntity"))
	}
	for event, s := range e.times {
		if _, err := time.Parse(time.RFC3339, s); err != nil {
			list = append(list, "not an xsd:dateTime: "+event+" "+s)
		}
	}
	return append(list, e.contradicted()...)
}

// contradicted finds events with times of which the later, by the constraints, has the earlier time. It spreads the
// latest time known before each event along the order until nothing moves.
func (e *events) contradicted() (list []string) {
	least := map[string]string{}
	queue := slices.Sorted(maps.Keys(e.times))
	for _, event := range queue {
		least[event] = e.times[event]
	}
	for len(queue) > 0 {
		event := queue[0]
		queue = queue[1:]
		for _, next := range e.after[event] {
			if least[event] > least[next] {
				least[next] = least[event]
				queue = append(queue, next)
			}
		}
	}
	for event, s := range e.times {
		if least[event] > s {
			list = append(list, fmt.Sprintf("order of events: %s is at %s, but not before %s", event, s, least[event]))
		}
	}
	slices.Sort(list)
	return list
}

// TestProv holds documents against the published schema and against PROV-CONSTRAINTS, and against the judgement.
func TestProv(t *testing.T) {
	schema := compiled(t, map[string]string{"prov.json": "prov/prov-json.schema.json"}, "prov.json")
	if schema.Validate(map[string]any{"used": map[string]any{"_:a": map[string]any{"prov:activity": "a:b"}}}) == nil {
		t.Fatal("the schema lets a usage of nothing pass")
	}
	everyBook(t, func(t *testing.T, g *judge.Judgement) {
		_, doc := encoded(t, Prov(g, nil))
		if err := schema.Validate(doc); err != nil {
			t.Error(err)
		}
		p := graphOf(t, doc)
		for _, b := range broken(p) {
			t.Error(b)
		}
		count := map[string]int{}
		for _, e := range p["entity"] {
			count[fmt.Sprint(e["prov:type"].(map[string]any)["$"])]++
		}
		for kind, want := range map[string]int{
			"tideline:Answer": len(g.Case.Book.Results), "tideline:Verdict": len(g.Verdicts), "tideline:State": len(g.Case.Book.Done),
			"prov:Plan": len(g.Case.Pack.Layers), "prov:Collection": 1, "tideline:Book": 1,
		} {
			if count[kind] != want {
				t.Errorf("%d entities are %s, want %d", count[kind], kind, want)
			}
		}
		if n := len(p["wasInvalidatedBy"]); n != historyOf(g).stale() {
			t.Errorf("%d answers invalidated, want %d", n, historyOf(g).stale())
		}
	})
}

// TestPrefixes checks that every name in a document has a prefix that is declared there, or that PROV itself knows.
func TestPrefixes(t *testing.T) {
	_, doc := encoded(t, Prov(tiny(t), nil))
	declared := map[string]bool{"prov": true, "xsd": true, "_": true}
	for prefix := range doc.(map[string]any)["prefix"].(map[string]any) {
		declared[prefix] = true
	}
	names := 0
	for section, records := range graphOf(t, doc) {
		for id, attributes := range records {
			for _, name := range append(slices.Collect(maps.Keys(attributes)), id) {
				prefix, _, found := strings.Cut(name, ":")
				if names++; !found || !declared[prefix] {
					t.Errorf("%s: the name %s", section, name)
				}
			}
		}
	}
	if names == 0 {
		t.Fatal("no names")
	}
}

// TestBroken checks that the checker notices what it is there to notice.
func TestBroken(t *testing.T) {
	first := func(g graph, section string) map[string]any { return g.relations(section)[0] }
	p, err := shipped()
	if err != nil {
		t.Fatal(err)
	}
	d := Prov(judged(t, p, "../../testdata/books/ropewalk-review.yaml"), nil)
	_, doc := encoded(t, d)
	if list := broken(graphOf(t, doc)); len(list) > 0 {
		t.Fatalf("broken as it is: %v", list)
	}
	for _, tt := range []struct {
		want   string
		change func(graph)
	}{
		{"55", func(g graph) { g["activity"][g.relations("hadMember")[0]["prov:entity"].(string)] = map[string]any{} }},
		{"50", func(g graph) { first(g, "used")["prov:entity"] = "book:nothing" }},
		{"50", func(g graph) {
			first(g, "wasAssociatedWith")["prov:agent"] = first(g, "wasAssociatedWith")["prov:activity"]
		}},
		{"24", func(g graph) { g["wasGeneratedBy"]["_:twice"] = first(g, "wasGeneratedBy") }},
		{"25", func(g graph) {
			r := map[string]any{"prov:entity": first(g, "wasGeneratedBy")["prov:entity"], "prov:activity": first(g, "wasGeneratedBy")["prov:activity"]}
			g["wasInvalidatedBy"] = map[string]map[string]any{"_:a": r, "_:b": r}
		}},
		{"52", func(g graph) { r := first(g, "specializationOf"); r["prov:generalEntity"] = r["prov:specificEntity"] }},
		{"order", func(g graph) { // the examination after the judging
			for id, a := range g["activity"] {
				if strings.HasPrefix(id, "book:examination/") {
					a["prov:startTime"], a["prov:endTime"] = "2030-01-01T00:00:00Z", "2030-01-01T23:59:59Z"
				}
			}
		}},
		{"order", func(g graph) { // an activity that ends before it starts
			for _, a := range g["activity"] {
				a["prov:endTime"] = "1999-01-01T00:00:00Z"
			}
		}},
		{"order", func(g graph) { // an answer made stale before it was given
			for id, a := range g["activity"] {
				if strings.HasPrefix(id, "book:step/") {
					a["prov:startTime"], a["prov:endTime"] = "1999-01-01T00:00:00Z", "1999-01-01T23:59:59Z"
					g["wasInvalidatedBy"] = map[string]map[string]any{"_:a": {"prov:entity": first(g, "hadMember")["prov:entity"], "prov:activity": id}}
				}
			}
		}},
		{"not an xsd:dateTime", func(g graph) {
			for _, a := range g["activity"] {
				a["prov:endTime"] = "in spring"
			}
		}},
	} {
		_, doc := encoded(t, d)
		g := graphOf(t, doc)
		tt.change(g)
		if list := broken(g); !slices.ContainsFunc(list, func(s string) bool { return strings.HasPrefix(s, tt.want) }) {
			t.Errorf("%s was not noticed: %v", tt.want, list)
		}
	}
}

// TestUsed checks that a judging used every answer its verdict rests on: with any other answer taken away, the verdict
// stays the same.
func TestUsed(t *testing.T) {
	g := tiny(t)
	_, doc := encoded(t, Prov(g, nil))
	p := graphOf(t, doc)
	used := map[string]map[string]bool{}
	for _, r := range p.relations("used") {
		judging := r["prov:activity"].(string)
		if used[judging] == nil {
			used[judging] = map[string]bool{}
		}
		used[judging][r["prov:entity"].(string)] = true
	}
	h := &prov{history: historyOf(g)}
	for judging := range used {
		if rest, found := strings.CutPrefix(judging, "book:judging/"); found {
			h.digest, _, _ = strings.Cut(rest, "/")
		}
	}
	tried, useful := 0, 0
	for _, ask := range g.Case.Asks {
		if !ask.Answer.Known || ask.Question == nil || fromRecord(ask.Question) {
			continue
		}
		r, err := suppose.Suppose(g, []suppose.Answer{{Thing: ask.Thing.Record, Question: ask.Question}})
		if err != nil {
			t.Fatal(err)
		}
		changed := map[string]bool{}
		for _, c := range r.Changes {
			if c.Before != nil && c.After != nil {
				changed[c.Before.Treatment.ID+"/"+c.Before.Target.Path] = true
			}
		}
		for _, v := range g.Verdicts {
			what := v.Treatment.ID + "/" + v.Target.Path
			reads := used["book:judging/"+h.digest+"/"+what][h.answerID(ask.Result)]
			if tried++; changed[what] && !reads {
				t.Errorf("%s hangs on %s, which its judging did not use", what, h.answerID(ask.Result))
			}
			if changed[what] {
				useful++
			}
		}
	}
	if tried == 0 || useful == 0 {
		t.Fatalf("%d tried, %d of them mattered", tried, useful)
	}
}

// TestUndated checks that what has no date gets none.
func TestUndated(t *testing.T) {
	g := tiny(t)
	for i := range g.Case.Book.Results {
		g.Case.Book.Results[i].Date = time.Time{}
	}
	g.Case.Book.Examined = time.Time{}
	_, doc := encoded(t, Prov(g, nil))
	for id, a := range graphOf(t, doc)["activity"] {
		if _, dated := a["prov:startTime"]; dated != strings.HasPrefix(id, "book:judging/") {
			t.Errorf("%s: a time is given: %v", id, dated)
		}
	}
	if diff := cmp.Diff("undated", moment(time.Time{})); diff != "" {
		t.Error(diff)
	}
}
