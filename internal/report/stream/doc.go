// Package stream turns a stream of lines into a stream of records on all
// cores, in order and in constant memory: chunks of whole lines go through
// workers, and what they wrote goes out in the order it came in.
//
// Lives here: cutting a stream into chunks, the workers' order.
// Not here: what a line says and what becomes of it (the packages that use it).
// May import: the standard library.
package stream
