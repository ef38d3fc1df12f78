package export

import (
	"crypto/sha1" // RFC 9562 asks for it; nothing secret hangs on it
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"strings"
	"time"

	"tideline/engine/judge"
	"tideline/engine/record"
)

// A uuid names something by its content.
type uuid [16]byte

// String writes it as 8-4-4-4-12 hexadecimal digits (RFC 9562, section 4).
func (u uuid) String() string {
	h := hex.EncodeToString(u[:])
	return strings.Join([]string{h[:8], h[8:12], h[12:16], h[16:20], h[20:]}, "-")
}

// named gives the UUID of a name in a space (version 5: RFC 9562, section 5.5).
func named(space uuid, name string) (u uuid) {
	h := sha1.New()
	h.Write(space[:])
	io.WriteString(h, name)
	copy(u[:], h.Sum(nil))
	u[6] = u[6]&0x0f | 0x50
	u[8] = u[8]&0x3f | 0x80
	return u
}

// urlSpace is the name space for addresses (RFC 9562, section 6.6).
var urlSpace = uuid{0x6b, 0xa7, 0xb8, 0x11, 0x9d, 0xad, 0x11, 0xd1, 0x80, 0xb4, 0x00, 0xc0, 0x4f, 0xd4, 0x30, 0xc8}

// terms is the name space of our own words. Nothing is to be found there: example.org is nobody's (RFC 2606).
const terms = "https://example.org/tideline/terms#"

// ours is the name space of our own names.
var ours = named(urlSpace, terms)

// bookID names a book by its title and the day of its examination. A record says nothing else that two copies of one
// issue are sure to differ in; so copies examined on one day need titles of their own.
func bookID(b *record.Book) uuid {
	return named(ours, fmt.Sprintf("book %q %s", b.Title, day(b.Examined)))
}

// day is a day, "" when it is not known.
func day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

// digest is the start of the SHA-256 of all that a judgement was made from: record, packs and day.
func digest(g *judge.Judgement, packs []string) string {
	h, b := sha256.New(), g.Case.Book
	fmt.Fprintf(h, "%q %q %v %q %v\n", b.Title, b.Examined, b.Aims, b.By, weightsOf(b))
	for _, t := range b.Things {
		fmt.Fprintf(h, "%q %q %v %v\n", t.Kind, t.Path, t.Size, t.Shape.Line)
		fmt.Fprintf(h, "%v %v %q %q %q\n", t.Shape.Area, t.Shape.At, paths(t.Near), paths(t.Holds), pathOf(t.Fastener))
	}
	for i := range b.Results {
		r := &b.Results[i]
		fmt.Fprintf(h, "%s %q %q %v\n", answerName(r), r.By, r.Note, r.At)
	}
	for _, d := range b.Done {
		fmt.Fprintf(h, "%q %q %q %q %q\n", d.Treatment, d.Target.Path, d.Date, d.By, d.Note)
	}
	fmt.Fprintf(h, "%q %s\n", packs, day(g.Case.On))
	return hex.EncodeToString(h.Sum(nil))[:16]
}

func weightsOf(b *record.Book) string { return fmt.Sprint(b.Weights) } // fmt sorts the keys

func pathOf(t *record.Thing) string {
	if t == nil {
		return ""
	}
	return t.Path
}

func paths(things []*record.Thing) (list []string) {
	for _, t := range things {
		list = append(list, t.Path)
	}
	return list
}

// answerName names a result within its book.
func answerName(r *record.Result) string {
	return strings.Join([]string{r.Thing.Path, r.Question.ID, moment(r.Date), r.Question.Text(r.Answer)}, "/")
}

func moment(t time.Time) string {
	if t.IsZero() {
		return "undated"
	}
	return record.Moment(t)
}

// local writes a name so that it can stand behind the mark # of a URI (RFC 3986, section 3.5) and behind the colon of a
// qualified name (PROV-N, section 3.7.1): all but letters, digits and -._~/ is escaped.
func local(name string) string {
	var b strings.Builder
	for _, c := range []byte(name) {
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || strings.IndexByte("-._~/", c) >= 0 {
			b.WriteByte(c)
		} else {
			fmt.Fprintf(&b, "%%%02X", c)
		}
	}
	return b.String()
}

// span gives the first and last second in which something dated can have happened. Records give no zone: it is written
// as UTC, which the loss list says.
func span(t time.Time) (start, end string) {
	last := t.Add(24*time.Hour - time.Second)
	switch {
	case t.Second() != 0:
		last = t
	case !t.Equal(t.Truncate(24 * time.Hour)):
		last = t.Add(time.Minute - time.Second)
	}
	return t.Format(time.RFC3339), last.Format(time.RFC3339)
}
