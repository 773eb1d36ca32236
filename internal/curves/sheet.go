package curves

import (
	"errors"
	"fmt"
	"slices"
)

// Sheet is what the maker prints for one speed. All slices are equally long;
// Efficiency and NPSHr may be nil.
type Sheet struct {
	Speed      float64   // rpm
	Q          []float64 // flow, m³/s, strictly rising from 0
	H          []float64 // head, m
	Efficiency []float64 // of the pump, 0 to 1
	NPSHr      []float64 // required net positive suction head, m
}

// clone returns a copy that shares no points with s.
func (s *Sheet) clone() Sheet {
	return Sheet{s.Speed, slices.Clone(s.Q), slices.Clone(s.H), slices.Clone(s.Efficiency), slices.Clone(s.NPSHr)}
}

// PointError is a fault in the points of a sheet. Sheet and Point count from
// 0 in the order given; −1 means that it is not of one sheet or one point.
type PointError struct {
	Sheet, Point int
	Quantity     string // "speed", "flow", "head", "efficiency" or "npshr"
	Err          error
}

func (e *PointError) Error() string {
	where := ""
	if e.Sheet >= 0 {
		where = fmt.Sprintf("curve %d, ", e.Sheet+1)
	}
	if e.Quantity != "" {
		where += e.Quantity
	}
	if e.Point >= 0 {
		where += fmt.Sprintf(" point %d", e.Point+1)
	}
	if where == "" {
		return e.Err.Error()
	}
	return where + ": " + e.Err.Error()
}

func (e *PointError) Unwrap() error { return e.Err }

// check returns every fault of sheet number i, each a *PointError.
func (s *Sheet) check(i int) []error {
	var errs []error
	fault := func(point int, quantity, format string, args ...any) {
		errs = append(errs, &PointError{Sheet: i, Point: point, Quantity: quantity, Err: fmt.Errorf(format, args...)})
	}
	if !finite(s.Speed) || s.Speed <= 0 {
		fault(-1, "speed", "%g rpm; a speed above 0 is wanted", s.Speed)
	}
	if len(s.Q) < 3 {
		fault(-1, "flow", "%d points; a curve needs at least 3", len(s.Q))
		return errs
	}
	for _, row := range s.rows() {
		if (row.y != nil || row.name == "head") && len(row.y) != len(s.Q) {
			fault(-1, row.name, "%d values for %d flows", len(row.y), len(s.Q))
		}
		for k, v := range row.y {
			if !finite(v) || v < row.least || v > row.most {
				fault(k, row.name, "%g is not %s", v, row.wanted)
			}
		}
	}
	if len(s.H) == len(s.Q) {
		errs = append(errs, s.checkOrder(i)...)
	}
	return errs
}

// row is one list of a sheet with the range its values may have.
type row struct {
	name, wanted string
	y            []float64
	least, most  float64
}

const huge = 1e9 // no pump reaches it in any of the units used here

func (s *Sheet) rows() []row {
	return []row{
		{"flow", "a flow of 0 or more", s.Q, 0, huge},
		{"head", "a head above 0", s.H, 1e-9, huge},
		{"efficiency", "between 0 and 100 %", s.Efficiency, 0, 1},
		{"npshr", "0 m or more", s.NPSHr, 0, huge},
	}
}

// checkOrder checks that flow rises from zero and that head, once it falls,
// goes on falling: a rise near shut-off (droop) is allowed, a second is not.
func (s *Sheet) checkOrder(i int) []error {
	var errs []error
	if s.Q[0] != 0 {
		errs = append(errs, &PointError{Sheet: i, Point: 0, Quantity: "flow",
			Err: errors.New("the first point must be at flow 0: read the shut-off head off the curve")})
	}
	falling := false
	for k := 1; k < len(s.Q); k++ {
		switch {
		case s.Q[k] <= s.Q[k-1]:
			errs = append(errs, &PointError{Sheet: i, Point: k, Quantity: "flow",
				Err: errors.New("not above the flow before it; flows must rise from point to point")})
		case s.H[k] < s.H[k-1]:
			falling = true
		case s.H[k] > s.H[k-1] && falling:
			errs = append(errs, &PointError{Sheet: i, Point: k, Quantity: "head",
				Err: errors.New("head rises again after falling; beyond its peak a head curve only falls")})
		}
	}
	if !falling || s.H[len(s.H)-1] >= slices.Max(s.H) {
		errs = append(errs, &PointError{Sheet: i, Point: len(s.H) - 1, Quantity: "head",
			Err: errors.New("head does not fall towards the end of the curve")})
	}
	return errs
}
