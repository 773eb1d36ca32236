// Package lsq is least squares in the form that learning from a log needs:
// with a prior, with errors in both variables, and with the weight that each
// observation has in the result, by which errors that observations have in
// common can be carried through.
//
// Lives here: the ridge, the straight line with errors in both variables.
// Not here: what the numbers mean (package learn).
// May import: gonum, the standard library.
package lsq
