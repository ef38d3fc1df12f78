package export

import (
	"bytes"
	"fmt"
	"unicode/utf16"
	"unicode/utf8"

	"tideline/engine/judge"
	"tideline/explain/data"
)

// Document is a decision in the form of a standard.
type Document struct {
	Standard string   `json:"standard"` // as --as takes it
	Lost     []string `json:"lost"`     // what the standard could not carry
	Content  any      `json:"document"`
}

// Standards are the standards, in the order in which help names them.
var Standards = []string{"prov", "linked-art"}

// As writes a judgement in the form of one of Standards, nil when it is none of them, with what it was sealed with, if it was.
func As(standard string, g *judge.Judgement, s *Sealed) *Document {
	switch standard {
	case "prov":
		return Prov(g, s)
	case "linked-art":
		return LinkedArt(g, s)
	}
	return nil
}

// Encode writes JSON in ASCII: every other character is escaped.
func Encode(v any) ([]byte, error) {
	utf, err := data.Encode(v)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	for len(utf) > 0 {
		r, size := utf8.DecodeRune(utf)
		switch high, low := utf16.EncodeRune(r); {
		case r < utf8.RuneSelf:
			b.WriteByte(utf[0])
		case high != utf8.RuneError:
			fmt.Fprintf(&b, `\u%04x\u%04x`, high, low)
		default:
			fmt.Fprintf(&b, `\u%04x`, r)
		}
		utf = utf[size:]
	}
	return b.Bytes(), nil
}
