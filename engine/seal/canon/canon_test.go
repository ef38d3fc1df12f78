package canon

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"testing"
)

// TestNumbers: RFC 8785, appendix B, number serialization samples.
func TestNumbers(t *testing.T) {
	for _, tt := range []struct {
		bits uint64
		want string // "" where JSON has no such number
	}{
		{0x0000000000000000, "0"},
		{0x8000000000000000, "0"},
		{0x0000000000000001, "5e-324"},
		{0x8000000000000001, "-5e-324"},
		{0x7fefffffffffffff, "1.7976931348623157e+308"},
		{0xffefffffffffffff, "-1.7976931348623157e+308"},
		{0x4340000000000000, "9007199254740992"},
		{0xc340000000000000, "-9007199254740992"},
		{0x4430000000000000, "295147905179352830000"},
		{0x7fffffffffffffff, ""},
		{0x7ff0000000000000, ""},
		{0x44b52d02c7e14af5, "9.999999999999997e+22"},
		{0x44b52d02c7e14af6, "1e+23"},
		{0x44b52d02c7e14af7, "1.0000000000000001e+23"},
		{0x444b1ae4d6e2ef4e, "999999999999999700000"},
		{0x444b1ae4d6e2ef4f, "999999999999999900000"},
		{0x444b1ae4d6e2ef50, "1e+21"},
		{0x3eb0c6f7a0b5ed8c, "9.999999999999997e-7"},
		{0x3eb0c6f7a0b5ed8d, "0.000001"},
		{0x41b3de4355555553, "333333333.3333332"},
		{0x41b3de4355555554, "333333333.33333325"},
		{0x41b3de4355555555, "333333333.3333333"},
		{0x41b3de4355555556, "333333333.3333334"},
		{0x41b3de4355555557, "333333333.33333343"},
		{0xbecbf647612f3696, "-0.0000033333333333333333"},
		{0x43143ff3c1cb0959, "1424953923781206.2"},
	} {
		got, err := Encode(math.Float64frombits(tt.bits))
		if string(got) != tt.want || (err != nil) != (tt.want == "") {
			t.Errorf("%016x: %q, %v; want %q", tt.bits, got, err, tt.want)
		}
	}
}

// TestSample: RFC 8785, sections 3.2.2 (the sample), 3.2.3 (its keys sorted) and 3.2.4 (its bytes).
func TestSample(t *testing.T) {
	const sample = `{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}`
	want, err := hex.DecodeString(strings.Join(strings.Fields(`
		7b 22 6c 69 74 65 72 61 6c 73 22 3a 5b 6e 75 6c 6c 2c 74 72
		75 65 2c 66 61 6c 73 65 5d 2c 22 6e 75 6d 62 65 72 73 22 3a
		5b 33 33 33 33 33 33 33 33 33 2e 33 33 33 33 33 33 33 2c 31
		65 2b 33 30 2c 34 2e 35 2c 30 2e 30 30 32 2c 31 65 2d 32 37
		5d 2c 22 73 74 72 69 6e 67 22 3a 22 e2 82 ac 24 5c 75 30 30
		30 66 5c 6e 41 27 42 5c 22 5c 5c 5c 5c 5c 22 2f 22 7d`), ""))
	if err != nil {
		t.Fatal(err)
	}
	if got := again(t, sample); !bytes.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestOrder: RFC 8785, section 3.2.3, the sample of keys; by UTF-16 code units the emoji stands before U+FB33.
func TestOrder(t *testing.T) {
	const sample = `{
  "\u20ac": "Euro Sign",
  "\r": "Carriage Return",
  "\ufb33": "Hebrew Letter Dalet With Dagesh",
  "1": "One",
  "\ud83d\ude00": "Emoji: Grinning Face",
  "\u0080": "Control",
  "\u00f6": "Latin Small Letter O With Diaeresis"
}`
	got := string(again(t, sample))
	last := -1
	for _, value := range []string{
		"Carriage Return", "One", "Control", "Latin Small Letter O With Diaeresis", "Euro Sign", "Emoji: Grinning Face", "Hebrew Letter Dalet With Dagesh",
	} {
		at := strings.Index(got, value)
		if at <= last {
			t.Errorf("%q stands at %d, not after %d in %q", value, at, last, got)
		}
		last = at
	}
}

func again(t *testing.T, text string) []byte {
	t.Helper()
	var v any
	if err := json.Unmarshal([]byte(text), &v); err != nil {
		t.Fatal(err)
	}
	b, err := Encode(v)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

type inner struct {
	B string   `json:"b"`
	A []string `json:"a,omitempty"`
}

type outer struct {
	Z     *inner  `json:"z"`
	List  []inner `json:"list"`
	Yes   bool    `json:"yes,omitempty"`
	skips int
}

// TestStructs: keys sorted, what is empty left out where the tag says so, nil as null or [].
func TestStructs(t *testing.T) {
	for _, tt := range []struct {
		v    any
		want string
	}{
		{outer{skips: 1}, `{"list":[],"z":null}`},
		{outer{Z: &inner{}, List: []inner{{B: "x", A: []string{"y"}}}, Yes: true}, `{"list":[{"a":["y"],"b":"x"}],"yes":true,"z":{"b":""}}`},
		{"line\u2028end\u007f\x01", "\"line\u2028end\u007f\\u0001\""},
		{nil, "null"},
	} {
		got, err := Encode(tt.v)
		if err != nil || string(got) != tt.want {
			t.Errorf("%q, %v; want %q", got, err, tt.want)
		}
	}
	for _, bad := range []any{"\xff", map[string]any{"\xff": nil}, func() {}, 1, []any{math.NaN()}, outer{List: []inner{{B: "\xff"}}}} {
		if got, err := Encode(bad); err == nil {
			t.Errorf("%v was written as %q", bad, got)
		}
	}
}

// TestDecode takes nothing but the canonical form.
func TestDecode(t *testing.T) {
	const good = `{"list":[{"b":"\n"}],"z":null}`
	var v outer
	if err := Decode([]byte(good), &v); err != nil || v.List[0].B != "\n" {
		t.Fatalf("%+v, %v", v, err)
	}
	for _, bad := range []string{
		``, `{`, good + " ", good + good, " " + good, `{"z":null,"list":[{"b":"\n"}]}`, `{"list":[{"b":"\u000a"}],"z":null}`,
		`{"list":[{"B":"\n"}],"z":null}`, `{"list":[{"b":"\n"}],"new":1,"z":null}`, `{"list":[{"a":[],"b":"\n"}],"z":null}`,
		`{"list":[{"b":"\n"}],"list":[{"b":"\n"}],"z":null}`, `{"list":[{"b":"\n"}]}`, `{"list":[{"b":5}],"z":null}`,
	} {
		if err := Decode([]byte(bad), &outer{}); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
}

// FuzzEncode: what is written reads as the same value and is written the same again.
func FuzzEncode(f *testing.F) {
	for _, s := range []string{`{"a":[1,"x",null]}`, `"\u0000\ud83d\ude00"`, `[1e400]`, `{"\u20ac":-0,"b":{}}`, strconv.Itoa(1 << 53)} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var v any
		if json.Unmarshal(data, &v) != nil {
			return
		}
		first, err := Encode(v)
		if err != nil {
			t.Fatal(err)
		}
		var back any
		if err := Decode(first, &back); err != nil {
			t.Fatalf("%q: %v", first, err)
		}
	})
}
