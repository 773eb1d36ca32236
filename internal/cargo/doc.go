// Package cargo knows the liquid and the tanks it lies in: its density at tank
// temperature, its vapour pressure, and the volume that an ullage stands for.
// Every function is pure; a quantity is a float64 in the SI unit that its
// docstring names.
//
// Lives here: volume correction by both editions of the petroleum measurement
// tables, density from an observation, mass; true vapour pressure of crude oil,
// refined stocks and water; ullage tables and the CSV they are kept in, list
// and trim corrections, the rate that ullages tell with its uncertainty.
// Not here: which tank belongs to which pump (package ship), when ullages were
// read (package watch), other units (package units).
// May import: units, curves, hydraulics, the standard library; needs only the last.
package cargo
