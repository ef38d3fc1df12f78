package sheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"tideline/rules/fault"
	"tideline/rules/nearest"
)

// Limits far above any book, so that no table can make reading hang.
const (
	maxRows    = 100_000
	maxGuesses = 100 // how many unknown names are searched for their nearest
)

// line is one row of a table as read, with its number in a spreadsheet.
type line struct {
	row   int
	cells map[string]string // by column; those not written are absent
}

// open reads the bytes of a table into lines. What is not as expected is a fault.
func open(name string, data []byte, faults *fault.List) []line {
	data, ok := textOf(name, data, faults)
	if !ok {
		return nil
	}
	r := csv.NewReader(bytes.NewReader(data))
	r.Comma, r.FieldsPerRecord = separator(data), -1
	var names []string
	var lines []line
	for within := 0; ; { // within counts the line ends inside cells so far, which do not make rows
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			faults.Add(malformed(name, err))
			return nil
		}
		at, _ := r.FieldPos(0)
		row := at - within
		for i := range cells {
			within += strings.Count(cells[i], "\n")
			cells[i] = flat(unguard(cells[i]))
		}
		switch {
		case names == nil:
			if names = header(name, cells, row, faults); names == nil {
				return nil
			}
		case strings.Join(cells, "") == "":
		case len(lines) == maxRows:
			faults.Add(fault.Fault{Where: fault.Place{File: name, Line: row}, Summary: fmt.Sprintf("more than %d rows", maxRows), Help: "No book has so many questions. Is it the right file?"})
			return nil
		default:
			if l, ok := assign(name, names, cells, row, faults); ok {
				lines = append(lines, l)
			}
		}
	}
	if names == nil {
		faults.Add(fault.Fault{Where: fault.Place{File: name}, Summary: "is empty", Help: "Its first row should name the columns. `tideline tests out` writes one to start from."})
	}
	return lines
}

// textOf takes the byte order mark away, and refuses what is not UTF-8. Lines may end in carriage returns alone.
func textOf(name string, data []byte, faults *fault.List) ([]byte, bool) {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if utf8.Valid(data) && bytes.IndexByte(data, 0) < 0 {
		if bytes.IndexByte(data, '\n') < 0 {
			data = bytes.ReplaceAll(data, []byte("\r"), []byte("\n"))
		}
		return data, true
	}
	where := fault.Place{File: name}
	if !bytes.HasPrefix(data, []byte{0xff, 0xfe}) && !bytes.HasPrefix(data, []byte{0xfe, 0xff}) {
		where.Line = 1
		for text := data; ; {
			r, size := utf8.DecodeRune(text)
			if r == 0 || r == utf8.RuneError && size < 2 {
				break
			}
			if r == '\n' {
				where.Line++
			}
			text = text[size:]
		}
	}
	faults.Add(fault.Fault{Where: where, Summary: "is not text in UTF-8", Help: "Save it from the spreadsheet anew, as CSV with the character set UTF-8."})
	return nil, false
}

// separator is the mark between cells: the one by which the first row names the most columns.
func separator(data []byte) rune {
	first, _, _ := bytes.Cut(data, []byte("\n"))
	best, most := ',', -1
	for _, mark := range []rune{',', ';', '\t'} {
		known := 0
		for _, cell := range strings.Split(string(first), string(mark)) {
			if find(tidy(cell)) != nil {
				known++
			}
		}
		if known > most {
			best, most = mark, known
		}
	}
	return best
}

// tidy is the name of a column without quotes, blanks and capitals.
func tidy(cell string) string { return strings.ToLower(strings.Trim(cell, "\" \t\r")) }

func find(name string) *column {
	for i := range columns {
		if columns[i].name == name {
			return &columns[i]
		}
	}
	return nil
}

func malformed(name string, err error) fault.Fault {
	f := fault.Fault{Where: fault.Place{File: name}, Summary: "is not CSV: " + err.Error()}
	var parse *csv.ParseError
	if errors.As(err, &parse) {
		f.Where.Line, f.Where.Col = parse.Line, parse.Column
		f.Summary = "is not CSV: " + parse.Err.Error()
		f.Help = "A cell that holds a quote is put in quotes whole, and each quote in it is doubled (RFC 4180). Spreadsheets do so by themselves: save it anew as CSV."
	}
	return f
}

// header reads the names of the columns; nil when no row can be read by them.
func header(name string, cells []string, row int, faults *fault.List) []string {
	var known []string
	for _, c := range columns {
		known = append(known, c.name)
	}
	before := faults.Len()
	names := make([]string, len(cells))
	seen := map[string]bool{}
	for i, cell := range cells {
		word := tidy(cell)
		where := fault.Place{File: name, Line: row, Cell: oneLine(cell)}
		switch {
		case word == "":
		case find(word) == nil:
			faults.Add(fault.Fault{
				Where: where, Summary: fmt.Sprintf("no column is called %q", cell), Nearest: nearest.Word(word, known),
				Help: "The columns are " + strings.Join(known, ", ") + ". A column of your own belongs in a copy of the table.",
			})
		case seen[word]:
			faults.Add(fault.Fault{Where: where, Summary: fmt.Sprintf("the column %s stands here twice", word), Help: "Remove one."})
		}
		seen[word], names[i] = true, word
	}
	if faults.Len() > before {
		return nil
	}
	for _, c := range columns {
		if c.need && !seen[c.name] {
			faults.Add(fault.Fault{
				Where: fault.Place{File: name, Line: row}, Summary: fmt.Sprintf("the column %s is missing", c.name),
				Help: "The first row names the columns. `tideline tests out` writes a table to start from.",
			})
		}
	}
	if faults.Len() > before {
		return nil
	}
	return names
}

// assign gives each cell of a row its column.
func assign(name string, names, cells []string, row int, faults *fault.List) (line, bool) {
	l := line{row: row, cells: map[string]string{}}
	for i, cell := range cells {
		if i < len(names) && names[i] != "" {
			l.cells[names[i]] = cell
		} else if cell != "" {
			faults.Add(fault.Fault{
				Where: fault.Place{File: name, Line: row}, Summary: fmt.Sprintf("%q stands under no column", cell),
				Help: fmt.Sprintf("It is in cell %d of its row; the first row names %d columns. Is a quote missing before it?", i+1, len(names)),
			})
			return l, false
		}
	}
	return l, true
}
