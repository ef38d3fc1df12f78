package climate

import (
	"math"
	"sort"
)

// A Salt keeps the air over its saturated solution at one relative humidity.
type Salt struct {
	Name     string
	A, B     float64 // RH = A exp(B/T), T in K
	From, To float64 // °C
}

// Salts is the table of Wexler (CRC Handbook, section 15); good to about 2 %
// of the value.
var Salts = []Salt{
	{"lithium chloride", 14.53, -75, 20, 65},
	{"magnesium chloride", 29.26, 34, 5, 45},
	{"magnesium nitrate", 25.28, 220, 5, 35},
	{"sodium bromide", 20.49, 308, 0, 35},
	{"ammonium nitrate", 3.54, 853, 10, 40},
	{"potassium iodide", 29.35, 254, 5, 30},
	{"sodium nitrate", 26.94, 302, 10, 40},
	{"sodium chloride", 69.2, 25, 10, 40},
	{"ammonium chloride", 35.67, 235, 10, 40},
	{"potassium bromide", 40.98, 203, 5, 25},
	{"ammonium sulphate", 62.06, 79, 10, 40},
	{"potassium chloride", 49.38, 159, 5, 25},
	{"barium chloride", 69.99, 75, 5, 25},
	{"potassium nitrate", 43.22, 225, 0, 50},
	{"potassium sulphate", 86.75, 34, 10, 50},
}

// SaltByName finds a salt of the table.
func SaltByName(name string) (Salt, bool) {
	for _, s := range Salts {
		if s.Name == name {
			return s, true
		}
	}
	return Salt{}, false
}

// SaltNames lists the salts, sorted.
func SaltNames() []string {
	var out []string
	for _, s := range Salts {
		out = append(out, s.Name)
	}
	sort.Strings(out)
	return out
}

// Humidity over the saturated salt, per cent, at t °C.
func (s Salt) Humidity(t float64) float64 { return s.A * math.Exp(s.B/(t+Kelvin)) }

// saltColumns are the temperatures of [SaltTable], in °C.
var saltColumns = [5]float64{5, 10, 15, 20, 25}

// SaltTable is Padfield's table after Greenspan 1977. Sodium chloride at 20 °C
// stands here as 75.5; the page prints 75.7, which its neighbours show to be a
// slip.
var SaltTable = map[string][5]float64{
	"lithium chloride":    {11.3, 11.3, 11.3, 11.3, 11.3},
	"magnesium chloride":  {33.6, 33.5, 33.3, 33.1, 32.8},
	"potassium carbonate": {43.1, 43.1, 43.1, 43.2, 43.2},
	"sodium bromide":      {63.5, 62.2, 60.7, 59.1, 57.6},
	"sodium chloride":     {75.7, 75.7, 75.6, 75.5, 75.3},
	"potassium chloride":  {87.7, 86.8, 85.9, 85.1, 84.3},
	"potassium sulphate":  {98.5, 98.2, 97.9, 97.6, 97.3},
}

// FromSaltTable reads [SaltTable] with straight lines between columns; ok is
// false outside 5 to 25 °C or for a salt it doesn't hold.
func FromSaltTable(name string, t float64) (humidity float64, ok bool) {
	row, ok := SaltTable[name]
	if !ok || !(t >= saltColumns[0] && t <= saltColumns[4]) {
		return 0, false
	}
	for i := 1; i < len(row); i++ {
		if t <= saltColumns[i] {
			f := (t - saltColumns[i-1]) / (saltColumns[i] - saltColumns[i-1])
			return row[i-1]*(1-f) + row[i]*f, true
		}
	}
	return row[4], true
}
