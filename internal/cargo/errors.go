package cargo

import (
	"errors"
	"fmt"
	"math"
)

// ErrInput marks an argument that no table or formula can take: not a number,
// infinite, or of a sign that makes no sense.
var ErrInput = errors.New("impossible input")

// ErrOutside marks an argument outside the range that a table or formula was
// made for.
var ErrOutside = errors.New("outside the range")

// PosError is a mistake at a place in a file that people edit.
type PosError struct {
	File         string
	Line, Column int // from 1; the column counts bytes
	Err          error
}

// Error returns "file:line:column: what is wrong".
func (e *PosError) Error() string {
	return fmt.Sprintf("%s:%d:%d: %v", e.File, e.Line, e.Column, e.Err)
}

// Unwrap returns the mistake without its place.
func (e *PosError) Unwrap() error { return e.Err }

func finite(v float64) bool      { return !math.IsNaN(v) && !math.IsInf(v, 0) }
func positive(v float64) bool    { return v > 0 && !math.IsInf(v, 0) }
func notNegative(v float64) bool { return v >= 0 && !math.IsInf(v, 0) }
