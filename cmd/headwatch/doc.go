// Command headwatch turns the gauge readings of a tanker's cargo pumps into head
// and flow with their uncertainty, and keeps the pumping log. It advises only.
//
// Lives here: commands, flags and exit codes; one file a command, each of the
// same parts: newXCommand, xOptions, runX. Data goes to the standard output,
// words to the standard error.
// Not here: anything that a second program could want to reuse.
// May import: every room.
package main
