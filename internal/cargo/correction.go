package cargo

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Lean is the way a ship lies over.
type Lean uint8

// The two leans. Trim is in m, by the stern positive; list in rad, to the side
// that the ship's own table calls positive.
const (
	Trim Lean = iota
	List
)

// String returns the name of the lean.
func (l Lean) String() string { return [...]string{"trim", "list"}[l] }

func (l Lean) unit() string { return [...]string{"m", "rad"}[l] }

// Correction is a ship's table of what to add to an ullage as read because she
// lies over. It is immutable.
type Correction struct {
	by             Lean
	ullages, leans []float64
	add            [][]float64 // m, a row for each ullage, a column for each lean
}

// NewCorrection makes a table of what to add [m], add[i][j] at ullages[i] [m]
// and leans[j] [m of trim or rad of list], both strictly rising. A table of one
// row holds for every ullage. All mistakes come back at once, joined.
func NewCorrection(by Lean, ullages, leans []float64, add [][]float64) (*Correction, error) {
	if len(add) != len(ullages) || len(add) == 0 || len(leans) == 0 {
		return nil, fmt.Errorf("%v correction: %d ullages, %d rows and %d columns: want a row for each ullage and at least one of both",
			by, len(ullages), len(add), len(leans))
	}
	c := &Correction{by: by, ullages: slices.Clone(ullages), leans: slices.Clone(leans)}
	var errs []error
	for j := range leans {
		errs = append(errs, rising(leans, j, by.String()))
	}
	for i, row := range add {
		errs = append(errs, rising(ullages, i, "ullage"))
		if len(row) != len(leans) {
			errs = append(errs, fmt.Errorf("row %d has %d corrections for %d columns", i+1, len(row), len(leans)))
		}
		for j, v := range row {
			if !finite(v) {
				errs = append(errs, fmt.Errorf("row %d, column %d: correction %g: want a finite number", i+1, j+1, v))
			}
		}
		c.add = append(c.add, slices.Clone(row))
	}
	if err := errors.Join(errs...); err != nil {
		return nil, fmt.Errorf("%v correction: %w", by, err)
	}
	return c, nil
}

// At returns what to add [m] to an ullage as read [m] at a trim [m] or list
// [rad], linear in both between the lines of the table. Where a ship has a
// table for each, both are entered with the ullage as read and both results
// are added to it. Beyond the table it returns NaN and ErrOutside.
func (c *Correction) At(ullage, lean float64) (float64, error) {
	j, b, err := betweenIn(c.leans, lean, c.by.String(), c.by.unit())
	if err != nil {
		return math.NaN(), err
	}
	if len(c.ullages) == 1 {
		return along(c.add[0], j, b), nil
	}
	i, a, err := between(c.ullages, ullage, "ullage")
	if err != nil {
		return math.NaN(), err
	}
	upper, lower := along(c.add[i], j, b), along(c.add[min(i+1, len(c.add)-1)], j, b)
	return upper + a*(lower-upper), nil
}
