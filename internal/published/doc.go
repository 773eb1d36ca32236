// Package published reads the check values of testdata/checks for tests, in
// SI, and sees to it that none of a family is forgotten.
//
// Lives here: rows of checks.json and handbook.json, their units, the
// comparison within the tolerance that a row states.
// Not here: formulas. Only tests import this package.
// May import: the standard library.
package published
