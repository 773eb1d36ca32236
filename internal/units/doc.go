// Package units parses and prints quantities. It is the border: inside the
// program every quantity is a plain float64 in SI (Pa, m, m³/s, kg/m³, K, W,
// s, rad); speed alone is in revolutions per minute. What comes in is parsed
// with its unit, what goes out is printed with it, and nothing between knows
// bar or barrels. What this package accepts is finite.
//
// Parse reads what files hold and ParseKeyed what people key; Format prints.
//
// Lives here: unit names and factors, numbers as typed, ranges, losses, and
// Nearest, which guesses the name that a misspelt one was meant to be.
// Not here: tables that turn one quantity into another (package cargo), what
// is plausible for a pump (package ship), columns and colours (package ui).
// May import: the standard library.
package units
