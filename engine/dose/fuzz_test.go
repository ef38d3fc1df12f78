package dose_test

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"tideline/engine/dose"
	"tideline/engine/dose/acidbase"
)

func strconvG(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// Whatever is typed, a quantity is read or refused with help, and what was read
// prints and reads back as the same.
func FuzzParseQuantity(f *testing.F) {
	for _, s := range []string{"5 mm", "155 °F", "3 % w/v", "2 mmol/L", "-1e-3 K", "1,5 mm", "", "NaN mm", "1e400 g", "٣ mm", "5mm", "+ mm", "1e5"} {
		f.Add(s)
	}
	kinds := dose.Kinds()
	f.Fuzz(func(t *testing.T, s string) {
		q, err := dose.ParseQuantity(s, kinds...)
		if err != nil {
			var r *dose.Refusal
			if !errors.As(err, &r) || r.Help == "" {
				t.Fatalf("%q: refused without help: %v", s, err)
			}
			return
		}
		if math.IsNaN(q.Value) || math.IsInf(q.Value, 0) || q.Unit.Kind == "" {
			t.Fatalf("%q was read as %v", s, q)
		}
		back, err := dose.ParseQuantity(strings.TrimSpace(strconvG(q.Value)+" "+q.Unit.Symbol), q.Unit.Kind)
		if err != nil || back.Value != q.Value || back.Unit != q.Unit {
			t.Fatalf("%q: %v came back as %v, %v", s, q, back, err)
		}
	})
}

// Whatever is given, every computation answers or refuses with help; it never
// panics and never hands out what isn't a number.
func FuzzComputations(f *testing.F) {
	for name, args := range worked {
		f.Add(name, strings.Join(args, "\n"))
	}
	f.Add("tears", "tears=A: 0,0 1,1 0,1 1,0\ngrain=vertical")
	f.Add("solvent-region", "tests=acetone dissolves; acetone holds; water holds\nuseful_centre=1,2,3")
	f.Add("blue-limit", "look=lamp\nirradiance=1e6 W/m2\npeak=700 nm\nwidth=1 nm\nsource=5000 mm\ndistance=100 mm")
	f.Fuzz(func(t *testing.T, name, lines string) {
		c, ok := dose.Lookup(name)
		if !ok {
			return
		}
		a, err := c.Parse(strings.Split(lines, "\n"))
		if err == nil {
			var r dose.Result
			if r, err = c.Run(a); err == nil {
				for _, v := range r.Values {
					if math.IsNaN(v.Quantity.Value) {
						t.Fatalf("%s: %s is not a number", name, v.Name)
					}
				}
				return
			}
		}
		var ref *dose.Refusal
		if !errors.As(err, &ref) || ref.Help == "" {
			t.Fatalf("%s: refused without help: %v", name, err)
		}
	})
}

func FuzzMolarMass(f *testing.F) {
	for _, s := range []string{"Ca(OH)2", "C6H8O7.H2O", "((((((H))))))", "", "2H2O", "Fe2(SO4)3·7H2O", "H0", ")", "(", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m, err := acidbase.MolarMass(s)
		if err == nil && !(m > 0 && m <= 1e5) {
			t.Fatalf("%q weighs %g", s, m)
		}
	})
}

func FuzzParseTears(f *testing.F) {
	for _, s := range []string{"A: 0,40 12,44", "A inner: 0,0 1,1; B: 2,2 3,3", "", ";;", "A:", "A: NaN,1 2,2", "A: 1e9,0 0,0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		list, err := dose.ParseTears(s)
		if err != nil {
			return
		}
		for _, tear := range list {
			for _, c := range tear.CutList(3, 5, 2, 90) {
				if !(c.Length > 0) || c.ToGrain < 0 || c.ToGrain > 90+1e-9 {
					t.Fatalf("%q: strip %+v", s, c)
				}
			}
		}
	})
}
