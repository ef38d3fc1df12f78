package yamlfile

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"gopkg.in/yaml.v3"
)

// Map is a mapping whose keys are known.
type Map struct {
	node  *Node
	pairs []Pair
}

// Pair is one entry of a mapping.
type Pair struct{ Key, Value *Node }

// Map reads the node as a mapping. With keys given, any other key is a fault. It never gives nil, so that a reader can go on.
func (n *Node) Map(what string, keys ...string) *Map {
	m := &Map{node: n}
	if n == nil {
		return m
	}
	if n.y.Kind != yaml.MappingNode {
		n.Fault(fmt.Sprintf("expected %s, found %s", what, n.found()), "Write it as `key: value` lines, indented.")
		return m
	}
	for i := 0; i < len(n.y.Content); i += 2 {
		key, value := &Node{n.y.Content[i], n.file}, &Node{n.y.Content[i+1], n.file}
		if len(keys) > 0 && !contains(keys, key.y.Value) {
			key.Fault(fmt.Sprintf("unknown word %q", key.y.Value), fmt.Sprintf("%s has %s.", capital(what), strings.Join(keys, ", ")), keys...)
			continue
		}
		m.pairs = append(m.pairs, Pair{key, value})
	}
	return m
}

func contains(words []string, word string) bool {
	for _, w := range words {
		if w == word {
			return true
		}
	}
	return false
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// Pairs gives the entries in the order of the file.
func (m *Map) Pairs() []Pair { return m.pairs }

// Get gives the value of key, nil when it is absent or empty.
func (m *Map) Get(key string) *Node {
	for _, p := range m.pairs {
		if p.Key.y.Value == key {
			if p.Value.y.ShortTag() == "!!null" {
				return nil
			}
			return p.Value
		}
	}
	return nil
}

// Key gives the key's own node, nil when it is absent.
func (m *Map) Key(key string) *Node {
	for _, p := range m.pairs {
		if p.Key.y.Value == key {
			return p.Key
		}
	}
	return nil
}

// Need is Get, with a fault when the key is absent or its text blank.
func (m *Map) Need(key, help string) *Node {
	n := m.Get(key)
	if n == nil && m.node != nil && m.node.y.Kind == yaml.MappingNode {
		m.node.Fault(fmt.Sprintf("%q is missing", key), help)
	}
	if n.IsScalar() && strings.TrimSpace(n.y.Value) == "" {
		n.Fault(fmt.Sprintf("%q is empty", key), help)
		return nil
	}
	return n
}

// Text is the value of key as text, "" when absent.
func (m *Map) Text(key string) string { return m.Get(key).Text() }

// Text reads a scalar as text.
func (n *Node) Text() string {
	if n == nil {
		return ""
	}
	if n.y.Kind != yaml.ScalarNode {
		n.Fault("expected text, found "+n.found(), "")
		return ""
	}
	return strings.TrimRight(n.y.Value, "\n")
}

// Raw is a scalar's text as it stands, without a fault.
func (n *Node) Raw() string {
	if n == nil {
		return ""
	}
	return n.y.Value
}

// IsScalar tells whether the node is a single value.
func (n *Node) IsScalar() bool { return n != nil && n.y.Kind == yaml.ScalarNode }

// IsMap tells whether the node is a mapping.
func (n *Node) IsMap() bool { return n != nil && n.y.Kind == yaml.MappingNode }

// IsList tells whether the node is a list.
func (n *Node) IsList() bool { return n != nil && n.y.Kind == yaml.SequenceNode }

// IsFolded tells whether the node is a text that YAML has re-wrapped, so that columns in it are lost.
func (n *Node) IsFolded() bool {
	switch {
	case !n.IsScalar() || n.y.Style&yaml.LiteralStyle != 0:
		return false
	case n.y.Style&yaml.FoldedStyle != 0:
		return true
	case n.isQuoted():
		_, closed := n.quoted(math.MaxInt)
		return !closed
	}
	return !strings.HasPrefix(after(n.file.line(n.y.Line), n.Place().Col-1), n.y.Value)
}

// after gives what stands after so many characters of a line.
func after(line string, characters int) string {
	for at := range line {
		if characters--; characters < 0 {
			return line[at:]
		}
	}
	return ""
}

// List reads a list; a single value counts as a list of one.
func (n *Node) List() []*Node {
	if n == nil {
		return nil
	}
	if n.y.Kind != yaml.SequenceNode {
		return []*Node{n}
	}
	nodes := make([]*Node, 0, len(n.y.Content))
	for _, c := range n.y.Content {
		nodes = append(nodes, &Node{c, n.file})
	}
	return nodes
}

// Texts reads a list of texts; a single text counts as a list of one.
func (n *Node) Texts() []string {
	var texts []string
	for _, item := range n.List() {
		texts = append(texts, item.Text())
	}
	return texts
}

// Number reads a plain number. A quoted one, or one with a leading zero, is a fault.
func (n *Node) Number() (float64, bool) {
	if n == nil {
		return 0, false
	}
	tag := n.y.ShortTag()
	v, err := strconv.ParseFloat(n.y.Value, 64)
	if n.y.Kind != yaml.ScalarNode || tag != "!!int" && tag != "!!float" || err != nil || v-v != 0 || strings.Contains(n.y.Value, "_") {
		n.Fault("expected a number, found "+n.found(), "Write digits, with a point for decimals: 4 or 4.5.")
		return 0, false
	}
	if digits := strings.TrimLeft(n.y.Value, "+-"); len(digits) > 1 && digits[0] == '0' && digits[1] != '.' {
		n.Fault("a number must not start with 0", "")
		return 0, false
	}
	return v, true
}

// Int reads a whole number between from and to.
func (n *Node) Int(from, to int) int {
	v, ok := n.Number()
	if !ok {
		return from
	}
	if v != float64(int(v)) || int(v) < from || int(v) > to {
		n.Fault(fmt.Sprintf("%s is not a whole number from %d to %d", n.y.Value, from, to), "")
		return from
	}
	return int(v)
}

// YesNo reads yes, no, true or false.
func (n *Node) YesNo() (yes, ok bool) {
	if n == nil {
		return false, false
	}
	switch n.y.Value {
	case "yes", "true":
		return true, true
	case "no", "false":
		return false, true
	}
	n.Fault("expected yes or no, found "+n.found(), "")
	return false, false
}

// Word reads a text that must be one of words.
func (n *Node) Word(words ...string) string {
	text := n.Text()
	if n.IsScalar() && !contains(words, text) {
		n.Fault(fmt.Sprintf("%q is not one of %s", text, strings.Join(words, ", ")), "", words...)
		return ""
	}
	return text
}

// Date reads a date or a date with a time of day, 2026-10-12 or 2026-10-12T15:30.
func (n *Node) Date() (time.Time, bool) {
	if n == nil {
		return time.Time{}, false
	}
	t, ok := ParseDate(n.y.Value)
	if !ok {
		n.Fault("expected a date, found "+n.found(), "Write year-month-day, for example 2026-10-12; a time of day may follow, as in 2026-10-12T15:30.")
	}
	return t, ok
}

// ParseDate reads a date as [Node.Date] does.
func ParseDate(text string) (time.Time, bool) {
	for _, layout := range []string{"2006-01-02", "2006-01-02T15:04", "2006-01-02T15:04:05", "2006-01-02 15:04", "2006-01-02 15:04:05"} {
		if t, err := time.Parse(layout, text); err == nil {
			return t, true
		}
	}
	return time.Time{}, false
}

func (n *Node) found() string {
	switch {
	case n.y.Kind == yaml.MappingNode:
		return "a group of keys"
	case n.y.Kind == yaml.SequenceNode:
		return "a list"
	case n.y.Value == "":
		return "nothing"
	}
	return strconv.Quote(n.y.Value)
}
