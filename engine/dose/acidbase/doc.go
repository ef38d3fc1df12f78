// Package acidbase solves the pH of dilute solutions from charge balance:
// weak acids, buffers, chelators, limewater, water in air, calcite.
//
// In:  total concentrations in mol/L at 25 °C.
// Out: pH, ionic strength and species, under a model that is always named.
// It solves, it doesn't approximate; but it is arithmetic on constants. A real
// solution is measured with a meter, and reads differently.
//
// Constants are those of the USGS PHREEQC databases (minteq.v4, from NIST 46).
package acidbase
