// Package batch turns readings in a CSV stream into records: one reading a
// line in, one record out, in the same order, in constant memory and on all
// cores. New prepares it for a ship, Run streams, One answers for one reading.
//
// # Readings
//
// The first line names the columns, in any order: pump, speed, suction and
// discharge, and if wanted time and density; others are ignored. Figures are in
// the units of the ship file (density in kg/m3) unless a unit follows the
// number; the decimal mark is a dot. Fields are separated by commas and may
// stand in double quotes, in which a quote is doubled (RFC 4180), but a reading
// stands on one line: so a quote that is never closed costs one reading and not
// all that follow.
//
// # Records
//
// In JSON a figure that can't be had is null and flags are a list; in CSV it is
// empty and flags stand in one field with a space between them. A row that can't
// be used has a record in its place, whose error says the line of the file (the
// header's is 1), the column and why; in CSV that is a last column. Figures have
// all their digits but in the table.
//
// Lives here: the pipeline, the rows, the formats of a record.
// Not here: what a reading means (package hydraulics), flags of the command
// line (package cmd).
// May import: the rooms up to ship, the standard library.
package batch
