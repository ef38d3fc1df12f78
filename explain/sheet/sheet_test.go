package sheet

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tideline/engine/dose"
	"tideline/engine/evidence"
	"tideline/engine/record"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
	"tideline/rules/vocab"
)

var today = time.Date(2026, 11, 30, 12, 0, 0, 0, time.UTC)

const testbook = `record: 1
title: Tin Harbour Monthly, no. 2
examined: 2026-10-12
by: M. K.
parts:
  cover:
    kind: cover
    size: [340, 260]
    seen: {stained: yes}
    outside: {inks: {red: {kind: printing ink}, black: {kind: stamp, seen: {wet: 5}}}}
tests:
  - {test: ink.wet, on: cover/outside/red, date: 2026-10-13, grade: 3-4, at: [30, 25], by: M. K., note: "=HYPERLINK(\"x\")"}
  - {test: part.drop, on: cover, date: 2026-10-13T09:30, number: 12.5}
done:
  - {step: bath, on: cover, date: 2026-10-20}
`

// load reads the tiny pack and a book under it.
func load(t testing.TB, book string) (*evidence.Case, []byte) {
	t.Helper()
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.ReadPath("../../testdata/packs/tiny.yaml", faults)}, faults)
	return gather(t, p, "b.yaml", []byte(book)), []byte(book)
}

func gather(t testing.TB, p *pack.Pack, name string, data []byte) *evidence.Case {
	t.Helper()
	faults := &fault.List{}
	b := record.Parse(name, data, record.WordsOf(p), today, faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return evidence.Gather(p, b, time.Time{})
}

// table writes the rows of a case as another spreadsheet might.
func table(c *evidence.Case, mark rune, crlf bool) string {
	var b strings.Builder
	w := csv.NewWriter(&b)
	w.Comma, w.UseCRLF = mark, crlf
	r := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(CSV(Rows(c))), "\ufeff")))
	all, err := r.ReadAll()
	if err != nil {
		panic(err)
	}
	w.WriteAll(all)
	return b.String()
}

// TestRoundTrip checks on every example book that a table nobody touched adds nothing, however a spreadsheet saves it.
func TestRoundTrip(t *testing.T) {
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.Trim(layer)}, faults, dose.Functions()...)
	books, err := filepath.Glob("../../testdata/books/*.yaml")
	if err != nil || len(books) == 0 {
		t.Fatalf("no books: %v", err)
	}
	for _, path := range books {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		c := gather(t, p, path, data)
		given := CSV(Rows(c))
		if len(Rows(c)) < 50 {
			t.Errorf("%s: only %d rows", path, len(Rows(c)))
		}
		for name, text := range map[string]string{
			"as written": string(given), "no mark": strings.TrimPrefix(string(given), "\ufeff"),
			"semicolons": table(c, ';', false), "tabs": table(c, '\t', true),
		} {
			faults := &fault.List{}
			if news := Read("r.csv", []byte(text), c, today, faults); faults.Len() > 0 || len(news) > 0 {
				t.Errorf("%s, %s: %d new, %v", path, name, len(news), faults.Err())
			}
		}
	}
}

// answerTo gives an answer to every kind of question, as a person would type it.
func answerTo(q *vocab.Question) string {
	switch q.Type {
	case vocab.YesNo:
		return "no"
	case vocab.Grade:
		return "2.5"
	case vocab.Words:
		return q.Words[len(q.Words)-1]
	}
	return record.Decimal((q.From+q.To)/2 + 0.125)
}

// TestFilledIn answers every open question of every example book in its table: all of it comes into the record, and a
// table written from that record shows it.
func TestFilledIn(t *testing.T) {
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.Trim(layer)}, faults, dose.Functions()...)
	books, err := filepath.Glob("../../testdata/books/*.yaml")
	if err != nil || len(books) == 0 {
		t.Fatalf("no books: %v", err)
	}
	for _, path := range books {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		c := gather(t, p, path, data)
		rows, filled := Rows(c), map[string]Row{}
		for i := range rows {
			if r := &rows[i]; r.Answer == "" {
				r.Answer, r.Date, r.By, r.Note = answerTo(p.Vocabulary.Question(r.Question)), "2026-11-29T08:15", "A. B.", "=a "+"\"note\": #1, it's\nlong"
				filled[r.Thing+" "+r.Question] = *r
			}
		}
		if len(filled) == 0 {
			t.Fatalf("%s: nothing is open", path)
		}
		news := Read("r.csv", CSV(rows), c, today, faults)
		out, misfits := record.Append(path, data, Results(news), record.WordsOf(p), today, faults)
		if faults.Len() > 0 || len(misfits) > 0 || len(news) != len(filled) {
			t.Fatalf("%s: %d of %d added; %v %v", path, len(news), len(filled), faults.Err(), misfits)
		}
		for _, r := range Rows(gather(t, p, path, out)) {
			if want, given := filled[r.Thing+" "+r.Question]; given && (r.Answer != want.Answer || r.Date != want.Date || r.By != want.By || r.Note != want.Note) {
				t.Errorf("%s: %s %s: filled in %+v, shown %+v", path, r.Thing, r.Question, want, r)
			}
		}
	}
}

// TestFormulas checks that no cell of a written table starts as a formula does, and that every text comes back. The
// characters are those that spreadsheets are known to obey (common practice, no source).
func TestFormulas(t *testing.T) {
	for _, text := range []string{"=1+1", "+1+1", "-1+cmd", "@SUM(A1)", "'=1", "''", "'", "|x", "%x", "plain", "", "-5", "4.5", "it's"} {
		g := guard(text)
		if g != "" && strings.ContainsAny(g[:1], "=+-@|%") && !isNumber(g) {
			t.Errorf("%q is written %q", text, g)
		}
		if back := unguard(g); back != text {
			t.Errorf("%q comes back as %q", text, back)
		}
	}
	c, _ := load(t, testbook)
	if got := string(CSV(Rows(c))); !strings.Contains(got, `"'=HYPERLINK(""x"")"`) {
		t.Errorf("the formula in the note is written as it is:\n%s", got)
	}
}

// TestRead checks what comes of rows a person wrote: a result, or a fault at a cell.
func TestRead(t *testing.T) {
	const head = "thing,question,answer,date,by,at,note\n"
	c, _ := load(t, testbook)
	for _, tt := range []struct {
		name, text string
		want       string // the results, one a line
		told       string // of the first fault: place and a word of it
	}{
		{name: "one new", text: head + "cover/outside/black,ink.wet,4.5,2026-10-14,A. B.,300 25,a halo\n", want: "2 ink.wet cover/outside/black 4-5 2026-10-14 A. B. {300 25} a halo"},
		{name: "columns turned round, capitals, own quotes", text: "Question;Thing;\"Answer\";DATE\npart.stained;cover;FALSE;2026-10-14 00:00:00\n", want: "2 part.stained cover no 2026-10-14  <nil> "},
		{name: "a decimal comma", text: "thing;question;answer;date\ncover;part.drop;7,25 s;2026-10-14\n", want: "2 part.drop cover 7.25 s 2026-10-14  <nil> "},
		{name: "minutes", text: head + "cover,part.drop,2 min,2026-10-14T16:05,,\"12,5 30\",\n", want: "2 part.drop cover 120 s 2026-10-14 16:05  {12.5 30} "},
		{name: "a cell of two lines, an empty row, a later row", text: head + "cover,part.stained,no,2026-10-14,,,\"two\r\nlines\"\r\n,,,,,,\r\n\r\ncover,part.fold_torn,no,2026-10-14,,,\r\n", want: "2 part.stained cover no 2026-10-14  <nil> two\nlines\n5 part.fold_torn cover no 2026-10-14  <nil> "},
		{name: "lines that end in carriage returns", text: "thing,question,answer,date\rcover,part.drop,8,2026-10-14\r", want: "2 part.drop cover 8 s 2026-10-14  <nil> "},
		{name: "not tested", text: head + "cover,part.fold_torn,not tested,,,,\ncover,part.fold_torn,,,,,\n"},
		{name: "what is there", text: head + "cover/outside/red,ink.wet,3-4,2026-10-13,M. K.,30 25,\"'=HYPERLINK(\"\"x\"\")\"\n"},
		{name: "what is there, fewer columns", text: "thing,question,answer,date\ncover/outside/red,ink.wet,3.5,2026-10-13\n"},
		{name: "an old row kept, a new one below", text: head + "cover/outside/red,ink.wet,3.5,2026-10-13,M. K.,30 25,'=HYPERLINK(\"x\")\n", told: "2: is not CSV"},

		{name: "an answer out of range", text: head + "cover/outside/red,ink.wet,7,2026-10-14,,,\n", told: "2:answer: grade from 1"},
		{name: "a word misspelt", text: head + "cover/outside/red,ink.kind,stmap,2026-10-14,,,\n", told: `2:answer: did you mean "stamp"`},
		{name: "a grade taken for a day", text: head + "cover/outside/red,ink.wet,05-Apr,2026-10-14,,,\n", told: "2:answer: took a grade for a day"},
		{name: "two readings of a comma", text: "thing;question;answer;date\ncover;part.drop;1,234;2026-10-14\n", told: "2:answer: two ways"},
		{name: "a date turned round", text: head + "cover/outside/red,ink.wet,4,14/10/2026,,,\n", told: "2:date: format of text"},
		{name: "a date to come", text: head + "cover/outside/red,ink.wet,4,2027-10-14,,,\n", told: "2:date: in the future"},
		{name: "no date", text: head + "cover/outside/red,ink.wet,4,,,,\n", told: "2:date: no date"},
		{name: "another answer of that day", text: head + "cover/outside/red,ink.wet,4,2026-10-13,,,\n", told: "2:answer: another answer of 2026-10-13"},
		{name: "only the note", text: head + "cover/outside/red,ink.wet,3.5,2026-10-13,M. K.,30 25,pink\n", told: "2:note: only the note"},
		{name: "an answer taken away", text: head + "cover/outside/red,ink.wet,,2026-10-13,M. K.,,\n", told: "2:answer: taken away"},
		{name: "a date without an answer", text: head + "cover,part.fold_torn,,2026-10-13,,,\n", told: "2:answer: a date but no answer"},
		{name: "a place that is none", text: head + "cover/outside/black,ink.wet,4,2026-10-14,,left,\n", told: "2:at: 300 250"},
		{name: "two at one time", text: head + "cover,part.fold_torn,no,2026-10-14,,,\ncover,part.fold_torn,yes,2026-10-14,,,\n", told: "3:date: two new results"},
		{name: "a thing misspelt", text: head + "cover/outside/rde,ink.wet,4,2026-10-14,,,\n", told: `2:thing: did you mean "cover/outside/red"`},
		{name: "a question misspelt", text: head + "cover/outside/red,ink.wte,4,2026-10-14,,,\n", told: `2:question: did you mean "ink.wet"`},
		{name: "a question of something else", text: head + "cover,ink.wet,4,2026-10-14,,,\n", told: "2:question: asked of every ink"},
		{name: "a measure", text: head + "cover/outside,side.name,outside,2026-10-14,,,\n", told: "2:question: not a test"},
		{name: "a column misspelt", text: "thing,question,anwser,date\n", told: `1:anwser: did you mean "answer"`},
		{name: "a column twice", text: "thing,question,answer,date,date\n", told: "1:date: twice"},
		{name: "a column missing", text: "thing,question,answer\n", told: "1: the column date is missing"},
		{name: "a cell too many", text: head + "cover,part.stained,no,2026-10-14,,,,more\n", told: "2: under no column"},
		{name: "nothing", text: "", told: "is empty"},
		{name: "another character set", text: head + "cover,part.stained,no,2026-10-14,Andr\xe9,,\n", told: "2: UTF-8"},
		{name: "two bytes a character", text: "\xff\xfet\x00h\x00", told: "UTF-8"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			faults := &fault.List{}
			var got []string
			for _, n := range Read("r.csv", []byte(tt.text), c, today, faults) {
				got = append(got, told(n))
			}
			if tt.told == "" {
				if diff := cmp.Diff(tt.want, strings.Join(got, "\n")); diff != "" || faults.Len() > 0 {
					t.Errorf("(-want +got)\n%s%v", diff, faults.Err())
				}
				return
			}
			if faults.Len() == 0 {
				t.Fatalf("no fault; got %q", got)
			}
			first, all := faults.All()[0], faults.All()
			place, word, _ := strings.Cut(tt.told, ": ")
			if word == "" {
				place, word = "", tt.told
			}
			if len(all) != 1 || !strings.HasPrefix(first.Error(), strings.TrimSuffix("r.csv:"+place, ":")+":") || !strings.Contains(first.Error(), word) {
				t.Errorf("got %v, want one fault, at %s, with %q", all, place, word)
			}
		})
	}
}

func told(n New) string {
	at := "<nil>"
	if n.At != nil {
		at = "{" + record.Decimal(n.At.X) + " " + record.Decimal(n.At.Y) + "}"
	}
	row := string(rune('0' + n.Row))
	return strings.Join([]string{row, n.Question.ID, n.Thing.Path, n.Question.Text(n.Answer), strings.ReplaceAll(record.Moment(n.Date), "T", " "), n.By, at, n.Note}, " ")
}

// TestNotes checks what is said of results that are taken but do not count.
func TestNotes(t *testing.T) {
	c, data := load(t, testbook)
	text := "thing,question,answer,date,note\n" +
		"cover/outside/red,ink.wet,4,2026-10-11,\n" + // before the one recorded
		"cover/outside/black,ink.wet,4,2026-10-15,\n" + // before the bath
		"cover/outside/red,ink.wet,2,2026-10-22,'=HYPERLINK(\"x\")\n" // after it, with the old note
	text = strings.Replace(text, `'=HYPERLINK("x")`, `"'=HYPERLINK(""x"")"`, 1)
	faults := &fault.List{}
	news := Read("r.csv", []byte(text), c, today, faults)
	out, misfits := record.Append("b.yaml", data, Results(news), record.WordsOf(c.Pack), today, faults)
	if faults.Len() > 0 || len(misfits) > 0 {
		t.Fatal(faults.Err(), misfits)
	}
	now := gather(t, c.Pack, "b.yaml", out)
	got := strings.Join(Notes(now, news), "\n")
	want := `row 2: the ink cover/outside/red: How much colour comes off in water? 4; recorded, but the result of 2026-10-22 is later and counts
row 3: the ink cover/outside/black: How much colour comes off in water? 4; tested before bath (2026-10-20); test again
row 4: the ink cover/outside/red: How much colour comes off in water? 2; its note is that of an earlier result; was it meant to stand again?`
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	if again := Read("r.csv", []byte(text), now, today, faults); len(again) > 0 || faults.Len() > 0 {
		t.Errorf("a table read twice adds %d results: %v", len(again), faults.Err())
	}
}

// TestMisfits checks that what the record refuses is told at its cell.
func TestMisfits(t *testing.T) {
	c, data := load(t, testbook)
	faults := &fault.List{}
	news := Read("r.csv", []byte("thing,question,answer,date,at\ncover/outside/red,ink.wet,4,2026-10-14,10 10\ncover,part.stained,no,2026-10-14,900 10\n"), c, today, faults)
	_, misfits := record.Append("b.yaml", data, Results(news), record.WordsOf(c.Pack), today, faults)
	got := Misfits("r.csv", news, misfits)
	if len(got) != 1 || !strings.HasPrefix(got.Error(), "r.csv:3:at: ") {
		t.Errorf("got %v", got)
	}
}

// FuzzRead tries any bytes: no panic, every fault with a place, and what is read can be added and is then there.
func FuzzRead(f *testing.F) {
	c, data := load(f, testbook)
	f.Add(CSV(Rows(c)))
	f.Add([]byte(table(c, ';', false)))
	f.Add([]byte("thing,question,answer,date,by,at,note\ncover,part.drop,\"1,5\",2026-10-14T10:00,'=x,1 2,\"a\nb\"\ncover,part.fold_torn,no,2026-11-14,,,\n"))
	f.Add([]byte("thing\tquestion\tanswer\tdate\ncover\tpart.drop\t-1e9\t2026-13-14\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		faults := &fault.List{}
		news := Read("r.csv", text, c, today, faults)
		for _, fl := range faults.All() {
			if fl.Where.File == "" || fl.Summary == "" {
				t.Errorf("fault without a place or a word: %+v", fl)
			}
			fl.Render()
		}
		if faults.Len() > 0 || len(news) == 0 {
			return
		}
		out, misfits := record.Append("b.yaml", data, Results(news), record.WordsOf(c.Pack), today, faults)
		if faults.Len() > 0 {
			t.Fatalf("what was read cannot be added: %v", faults.Err())
		}
		if Misfits("r.csv", news, misfits); len(misfits) > 0 {
			return
		}
		now := gather(t, c.Pack, "b.yaml", out)
		Notes(now, news)
		if again := Read("r.csv", text, now, today, faults); len(again) > 0 || faults.Len() > 0 {
			t.Errorf("read twice: %d results, %v", len(again), faults.Err())
		}
	})
}
