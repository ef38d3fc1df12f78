package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"tideline/rules/vocab"
)

// schema is a JSON Schema, or a piece of one.
type schema map[string]any

// Schema gives the JSON Schema (draft 2020-12) of book records under a pack, for editors. It knows the keys and the
// form of each value; what hangs on other parts of the record (names referred to, places on a side) only [Parse] checks.
// The same words give the same bytes.
func Schema(words *Words) []byte {
	defs := schema{}
	for _, l := range levels {
		defs[l.def] = l.schema(words)
	}
	top := bookLevel.schema(words)
	top["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	top["title"] = "Book record"
	top["description"] = fmt.Sprintf("A book record, edition %d: what a book is made of, what was asked of it, and what was done to it.", Edition)
	top["$defs"] = defs

	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(top); err != nil {
		panic(err) // only strings, numbers, lists and maps are in it
	}
	return b.Bytes()
}

// schema of a level: its keys and no others.
func (l *level) schema(words *Words) schema {
	properties, required := schema{}, []string{}
	for _, k := range l.keys {
		v := k.value(words)
		v["description"] = strings.ToUpper(k.says[:1]) + k.says[1:] + "."
		properties[k.name] = v
		if k.need != optional {
			required = append(required, k.name)
		}
	}
	s := schema{"type": "object", "properties": properties, "additionalProperties": false}
	if len(required) > 0 {
		s["required"] = required
	}
	maps.Copy(s, l.also)
	return s
}

// The values of keys.

func text(*Words) schema { return schema{"type": []string{"string", "number", "boolean"}} }

func names(*Words) schema   { return oneOrMore(schema{"type": []string{"string", "number", "boolean"}}) }
func edition(*Words) schema { return schema{"const": Edition} }
func yesNo(*Words) schema   { return schema{"enum": []any{"yes", "no", true, false}} }

func date(*Words) schema {
	return schema{"type": "string", "pattern": `^[0-9]{4}-[0-9]{2}-[0-9]{2}([T ][0-9]{2}:[0-9]{2}(:[0-9]{2})?)?$`}
}

func grade(*Words) schema {
	return schema{"enum": []any{1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5, "1-2", "2-3", "3-4", "4-5"}}
}

func number(*Words) schema {
	return schema{"anyOf": []any{schema{"type": "number"}, schema{"type": "string", "pattern": withUnit}}}
}

func plainNumber(*Words) schema { return schema{"type": "number"} }

func result(*Words) schema { return oneOf(outcomes) }

// withUnit is a number with or without a unit, as text.
const withUnit = `^\s*[-+]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][-+]?[0-9]+)?\s*([^-+.0-9\s]\S*)?\s*$`

func point(*Words) schema {
	return schema{"type": "array", "items": schema{"type": "number"}, "minItems": 2, "maxItems": 2}
}

func sizes(*Words) schema {
	side := schema{"type": "number", "exclusiveMinimum": 0, "maximum": maxSize}
	return schema{"type": "array", "items": side, "minItems": 2, "maxItems": 2}
}

func pointsOf(least int) func(*Words) schema {
	return func(w *Words) schema {
		return schema{"type": "array", "items": point(w), "minItems": least, "maxItems": maxPoints}
	}
}

// oneOf is a word of a list; of an empty list there is none.
func oneOf(words []string) schema { return schema{"enum": append([]string{}, words...)} }

func aims(w *Words) schema { return oneOrMore(oneOf(w.Aims)) }

func oneOrMore(one schema) schema {
	return schema{"anyOf": []any{one, schema{"type": "array", "items": one, "uniqueItems": true}}}
}

func weights(w *Words) schema {
	properties := schema{}
	for name, b := range w.Criteria {
		properties[name] = schema{"type": "number", "minimum": b.From, "maximum": b.To}
	}
	return schema{"type": "object", "properties": properties, "additionalProperties": false}
}

func limits(w *Words) schema {
	return schema{"anyOf": []any{schema{"const": "none"}, seenOf(vocab.Owner)(w)}}
}

func treatment(w *Words) schema { return oneOf(slices.Sorted(maps.Keys(w.Treatments))) }

func testable(w *Words) schema {
	var ids []string
	for _, id := range w.Vocabulary.IDs() {
		if !w.Vocabulary.Question(id).Measured {
			ids = append(ids, id)
		}
	}
	return oneOf(ids)
}

func kindOf(k vocab.Kind) func(*Words) schema {
	return func(w *Words) schema {
		if q := w.Vocabulary.Question(string(k) + ".kind"); q != nil {
			return answerTo(q)
		}
		return text(w)
	}
}

func seenOf(k vocab.Kind) func(*Words) schema {
	return func(w *Words) schema {
		properties := schema{}
		for _, q := range askable(w, k) {
			answer := answerTo(q)
			answer["description"] = strings.TrimSpace(q.Asks + " Answer: " + q.Expected() + ".")
			properties[q.Name] = answer
		}
		return schema{"type": "object", "properties": properties, "additionalProperties": false}
	}
}

// answerTo is the form of an answer to a question.
func answerTo(q *vocab.Question) schema {
	switch q.Type {
	case vocab.YesNo:
		return yesNo(nil)
	case vocab.Grade:
		return grade(nil)
	case vocab.Words:
		return oneOf(q.Words)
	}
	plain := schema{"type": "number", "minimum": q.From, "maximum": q.To}
	return schema{"anyOf": []any{plain, schema{"type": "string", "pattern": withUnit}}}
}

func object(l *level) func(*Words) schema {
	return func(*Words) schema { return schema{"$ref": "#/$defs/" + l.def} }
}

func named(l *level, most int) func(*Words) schema {
	return func(*Words) schema {
		return schema{
			"type": "object", "additionalProperties": schema{"$ref": "#/$defs/" + l.def}, "maxProperties": most,
			"propertyNames": schema{"pattern": `^[^/\s]+$`, "not": oneOf(reserved)},
		}
	}
}

func listOf(l *level, most int) func(*Words) schema {
	return func(*Words) schema {
		return schema{"type": "array", "items": schema{"$ref": "#/$defs/" + l.def}, "maxItems": most}
	}
}

// atMostOne says that no two of the keys stand together.
func atMostOne(keys ...string) schema {
	var pairs []any
	for i, a := range keys {
		for _, b := range keys[i+1:] {
			pairs = append(pairs, schema{"not": schema{"required": []string{a, b}}})
		}
	}
	return schema{"allOf": pairs}
}

// exactlyOne says that one of the keys stands there.
func exactlyOne(keys ...string) schema {
	var each []any
	for _, k := range keys {
		each = append(each, schema{"required": []string{k}})
	}
	return schema{"oneOf": each}
}
