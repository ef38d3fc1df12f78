package dose

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// A Quantity is a number with its unit, and half the width of what is known of
// it where that was worked out.
type Quantity struct {
	Value     float64 `json:"value"`
	Unit      Unit    `json:"unit"`
	PlusMinus float64 `json:"plus_minus,omitempty"`
}

// String prints four significant digits and the unit.
func (q Quantity) String() string {
	s := num(q.Value)
	if q.PlusMinus > 0 {
		s += " ± " + sig(q.PlusMinus, 2)
	}
	if q.Unit.Symbol == "" {
		return s
	}
	return s + " " + q.Unit.Symbol
}

// In changes a quantity to another unit of its kind; ok is false if the kinds
// differ.
func (q Quantity) In(u Unit) (Quantity, bool) {
	if q.Unit.Kind != u.Kind || u.factor == 0 {
		return Quantity{}, false
	}
	return Quantity{u.fromBase(q.Unit.toBase(q.Value)), u, q.PlusMinus * q.Unit.factor / u.factor}, true
}

// of makes a quantity of a unit of the table.
func of(v float64, k Kind, symbol string) Quantity { return Quantity{Value: v, Unit: unit(k, symbol)} }

// num prints four significant digits, without an exponent where people don't
// use one.
func num(v float64) string { return sig(v, 4) }

func sig(v float64, digits int) string {
	a := math.Abs(v)
	switch {
	case math.IsInf(v, 0):
		return "without limit"
	case math.IsNaN(v):
		return "not a number"
	case a == 0:
		return "0"
	case a < 1e-3 || a >= 1e7:
		return strconv.FormatFloat(v, 'g', digits, 64)
	}
	whole := int(math.Floor(math.Log10(a))) + 1
	places := max(0, digits-whole)
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// longestQuantity bounds what is read as one quantity.
const longestQuantity = 60

// ParseQuantity reads a number and a unit of one of the kinds wanted, such as
// "5 mm", "155 °F", "3 % w/v", "2 mmol/L". A number that needs a unit and has
// none is refused: guessing between °C and °F, or w/w and w/v, hurts books.
func ParseQuantity(text string, wanted ...Kind) (Quantity, error) {
	v, symbol, err := splitQuantity(text)
	if err != nil {
		return Quantity{}, err
	}
	for _, u := range unitsBySymbol[symbol] {
		for _, k := range wanted {
			if u.Kind == k {
				return Quantity{Value: v, Unit: u}, nil
			}
		}
	}
	if symbol == "" {
		for _, k := range wanted {
			switch k {
			case PHKind, GradeKind, LabKind: // their unit adds nothing
				return Quantity{Value: v, Unit: unitsBySymbol[Symbols(k)[0]][0]}, nil
			}
		}
		return Quantity{}, &Refusal{
			What: WrongUnit, Given: text, Why: "it has no unit",
			Help: fmt.Sprintf("Write the unit after the number, such as %q; known are %s.", num(v)+" "+Symbols(wanted[0])[0], unitList(wanted)),
		}
	}
	us := unitsBySymbol[symbol]
	if len(us) == 0 {
		return Quantity{}, &Refusal{
			What: WrongUnit, Given: text, Why: fmt.Sprintf("the unit %q is not known", symbol),
			Help: "Known here are " + unitList(wanted) + ".",
		}
	}
	help := "Wanted is " + unitList(wanted) + "."
	if symbol == "%" && (slices.Contains(wanted, MassPerVol) || slices.Contains(wanted, MassFraction)) {
		help = `Say "% w/w" (grams in 100 g), "% w/v" (grams in 100 mL) or "% v/v": for 30 % peroxide they differ by 11 %. ` + help
	}
	return Quantity{}, &Refusal{What: WrongUnit, Given: text, Why: fmt.Sprintf("%q measures %s, which can't stand for %s", symbol, us[0].Kind, kindList(wanted)), Help: help}
}

func splitQuantity(text string) (float64, string, error) {
	s := strings.Join(strings.Fields(text), " ")
	bad := func(why string) error {
		return &Refusal{What: NotRead, Given: text, Why: why, Help: `Write a number with a decimal point, a blank and the unit: "2.5 mm".`}
	}
	if s == "" {
		return 0, "", bad("it is empty")
	}
	if len(s) > longestQuantity {
		return 0, "", bad("it is too long for one quantity")
	}
	end := numberEnd(s)
	v, err := strconv.ParseFloat(s[:end], 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, "", bad("no number stands at its start")
	}
	rest := strings.TrimSpace(s[end:])
	if strings.HasPrefix(rest, ",") {
		return 0, "", bad("a comma can mean two things in a number")
	}
	return v, rest, nil
}

// numberEnd finds where the number at the start of s ends; "e" belongs to it
// only if digits follow.
func numberEnd(s string) int {
	i := 0
	digits := func() {
		for i < len(s) && (s[i] >= '0' && s[i] <= '9' || s[i] == '.') {
			i++
		}
	}
	if i < len(s) && (s[i] == '-' || s[i] == '+') {
		i++
	}
	digits()
	if i+1 < len(s) && (s[i] == 'e' || s[i] == 'E') {
		j := i + 1
		if s[j] == '-' || s[j] == '+' {
			j++
		}
		if j < len(s) && s[j] >= '0' && s[j] <= '9' {
			i = j
			digits()
		}
	}
	return i
}

func unitList(ks []Kind) string {
	var out []string
	for _, k := range ks {
		for _, s := range Symbols(k) {
			if s != "" {
				out = append(out, s)
			}
		}
	}
	if len(out) == 0 {
		return "no unit (a plain number)"
	}
	return strings.Join(out, ", ")
}

func kindList(ks []Kind) string {
	var out []string
	for _, k := range ks {
		out = append(out, string(k))
	}
	return strings.Join(out, " or ")
}
