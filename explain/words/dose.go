package words

import (
	"fmt"
	"strconv"
	"strings"

	"tideline/engine/dose"
)

// Phrases of computed settings, each for one state.
const (
	Computations  = "Computations"
	SeeDose       = "`tideline dose NAME` shows what one needs, with an example."
	SeeDoses      = "`tideline dose` lists them all."
	BeforeFigures = "Read first"
	DoseResult    = "Result"
	Working       = "Working"
	HoldsFor      = "Holds for"
	WhereFrom     = "Sources"
	Inputs        = "Inputs"
	ForExample    = "For example"
	PictureInJSON = "A drawing belongs to this result; --json holds it, and --svg FILE writes it."
	NothingDone   = "Nothing was computed."
	SaysNoMore    = "A computed setting is not a permission: whether the step may be done, the verdicts say."
	PlainNumber   = "a plain number"
	TextInput     = "text"
	FromMemory    = "from memory; allows nothing, rules nothing out"
	ForTheRecord  = "For the record's list of tests"
)

// classes say how well a number is known.
var classes = map[dose.Class]string{
	dose.Seen:       "read in its source",
	dose.Computed:   "computed from what was read",
	dose.Arithmetic: "arithmetic",
	dose.Mixed:      "in part read, in part not",
	dose.Memory:     FromMemory,
}

// Doubt says how well a value is known, where that is less than read or reckoned; else "".
func Doubt(c dose.Class) string {
	if c == dose.Mixed || c == dose.Memory {
		return " " + Aside(Class(c))
	}
	return ""
}

// Class says how well a number is known.
func Class(c dose.Class) string { return classes[c] }

// sourceName names a source in a sentence.
func sourceName(s dose.Source) string {
	name := s.Title
	if s.Author != "" {
		name = s.Author + ": " + name
	}
	if s.Year != "" {
		name += " (" + s.Year + ")"
	}
	return name
}

// DoseSource writes a source with how far it was read.
func DoseSource(s dose.Source) string {
	text := sourceName(s)
	if s.URL != "" {
		text += ", " + s.URL
	}
	class := Class(s.Class)
	if s.Class == dose.Memory {
		class = "from memory"
	}
	return text + ". " + Aside(class+": "+s.Standing)
}

// Input says what an input is, how it may be given, and within what range.
func Input(p dose.Param) (says, given, within string) {
	says = p.Says
	switch {
	case len(p.Words) > 0:
		given = "one of: " + strings.Join(p.Words, ", ")
	case p.Unit.Kind == "":
		given = TextInput
	case len(p.Units()) == 0:
		given = PlainNumber
	default:
		units := p.Units()
		given = "in " + units[0]
		if len(units) > 1 {
			given += "; or " + strings.Join(units[1:], ", ")
		}
	}
	if p.From != p.To {
		within = fmt.Sprintf("from %s to %s", plainNumber(p.From), strings.TrimSpace(plainNumber(p.To)+" "+p.Unit.Symbol))
		if p.Source != "" {
			within += " " + Aside(sourceName(dose.SourceByID(p.Source)))
		}
	}
	return says, given, within
}

func plainNumber(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// Needed says whether an input may be left out.
func Needed(p dose.Param) string {
	switch {
	case p.Required:
		return "needed"
	case p.Default != "":
		return "if left out: " + p.Default
	}
	return "may be left out"
}

// DoseCommand writes a command that computes, for a shell.
func DoseCommand(name string, pairs []string) string {
	s := "tideline dose " + name
	for _, p := range pairs {
		s += " " + strconv.Quote(p)
	}
	return s
}

// Comes writes what a line of working comes to.
func Comes(l dose.Line) string {
	s := "= " + l.Text
	if l.Text == "" {
		s = "= " + l.Result.String()
	}
	if l.Rounding != "" {
		s += ", rounded: " + l.Rounding
	}
	if l.Source != "" {
		s += " " + Aside(l.Source)
	}
	return s
}

// Refused says of what a computation was refused, as a heading.
func Refused(r *dose.Refusal) string {
	var parts []string
	if r.Computation != "" {
		parts = append(parts, r.Computation)
	}
	switch {
	case r.Input != "" && r.Given != "":
		parts = append(parts, r.Input+" = "+r.Given)
	case r.Input != "":
		parts = append(parts, r.Input)
	case r.Given != "":
		parts = append(parts, strconv.Quote(r.Given))
	}
	return Of(strings.Join(append(parts, string(r.What)), ": "), r.Why)
}

// RangeBy says the range, and how far outside it was.
func RangeBy(within, by string) string {
	if by == "" {
		return within
	}
	return within + "; outside by " + by
}

// Labels of a refusal's parts.
const (
	LabelRange  = "Range"
	LabelSource = "Source"
	LabelHelp   = "What to do"
	LabelKnown  = "Known"
)

// Meant asks whether another word was meant.
func Meant(word string) string { return fmt.Sprintf("Did you mean %q?", word) }

// MeasuredNote is the note of a test result that was graded from pictures.
func MeasuredNote(grade, worst string, sums []string) string {
	s := "graded from a photograph"
	if worst != grade {
		s += ", " + grade + " less its uncertainty"
	}
	return s + "; picture sha256 " + strings.Join(sums, ", before ")
}
