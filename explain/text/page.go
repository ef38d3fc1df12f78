package text

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"tideline/explain/words"
)

// Style is what a page is written for.
type Style struct {
	Width int  // columns of the terminal
	ASCII bool // draw trees with |, - and `
	Bold  bool // the terminal can show bold; meaning never hangs on it
}

// page gathers lines, wrapped to the width.
type page struct {
	Style
	b strings.Builder
}

func (p *page) String() string { return p.b.String() }

// narrow tells whether columns side by side would be unreadable.
func (p *page) narrow() bool { return p.Width < 60 }

func (p *page) blank() { p.b.WriteByte('\n') }

// heading writes a line that stands out.
func (p *page) heading(text string) {
	for _, line := range wrap(text, p.Width) {
		p.b.WriteString(p.strong(line) + "\n")
	}
}

func (p *page) strong(s string) string {
	if !p.Bold || s == "" {
		return s
	}
	return "\x1b[1m" + s + "\x1b[22m"
}

// put writes text after a prefix; lines after the first start with rest.
func (p *page) put(first, rest, text string) {
	for i, line := range wrap(text, p.Width-max(width(first), width(rest))) {
		prefix := first
		if i > 0 {
			prefix = rest
		}
		p.b.WriteString(strings.TrimRight(prefix+line, " ") + "\n")
	}
}

// line writes text after so many blanks.
func (p *page) line(indent int, text string) {
	if p.narrow() {
		indent = (indent + 1) / 2
	}
	blanks := strings.Repeat(" ", indent)
	p.put(blanks, blanks, text)
}

// item writes text behind a label, hanging.
func (p *page) item(indent int, label, text string) {
	if p.narrow() {
		p.line(indent, label+" "+text)
		return
	}
	blanks := strings.Repeat(" ", indent)
	p.put(blanks+label+" ", blanks+strings.Repeat(" ", width(label)+1), text)
}

// row writes cells side by side, each wrapped to its width; on a narrow page one below the other.
func (p *page) row(indent int, widths []int, cells ...string) {
	if p.narrow() {
		for i, c := range cells {
			if c != "" {
				p.line(indent+4*min(i, 1), c)
			}
		}
		return
	}
	columns := make([][]string, len(cells))
	height := 0
	for i, c := range cells {
		columns[i] = wrap(c, widths[i])
		height = max(height, len(columns[i]))
	}
	for y := range height {
		line := strings.Repeat(" ", indent)
		for i, c := range columns {
			cell := ""
			if y < len(c) {
				cell = c[y]
			}
			line += cell + strings.Repeat(" ", max(0, widths[i]-width(cell))) + "  "
		}
		p.b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
}

// wrap breaks text, made safe, into lines of at most so many columns. A word longer than a line is broken. There is at
// least one line.
func wrap(text string, columns int) []string {
	columns = max(columns, 8)
	var lines []string
	line := ""
	for _, word := range strings.Fields(words.Safe(text)) {
		for width(word) > columns {
			if line != "" {
				lines, line = append(lines, line), ""
			}
			head := cut(word, columns)
			lines, word = append(lines, head), word[len(head):]
		}
		switch {
		case line == "":
			line = word
		case width(line)+1+width(word) <= columns:
			line += " " + word
		default:
			lines, line = append(lines, line), word
		}
	}
	if line != "" || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// cut gives the longest beginning of a word that fits, of one character at least; a path is cut behind a slash.
func cut(word string, columns int) string {
	used := 0
	for i, r := range word {
		if used += runeWidth(r); used > columns && i > 0 {
			if slash := strings.LastIndexByte(word[:i], '/'); slash > 0 {
				return word[:slash+1]
			}
			return word[:i]
		}
	}
	return word
}

// width is how many columns a text takes on a terminal.
func width(s string) int {
	if len(s) == utf8.RuneCountInString(s) {
		return len(s)
	}
	n := 0
	for _, r := range s {
		n += runeWidth(r)
	}
	return n
}

// wide are the ranges of characters that take two columns (Unicode UAX 11, wide and fullwidth, the large blocks; from memory).
var wide = [][2]rune{
	{0x1100, 0x115f},
	{0x2e80, 0x303e},
	{0x3041, 0xa4cf},
	{0xa960, 0xa97f},
	{0xac00, 0xd7a3},
	{0xf900, 0xfaff},
	{0xfe30, 0xfe6f},
	{0xff00, 0xff60},
	{0xffe0, 0xffe6},
	{0x1f300, 0x1faff},
	{0x20000, 0x3fffd},
}

func runeWidth(r rune) int {
	if unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf) {
		return 0
	}
	for _, w := range wide {
		if r >= w[0] && r <= w[1] {
			return 2
		}
	}
	return 1
}
