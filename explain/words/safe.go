package words

import (
	"fmt"
	"strings"
	"unicode"
)

// Safe makes text from a file safe to print: a control character, which a terminal would obey, and marks that turn the
// direction of writing, which could make a line read otherwise than it is, show as \u001b. Line ends stay.
func Safe(s string) string {
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

func unsafe(r rune) bool {
	return r != '\n' && unicode.IsControl(r) || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 ||
		r == 0x200e || r == 0x200f || r == 0x2028 || r == 0x2029 || r == 0x061c
}
