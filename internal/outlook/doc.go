// Package outlook says what would happen: at other speeds, with other pumps,
// in the hours ahead; and what stops an officer from going faster. It advises
// only and moves nothing.
//
// Lives here: a parcel's plant ready to be solved, its limits by name, the
// highest speed inside all of them, the cheapest way to an agreed rate, the
// hours ahead.
// Not here: the solver itself (package hydraulics), learning a line or wear
// from the log (packages below this one), words on a screen (package ui).
// May import: units, curves, hydraulics, cargo, ship, the standard library.
package outlook
