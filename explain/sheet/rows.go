package sheet

import (
	"bytes"
	"encoding/csv"
	"strings"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/record"
	"tideline/explain/words"
	"tideline/rules/vocab"
)

// Row is one question of one thing, with its latest result.
type Row struct {
	Thing    string `json:"thing"`
	Question string `json:"question"`
	Asks     string `json:"asks"`
	Answer   string `json:"answer"`
	Date     string `json:"date"`
	By       string `json:"by"`
	At       string `json:"at"` // mm from the top left corner: 300 250
	Note     string `json:"note"`
	State    string `json:"state"` // why no answer stands; "" when one does
	Takes    string `json:"takes"`
}

// column is one column of the table. Those that are not read are there to be looked at.
type column struct {
	name string
	need bool // a table without it cannot be read
	read bool
	cell func(*Row) *string
}

var columns = []column{
	{"thing", true, true, func(r *Row) *string { return &r.Thing }},
	{"question", true, true, func(r *Row) *string { return &r.Question }},
	{"asks", false, false, func(r *Row) *string { return &r.Asks }},
	{"answer", true, true, func(r *Row) *string { return &r.Answer }},
	{"date", true, true, func(r *Row) *string { return &r.Date }},
	{"by", false, true, func(r *Row) *string { return &r.By }},
	{"at", false, true, func(r *Row) *string { return &r.At }},
	{"note", false, true, func(r *Row) *string { return &r.Note }},
	{"state", false, false, func(r *Row) *string { return &r.State }},
	{"takes", false, false, func(r *Row) *string { return &r.Takes }},
}

// Rows gives every question that a test of the book's things can answer, in the order of the record.
func Rows(c *evidence.Case) []Row {
	rows := []Row{}
	for _, t := range c.Things {
		if t.Unlisted {
			continue
		}
		for _, q := range c.Pack.Vocabulary.Of(t.Kind) {
			if !q.Measured {
				rows = append(rows, row(c.Asks[c.Number(t, q)]))
			}
		}
	}
	return rows
}

func row(ask evidence.Ask) Row {
	r := Row{Thing: ask.Thing.Path, Question: ask.Question.ID, Asks: ask.Question.Asks, Takes: ask.Question.Expected()}
	if ask.Result != nil {
		r.fill(ask.Result)
	}
	if !ask.Answer.Known {
		r.State = words.Answer(ask)
	}
	return r
}

// fill writes a result into the cells that are read back.
func (r *Row) fill(result *record.Result) {
	r.Answer, r.By, r.Note = answerCell(result.Question, result.Answer), flat(result.By), flat(result.Note)
	r.Date, r.At = dateCell(result.Date), ""
	if result.At != nil {
		r.At = record.Decimal(result.At.X) + " " + record.Decimal(result.At.Y)
	}
}

// Cells gives a new result as a row of the table it came from would have it.
func (n New) Cells() Row {
	r := Row{Thing: n.Thing.Path, Question: n.Question.ID, Asks: n.Question.Asks, Takes: n.Question.Expected()}
	r.fill(&n.Result)
	return r
}

// answerCell writes an answer so that it is read back as the very same, whatever a spreadsheet holds it for.
func answerCell(q *vocab.Question, a vocab.Answer) string {
	if q.Type == vocab.Grade || q.Type == vocab.Number {
		return record.Decimal(a.Num)
	}
	return q.Text(a)
}

func dateCell(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return record.Moment(t)
}

// flat is a text as a table can hold it: no blanks at its ends, one kind of line end.
func flat(s string) string { return strings.TrimSpace(lineEnds.Replace(s)) }

var lineEnds = strings.NewReplacer("\r\n", "\n", "\r", "\n")

// CSV writes rows as a table.
func CSV(rows []Row) []byte {
	var b bytes.Buffer
	b.WriteString("\ufeff")
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	line := make([]string, len(columns))
	for i, c := range columns {
		line[i] = c.name
	}
	w.Write(line) // a buffer takes everything
	for _, r := range rows {
		for i, c := range columns {
			line[i] = guard(*c.cell(&r))
		}
		w.Write(line)
	}
	w.Flush()
	return b.Bytes()
}

// guard puts an apostrophe before a text that a spreadsheet would take for a formula, and before one that starts with an
// apostrophe, so that unguard gives back every text. A number stays a number.
func guard(s string) string {
	if s == "" || !strings.ContainsRune(risky, rune(s[0])) || isNumber(s) {
		return s
	}
	return "'" + s
}

// unguard takes the apostrophe away that guard put there.
func unguard(s string) string {
	if len(s) > 1 && s[0] == '\'' && strings.ContainsRune(risky, rune(s[1])) {
		return s[1:]
	}
	return s
}

// risky are the characters with which a formula can start in one spreadsheet or another (common practice, no source).
const risky = "=+-@\t\r|%'"
