// Package round holds a round of readings while it is keyed: what was typed
// where and when, what is wrong or doubtful about it, and the picture that
// comes out of it. Every change returns a new Round, so that an old one can be
// gone back to.
//
// Lives here: the places that are read, the figures keyed for them, the line in
// any order, the drafts for the log.
// Not here: what a figure means (packages units and watch), keys and looks
// (package readings).
// May import: watch and the rooms below it; no terminal, no file, no clock.
package round
