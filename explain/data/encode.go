package data

import (
	"bytes"
	"encoding/json"
	"fmt"
	"unicode/utf8"
)

// Encode writes a value as indented JSON. Characters that a terminal would obey, or that turn the direction of writing,
// are escaped; JSON itself asks that only of those below U+0020.
func Encode(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	if bytes.IndexFunc(b.Bytes(), obeyed) < 0 {
		return b.Bytes(), nil
	}
	var safe bytes.Buffer
	for data := b.Bytes(); len(data) > 0; {
		r, size := utf8.DecodeRune(data)
		if obeyed(r) {
			fmt.Fprintf(&safe, `\u%04x`, r)
		} else {
			safe.Write(data[:size])
		}
		data = data[size:]
	}
	return safe.Bytes(), nil
}

func obeyed(r rune) bool {
	return r >= 0x7f && r < 0xa0 || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 || r == 0x200e || r == 0x200f || r == 0x061c
}
