package canon

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode/utf16"
	"unicode/utf8"
)

// Encode gives the canonical form of a value. Struct fields are named by their json tags; omitempty leaves out what is
// empty. A nil list is an empty one; a nil pointer or interface is null. Numbers that JSON does not have, texts that are
// not UTF-8, and values of other kinds are errors.
func Encode(v any) ([]byte, error) { return put(nil, reflect.ValueOf(v)) }

func put(b []byte, v reflect.Value) ([]byte, error) {
	switch v.Kind() {
	case reflect.Invalid:
		return append(b, "null"...), nil
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			return append(b, "null"...), nil
		}
		return put(b, v.Elem())
	case reflect.Bool:
		return strconv.AppendBool(b, v.Bool()), nil
	case reflect.Float64:
		return number(b, v.Float())
	case reflect.String:
		return text(b, v.String())
	case reflect.Slice:
		return list(b, v)
	case reflect.Map:
		return group(b, v)
	case reflect.Struct:
		return record(b, v)
	}
	return nil, fmt.Errorf("a %s has no canonical form", v.Type())
}

func list(b []byte, v reflect.Value) (_ []byte, err error) {
	b = append(b, '[')
	for i := range v.Len() {
		if i > 0 {
			b = append(b, ',')
		}
		if b, err = put(b, v.Index(i)); err != nil {
			return nil, err
		}
	}
	return append(b, ']'), nil
}

func group(b []byte, v reflect.Value) (_ []byte, err error) {
	var keys []string
	for _, k := range v.MapKeys() {
		keys = append(keys, k.String())
	}
	slices.SortFunc(keys, byUnits)
	b = append(b, '{')
	for i, k := range keys {
		if i > 0 {
			b = append(b, ',')
		}
		if b, err = text(b, k); err != nil {
			return nil, err
		}
		if b, err = put(append(b, ':'), v.MapIndex(reflect.ValueOf(k))); err != nil {
			return nil, err
		}
	}
	return append(b, '}'), nil
}

// byUnits compares keys by their UTF-16 code units (RFC 8785, section 3.2.3).
func byUnits(a, b string) int {
	return slices.Compare(utf16.Encode([]rune(a)), utf16.Encode([]rune(b)))
}

// field is a field of a struct as it is written.
type field struct {
	index     int
	key       string // with its quotes and colon
	omitEmpty bool
}

var layouts sync.Map // reflect.Type to []field

// layout gives the fields of a struct in the order of their keys.
func layout(t reflect.Type) []field {
	if known, ok := layouts.Load(t); ok {
		return known.([]field)
	}
	var fields []field
	for i := range t.NumField() {
		name, options, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
		if name != "" && name != "-" {
			fields = append(fields, field{i, name, options == "omitempty"})
		}
	}
	slices.SortFunc(fields, func(a, b field) int { return byUnits(a.key, b.key) })
	for i := range fields {
		fields[i].key = strconv.Quote(fields[i].key) + ":"
	}
	layouts.Store(t, fields)
	return fields
}

func record(b []byte, v reflect.Value) (_ []byte, err error) {
	b = append(b, '{')
	first := true
	for _, f := range layout(v.Type()) {
		value := v.Field(f.index)
		if f.omitEmpty && (value.IsZero() || value.Kind() == reflect.Slice && value.Len() == 0) {
			continue
		}
		if !first {
			b = append(b, ',')
		}
		first = false
		if b, err = put(append(b, f.key...), value); err != nil {
			return nil, err
		}
	}
	return append(b, '}'), nil
}

var errNumber = errors.New("not a number, or without end: JSON has no such number")

// number writes a number as ECMAScript does (RFC 8785, section 3.2.2.3): the fewest digits that give the same number.
func number(b []byte, v float64) ([]byte, error) {
	switch size := math.Abs(v); {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return nil, errNumber
	case v == 0:
		return append(b, '0'), nil // and so is -0
	case size >= 1e-6 && size < 1e21:
		return strconv.AppendFloat(b, v, 'f', -1, 64), nil
	}
	s := strconv.FormatFloat(v, 'e', -1, 64)
	digits, exponent, _ := strings.Cut(s, "e")
	return append(b, digits+"e"+exponent[:1]+strings.TrimLeft(exponent[1:], "0")...), nil
}

const sixteen = "0123456789abcdef"

// text writes a text with the shortest escapes JSON has, and only those it must have (RFC 8785, section 3.2.2.2).
func text(b []byte, s string) ([]byte, error) {
	if !utf8.ValidString(s) {
		return nil, fmt.Errorf("%q is not UTF-8", s[:min(len(s), 60)])
	}
	b = append(b, '"')
	start := 0
	for i := range len(s) {
		c := s[i]
		if c >= ' ' && c != '"' && c != '\\' {
			continue
		}
		b = append(append(b, s[start:i]...), '\\')
		start = i + 1
		if short := strings.IndexByte("\b\t\n\f\r\"\\", c); short >= 0 {
			b = append(b, `btnfr"\`[short])
		} else {
			b = append(b, 'u', '0', '0', sixteen[c>>4], sixteen[c&15])
		}
	}
	return append(append(b, s[start:]...), '"'), nil
}
