// Package journal keeps the pumping log: one append-only file of JSON lines,
// each sealed by a SHA-256 sum that the next line repeats, so that nothing
// acknowledged is lost and nothing is altered unseen. Use [Create] for a new
// log, [Open] to write on, [Read] to look only; a [Log] that cannot be written
// says why and can still be read.
//
// An entry is acknowledged when [Log.Append] returns it: its bytes are on the
// disk. What a crash leaves after the last line feed is torn, belongs to no
// entry, and is set aside by the next writer. Anything else that does not carry
// on the chain makes the log broken: readable up to there, never written again.
//
// Lives here: the file, its lock, the lines and their chain, the table of the
// kinds of entry with their data; beside the log, the small file that keeps a
// round keyed but not logged yet.
// Not here: what a figure means (package units) and what entries add up to
// (package watch).
// May import: units, github.com/gofrs/flock, the standard library.
package journal
