// Package watch turns the log of a discharge into what the officer should see.
// An entry goes in by Fold, a Picture comes out of Assess; both are pure and
// the clock is an argument, so that a log replays to the same picture anywhere.
//
//	key or row -> journal.Entry -> Fold(State, Entry) State -> Assess(State, now) Picture
//
// Lives here: the state of a discharge, the picture, doubts about a reading
// while it is keyed.
// Not here: how it looks (packages ui and report), the physics (package
// hydraulics), the file (package journal).
// May import: the rooms below it; no terminal, no file, no clock.
package watch
