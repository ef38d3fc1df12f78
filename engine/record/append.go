package record

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"time"

	"tideline/rules/fault"
	"tideline/rules/yamlfile"
)

// Append adds results to the `tests` of a record and gives the record's new bytes. It only puts text in: every byte that
// was there stays, with its comments and order. What it gives was read back, and holds the old results and the new ones.
//
// An added result that the record cannot take (a place off the part) is a [Misfit]. Where the text cannot be added to
// safely, or the record has faults of its own, that is a fault. In both cases the bytes are nil.
func Append(name string, data []byte, more []Result, words *Words, today time.Time, faults *fault.List) ([]byte, []Misfit) {
	before := faults.Len()
	old := Parse(name, data, words, today, faults)
	if old == nil || faults.Len() > before {
		return nil, nil
	}
	if len(more) == 0 {
		return data, nil
	}
	body := bytes.TrimPrefix(data, []byte("\ufeff"))
	mark := data[:len(data)-len(body)]
	edits, first := layOut(name, body).insert(more)
	out := slices.Clone(mark)
	done := 0
	for _, e := range edits {
		out = append(append(out, body[done:e.at]...), e.text...)
		done = e.at
	}
	out = append(out, body[done:]...)

	again := &fault.List{}
	now := Parse(name, out, words, today, again)
	if misfits := sortOut(again.All(), first, len(more)); len(misfits) > 0 {
		return nil, misfits
	}
	if now == nil || again.Len() > 0 || !holdsBoth(now, old, more) {
		faults.Add(fault.Fault{
			Where: fault.Place{File: name}, Summary: "cannot be added to",
			Help: "Its `tests` are written in a way that only a person can add to. Write `tests:` on a line of its own at the start of a line, with each test below it after `- `; then try again.",
		})
		return nil, nil
	}
	return out, nil
}

// Misfit is an added result that the record cannot take.
type Misfit struct {
	Entry int // in the results given
	Fault fault.Fault
}

// sortOut finds the faults that lie in added entries, one line each from first. One without a column is of the file.
func sortOut(faults []fault.Fault, first, entries int) (misfits []Misfit) {
	for _, f := range faults {
		if n := f.Where.Line - first; n >= 0 && n < entries && f.Where.Col > 0 {
			misfits = append(misfits, Misfit{n, f})
		}
	}
	return misfits
}

// holdsBoth tells whether the new book has the old results and the added ones, and no other.
func holdsBoth(now, old *Book, more []Result) bool {
	if len(now.Results) != len(old.Results)+len(more) || len(now.Things) != len(old.Things) || len(now.Done) != len(old.Done) {
		return false
	}
	count := map[string]int{}
	for _, r := range slices.Concat(old.Results, more) {
		count[r.identity()]++
	}
	for _, r := range now.Results {
		count[r.identity()]--
	}
	for _, n := range count {
		if n != 0 {
			return false
		}
	}
	return true
}

// identity tells a result from every other: all that it says, but not where it stands in the file.
func (r Result) identity() string {
	at := ""
	if r.At != nil {
		at = fmt.Sprint(*r.At)
	}
	return fmt.Sprintf("%q %q %v %v %q %q %q", r.Question.ID, r.Thing.Path, r.Answer, r.Date, r.By, at, r.Note)
}

// layout is where tests stand, or belong, in the text of a record.
type layout struct {
	text   []byte
	starts []int // of each line
	end    string
	root   *yamlfile.Node
	tests  *yamlfile.Node // the list; nil when there is none, or it is empty
	key    *yamlfile.Node // the word `tests`, nil when it is not there
	next   *yamlfile.Node // the key after it, nil when it is the last
}

func layOut(name string, body []byte) *layout {
	p := &layout{text: body, starts: lineStarts(body), end: "\n", root: yamlfile.Parse(name, body, &fault.List{})}
	if i := bytes.IndexByte(body, '\n'); i > 0 && body[i-1] == '\r' {
		p.end = "\r\n"
	}
	m := p.root.Map("a book record")
	p.key, p.tests = m.Key("tests"), m.Get("tests")
	for i, pair := range m.Pairs() {
		if i > 0 && m.Pairs()[i-1].Key.Raw() == "tests" {
			p.next = pair.Key
		}
	}
	return p
}

// lineStarts gives the byte at which each line starts, by what the YAML parser counts as the end of a line.
func lineStarts(text []byte) []int {
	starts := []int{0}
	for i, r := range string(text) {
		switch {
		case r == '\r' && i+1 < len(text) && text[i+1] == '\n':
		case r == '\n', r == '\r':
			starts = append(starts, i+1)
		case r == '\u0085':
			starts = append(starts, i+2)
		case r == '\u2028', r == '\u2029':
			starts = append(starts, i+3)
		}
	}
	return starts
}

// offset is the byte at which a node starts.
func (p *layout) offset(n *yamlfile.Node) int {
	where := n.Place()
	start := p.starts[where.Line-1]
	for i := range string(p.text[start:]) {
		if where.Col--; where.Col == 0 {
			return start + i
		}
	}
	return len(p.text)
}

// edit is text to put in before a byte.
type edit struct {
	at   int
	text string
}

// insert gives what to put in, from the start to the end, and the line on which the first entry will stand; each entry
// takes one line.
func (p *layout) insert(more []Result) (edits []edit, first int) {
	switch root := p.offset(p.root); {
	case p.text[root] == '{' && p.tests == nil:
		return p.flow(root, more, `  "tests": [`+p.end, p.end+"  ]")
	case p.tests != nil && p.text[p.offset(p.tests)] == '[':
		return p.flow(p.offset(p.tests), more, "", "")
	}
	return p.block(more)
}

// flow puts entries before the bracket that closes the group at start, in the form of JSON. A comment behind the last
// thing in the group stays there.
func (p *layout) flow(start int, more []Result, open, closed string) (edits []edit, first int) {
	last := lastInside(p.text, start)
	comma := edit{at: last + 1}
	if c := p.text[last]; last > start && c != ',' {
		comma.text = ","
	}
	at, before, after := last+1, p.end, p.end
	switch rest := strings.TrimLeft(p.rest(last+1), " \t"); {
	case strings.HasPrefix(rest, "#"):
		at, before = p.nextLine(last+1), ""
	case strings.TrimSpace(rest) == "":
		after = ""
	}
	entries := make([]string, len(more))
	for i, r := range more {
		entries[i] = "    " + r.json()
	}
	text := before + open + strings.Join(entries, ","+p.end) + closed + after
	first = p.line(last+1) + 1 + strings.Count(open, p.end)
	return []edit{comma, {at, text}}, first
}

// block puts entries below those that are there, or a list of them at the end of the file.
func (p *layout) block(more []Result) (edits []edit, first int) {
	margin := p.root.Place().Col - 1
	line, indent, head := p.endOfTests(margin), margin+2, ""
	switch {
	case p.key == nil:
		head = strings.Repeat(" ", margin) + "tests:" + p.end
	case p.tests == nil:
		line = p.key.Place().Line + 1
	default:
		indent = p.tests.Place().Col - 1
	}
	at := len(p.text)
	if line <= len(p.starts) {
		at = p.starts[line-1]
	}
	first = p.line(at) + strings.Count(head, p.end)
	if at > 0 && at == len(p.text) && p.starts[len(p.starts)-1] != at {
		head = p.end + head // the last line has no end
		first++
	}
	var b strings.Builder
	b.WriteString(head)
	for _, r := range more {
		b.WriteString(strings.Repeat(" ", indent) + "- " + r.yaml() + p.end)
	}
	return []edit{{at, b.String()}}, first
}

// endOfTests is the line before which further entries go, from 1.
func (p *layout) endOfTests(margin int) int {
	line := len(p.starts) + 1
	if p.next != nil {
		line = p.next.Place().Line
	}
	return p.aboveComments(line, margin)
}

// rest is what follows a byte on its line.
func (p *layout) rest(at int) string { return string(p.text[at:p.nextLine(at)]) }

// nextLine is where the line after that of a byte starts.
func (p *layout) nextLine(at int) int {
	if n := p.line(at); n < len(p.starts) {
		return p.starts[n]
	}
	return len(p.text)
}

// aboveComments goes up from a line over blank lines and comments that do not belong to what stands above them.
func (p *layout) aboveComments(line, margin int) int {
	for line > 2 {
		above := strings.TrimRight(p.lineText(line-1), "\r\n")
		bare := strings.TrimLeft(above, " \t")
		belongs := bare != "" && bare != "..." && (bare[0] != '#' || len(above)-len(bare) > margin)
		if belongs {
			break
		}
		line--
	}
	return line
}

// lineText is a line, from 1.
func (p *layout) lineText(n int) string {
	end := len(p.text)
	if n < len(p.starts) {
		end = p.starts[n]
	}
	if n > len(p.starts) {
		return ""
	}
	return string(p.text[p.starts[n-1]:end])
}

// line is the line in which a byte stands, from 1.
func (p *layout) line(at int) int {
	n, exact := slices.BinarySearch(p.starts, at)
	if exact {
		n++
	}
	return n
}

// lastInside gives the last byte that means something before the bracket that closes the group at start: neither
// blank nor comment.
func lastInside(text []byte, start int) int {
	depth, last := 0, start
	for i := start; i < len(text); i++ {
		switch c := text[i]; {
		case c == '"' || c == '\'':
			if begins(text[last]) {
				i = closing(text, i)
			}
		case c == '#' && i > 0 && strings.IndexByte(" \t\r\n", text[i-1]) >= 0:
			for i+1 < len(text) && text[i+1] != '\n' && text[i+1] != '\r' {
				i++
			}
			continue
		case c == '[' || c == '{':
			depth++
		case c == ']' || c == '}':
			if depth--; depth == 0 {
				return last
			}
		case strings.IndexByte(" \t\r\n", c) >= 0:
			continue
		}
		last = min(i, len(text)-1)
	}
	return last
}

// begins tells whether a quote after this byte opens a text, rather than standing in one.
func begins(c byte) bool { return strings.IndexByte("[{,:", c) >= 0 }

// closing gives the quote that closes the one at i.
func closing(text []byte, i int) int {
	quote := text[i]
	for i++; i < len(text); i++ {
		switch {
		case quote == '"' && text[i] == '\\':
			i++
		case text[i] == quote && quote == '\'' && i+1 < len(text) && text[i+1] == '\'':
			i++
		case text[i] == quote:
			return i
		}
	}
	return len(text) - 1
}
