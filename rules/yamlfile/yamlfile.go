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
	name   string
	lines  []string
	faults *fault.List
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
			faults.Add(fault.Fault{Where: fault.Place{File: path}, Summary: "is a folder, not a file",
				Help: "Give the file itself, for example " + strings.TrimRight(path, "/") + "/book.yaml."})
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
		faults.Add(fault.Fault{Where: fault.Place{File: path}, Summary: "is too large",
			Help: fmt.Sprintf("A record or pack is text of a few pages; the limit is %d MiB. Is it the right file?", MaxBytes>>20)})
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
	if !utf8.Valid(data) {
		faults.Add(fault.Fault{Where: fault.Place{File: name}, Summary: "is not text",
			Help: "It is not valid UTF-8. Save it as plain text in UTF-8."})
		return nil
	}
	if data = fromJSON(data); len(bytes.TrimSpace(data)) == 0 {
		faults.Add(fault.Fault{Where: fault.Place{File: name}, Summary: "is empty"})
		return nil
	}
	f.lines = splitLines(string(data))
	dec := yaml.NewDecoder(bytes.NewReader(data))
	var doc yaml.Node
	if err := dec.Decode(&doc); errors.Is(err, io.EOF) {
		faults.Add(fault.Fault{Where: fault.Place{File: name}, Summary: "holds nothing but comments"})
		return nil
	} else if err != nil {
		f.syntax(err)
		return nil
	}
	var second yaml.Node
	if err := dec.Decode(&second); err == nil {
		f.fault(&second, "a second document", "One file holds one document; remove the line --- and what follows, or split the file.")
	} else if !errors.Is(err, io.EOF) {
		f.syntax(err)
		return nil
	}
	before := faults.Len()
	f.vet(doc.Content[0], 0)
	if faults.Len() > before {
		return nil
	}
	return &Node{doc.Content[0], f}
}

// splitLines splits at whatever the YAML parser counts as the end of a line.
func splitLines(text string) []string {
	if strings.ContainsAny(text, "\r\u0085\u2028\u2029") {
		text = otherBreaks.Replace(text)
	}
	return strings.Split(text, "\n")
}

var otherBreaks = strings.NewReplacer("\r\n", "\n", "\r", "\n", "\u0085", "\n", "\u2028", "\n", "\u2029", "\n")

// fromJSON makes JSON palatable to the YAML parser without moving anything to another line: tabs become spaces, and
// escaped surrogate pairs the character they stand for; an escaped slash, which YAML does not know, becomes a slash.
func fromJSON(data []byte) []byte {
	if !bytes.HasPrefix(bytes.TrimLeft(data, " \t\r\n"), []byte("{")) {
		return data
	}
	data = bytes.ReplaceAll(data, []byte("\t"), []byte(" "))
	data = escapes.ReplaceAllFunc(data, func(e []byte) []byte {
		if string(e) == `\/` {
			return []byte("/")
		}
		return e
	})
	return surrogates.ReplaceAllFunc(data, func(pair []byte) []byte {
		high, _ := strconv.ParseUint(string(pair[2:6]), 16, 16)
		low, _ := strconv.ParseUint(string(pair[8:12]), 16, 16)
		return []byte(string(utf16.DecodeRune(rune(high), rune(low))))
	})
}

var escapes = regexp.MustCompile(`\\[\\/"]`)

var surrogates = regexp.MustCompile(`\\u[dD][89abAB][0-9a-fA-F]{2}\\u[dD][c-fC-F][0-9a-fA-F]{2}`)

var lineOf = regexp.MustCompile(`line (\d+): `)

func (f *file) syntax(err error) {
	text := strings.TrimPrefix(err.Error(), "yaml: ")
	where := fault.Place{File: f.name}
	if m := lineOf.FindStringSubmatch(text); m != nil {
		where.Line, _ = strconv.Atoi(m[1])
		where.Line = min(where.Line, len(f.lines))
		text = strings.Replace(text, m[0], "", 1)
	}
	help := "The fault may stand a line earlier. Common causes: a missing or second colon, a tab, an unclosed quote or bracket, or uneven indentation."
	f.faults.Add(fault.Fault{Where: where, Summary: "is not well-formed: " + text, Help: help, Source: f.line(where.Line)})
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

func (f *file) vetKeys(n *yaml.Node) {
	seen := map[string]*yaml.Node{}
	for i := 0; i < len(n.Content); i += 2 {
		k := n.Content[i]
		if k.Kind != yaml.ScalarNode {
			f.fault(k, "a key must be a single word or phrase", "")
			continue
		}
		if k.Tag == "!!merge" {
			f.fault(k, "merge keys are not used here", "Write the values out.")
		}
		if first, twice := seen[k.Value]; twice {
			f.faults.Add(fault.Fault{Where: f.place(k), Also: []fault.Place{f.place(first)}, Width: utf8.RuneCountInString(k.Value),
				Source: f.line(k.Line), Summary: fmt.Sprintf("%q stands here twice", k.Value), Help: "Give the second another name, or join the two."})
		}
		seen[k.Value] = k
	}
}

func (f *file) place(n *yaml.Node) fault.Place {
	return fault.Place{File: f.name, Line: n.Line, Col: n.Column}
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
// Where the style of the scalar has lost track of columns the fault points at its start.
func (n *Node) FaultAt(line, col, width int, summary, help, near string) {
	where := n.Place()
	switch {
	case n.y.Style&yaml.LiteralStyle != 0:
		where.Line += line
		text := n.file.line(where.Line)
		where.Col = len(text) - len(strings.TrimLeft(text, " ")) + col
	case n.y.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0:
		if where.Col += col; strings.Contains(n.y.Value, "\n") {
			where = n.Place()
		}
	case line == 1 && n.y.Style&yaml.FoldedStyle == 0:
		where.Col += col - 1
	}
	n.file.faults.Add(fault.Fault{Where: where, Summary: summary, Help: help, Nearest: near, Source: n.file.line(where.Line), Width: width})
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
