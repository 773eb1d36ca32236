// Package viscosity corrects the curves of a centrifugal pump, which a maker
// draws for water, for a thicker cargo: less flow, less head, less efficiency.
//
// Lives here: the factors of ISO/TR 17766 and ANSI/HI 9.6.7, and a family of
// curves with them worked in.
// Not here: the curves themselves (package curves).
// May import: curves, the standard library.
package viscosity
