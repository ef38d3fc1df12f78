package dose

import (
	"sort"
	"strings"
)

// A Kind is what a unit measures. Quantities of different kinds never mix.
type Kind string

// The kinds. A temperature and a difference of temperatures are two kinds: a
// difference of 18 °F is 10 °C.
const (
	Plain        Kind = "plain number"
	Length       Kind = "length"
	Area         Kind = "area"
	Volume       Kind = "volume"
	Mass         Kind = "mass"
	Time         Kind = "time"
	Temperature  Kind = "temperature"
	Warming      Kind = "temperature difference"
	Fraction     Kind = "fraction"
	MassFraction Kind = "mass fraction"
	VolFraction  Kind = "volume fraction"
	MassPerVol   Kind = "mass per volume"
	Molar        Kind = "amount per volume"
	MolPerMass   Kind = "amount per mass"
	Oxygen       Kind = "volume strength"
	Humidity     Kind = "relative humidity"
	AirPart      Kind = "part of the air"
	Grammage     Kind = "mass per area"
	Density      Kind = "density"
	Uptake       Kind = "volume per mass"
	VapourUnit   Kind = "pressure"
	Energy       Kind = "energy per amount"
	Power        Kind = "power"
	Irradiance   Kind = "power per area"
	Radiance     Kind = "radiance"
	Exposure     Kind = "energy per area"
	Illuminance  Kind = "illuminance"
	LightSum     Kind = "illuminance over time"
	Efficacy     Kind = "lumens per watt"
	Wavelength   Kind = "wavelength"
	Angle        Kind = "angle"
	Cohesion     Kind = "solubility parameter"
	Tension      Kind = "surface tension"
	Force        Kind = "force"
	TearKind     Kind = "tear index"
	PHKind       Kind = "pH"
	GradeKind    Kind = "grade"
	LabKind      Kind = "CIELAB units"
)

// A Unit is one unit of measurement. The zero Unit stands for text.
type Unit struct {
	Symbol string
	Kind   Kind
	// base = value*factor + offset, base being the first unit of the kind
	factor, offset float64
}

// MarshalText writes the symbol.
func (u Unit) MarshalText() ([]byte, error) { return []byte(u.Symbol), nil }

// toBase and fromBase change between a unit and the first of its kind.
func (u Unit) toBase(v float64) float64   { return v*u.factor + u.offset }
func (u Unit) fromBase(v float64) float64 { return (v - u.offset) / u.factor }

type unitRow struct {
	kind   Kind
	symbol string
	factor float64
	offset float64
	also   string // other spellings, by blanks; "_" is a blank in one
}

var unitRows = []unitRow{
	{Plain, "", 1, 0, ""},
	{Length, "mm", 1, 0, ""},
	{Length, "cm", 10, 0, ""},
	{Length, "m", 1000, 0, ""},
	{Length, "in", 25.4, 0, "inch inches"},
	{Length, "µm", 0.001, 0, "um"},
	{Area, "mm²", 1, 0, "mm2"},
	{Area, "cm²", 100, 0, "cm2"},
	{Area, "m²", 1e6, 0, "m2"},
	{Volume, "mL", 1, 0, "ml"},
	{Volume, "L", 1000, 0, "l"},
	{Mass, "g", 1, 0, ""},
	{Mass, "mg", 0.001, 0, ""},
	{Mass, "kg", 1000, 0, ""},
	{Mass, "lb", 453.59237, 0, ""},
	{Time, "min", 1, 0, ""},
	{Time, "s", 1.0 / 60, 0, "sec"},
	{Time, "h", 60, 0, "hour hours"},
	{Time, "d", 1440, 0, "day days"},
	{Time, "a", 525960, 0, "year years"},
	{Temperature, "°C", 1, 0, "C degC ºC"},
	{Temperature, "°F", 5.0 / 9, -160.0 / 9, "F degF ºF"},
	{Temperature, "K", 1, -273.15, ""},
	{Warming, "°C", 1, 0, "C degC ºC"},
	{Warming, "°F", 5.0 / 9, 0, "F degF ºF"},
	{Warming, "K", 1, 0, ""},
	{Fraction, "%", 1, 0, "percent"},
	{VolFraction, "% v/v", 1, 0, "%v/v"},
	{MassFraction, "% w/w", 1, 0, "%w/w %_m/m"},
	{MassPerVol, "g/L", 1, 0, "g/l"},
	{MassPerVol, "% w/v", 10, 0, "%w/v %_m/v"},
	{MassPerVol, "mg/L", 0.001, 0, "mg/l"},
	{MassPerVol, "g/m³", 0.001, 0, "g/m3"},
	{Molar, "mol/L", 1, 0, "mol/l M"},
	{Molar, "mmol/L", 0.001, 0, "mmol/l mM"},
	{Molar, "µmol/L", 1e-6, 0, "umol/L"},
	{MolPerMass, "mol/kg", 1, 0, ""},
	{MolPerMass, "mmol/kg", 0.001, 0, ""},
	{Oxygen, "volumes", 1, 0, "volume vol"},
	{Humidity, "% RH", 1, 0, "%RH %rh %_rh %"},
	{AirPart, "ppm", 1, 0, ""},
	{Grammage, "g/m²", 1, 0, "g/m2 gsm"},
	{Density, "g/mL", 1, 0, "g/ml g/cm³ g/cm3"},
	{Density, "kg/L", 1, 0, ""},
	{Uptake, "mL/g", 1, 0, "ml/g"},
	{VapourUnit, "Pa", 1, 0, ""},
	{VapourUnit, "hPa", 100, 0, ""},
	{VapourUnit, "kPa", 1000, 0, ""},
	{Energy, "kJ/mol", 1, 0, ""},
	{Energy, "kcal/mol", 4.184, 0, ""},
	{Power, "W", 1, 0, ""},
	{Power, "mW", 0.001, 0, ""},
	{Irradiance, "W/m²", 1, 0, "W/m2"},
	{Irradiance, "mW/cm²", 10, 0, "mW/cm2"},
	{Radiance, "W/(m² sr)", 1, 0, "W/(m2_sr) W/m2/sr"},
	{Exposure, "J/cm²", 1, 0, "J/cm2"},
	{Exposure, "J/m²", 1e-4, 0, "J/m2"},
	{Exposure, "kJ/m²", 0.1, 0, "kJ/m2"},
	{Illuminance, "lx", 1, 0, "lux"},
	{Illuminance, "klx", 1000, 0, "klux"},
	{LightSum, "lx h", 1, 0, "lxh lux_h lux_hours"},
	{LightSum, "klx h", 1000, 0, "klxh"},
	{LightSum, "Mlx h", 1e6, 0, "Mlxh"},
	{Efficacy, "lm/W", 1, 0, ""},
	{Wavelength, "nm", 1, 0, ""},
	{Angle, "°", 1, 0, "deg degree degrees"},
	{Angle, "rad", 57.29577951308232, 0, ""},
	{Cohesion, "MPa^0.5", 1, 0, "MPa½ MPa1/2"},
	{Cohesion, "(cal/mL)^0.5", 2.0455, 0, "(cal/ml)^0.5"},
	{Tension, "mN/m", 1, 0, ""},
	{Force, "N", 1, 0, ""},
	{Force, "mN", 0.001, 0, ""},
	{TearKind, "mN m²/g", 1, 0, "mN_m2/g"},
	{PHKind, "pH", 1, 0, "ph"},
	{GradeKind, "grade", 1, 0, ""},
	{LabKind, "ΔE", 1, 0, "dE"},
}

// unitsBySymbol holds every spelling; one spelling may belong to several kinds.
var unitsBySymbol = func() map[string][]Unit {
	m := map[string][]Unit{}
	for _, r := range unitRows {
		u := Unit{r.symbol, r.kind, r.factor, r.offset}
		m[r.symbol] = append(m[r.symbol], u)
		for spelling := range strings.FieldsSeq(r.also) {
			spelling = strings.ReplaceAll(spelling, "_", " ")
			m[spelling] = append(m[spelling], u)
		}
	}
	return m
}()

// unit finds a unit of the table by kind and symbol; a wrong one is a fault of
// this program and shows as an empty unit in the tests.
func unit(k Kind, symbol string) Unit {
	for _, u := range unitsBySymbol[symbol] {
		if u.Kind == k {
			return u
		}
	}
	return Unit{}
}

// plain is a number without a unit.
var plain = unit(Plain, "")

// Symbols lists the units of a kind, in the order of the table.
func Symbols(k Kind) []string {
	var out []string
	for _, r := range unitRows {
		if r.kind == k {
			out = append(out, r.symbol)
		}
	}
	return out
}

// Kinds lists all kinds, sorted.
func Kinds() []Kind {
	seen := map[Kind]bool{}
	var out []Kind
	for _, r := range unitRows {
		if !seen[r.kind] {
			seen[r.kind] = true
			out = append(out, r.kind)
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i] < out[j] })
	return out
}
