// Package heat tells how warm a liquid gets in a pump: trapped behind a shut
// valve, and on its way through.
//
// Lives here: power at no flow, the rise of temperature it makes, and the flow
// that carries it off.
// Not here: the clocks that add heat up over a start (package watch).
// May import: curves, hydraulics, the standard library.
package heat
