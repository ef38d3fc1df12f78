package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"tideline/rules/vocab"
)

// yaml writes a result as a person would, on one line: {test: ink.wet, on: cover/outside/red, grade: 4-5}.
func (r Result) yaml() string { return r.entry("", plainOrQuoted) }

// json writes it in the same form with every word quoted, for records in JSON.
func (r Result) json() string { return r.entry(`"`, quoted) }

// entry writes the keys and values of a result.
func (r Result) entry(quote string, text func(string) string) string {
	var parts []string
	add := func(key, value string) { parts = append(parts, quote+key+quote+": "+value) }
	add("test", text(r.Question.ID))
	add("on", text(r.Thing.Path))
	if !r.Date.IsZero() {
		add("date", text(Moment(r.Date)))
	}
	add(takes[r.Question.Type].key, r.value(quote, text))
	if r.At != nil {
		add("at", fmt.Sprintf("[%s, %s]", Decimal(r.At.X), Decimal(r.At.Y)))
	}
	if r.By != "" {
		add("by", text(r.By))
	}
	if r.Note != "" {
		add("note", text(r.Note))
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// value writes the answer so that it is read back as the very same.
func (r Result) value(quote string, text func(string) string) string {
	switch r.Question.Type {
	case vocab.YesNo:
		return quote + map[bool]string{true: "yes", false: "no"}[r.Answer.Yes] + quote
	case vocab.Words:
		return text(r.Answer.Word)
	}
	return Decimal(r.Answer.Num)
}

// Moment writes a date as records do, with the time of day where there is one.
func Moment(t time.Time) string {
	switch {
	case t.Equal(t.Truncate(24 * time.Hour)):
		return t.Format("2006-01-02")
	case t.Second() == 0:
		return t.Format("2006-01-02T15:04")
	}
	return t.Format("2006-01-02T15:04:05")
}

// Decimal writes a number with all its digits and no exponent.
func Decimal(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

var (
	bare = regexp.MustCompile(`^(?:[A-Za-z][A-Za-z0-9._/-]*(?: [A-Za-z0-9._/-]+)*|[0-9]{4}-[0-9]{2}-[0-9]{2}(?:T[0-9:]+)?)$`)
	// meant are the words that YAML takes for something else than text (YAML 1.1 types, which readers still know).
	meant = []string{"y", "n", "yes", "no", "on", "off", "true", "false", "null"}
)

// plainOrQuoted writes a text plainly where YAML reads it as that text anywhere.
func plainOrQuoted(s string) string {
	if bare.MatchString(s) && !slices.Contains(meant, strings.ToLower(s)) {
		return s
	}
	return quoted(s)
}

// quoted writes a text in double quotes, in a way that both JSON and YAML read.
func quoted(s string) string {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(s); err != nil {
		panic(err) // a string always can be
	}
	var safe strings.Builder
	for _, r := range strings.TrimSuffix(b.String(), "\n") {
		if r >= 0x7f && r < 0xa0 || r >= 0xfeff && r <= 0xffff && r != 0xfffd {
			fmt.Fprintf(&safe, `\u%04x`, r)
		} else {
			safe.WriteRune(r)
		}
	}
	return safe.String()
}
