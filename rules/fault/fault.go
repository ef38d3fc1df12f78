// Package fault is what is wrong with a file a person wrote, told so that they can mend it.
//
// In:  what a loader noticed, with its place. Out: faults in the order of the file, as values;
// [Fault.Render] turns one into the lines a person reads.
package fault

import (
	"fmt"
	"sort"
	"strings"
)

// Place is a position in a file. Line and Col count from 1, Col in characters; a zero Line means the whole file.
type Place struct {
	File string `json:"file"`
	Line int    `json:"line,omitempty"`
	Col  int    `json:"column,omitempty"`
}

// String gives file:line:column, leaving out what is not known.
func (p Place) String() string {
	switch {
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

// Render gives the lines a person reads: place and summary, the source line with a mark under it, and the help.
func (f Fault) Render() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n", f.Where, f.Summary)
	if f.Source != "" && f.Where.Line > 0 {
		number := fmt.Sprintf("%5d", f.Where.Line)
		source, col := window(f.Source, f.Where.Col)
		fmt.Fprintf(&b, "%s | %s\n", number, source)
		if f.Where.Col > 0 {
			fmt.Fprintf(&b, "      | %s%s\n", strings.Repeat(" ", col-1), strings.Repeat("^", max(1, f.Width)))
		}
	}
	for _, line := range []string{f.Help, meant(f.Nearest)} {
		if line != "" {
			fmt.Fprintf(&b, "      %s\n", line)
		}
	}
	for _, p := range f.Also {
		fmt.Fprintf(&b, "      see also %s\n", p)
	}
	return b.String()
}

// window shortens a very long line to the part round col (from 1), and gives the column within that part.
// Tabs and control characters show as spaces.
func window(line string, col int) (string, int) {
	const width, reach = 120, 2000 // characters shown; bytes looked at on either side of an ASCII column
	if len(line) > 2*reach && col > reach && isASCII(line[:min(len(line), col)]) {
		line, col = line[col-reach:min(len(line), col+reach)], reach
	} else if len(line) > 4*reach {
		line = line[:4*reach]
	}
	runes := []rune(line)
	for i, r := range runes {
		if r < ' ' || r == 0x7f {
			runes[i] = ' '
		}
	}
	if len(runes) <= width {
		return string(runes), col
	}
	start := max(0, min(col-width/2, len(runes)-width))
	return string(runes[start:min(len(runes), start+width)]), max(1, col-start)
}

func isASCII(s string) bool {
	for i := range len(s) {
		if s[i] >= 0x80 {
			return false
		}
	}
	return true
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
