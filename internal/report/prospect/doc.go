// Package prospect writes what package outlook foretells: a forecast, an
// advice, many cases in a stream; as a table for people or as data.
//
// Lives here: the records of headwatch forecast and headwatch advise, and the
// reading of cases.
// Not here: what is foretold (package outlook), flags (package cmd).
// May import: the rooms below report, package encode.
package prospect
