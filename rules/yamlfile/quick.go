package yamlfile

import (
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// quick reads the YAML that people mostly write in records and packs, three times as fast as the YAML library: block
// mappings and lists, flow ones, plain and quoted text without escapes, and blocks of text after |. At anything else,
// and at whatever might be a fault, it gives nil, and the library reads the file and tells. What it does read is the tree
// that the library would give, less comments and with the tags of scalars left to [yaml.Node.ShortTag]: see TestQuick.
func quick(text string) *yaml.Node {
	if !strings.HasSuffix(text, "\n") || !isPlainText(text) {
		return nil
	}
	q := &quickReader{text: text}
	q.nextLine()
	root := q.blockMap(0)
	if q.failed || q.at < len(text) || len(root.Content) == 0 {
		return nil
	}
	return root
}

// isPlainText tells whether a text has only characters that YAML allows and line ends that are \n, and no tabs.
func isPlainText(text string) bool {
	for i := 0; i < len(text); i++ {
		if b := text[i]; b < ' ' && b != '\n' || b == 0x7f {
			return false
		} else if b >= utf8.RuneSelf {
			return !strings.ContainsFunc(text, func(r rune) bool { return r != '\n' && notAllowed(r) || r == '\t' || r == 0x2028 || r == 0x2029 })
		}
	}
	return true
}

// quickReader stands at the byte at of a text. What it cannot read makes it fail for good.
type quickReader struct {
	text   string
	at     int
	line   int // from 0
	start  int // where the line starts
	indent int // how many spaces the next content of a block has before it, after nextLine
	depth  int
	failed bool
	spare  []yaml.Node
	stack  []*yaml.Node // of the mappings and lists being read
}

func (q *quickReader) fail() { q.failed, q.at = true, len(q.text) }

// peek gives the byte so many places on, a line end after the last.
func (q *quickReader) peek(n int) byte {
	if q.at+n < len(q.text) {
		return q.text[q.at+n]
	}
	return '\n'
}

// mostQuick is how many characters of a line, and how many lines of one plain text, are read quickly.
const mostQuick = 1000

// node makes a node that starts here.
func (q *quickReader) node(kind yaml.Kind, style yaml.Style) *yaml.Node {
	if len(q.spare) == 0 {
		q.spare = make([]yaml.Node, 128)
	}
	n := &q.spare[0]
	q.spare = q.spare[1:]
	n.Kind, n.Style = kind, style
	if q.at-q.start > mostQuick {
		q.fail()
		return n
	}
	n.Line, n.Column = q.line+1, utf8.RuneCountInString(q.text[q.start:q.at])+1
	return n
}

// adopt gives a node what was read since the stack had so many nodes.
func (q *quickReader) adopt(n *yaml.Node, from int) *yaml.Node {
	n.Content = append([]*yaml.Node(nil), q.stack[from:]...)
	q.stack = q.stack[:from]
	q.depth--
	return n
}

func (q *quickReader) deeper() {
	if q.depth++; q.depth > maxDepth {
		q.fail()
	}
}

// endLine goes past what may stand after a value of a block: blanks and a comment.
func (q *quickReader) endLine() (comment bool) {
	q.blanks()
	if comment = q.peek(0) == '#' && q.text[q.at-1] == ' '; comment {
		q.at += strings.IndexByte(q.text[q.at:], '\n')
	}
	if q.peek(0) != '\n' {
		q.fail()
	}
	return comment
}

func (q *quickReader) blanks() {
	for q.peek(0) == ' ' {
		q.at++
	}
}

// newLine goes past a line end.
func (q *quickReader) newLine() {
	q.at = min(q.at+1, len(q.text))
	q.line, q.start = q.line+1, q.at
}

// nextLine goes to the next content of a block, past empty lines and lines of comment.
func (q *quickReader) nextLine() {
	for q.at < len(q.text) {
		q.blanks()
		q.indent = q.at - q.start
		if b := q.peek(0); b != '\n' && b != '#' {
			return
		}
		q.at += strings.IndexByte(q.text[q.at:], '\n')
		q.newLine()
	}
	q.indent = -1
}

// value reads the value of a key or list item that stands in a column: on the same line, or in the lines that follow.
// own is the column that nested content must at least have, list that of a list.
func (q *quickReader) value(own, list int) *yaml.Node {
	q.blanks()
	if b := q.peek(0); b != '\n' && b != '#' {
		return q.inline(own)
	}
	q.endLine()
	if q.failed {
		return nil
	}
	q.newLine()
	q.nextLine()
	switch {
	case q.isItem() && q.indent >= list:
		return q.blockList(q.indent)
	case q.indent >= own && q.keyLength() > 0:
		return q.blockMap(q.indent)
	case q.indent >= own:
		return q.inline(own)
	}
	q.fail() // an empty value
	return nil
}

// inline reads a value that starts on this line, up to where the next content starts.
func (q *quickReader) inline(own int) *yaml.Node {
	var n *yaml.Node
	switch q.peek(0) {
	case '{', '[':
		n = q.flow()
	case '\'', '"':
		n = q.quoted()
	case '|':
		return q.literal(own)
	default:
		return q.plain(own)
	}
	q.endLine()
	if !q.failed {
		q.newLine()
		q.nextLine()
	}
	return n
}

// isItem tells whether a list item starts here.
func (q *quickReader) isItem() bool { return q.indent >= 0 && q.peek(0) == '-' && q.peek(1) == ' ' }

// keyLength gives how long the plain key is that starts here, 0 when none does.
func (q *quickReader) keyLength() int {
	if !startsPlain(q.peek(0), q.peek(1)) {
		return 0
	}
	const most = 500
	for i := 1; i < most; i++ {
		switch b := q.peek(i); {
		case b == '\n' || b == '#' && q.peek(i-1) == ' ':
			return 0
		case b == ':' && (q.peek(i+1) == ' ' || q.peek(i+1) == '\n'):
			return i
		}
	}
	return 0
}

// startsPlain tells whether plain text can start with a byte, surely.
func startsPlain(b, next byte) bool {
	return b >= 'a' && b <= 'z' || b >= 'A' && b <= 'Z' || b >= '0' && b <= '9' || b == '-' && next >= '0' && next <= '9' ||
		b >= utf8.RuneSelf || strings.IndexByte("(~/._", b) >= 0
}

// scalar makes a node of the plain text from here to end, and goes there.
func (q *quickReader) scalar(end int) *yaml.Node {
	n := q.node(yaml.ScalarNode, 0)
	if q.failed {
		return n
	}
	n.Value = strings.TrimRight(q.text[q.at:end], " ")
	q.at = end
	return n
}

// blockMap reads the mapping whose keys stand in a column.
func (q *quickReader) blockMap(col int) *yaml.Node {
	n, from := q.node(yaml.MappingNode, 0), len(q.stack)
	q.deeper()
	for q.indent == col && !q.failed {
		length := q.keyLength()
		if length == 0 {
			q.fail()
			break
		}
		q.stack = append(q.stack, q.scalar(q.at+length))
		q.at++ // the colon
		v := q.value(col+1, col)
		q.stack = append(q.stack, v)
	}
	if q.indent > col {
		q.fail()
	}
	return q.adopt(n, from)
}

// blockList reads the list whose items stand in a column.
func (q *quickReader) blockList(col int) *yaml.Node {
	n, from := q.node(yaml.SequenceNode, 0), len(q.stack)
	q.deeper()
	for q.indent == col && q.isItem() && !q.failed {
		q.at++ // the dash
		q.blanks()
		var item *yaml.Node
		if q.keyLength() > 0 {
			q.indent = q.at - q.start
			item = q.blockMap(q.indent)
		} else {
			item = q.value(col+1, col+1)
		}
		q.stack = append(q.stack, item)
	}
	if q.indent > col {
		q.fail()
	}
	return q.adopt(n, from)
}

// plain reads plain text in a block, with the lines that go on with it.
func (q *quickReader) plain(own int) *yaml.Node {
	if !startsPlain(q.peek(0), q.peek(1)) {
		q.fail()
		return nil
	}
	n := q.scalar(q.plainEnd())
	for comment := q.endLine(); !q.failed; comment = q.endLine() {
		line := q.line
		q.newLine()
		if q.nextLine(); q.indent < own || comment {
			return n
		}
		if q.line != line+1 || q.line-n.Line > mostQuick { // an empty line or a comment between
			q.fail()
			return nil
		}
		rest := q.scalar(q.plainEnd())
		n.Value += " " + rest.Value
	}
	return n
}

// plainEnd gives where the plain text of this line ends.
func (q *quickReader) plainEnd() int {
	for i := q.at; ; i++ {
		switch b := q.text[i]; {
		case b == '\n' || b == '#' && q.text[i-1] == ' ':
			return i
		case b == ':' && (q.text[i+1] == ' ' || q.text[i+1] == '\n'):
			q.fail() // a key where none can be
			return i
		}
	}
}

// literal reads a block of text after |.
func (q *quickReader) literal(own int) *yaml.Node {
	n := q.node(yaml.ScalarNode, yaml.LiteralStyle)
	if q.at++; q.peek(0) != '\n' {
		q.fail()
		return nil
	}
	q.newLine()
	from := q.at
	q.blanks()
	margin := q.text[from:q.at]
	if len(margin) < own || q.peek(0) == '\n' {
		q.fail()
		return nil
	}
	var b strings.Builder
	empty := 0
	for q.at = from; q.at < len(q.text); q.newLine() {
		end := q.at + strings.IndexByte(q.text[q.at:], '\n')
		line := q.text[q.at:end]
		text, inside := strings.CutPrefix(line, margin)
		switch {
		case line == "":
			empty++
		case strings.TrimLeft(line, " ") == "":
			q.fail()
			return nil
		case inside:
			b.WriteString(strings.Repeat("\n", empty))
			b.WriteString(text)
			b.WriteByte('\n')
			empty = 0
		}
		if line != "" && !inside {
			break
		}
		q.at = end
	}
	n.Value = b.String()
	if q.nextLine(); q.indent >= own {
		q.fail()
	}
	return n
}

// quoted reads quoted text, without escapes but for the doubled single quote.
func (q *quickReader) quoted() *yaml.Node {
	mark := q.peek(0)
	style := yaml.SingleQuotedStyle
	if mark == '"' {
		style = yaml.DoubleQuotedStyle
	}
	n := q.node(yaml.ScalarNode, style)
	q.at++
	for from := q.at; ; q.at++ {
		switch b := q.peek(0); {
		case b == '\n' || b == '\\' && mark == '"':
			q.fail() // the library goes on with the next line
			return n
		case b == '\'' && mark == b && q.peek(1) == b:
			q.at++
		case b == mark:
			if n.Value = q.text[from:q.at]; b == '\'' {
				n.Value = strings.ReplaceAll(n.Value, "''", "'")
			}
			q.at++
			return n
		}
	}
}

// flow reads {key: value} or [item].
func (q *quickReader) flow() *yaml.Node {
	kind, end := yaml.MappingNode, byte('}')
	if q.peek(0) == '[' {
		kind, end = yaml.SequenceNode, ']'
	}
	n, from := q.node(kind, yaml.FlowStyle), len(q.stack)
	q.deeper()
	q.at++
	for q.space(); q.peek(0) != end && !q.failed; {
		if kind == yaml.MappingNode {
			length := q.keyLength()
			if length == 0 || strings.ContainsAny(q.text[q.at:q.at+length], ",?[]{}") {
				q.fail()
				break
			}
			q.stack = append(q.stack, q.scalar(q.at+length))
			q.at++
			q.space()
		}
		item := q.flowItem()
		q.stack = append(q.stack, item)
		if q.space(); q.peek(0) == ',' {
			q.at++
			if q.space(); q.peek(0) == end {
				q.fail()
			}
		} else if q.peek(0) != end {
			q.fail()
		}
	}
	q.at = min(q.at+1, len(q.text))
	return q.adopt(n, from)
}

// space goes past blanks and line ends inside brackets.
func (q *quickReader) space() {
	for q.at < len(q.text) && (q.peek(0) == ' ' || q.peek(0) == '\n') {
		if q.peek(0) == ' ' {
			q.at++
		} else if q.newLine(); q.peek(0) != ' ' && q.peek(0) != '\n' {
			q.fail() // in the first column something else may start
		}
	}
	if q.at == len(q.text) {
		q.fail()
	}
}

func (q *quickReader) flowItem() *yaml.Node {
	switch b := q.peek(0); {
	case b == '{' || b == '[':
		return q.flow()
	case b == '\'' || b == '"':
		return q.quoted()
	case !startsPlain(b, q.peek(1)):
		q.fail()
		return nil
	}
	n := q.scalar(q.flowEnd())
	for !q.failed {
		line := q.line
		if q.space(); strings.IndexByte(",]}", q.peek(0)) >= 0 {
			return n
		}
		if q.failed || q.peek(0) == '#' || q.line != line+1 || q.line-n.Line > mostQuick {
			q.fail()
			return nil
		}
		rest := q.scalar(q.flowEnd()) // it goes on in the next line
		if rest.Value == "" {
			q.fail()
		}
		n.Value += " " + rest.Value
	}
	return n
}

// flowEnd gives where the plain text of this line ends inside brackets.
func (q *quickReader) flowEnd() int {
	for i := q.at; ; i++ {
		switch b := q.text[i]; {
		case b == '\n' || b == ',' || b == ']' || b == '}':
			return i
		case b == ':' && (q.text[i+1] == ' ' || q.text[i+1] == '\n') || b == '[' || b == '{' || b == '?' || b == '#' && q.text[i-1] == ' ':
			q.fail()
			return i
		}
	}
}
