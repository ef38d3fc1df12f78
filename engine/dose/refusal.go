package dose

import "strings"

// A What is the kind of a refusal.
type What string

// The kinds of refusal.
const (
	OutOfRange  What = "out of range"
	WrongUnit   What = "wrong unit"
	NotRead     What = "not readable"
	Missing     What = "missing"
	Unknown     What = "unknown word"
	Unsupported What = "no source supports it"
	Impossible  What = "can't be done"
	BadPicture  What = "picture can't be measured"
)

// A Refusal says why a computation wasn't done, and what to do.
type Refusal struct {
	What        What     `json:"what"`
	Computation string   `json:"computation,omitempty"`
	Input       string   `json:"input,omitempty"`
	Given       string   `json:"given,omitempty"`
	Why         string   `json:"why"`
	Range       string   `json:"range,omitempty"`
	By          string   `json:"by,omitempty"`     // how far outside
	Source      string   `json:"source,omitempty"` // whose range it is
	Help        string   `json:"help"`
	Known       []string `json:"known,omitempty"` // the words that would have done
}

// Error is one paragraph for a person.
func (r *Refusal) Error() string {
	var b strings.Builder
	if r.Computation != "" {
		b.WriteString(r.Computation + ": ")
	}
	if r.Input != "" {
		b.WriteString(r.Input)
		if r.Given != "" {
			b.WriteString(" = " + r.Given)
		}
		b.WriteString(": ")
	} else if r.Given != "" {
		b.WriteString(`"` + r.Given + `": `)
	}
	b.WriteString(r.Why)
	if r.Range != "" {
		b.WriteString(" (range: " + r.Range)
		if r.By != "" {
			b.WriteString("; outside by " + r.By)
		}
		b.WriteString(")")
	}
	if r.Source != "" {
		b.WriteString(", after " + r.Source)
	}
	b.WriteString(". " + r.Help)
	if len(r.Known) > 0 {
		b.WriteString(" Known: " + strings.Join(r.Known, ", ") + ".")
	}
	return b.String()
}
