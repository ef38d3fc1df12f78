package drift

import (
	"os"
	"testing"
	"time"

	"tideline/engine/dose"
	"tideline/engine/record"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
)

const houseRules = `pack: house
withdraw:
  wash-moving-ink: {because: we fix such inks first, by: studio, date: 2026-02-01}
rules:
  house-no-faint-colour: {treatment: {family: wet}, each: ink, rules out when: ink.wet < 5, because: Colour that moves at all may stray., standing: house}
`

// shippedWith loads the shipped pack, with a house pack laid over it where there is one.
func shippedWith(b *testing.B, house string) *pack.Pack {
	b.Helper()
	shipped, err := packs.Shipped()
	if err != nil {
		b.Fatal(err)
	}
	layers := []pack.Layer{pack.Trim(shipped)}
	if house != "" {
		layers = append(layers, pack.Layer{Files: []pack.File{{Name: "house.yaml", Data: []byte(house)}}})
	}
	faults := &fault.List{}
	p := pack.Load(layers, faults, dose.Functions()...)
	if err := faults.Err(); err != nil {
		b.Fatal(err)
	}
	return p
}

// BenchmarkLargest is the largest example book, some answers corrected, under the shipped pack with a changed house pack.
func BenchmarkLargest(b *testing.B) {
	const name = "../../testdata/books/harbour-almanac.yaml"
	data, err := os.ReadFile(name)
	if err != nil {
		b.Fatal(err)
	}
	old, now := shippedWith(b, ""), shippedWith(b, houseRules)
	read := func(p *pack.Pack) *record.Book {
		faults := &fault.List{}
		book := record.Parse(name, data, record.WordsOf(p), time.Time{}, faults)
		if err := faults.Err(); err != nil {
			b.Fatal(err)
		}
		return book
	}
	was, is := Side{Pack: old, Book: read(old)}, Side{Pack: now, Book: read(now)}
	corrected := 0
	for i, r := range is.Book.Results {
		if r.Question.ID == "ink.wet" && corrected < 3 {
			is.Book.Results[i].Answer.Num, corrected = 1, corrected+1
		}
	}
	for b.Loop() {
		r, err := Between(was, is, Options{})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(r.Items)), "edits")
		b.ReportMetric(float64(r.Changed), "changed")
		b.ReportMetric(float64(r.Judged), "judged")
	}
}
