// Package surge tells by how much the pressure in a long line jumps when its
// flow is stopped.
//
// Lives here: speed of a pressure wave, the jump of a sudden and of a slow
// closing, and what an agreed time to stop means for a line.
// Not here: steady flow (package hydraulics).
// May import: the standard library.
package surge
