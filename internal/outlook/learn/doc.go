// Package learn lets the log improve on the plan: the shore line from readings
// of the manifold, the pumps' curve flows from ullages. Every function is pure;
// every quantity is a float64 in the SI unit its docstring names.
//
// An error that is the same in every reading of a discharge (of a gauge, a
// tachometer, a curve, the density) does not shrink with the number of
// readings. Such lasting errors are kept apart from the noise of reading all
// the way, with what pumps and hours have of them in common.
//
// What was learnt never replaces what it was learnt from: the plan's line and
// the raw flow stand beside it. Either part is switched off by giving it
// nothing to learn from: FitLine then returns the plan, and Factors of no
// hours, the zero value, correct nothing.
//
// Lives here: a reading's errors divided into lasting ones and noise, the fit
// of the shore line, the factors of the curve flows.
// Not here: the numerics (package lsq below), the solver that uses the line
// (package hydraulics), which readings and hours count (package watch).
// May import: curves, hydraulics, lsq, gonum, the standard library.
package learn
