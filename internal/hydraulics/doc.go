// Package hydraulics computes what pumps and pipes do to a liquid: heads from
// gauges, flow from head, losses, power and suction margin, each with its
// uncertainty. Every function is pure and every quantity is a float64 in the
// SI unit that its docstring names; speed alone is in revolutions per minute.
//
// Lives here: formulas from the literature, one file a subject, and the pump
// they are about. Subjects that need no line of pumps lie in packages below:
// viscosity, heat, surge, drive.
// Not here: the maker's curves (package curves), other units (package units),
// files and what was keyed (packages ship and journal).
// May import: curves, units, the standard library.
package hydraulics
