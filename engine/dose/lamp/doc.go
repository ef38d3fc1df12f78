// Package lamp weighs light: lux against W/m², blue-light hazard, and how much
// falls on a sheet.
//
// In:  a spectrum (peak and width of a light-emitting diode, or a black body)
// and a reading or a lamp's power and place.
// Out: irradiance in W/m², weighted radiance in W/(m² sr), seconds.
//
// A lux meter hardly sees deep blue: the same lux can be six times the power.
// So nothing here turns lux into a blue dose without the peak wavelength.
package lamp
