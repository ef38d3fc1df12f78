// Package yamlfile reads a YAML or JSON file strictly and remembers where every word of it stands.
//
// In:  bytes. Out: a tree of [Node], and faults with file, line and column for whatever is not as expected.
// It goes on after a fault, so that one run tells all of them. Anchors, aliases, merge keys, second documents and
// repeated keys are refused: records and packs do not need them.
package yamlfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"tideline/rules/fault"
	"tideline/rules/nearest"
)

// Limits on a file, far above anything a person writes.
const (
	MaxBytes = 4 << 20
	maxDepth = 64
)

// Node is one value of a file, with its place. A nil *Node reads as absent.
type Node struct {
	y    *yaml.Node
	file *file
}

type file struct {
	name  string
	lines []string
	moved map[int][]move // by line
	// doubles is how many repeated keys were left out
	doubles int
	faults  *fault.List
}

// Read reads the file at path ("-" is stdin), at most [MaxBytes]. What cannot be read is a fault, and the bytes are nil.
func Read(path string, stdin io.Reader, faults *fault.List) []byte {
	r := stdin
	if path != "-" {
		f, err := os.Open(path)
		if err != nil {
			faults.Add(fault.Fault{Where: fault.Place{File: path}, Summary: "cannot be opened", Help: plainError(err)})
			return nil
		}
		defer f.Close()
		if info, err := f.Stat(); err == nil && info.IsDir() {
			faults.Add(fault.Fault{
				Where: fault.Place{File: path}, Summary: "is a folder, not a file",
				Help: "Give the file itself, for example " + strings.TrimRight(path, "/") + "/book.yaml.",
			})
			return nil
		}
		r = f
	}
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		faults.Add(fault.Fault{Where: fault.Place{File: path}, Summary: "cannot be read", Help: plainError(err)})
		return nil
	}
	if len(data) > MaxBytes {
		faults.Add(fault.Fault{
			Where: fault.Place{File: path}, Summary: "is too large",
			Help: fmt.Sprintf("A record or pack is text of a few pages; the limit is %d MiB. Is it the right file?", MaxBytes>>20),
		})
		return nil
	}
	return data
}

func plainError(err error) string {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "There is no such file. Check the spelling and the folder."
	case errors.Is(err, fs.ErrPermission):
		return "You are not allowed to read it. Ask for permission, or copy it."
	}
	var path *fs.PathError
	if errors.As(err, &path) {
		err = path.Err
	}
	return err.Error()
}

// Parse reads data into a tree. It gives nil, with at least one fault noted, when there is nothing to walk.
func Parse(name string, data []byte, faults *fault.List) *Node {
	f := &file{name: name, faults: faults}
	data = bytes.TrimPrefix(data, []byte("\ufeff")) // the mark some editors put before UTF-8
	if !utf8.Valid(data) {
		faults.Add(fault.Fault{
			Where: fault.Place{File: name}, Summary: "is not text",
			Help: "It is not valid UTF-8. Save it as plain text in UTF-8.",
		})
		return nil
	}
	if len(bytes.TrimSpace(data)) == 0 {
		faults.Add(fault.Fault{Where: fault.Place{File: name}, Summary: "is empty"})
		return nil
	}
	text := string(data)
	f.lines = splitLines(text)
	root := quick(text)
	if root == nil {
		root = f.read(data)
	}
	if root == nil {
		return nil
	}
	before := faults.Len()
	f.vet(root, 0)
	if faults.Len()-before > f.doubles {
		return nil
	}
	return &Node{root, f}
}

// read reads one document with the YAML library; nil, with a fault noted, when there is none.
func (f *file) read(data []byte) *yaml.Node {
	data, f.moved = fromJSON(data)
	dec := yaml.NewDecoder(bytes.NewReader(data))
	var doc, second yaml.Node
	if err := dec.Decode(&doc); errors.Is(err, io.EOF) {
		f.faults.Add(fault.Fault{Where: fault.Place{File: f.name}, Summary: "holds nothing but comments"})
		return nil
	} else if err != nil {
		f.syntax(err)
		return nil
	}
	if err := dec.Decode(&second); err == nil {
		f.fault(&second, "a second document", "One file holds one document; remove the line --- and what follows, or split the file.")
	} else if !errors.Is(err, io.EOF) {
		f.syntax(err)
		return nil
	}
	return doc.Content[0]
}

// splitLines splits at whatever the YAML parser counts as the end of a line.
func splitLines(text string) []string {
	if OtherBreaks(text) {
		text = otherBreaks.Replace(text)
	}
	return strings.Split(text, "\n")
}

// OtherBreaks tells whether a text holds line ends that are not \n.
func OtherBreaks(text string) bool {
	return slices.ContainsFunc([]string{"\r", "\u0085", "\u2028", "\u2029"}, func(end string) bool { return strings.Contains(text, end) })
}

var otherBreaks = strings.NewReplacer("\r\n", "\n", "\r", "\n", "\u0085", "\n", "\u2028", "\n", "\u2029", "\n")

// move says that what stands right of a column of a line, as the YAML parser counts, stands so many characters further
// right in the file.
type move struct{ col, by int }

// fromJSON makes JSON palatable to the YAML parser without moving anything to another line: tabs become spaces, and
// escaped surrogate pairs the character they stand for; an escaped slash, which YAML does not know, becomes a slash.
func fromJSON(data []byte) ([]byte, map[int][]move) {
	if !bytes.HasPrefix(bytes.TrimLeft(data, " \t\r\n"), []byte("{")) {
		return data, nil
	}
	data = bytes.ReplaceAll(data, []byte("\t"), []byte(" "))
	if !bytes.ContainsRune(data, '\\') {
		return data, nil
	}
	out, moved := make([]byte, 0, len(data)), map[int][]move{}
	for i, line := range bytes.SplitAfter(data, []byte("\n")) {
		done, col := 0, 0 // bytes of the line, characters of what became of them
		for _, at := range escapes.FindAllIndex(line, -1) {
			char := unescaped(line[at[0]:at[1]])
			if char == 0 {
				continue
			}
			before := line[done:at[0]]
			col += utf8.RuneCount(before) + 1
			out = utf8.AppendRune(append(out, before...), char)
			moved[i+1] = append(moved[i+1], move{col, at[1] - at[0] - 1})
			done = at[1]
		}
		out = append(out, line[done:]...)
	}
	return out, moved
}

// escapes are the escapes of JSON that YAML does not know, and those of two characters that could be mistaken for them.
var escapes = regexp.MustCompile(`\\[\\/"]|\\u[dD][89abAB][0-9a-fA-F]{2}\\u[dD][c-fC-F][0-9a-fA-F]{2}`)

// unescaped gives the character an escape stands for, 0 for one that YAML knows.
func unescaped(escape []byte) rune {
	switch {
	case len(escape) == 12:
		high, _ := strconv.ParseUint(string(escape[2:6]), 16, 16)
		low, _ := strconv.ParseUint(string(escape[8:12]), 16, 16)
		return utf16.DecodeRune(rune(high), rune(low))
	case escape[1] == '/':
		return '/'
	}
	return 0
}

var lineOf = regexp.MustCompile(`line (\d+): `)

func (f *file) syntax(err error) {
	text := strings.TrimPrefix(err.Error(), "yaml: ")
	if strings.HasPrefix(text, "control characters") {
		f.controlCharacter()
		return
	}
	where := fault.Place{File: f.name}
	if m := lineOf.FindStringSubmatch(text); m != nil {
		where.Line, _ = strconv.Atoi(m[1])
		where.Line = min(where.Line, len(f.lines))
		text = strings.Replace(text, m[0], "", 1)
	}
	help := "The fault may stand a line earlier. Common causes: a missing or second colon, a tab, an unclosed quote or bracket, or uneven indentation."
	f.faults.Add(fault.Fault{Where: where, Summary: "is not well-formed: " + text, Help: help, Source: f.line(where.Line)})
}

// controlCharacter notes where the first character stands that YAML does not allow.
func (f *file) controlCharacter() {
	where, source := fault.Place{File: f.name}, ""
	for i, line := range f.lines {
		if at := strings.IndexFunc(line, notAllowed); at >= 0 {
			where.Line, where.Col, source = i+1, utf8.RuneCountInString(line[:at])+1, line
			break
		}
	}
	f.faults.Add(fault.Fault{
		Where: where, Summary: "holds a control character", Source: source, Width: 1,
		Help: "A text file holds none. Remove it, or type the line anew.",
	})
}

// notAllowed tells of a character that may not stand in YAML (YAML 1.2.2, production 1).
func notAllowed(r rune) bool {
	return r != '\t' && r < ' ' || r >= 0x7f && r < 0xa0 || r == 0xfeff || r == 0xfffe || r == 0xffff
}

// vet refuses what no record or pack needs, everywhere in the tree.
func (f *file) vet(n *yaml.Node, depth int) {
	if depth > maxDepth {
		f.fault(n, "nested too deep", fmt.Sprintf("At most %d levels are read.", maxDepth))
		return
	}
	if n.Kind == yaml.AliasNode || n.Anchor != "" {
		f.fault(n, "anchors and aliases are not used here", "Write the value out.")
		return
	}
	if n.Style&yaml.TaggedStyle != 0 {
		f.fault(n, fmt.Sprintf("tag %s is not used here", n.Tag), "Remove it.")
	}
	if n.Kind == yaml.MappingNode {
		f.vetKeys(n)
	}
	for _, c := range n.Content {
		f.vet(c, depth+1)
	}
}

// vetKeys refuses repeated keys. The first of them is read on with, so that the rest of the file is looked at too.
func (f *file) vetKeys(n *yaml.Node) {
	seen := map[string]*yaml.Node{}
	kept := n.Content[:0]
	for i := 0; i+1 < len(n.Content); i += 2 {
		k := n.Content[i]
		if k.Kind != yaml.ScalarNode {
			f.fault(k, "a key must be a single word or phrase", "")
			continue
		}
		if k.Tag == "!!merge" {
			f.fault(k, "merge keys are not used here", "Write the values out.")
		}
		if first, twice := seen[k.Value]; twice {
			f.faults.Add(fault.Fault{
				Where: f.place(k), Also: []fault.Place{f.place(first)}, Width: utf8.RuneCountInString(k.Value),
				Source: f.line(k.Line), Summary: fmt.Sprintf("%q stands here twice", k.Value), Help: "Give the second another name, or join the two.",
			})
			f.doubles++
			continue
		}
		seen[k.Value] = k
		kept = append(kept, k, n.Content[i+1])
	}
	n.Content = kept
}

func (f *file) place(n *yaml.Node) fault.Place {
	col := n.Column
	for _, m := range f.moved[n.Line] {
		if m.col < n.Column {
			col += m.by
		}
	}
	return fault.Place{File: f.name, Line: n.Line, Col: col}
}

func (f *file) line(n int) string {
	if n < 1 || n > len(f.lines) {
		return ""
	}
	return f.lines[n-1]
}

func (f *file) fault(n *yaml.Node, summary, help string) {
	f.faults.Add(fault.Fault{Where: f.place(n), Summary: summary, Help: help, Source: f.line(n.Line), Width: width(n)})
}

func width(n *yaml.Node) int {
	if n.Kind == yaml.ScalarNode && n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) == 0 && !strings.Contains(n.Value, "\n") {
		return utf8.RuneCountInString(n.Value)
	}
	return 1
}

// Place is where the node stands.
func (n *Node) Place() fault.Place { return n.file.place(n.y) }

// Fault notes what is wrong with the node.
func (n *Node) Fault(summary, help string, words ...string) {
	f := fault.Fault{Where: n.Place(), Summary: summary, Help: help, Source: n.file.line(n.y.Line), Width: width(n.y)}
	if len(words) > 0 {
		f.Nearest = nearest.Word(n.y.Value, words)
	}
	n.file.faults.Add(f)
}

// FaultAt notes what is wrong at a line and column within the text of a scalar, both from 1 and in characters.
// Where YAML has re-wrapped the scalar, and so lost track of columns, the fault points at its start.
func (n *Node) FaultAt(line, col, width int, summary, help, near string) {
	where := n.Place()
	lines := strings.Split(n.y.Value, "\n")
	line = min(line, len(lines))
	switch {
	case n.IsFolded():
	case n.y.Style&yaml.LiteralStyle != 0:
		where.Line += line
		indent := utf8.RuneCountInString(n.file.line(where.Line)) - utf8.RuneCountInString(lines[line-1])
		where.Col = max(0, indent) + col
	case n.isQuoted():
		before := utf8.RuneCountInString(strings.Join(lines[:line-1], " ")) // with one character for each line end but the last
		if line > 1 {
			before++
		}
		where.Col, _ = n.quoted(before + col)
	default:
		where.Col += col - 1
	}
	n.file.faults.Add(fault.Fault{Where: where, Summary: summary, Help: help, Nearest: near, Source: n.file.line(where.Line), Width: width})
}

func (n *Node) isQuoted() bool { return n.y.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0 }

// quoted gives the column at which a character of a quoted scalar stands, an escape being one character, or of its
// closing quote if that comes before; closed tells whether that was found on the line on which the scalar starts.
func (n *Node) quoted(character int) (col int, closed bool) {
	rest := n.file.line(n.y.Line)
	for col = n.Place().Col; col > 0; col-- { // up to after the opening quote
		_, size := utf8.DecodeRuneInString(rest)
		rest = rest[size:]
	}
	col = n.Place().Col + 1
	double := n.y.Style&yaml.DoubleQuotedStyle != 0
	for ; rest != "" && character > 1; character-- {
		size := 1
		switch {
		case double && rest[0] == '"' || !double && rest[0] == '\'' && !strings.HasPrefix(rest, "''"):
			return col, true
		case !double && rest[0] == '\'':
			size = 2
		case double && rest[0] == '\\':
			size = min(len(rest), escaped(rest))
		default:
			_, bytes := utf8.DecodeRuneInString(rest)
			rest, col = rest[bytes:], col+1
			continue
		}
		rest, col = rest[size:], col+size
	}
	return col, false
}

// escaped is how long the escape at the start of a double-quoted text is.
func escaped(text string) int {
	if at := escapes.FindStringIndex(text); at != nil && at[0] == 0 {
		return at[1]
	}
	if len(text) > 1 {
		switch text[1] {
		case 'x':
			return 4
		case 'u':
			return 6
		case 'U':
			return 10
		}
	}
	return 2
}

// Lines gives the raw lines of the file from line a to b, from 1, both included.
func (n *Node) Lines(a, b int) []string {
	last := len(n.file.lines)
	return n.file.lines[min(max(0, a-1), last):min(max(0, b), last)]
}

// With gives the node with its further faults noted in another list.
func (n *Node) With(faults *fault.List) *Node {
	f := *n.file
	f.faults = faults
	return &Node{n.y, &f}
}
