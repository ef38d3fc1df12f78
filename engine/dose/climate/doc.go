// Package climate holds the sums on air, heat and time: vapour pressure, dew
// point, the air over salts, ageing rates, cooling.
//
// In:  °C, per cent relative humidity, minutes.
// Out: the same, and plain ratios.
// Each formula names its range; callers refuse outside it.
package climate
