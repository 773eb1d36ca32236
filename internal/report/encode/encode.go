// Package encode appends figures and texts to the data formats the program
// writes: full precision, and a word of their own for what is absent.
//
// Lives here: the forms of a number and a text in JSON and CSV.
// Not here: which figures there are (the packages that use it).
// May import: the standard library.
package encode

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"
)

// Number appends v with all its digits in a form that JSON knows, or the word
// given for what is absent when v is NaN or infinite.
func Number(dst []byte, v float64, absent string) []byte {
	form := byte('f')
	switch abs := math.Abs(v); {
	case !(abs <= math.MaxFloat64):
		return append(dst, absent...)
	case abs != 0 && abs < 1e-6 || abs >= 1e21:
		form = 'e'
	}
	return strconv.AppendFloat(dst, v, form, -1, 64)
}

// JSONText appends s as a JSON string, or null when it is empty.
func JSONText(dst []byte, s string) []byte {
	if s == "" {
		return append(dst, "null"...)
	}
	for i := range len(s) {
		if c := s[i]; c < ' ' || c > '~' || c == '"' || c == '\\' {
			text, _ := json.Marshal(s) // of a string never fails
			return append(dst, text...)
		}
	}
	return append(append(append(dst, '"'), s...), '"')
}

// CSVText appends s as a field, in quotes where it has to be (RFC 4180).
func CSVText(dst []byte, s string) []byte {
	if !strings.ContainsAny(s, ",\"\r\n") {
		return append(dst, s...)
	}
	return append(append(append(dst, '"'), strings.ReplaceAll(s, `"`, `""`)...), '"')
}
