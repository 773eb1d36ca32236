// Package curves holds what a maker prints about a pump: head, efficiency and
// required NPSH against flow, each at one or a few speeds. It answers for
// every speed between them, forwards (flow to head) and backwards (head to
// flow), and says "outside" instead of guessing.
//
// Everything is kept in similarity coordinates, phi = Q/N and psi = H/N²,
// where the curves of two speeds nearly coincide, so that a blend of them
// bends as the pump does. Flow is in m³/s, head in m, speed in rpm.
//
// Lives here: the fit along a curve, the blend between curves, the inverse.
// Not here: gauges and their errors (package hydraulics), the file that the
// curves come from (package ship).
// May import: gonum, the standard library.
package curves
