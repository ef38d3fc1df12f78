package seal

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"strings"
)

// The frame round the body: the same in every edition.
const (
	opening   = `{"body":`
	noSignLen = len(`,"sha256":"","signature":""}`) + 64
	signLen   = noSignLen + 128
)

var closing = regexp.MustCompile(`^,"sha256":"([0-9a-f]{64})","signature":"([0-9a-f]*)"}$`)

// MaxBytes is how large a sealed file may be, far above any book with any packs.
const MaxBytes = 256 << 20

// Sealed is a sealed file taken apart. Its body is not read beyond the head.
type Sealed struct {
	Head
	Body      []byte
	Sum       string // the SHA-256 of the body, in hex, as reckoned from it
	Claimed   string // as the file says
	Signature string // in hex, "" when there is none
}

// Head is what every edition says at the start, in the same way.
type Head struct {
	Edition  string `json:"edition"`
	Case     string `json:"case"`
	Number   string `json:"number"`
	Previous string `json:"previous"`
	At       string `json:"at"`
	Signer   string `json:"signer"`
}

// What can be wrong with one file taken by itself.
var (
	ErrNotSealed = errors.New("is not a sealed decision")
	ErrAltered   = errors.New("was altered after it was sealed")
	ErrSignature = errors.New("bears a signature that is not of its signer")
	ErrUnsigned  = errors.New("names a signer and bears no signature")
)

// Open takes a sealed file apart, and checks that it is as it was sealed. With [ErrAltered] all but the head is given,
// with an error about the signature all.
func Open(data []byte) (*Sealed, error) {
	s := &Sealed{}
	if !bytes.HasPrefix(data, []byte(opening)) {
		return nil, ErrNotSealed
	}
	var parts []string
	for _, n := range []int{noSignLen, signLen} {
		if at := len(data) - n; at > len(opening) && parts == nil {
			if parts = match(data[at:]); parts != nil {
				s.Body = data[len(opening):at]
			}
		}
	}
	if parts == nil {
		return nil, ErrNotSealed
	}
	sum := sha256.Sum256(s.Body)
	s.Sum, s.Claimed, s.Signature = hex.EncodeToString(sum[:]), parts[1], parts[2]
	if s.Sum != s.Claimed {
		return s, ErrAltered
	}
	if json.Unmarshal(s.Body, &s.Head) != nil || s.Edition == "" {
		return nil, ErrNotSealed
	}
	return s, s.checkSignature()
}

// match finds the parts of a closing, nil where it is none. A signature has a whole length or none.
func match(end []byte) []string {
	parts := closing.FindStringSubmatch(string(end))
	if parts == nil || len(parts[2]) != 0 && len(parts[2]) != 128 {
		return nil
	}
	return parts
}

// frame puts the frame round a body.
func frame(body []byte, signature string) []byte {
	var b bytes.Buffer
	b.Grow(len(opening) + len(body) + signLen)
	sum := sha256.Sum256(body)
	fmt.Fprintf(&b, `%s%s,"sha256":"%x","signature":"%s"}`, opening, body, sum, signature)
	return b.Bytes()
}

// Number is the short number of a seal, for the owner's sheet: the first sixteen hex digits of its hash, by fours.
func Number(sum string) string {
	sum = strings.ToUpper(sum)
	var groups []string
	for i := 0; i+4 <= min(16, len(sum)); i += 4 {
		groups = append(groups, sum[i:i+4])
	}
	return strings.Join(groups, " ")
}

// ParseNumber reads a short number as a person copies it from the sheet, in any case of letters, with blanks, dots or
// dashes anywhere.
func ParseNumber(text string) (string, error) {
	digits := strings.NewReplacer(" ", "", "-", "", ".", "", "\u00a0", "").Replace(text)
	if _, err := hex.DecodeString(digits); err != nil || len(digits) != 16 {
		return "", fmt.Errorf("%q is not a number from an owner's sheet: it has sixteen digits 0 to 9 and A to F, as in 3F2A 91C0 77DE 0B14", text)
	}
	return Number(digits), nil
}
