package record

import (
	"flag"
	"os"
	"testing"
	"time"

	"tideline/rules/vocab"
)

var update = flag.Bool("update", false, "write golden files anew")

const records = "../../testdata/records/"

// today is the day on which the records of the tests are read.
var today = time.Date(2026, 11, 25, 18, 0, 0, 0, time.UTC)

// smallWords is a small vocabulary with every type of answer, most units, and a kind of thing that is asked nothing.
func smallWords() *Words {
	v := vocab.NewVocabulary()
	add := func(k vocab.Kind, name string, q vocab.Question) {
		q.ID, q.Kind, q.Name, q.Asks = string(k)+"."+name, k, name, "What of "+name+"?"
		if !v.Add(&q) {
			panic(q.ID)
		}
	}
	yesNo, grade := vocab.Question{Type: vocab.YesNo}, vocab.Question{Type: vocab.Grade, From: 1, To: 5}
	words := func(w ...string) vocab.Question { return vocab.Question{Type: vocab.Words, Words: w} }
	number := func(unit string, from, to float64) vocab.Question {
		return vocab.Question{Type: vocab.Number, Unit: unit, From: from, To: to}
	}
	add(vocab.Book, "year", number("year", 1400, 2100))
	add(vocab.Book, "fastened", yesNo)
	add(vocab.Owner, "keeps_fasteners", vocab.Question{Type: vocab.YesNo, Limit: true})
	add(vocab.Owner, "refuses_wet_work", vocab.Question{Type: vocab.YesNo, Limit: true})
	add(vocab.Owner, "wishes", words("none", "many"))
	add(vocab.Bench, "fume_extraction", yesNo)
	add(vocab.Bench, "room", number("degC", -20, 60))
	add(vocab.Part, "kind", words("cover", "wrap", "insert"))
	add(vocab.Part, "furnish", words("rag", "chemical pulp", "groundwood"))
	add(vocab.Part, "surface_ph", number("pH", 0, 14))
	add(vocab.Part, "absorbency", number("s", 0, 3600))
	add(vocab.Side, "coating", words("none", "clay"))
	add(vocab.Ink, "kind", words("printing ink", "stamp"))
	add(vocab.Ink, "wet", grade)
	add(vocab.Ink, "dry", grade)
	add(vocab.Finding, "kind", words("tear", "water stain", "rust stain", "mould"))
	add(vocab.Finding, "severity", words("slight", "moderate", "heavy"))
	add(vocab.Finding, "active", yesNo)
	add(vocab.Finding, "width", number("mm", 0, 500))
	add(vocab.Fastener, "kind", words("staple", "thread"))
	add(vocab.Fastener, "rust", words("none", "film", "crust"))
	return &Words{
		Vocabulary: v,
		Aims:       []string{"stable", "readable", "clean"},
		Criteria:   map[string]Bounds{"stability": {0.5, 1}, "appearance": {0, 0.8}},
		Treatments: map[string]vocab.Kind{"dry-brush": vocab.Part, "tissue-mend": vocab.Finding, "leave-alone": vocab.Book},
	}
}

// golden compares got with a golden file, or writes it.
func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if os.Getenv("CI") != "" {
			t.Fatal("-update is refused where CI is set: golden files are made by a person who reads them")
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s is out of date; run with -update and read what changed (at byte %d of %d)", path, differ(got, string(want)), len(got))
	}
}

// differ gives the first byte at which two texts differ.
func differ(a, b string) int {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return i
		}
	}
	return min(len(a), len(b))
}
