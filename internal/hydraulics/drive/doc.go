// Package drive tells what a pump's drive takes for the power it gives: steam,
// fuel or current, relative to its own full load. No ship's figures in tonnes
// are known here; what it tells is good for comparing one way of running
// against another.
//
// Lives here: the straight line from power to consumption, for each kind of
// drive, and what a cubic metre costs.
// Not here: the power a pump takes (package hydraulics), which pumps to run
// (package outlook).
// May import: the standard library.
package drive
