package vocab

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// questions has a question of every type, and a number in every unit with a range that people would give it.
func questions() []*Question {
	list := []*Question{
		{ID: "book.fastened", Kind: Book, Name: "fastened", Type: YesNo},
		{ID: "ink.wet", Kind: Ink, Name: "wet", Type: Grade, From: 1, To: 5},
		{ID: "part.furnish", Kind: Part, Name: "furnish", Type: Words, Words: []string{"rag", "chemical pulp", "groundwood"}},
	}
	ranges := map[string][2]float64{
		"mm": {0, 5000}, "mm2": {0, 1e9}, "s": {0, 3600}, "degC": {-20, 200}, "pH": {0, 14}, "gsm": {5, 400},
		"percent": {0, 100}, "year": {1400, 2100}, "count": {0, 500},
		"g": {0, 5000}, "mL": {0, 50000}, "kPa": {0, 5000}, "mN": {1, 20000}, "lx": {0, 100000}, "lx_h": {0, 1e7}, "W": {0, 5000}, "W_m2": {0, 5000},
		"J_cm2": {0, 5000}, "nm": {300, 800}, "deg": {0, 180}, "mmol_L": {0, 500}, "mmol_kg": {0, 6000}, "mL_g": {0, 10}, "g_m3": {0, 100}, "w_v": {0, 100},
		"w_w": {0, 100}, "volumes": {0, 110}, "ppm": {0, 10000}, "mN_m": {0, 100}, "mN_m2_g": {0, 100},
	}
	for _, unit := range UnitNames() {
		q := &Question{ID: "part." + strings.ToLower(unit), Kind: Part, Name: strings.ToLower(unit), Type: Number, Unit: unit, From: ranges[unit][0], To: ranges[unit][1]}
		if q.To == 0 {
			panic("no range for the unit " + unit)
		}
		list = append(list, q)
	}
	return list
}

func question(id string) *Question {
	list := questions()
	return list[slices.IndexFunc(list, func(q *Question) bool { return q.ID == id })]
}

// random gives an answer that the question takes.
func (q *Question) random(rnd *rand.Rand) Answer {
	switch q.Type {
	case YesNo:
		return Yes(rnd.IntN(2) == 0)
	case Grade:
		return Num(1 + float64(rnd.IntN(9))/2)
	case Words:
		return Word(q.Words[rnd.IntN(len(q.Words))])
	}
	switch rnd.IntN(4) {
	case 0:
		return Num(q.From)
	case 1:
		return Num(q.To)
	case 2:
		return Num(q.From + float64(rnd.IntN(int(q.To-q.From)))) // whole, where the range starts so
	}
	return Num(q.From + rnd.Float64()*(q.To-q.From))
}

// TestRoundTrip: what is printed reads back as the same answer, as far as it was printed; and prints the same again.
func TestRoundTrip(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for _, q := range questions() {
		for range 2000 {
			a := q.random(rnd)
			text := q.Text(a)
			back, near, err := q.Parse(text)
			if err != nil || near != "" {
				t.Fatalf("%s: %v prints as %q, which is refused: %v", q.ID, a, text, err)
			}
			if again := q.Text(back); again != text {
				t.Fatalf("%s: %q reads back as %q", q.ID, text, again)
			}
			exact := q.Type != Number || a.Num == math.Trunc(a.Num)
			if exact && back != a || math.Abs(back.Num-a.Num) > 0.0006*math.Abs(a.Num) {
				t.Fatalf("%s: %v reads back as %v by way of %q", q.ID, a, back, text)
			}
		}
	}
	if got := (&Question{}).Text(Answer{}); got != "not known" {
		t.Errorf("no answer prints as %q", got)
	}
}

// TestParse: the ways in which people write answers. Conversions of units: NIST Special Publication 811 (2008), appendix
// B.8, from memory: 1 in = 25.4 mm, t/°C = (t/°F - 32)/1.8.
func TestParse(t *testing.T) {
	const refused = "refused"
	for _, tt := range []struct{ question, text, want string }{
		{"book.fastened", "yes", "yes"},
		{"book.fastened", "true", "yes"},
		{"book.fastened", "no", "no"},
		{"book.fastened", "false", "no"},
		{"book.fastened", " yes ", "yes"},
		{"book.fastened", "Yes", refused},
		{"book.fastened", "1", refused},
		{"book.fastened", "", refused},
		{"ink.wet", "4-5", "4-5"},
		{"ink.wet", "4.5", "4-5"},
		{"ink.wet", "1-2", "1-2"},
		{"ink.wet", "5", "5"},
		{"ink.wet", "3.0", "3"},
		{"ink.wet", "4.2", refused},
		{"ink.wet", "6", refused},
		{"ink.wet", "5-6", refused},
		{"ink.wet", "0-1", refused},
		{"ink.wet", "5-4", refused},
		{"ink.wet", "3-5", refused},
		{"ink.wet", "0.5", refused},
		{"ink.wet", "5.5", refused},
		{"ink.wet", "4 mm", refused},
		{"ink.wet", "good", refused},
		{"ink.wet", "nan", refused},
		{"ink.wet", "", refused},
		{"ink.wet", "-3", refused},
		{"part.furnish", "rag", "rag"},
		{"part.furnish", "chemical pulp", "chemical pulp"},
		{"part.furnish", "Rag", refused},
		{"part.furnish", "", refused},
		{"part.mm", "12", "12 mm"},
		{"part.mm", "12 mm", "12 mm"},
		{"part.mm", "12mm", "12 mm"},
		{"part.mm", "2.5 cm", "25 mm"},
		{"part.mm", "0.5 m", "500 mm"},
		{"part.mm", "1 in", "25.4 mm"},
		{"part.mm", "1e2", "100 mm"},
		{"part.mm", "12 °C", refused},
		{"part.mm", "12 mm²", refused},
		{"part.mm", "12 furlongs", refused},
		{"part.mm", "-1", refused},
		{"part.mm", "5001", refused},
		{"part.mm", "5000", "5000 mm"},
		{"part.mm", "0", "0 mm"},
		{"part.mm", "1 2", refused},
		{"part.mm", "1-2", refused},
		{"part.mm", "mm", refused},
		{"part.mm", "inf", refused},
		{"part.mm", "0x10", refused},
		{"part.mm", "1e999", refused},
		{"part.mm2", "3 cm²", "300 mm²"},
		{"part.mm2", "3 cm2", "300 mm²"},
		{"part.mm2", "3 mm", refused},
		{"part.s", "2 min", "120 s"},
		{"part.s", "0.5 h", "1800 s"},
		{"part.s", "2 h", refused},
		{"part.degc", "155 °F", "68.33 °C"},
		{"part.degc", "32 °F", "0 °C"},
		{"part.degc", "212 °F", "100 °C"},
		{"part.degc", "-4 °F", "-20 °C"},
		{"part.degc", "68.3 °C", "68.3 °C"},
		{"part.degc", "155 F", "68.33 °C"},
		{"part.degc", "155 degF", "68.33 °C"},
		{"part.degc", "20", "20 °C"},
		{"part.degc", "20 C", "20 °C"},
		{"part.degc", "400 °F", refused},
		{"part.degc", "20 K", refused},
		{"part.ph", "5.2", "5.2"},
		{"part.ph", "5.2 pH", "5.2"},
		{"part.ph", "15", refused},
		{"part.ph", "14", "14"},
		{"part.ph", "5 %", refused},
		{"part.gsm", "90 g/m²", "90 g/m²"},
		{"part.gsm", "90 g/m2", "90 g/m²"},
		{"part.gsm", "90 gsm", "90 g/m²"},
		{"part.percent", "50 %", "50 %"},
		{"part.percent", "50%", "50 %"},
		{"part.percent", "101 %", refused},
		{"part.year", "1968", "1968"},
		{"part.year", "1968 AD", refused},
		{"part.year", "68", refused},
		{"part.count", "3", "3"},
		{"part.count", "3 mm", refused},
	} {
		q := question(tt.question)
		a, _, err := q.Parse(tt.text)
		got := refused
		if err == nil {
			got = q.Text(a)
		}
		if got != tt.want {
			t.Errorf("%s: %q gives %s (%v), want %s", tt.question, tt.text, got, err, tt.want)
		}
		if err != nil && (a.Known || !strings.Contains(err.Error(), q.ID)) {
			t.Errorf("%s: %q is refused with %v and the answer %v", tt.question, tt.text, err, a)
		}
	}
}

// TestRefusals: what a person is told.
func TestRefusals(t *testing.T) {
	for _, tt := range []struct{ question, text, near, want string }{
		{"ink.wet", "6", "", `"6" does not answer ink.wet, which takes a grade from 1 (heavy) to 5 (none) in half steps, such as 3 or 4-5`},
		{"part.furnish", "groundwod", "groundwood", `"groundwod" does not answer part.furnish, which takes one of rag, chemical pulp, groundwood`},
		{"book.fastened", "maybe", "", `"maybe" does not answer book.fastened, which takes yes or no`},
		{"part.degc", "20 mm", "", `20 mm is in "mm", but part.degc is given in °C`},
		{"part.ph", "20 mm", "", `20 mm is in "mm", but part.ph is given as a plain number`},
		{"part.mm", "9000", "", `9000 is outside the range of part.mm, which is 0 to 5000 mm`},
		{"part.mm", "wide", "", `"wide" does not answer part.mm, which takes a number from 0 to 5000 mm`},
	} {
		_, near, err := question(tt.question).Parse(tt.text)
		if err == nil || err.Error() != tt.want || near != tt.near {
			t.Errorf("%s: %q\n got %v, near %q\nwant %s, near %q", tt.question, tt.text, err, near, tt.want, tt.near)
		}
	}
}

// TestWrittenUnits: each way of writing a unit leads to one that there is, by a factor, and the unit's own way by 1.
func TestWrittenUnits(t *testing.T) {
	own := map[string]bool{}
	for text, w := range written {
		if _, known := Units[w.unit]; !known || w.factor <= 0 {
			t.Errorf("%q leads to %q by %v", text, w.unit, w.factor)
		}
		if w.factor == 1 && w.offset == 0 {
			own[w.unit] = true
		}
	}
	for unit, says := range Units {
		if says != "" && !own[unit] {
			t.Errorf("%s cannot be written out", unit)
		}
		if says := strings.TrimSpace(says); says != "" && written[says].unit != unit {
			t.Errorf("%s prints as %q, which is not read back", unit, says)
		}
	}
}

// TestLinks: what a link leads to leads back, and every open list has its question.
func TestLinks(t *testing.T) {
	for from, links := range Links {
		names := map[string]bool{}
		for _, l := range links {
			if names[l.Name] || !slices.Contains(Kinds, l.To) || l.To.Singular() {
				t.Errorf("%s.%s is not sound", from, l.Name)
			}
			names[l.Name] = true
			if got, ok := LinkOf(from, l.Name); !ok || got.To != l.To || l.Many == (l.Name == string(l.To)) {
				t.Errorf("%s.%s leads to %s, many %v", from, l.Name, got.To, l.Many)
			}
		}
	}
	if _, ok := LinkOf(Ink, "findings"); ok {
		t.Error("an ink leads to findings")
	}
}

func TestVocabulary(t *testing.T) {
	v := NewVocabulary()
	if len(v.IDs()) != len(Measured()) || !slices.IsSorted(v.IDs()) {
		t.Errorf("a new vocabulary has %v", v.IDs())
	}
	for _, q := range Measured() {
		if v.Question(q.ID) == nil || q.ID != fmt.Sprintf("%s.%s", q.Kind, q.Name) || q.Asks == "" {
			t.Errorf("%+v", q)
		}
	}
	wet := &Question{ID: "ink.wet", Kind: Ink, Name: "wet"}
	if !v.Add(wet) || v.Add(&Question{ID: "ink.wet", Kind: Ink, Name: "wet"}) || v.Question("ink.wet") != wet || len(v.Of(Ink)) != 1 {
		t.Error("a question is not added once")
	}
	if v.Question("ink.dry") != nil {
		t.Error("a question came of nothing")
	}
}
