package sheet

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"tideline/engine/record"
	"tideline/rules/vocab"
	"tideline/rules/yamlfile"
)

var number = regexp.MustCompile(`^[-+]?[0-9]+([.,][0-9]+)?$`)

func isNumber(s string) bool { return number.MatchString(s) }

// decimal reads a comma as a decimal point, where it can be nothing else: 4,5 but not 1,234.
func decimal(s string) (string, *misread) {
	before, after, found := strings.Cut(s, ",")
	if !found {
		return s, nil
	}
	digits := len(after) - len(strings.TrimLeft(after, "0123456789"))
	if digits == 3 && strings.TrimLeft(before, "+-") != "0" || strings.ContainsAny(before+after, ",.") {
		return "", &misread{says: fmt.Sprintf("%q can be read in two ways", s), help: "Write decimals with a point, and no mark between thousands."}
	}
	return before + "." + after, nil
}

// asDay are the shapes into which spreadsheets turn a grade such as 4-5.
var asDay = regexp.MustCompile(`^\d{1,4}([-./ ])\d{1,2}([-./ ]\d{1,4})?\.?$|(?i)(jan|feb|mar|apr|may|mai|jun|jul|aug)`)

// misread is why a cell cannot be used, and what to do.
type misread struct{ says, help, nearest string }

// readAnswer reads an answer as a cell holds it.
func readAnswer(q *vocab.Question, cell string) (vocab.Answer, *misread) {
	text := cell
	switch q.Type {
	case vocab.YesNo:
		text = strings.ToLower(cell)
	case vocab.Grade, vocab.Number:
		var m *misread
		if text, m = decimal(cell); m != nil {
			return vocab.Answer{}, m
		}
	}
	a, near, err := q.Parse(text)
	if err == nil {
		return a, nil
	}
	m := &misread{says: err.Error(), nearest: near}
	if q.Type == vocab.Grade && asDay.MatchString(cell) {
		m.help = "If the spreadsheet took a grade for a day, give the column the format of text, and write 4.5 or 4-5."
	}
	return a, m
}

// readDate reads the date of something done by today.
func readDate(cell string, today time.Time) (time.Time, *misread) {
	t, ok := yamlfile.ParseDate(cell)
	if !ok {
		return t, &misread{
			says: fmt.Sprintf("%q is not a date", cell),
			help: "Write year-month-day, such as 2026-10-12 or 2026-10-12T15:30. If the spreadsheet turned it round, give the column the format of text.",
		}
	}
	if summary, help := record.Unlikely(cell, t, today); summary != "" {
		return t, &misread{says: summary, help: help}
	}
	return t, nil
}

// readAt reads a place: two numbers, in mm.
func readAt(cell string) (*record.Point, *misread) {
	fields := strings.Fields(strings.Trim(cell, "[]()"))
	if len(fields) == 2 {
		x, okX := coordinate(strings.TrimRight(fields[0], ",;"))
		y, okY := coordinate(fields[1])
		if okX && okY {
			return &record.Point{X: x, Y: y}, nil
		}
	}
	return nil, &misread{
		says: fmt.Sprintf("%q is not a place", cell),
		help: "Write two numbers with a blank between them, in mm from the left and from the top, such as 300 250.",
	}
}

func coordinate(s string) (float64, bool) {
	s, m := decimal(s)
	if m != nil || !isNumber(s) {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}

// same tells whether two answers are the same, but for the digits that a spreadsheet may drop at the end.
func same(a, b vocab.Answer) bool {
	return a.Known == b.Known && a.Word == b.Word && a.Yes == b.Yes && near(a.Num, b.Num)
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-12*max(math.Abs(a), math.Abs(b)) }

func samePlace(a, b *record.Point) bool {
	if a == nil || b == nil {
		return a == b
	}
	return near(a.X, b.X) && near(a.Y, b.Y)
}
