// Package fault is what is wrong with a file a person wrote, told so that they can mend it.
//
// In:  what a loader noticed, with its place. Out: faults in the order of the file, as values;
// [Fault.Render] turns one into the lines a person reads.
package fault

import (
	"fmt"
	"sort"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Place is a position in a file. Line and Col count from 1, Col in characters; a zero Line means the whole file.
// In a table Cell names the column, and Line is the row.
type Place struct {
	File string `json:"file"`
	Line int    `json:"line,omitempty"`
	Col  int    `json:"column,omitempty"`
	Cell string `json:"cell,omitempty"`
}

// String gives file:line:column, leaving out what is not known.
func (p Place) String() string {
	switch {
	case p.Cell != "":
		return fmt.Sprintf("%s:%d:%s", p.File, p.Line, p.Cell)
	case p.Line == 0:
		return p.File
	case p.Col == 0:
		return fmt.Sprintf("%s:%d", p.File, p.Line)
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Col)
}

// Fault is one thing wrong with a file.
type Fault struct {
	Where   Place   `json:"where"`
	Also    []Place `json:"also,omitempty"`    // other places that take part
	Summary string  `json:"summary"`           // what kind of fault, with the word at fault
	Help    string  `json:"help,omitempty"`    // what was expected and what to do
	Nearest string  `json:"nearest,omitempty"` // the word probably meant
	Source  string  `json:"-"`                 // the line of the file at Where
	Width   int     `json:"-"`                 // how many characters to underline
}

// Error is the fault on one line.
func (f Fault) Error() string {
	s := f.Where.String() + ": " + f.Summary
	if f.Help != "" {
		s += ": " + f.Help
	}
	if f.Nearest != "" {
		s += fmt.Sprintf(" (did you mean %q?)", f.Nearest)
	}
	return s
}

// Render gives the lines a person reads: place and summary, the source line with a mark under it, and the help. What
// comes from the file cannot command the terminal: control characters and marks that turn the direction of writing
// show as blanks in the source line and as \u001b elsewhere.
func (f Fault) Render() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n", safe(f.Where.String()), short(safe(f.Summary)))
	if f.Source != "" && f.Where.Line > 0 {
		number := fmt.Sprintf("%5d", f.Where.Line)
		source, col := window(f.Source, f.Where.Col)
		fmt.Fprintf(&b, "%s | %s\n", number, source)
		if f.Where.Col > 0 {
			indent, mark := under([]rune(source), col-1, max(1, f.Width))
			fmt.Fprintf(&b, "      | %s%s\n", strings.Repeat(" ", indent), strings.Repeat("^", mark))
		}
	}
	for _, line := range []string{f.Help, meant(f.Nearest)} {
		if line != "" {
			fmt.Fprintf(&b, "      %s\n", safe(line))
		}
	}
	for _, p := range f.Also {
		fmt.Fprintf(&b, "      see also %s\n", safe(p.String()))
	}
	return b.String()
}

// window shortens a very long line to the part round col (from 1), and gives the column within that part.
// Tabs, control characters and marks of direction show as spaces.
func window(line string, col int) (string, int) {
	const width = 120 // characters shown
	if len(line) > width {
		line, col = cut(line, col, width)
	}
	runes := []rune(line)
	for i, r := range runes {
		if unsafe(r) || r == '\n' {
			runes[i] = ' '
		}
	}
	return string(runes), col
}

// cut gives at most width characters of a line, those round col or the last ones, and the column within them.
func cut(line string, col, width int) (string, int) {
	start, before := skip(line, col-1-width/2)
	length, shown := skip(line[start:], width)
	end := start + length
	for shown < width && start > 0 {
		_, size := utf8.DecodeLastRuneInString(line[:start])
		start, before, shown = start-size, before-1, shown+1
	}
	return line[start:end], max(1, min(col-before, shown+1))
}

// skip gives the byte after n characters, and how many there were.
func skip(s string, n int) (at, skipped int) {
	for at := range s {
		if skipped >= n {
			return at, skipped
		}
		skipped++
	}
	return len(s), skipped
}

// under gives how many columns of a terminal stand before the character at from (0 for the first) and how many the mark
// under it and those after it takes; it stops at the end of the line.
func under(source []rune, from, characters int) (indent, mark int) {
	for i := range min(from+characters, max(from, len(source))) {
		n := 1
		if i < len(source) {
			n = columns(source[i])
		}
		if i < from {
			indent += n
		} else {
			mark += n
		}
	}
	return indent, max(1, mark)
}

// columns is how many columns a character takes on a terminal.
func columns(r rune) int {
	switch {
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case unicode.Is(wide, r):
		return 2
	}
	return 1
}

// wide are the characters that take two columns (Unicode UAX 11, wide and fullwidth, the large blocks; from memory).
var wide = &unicode.RangeTable{
	R16: []unicode.Range16{
		{Lo: 0x1100, Hi: 0x115f, Stride: 1},
		{Lo: 0x2e80, Hi: 0x303e, Stride: 1},
		{Lo: 0x3041, Hi: 0xa4cf, Stride: 1},
		{Lo: 0xac00, Hi: 0xd7a3, Stride: 1},
		{Lo: 0xf900, Hi: 0xfaff, Stride: 1},
		{Lo: 0xfe30, Hi: 0xfe6f, Stride: 1},
		{Lo: 0xff00, Hi: 0xff60, Stride: 1},
		{Lo: 0xffe0, Hi: 0xffe6, Stride: 1},
	},
	R32: []unicode.Range32{{Lo: 0x1f300, Hi: 0x1f64f, Stride: 1}, {Lo: 0x1f900, Hi: 0x1f9ff, Stride: 1}, {Lo: 0x20000, Hi: 0x3fffd, Stride: 1}},
}

// short leaves out the middle of a text of many lines, such as a summary that quotes a very long word.
func short(s string) string {
	const start, end = 300, 100
	if len(s) <= start+end {
		return s
	}
	runes := []rune(s)
	if len(runes) <= start+end {
		return s
	}
	return string(runes[:start]) + " ... " + string(runes[len(runes)-end:])
}

// safe makes text safe to print on a terminal; line ends stay.
func safe(s string) string {
	if strings.IndexFunc(s, unsafe) < 0 {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if unsafe(r) {
			fmt.Fprintf(&b, `\u%04x`, r)
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// unsafe tells of a character that a terminal would obey, or that turns the direction of writing (Unicode UAX 9).
func unsafe(r rune) bool {
	return r != '\n' && unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == 0x2028 || r == 0x2029
}

func meant(word string) string {
	if word == "" {
		return ""
	}
	return fmt.Sprintf("Did you mean %q?", word)
}

// List gathers faults. The zero value is ready; a nil *List must not be added to.
type List struct{ faults []Fault }

// Add notes a fault.
func (l *List) Add(f Fault) { l.faults = append(l.faults, f) }

// Amend changes the fault noted last.
func (l *List) Amend(change func(*Fault)) { change(&l.faults[len(l.faults)-1]) }

// Len is the number of faults noted.
func (l *List) Len() int { return len(l.faults) }

// All gives the faults by place: file, line, column, then in the order they were noted.
func (l *List) All() []Fault {
	sorted := append([]Fault(nil), l.faults...)
	sort.SliceStable(sorted, func(i, j int) bool {
		a, b := sorted[i].Where, sorted[j].Where
		if a.File != b.File {
			return a.File < b.File
		}
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		return a.Col < b.Col
	})
	return sorted
}

// Err is nil when nothing is wrong, else an [Errors].
func (l *List) Err() error {
	if len(l.faults) == 0 {
		return nil
	}
	return Errors(l.All())
}

// Errors is all the faults of one load, as an error.
type Errors []Fault

// Error counts the faults and gives the first.
func (e Errors) Error() string {
	if len(e) == 1 {
		return e[0].Error()
	}
	return fmt.Sprintf("%s (and %d more)", e[0].Error(), len(e)-1)
}
