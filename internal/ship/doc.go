// Package ship reads the files that people write about a ship and a
// discharge: ship.yaml, plan.yaml and the tank tables they name. It checks
// them and explains everything that is wrong at once, each fault with its
// file, line and column, what was read and what would be right.
//
// Lives here: the format of the two files, their ranges and cross-checks, the
// forgiving look-up of a pump, tank or manifold by what was keyed.
// Not here: how YAML is read and faults are told (package form below), what the
// figures mean (packages curves, hydraulics, cargo), other units (package units),
// the log (package journal).
// May import: units, curves, hydraulics, cargo, form, the standard library.
//
// Inside everything is SI. A figure that the file leaves out is NaN, and the
// Missing list of the Ship or Plan says in a sentence what is switched off.
package ship
