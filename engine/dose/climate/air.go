package climate

import "math"

// Magnus is one set of constants of the Magnus form over water:
// e = Base exp(Slope t/(Turn + t)), in Pa.
type Magnus struct {
	Name              string
	Base, Slope, Turn float64
}

// WMO is the set of WMO No. 8; Alduchov is the set of Alduchov and Eskridge
// (its 610.94 is from memory). Both serve from -40 to 50 °C.
var (
	WMO      = Magnus{"WMO", 611.2, 17.62, 243.12}
	Alduchov = Magnus{"Alduchov and Eskridge", 610.94, 17.625, 243.04}
)

// Pressure is the saturation vapour pressure in Pa over water at t °C.
func (m Magnus) Pressure(t float64) float64 { return m.Base * math.Exp(m.Slope*t/(m.Turn+t)) }

// PowerOfTen is the saturation vapour pressure in Pa by the power-of-ten form
// (-20 to 50 °C, 0.083 %).
func PowerOfTen(t float64) float64 { return 611.6441 * math.Pow(10, 7.591386*t/(t+240.7263)) }

// Buck is the saturation vapour pressure in Pa after Buck 1996 (constants from
// memory).
func Buck(t float64) float64 { return 611.21 * math.Exp((18.678-t/234.5)*t/(257.14+t)) }

// DewPoint in °C of air at t °C and a relative humidity above 0 to 100 %.
func (m Magnus) DewPoint(t, humidity float64) float64 {
	g := math.Log(humidity/100) + m.Slope*t/(m.Turn+t)
	return m.Turn * g / (m.Slope - g)
}

// Humidity is the inverse of [Magnus.DewPoint]: per cent at t from the dew point.
func (m Magnus) Humidity(t, dew float64) float64 { return 100 * m.Pressure(dew) / m.Pressure(t) }

// Absolute humidity in g/m³ from t °C and relative humidity, by the gas law
// (18.015 g/mol, 8.314462618 J/(mol K)).
func (m Magnus) Absolute(t, humidity float64) float64 {
	return 18.015 * m.Pressure(t) * humidity / 100 / (GasConstant * (t + Kelvin))
}

// Kelvin is 0 °C in K.
const Kelvin = 273.15

// GasConstant is R in J/(mol K).
const GasConstant = 8.314462618

// Celsius of a temperature in °F.
func Celsius(f float64) float64 { return (f - 32) * 5 / 9 }

// Fahrenheit of a temperature in °C.
func Fahrenheit(c float64) float64 { return c*9/5 + 32 }
