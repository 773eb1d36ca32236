package curves

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/interp"
)

// cubic is a polynomial c0 + c1 t + c2 t² + c3 t³ in t = x − left knot.
type cubic [4]float64

func (c *cubic) at(t float64) float64 {
	return c[0] + t*(c[1]+t*(c[2]+t*c[3]))
}

func (c *cubic) slope(t float64) float64 {
	return c[1] + t*(2*c[2]+t*3*c[3])
}

// moved returns the same polynomial about a knot dt further right.
func (c *cubic) moved(dt float64) cubic {
	return cubic{c.at(dt), c.slope(dt), c[2] + 3*c[3]*dt, c[3]}
}

// Fit is a curve through measured points: a piecewise cubic with continuous
// slope that rises only where the points rise and falls only where they fall.
//
// Source: Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984), 300–304,
// doi:10.1137/0905021, as gonum's interp.FritschButland computes it.
type Fit struct {
	x    []float64
	last float64 // value at the last knot
	c    []cubic // one for each interval
}

// NewFit returns the curve through the points (x[i], y[i]). It wants at least
// two points (which it joins by a straight line), x strictly rising, all finite; every fault found is in the
// error as a *PointError.
func NewFit(x, y []float64) (*Fit, error) {
	if err := checkPoints(x, y); err != nil {
		return nil, err
	}
	var g interp.FritschButland
	if err := g.Fit(x, y); err != nil {
		return nil, fmt.Errorf("fit of %d points: %w", len(x), err)
	}
	f := &Fit{x: append([]float64(nil), x...), last: y[len(y)-1], c: make([]cubic, len(x)-1)}
	for i := range f.c {
		f.c[i] = hermite(x[i+1]-x[i], y[i], y[i+1], g.PredictDerivative(x[i]), g.PredictDerivative(x[i+1]))
	}
	return f, nil
}

// hermite returns the cubic over an interval of width h with the given values
// and slopes at its ends.
func hermite(h, y0, y1, m0, m1 float64) cubic {
	chord := (y1 - y0) / h
	return cubic{y0, m0, (3*chord - 2*m0 - m1) / h, (m0 + m1 - 2*chord) / (h * h)}
}

// checkPoints returns all that is wrong with a set of points, or nil.
func checkPoints(x, y []float64) error {
	if len(x) != len(y) {
		return &PointError{Sheet: -1, Point: -1, Err: fmt.Errorf("%d flows but %d values", len(x), len(y))}
	}
	if len(x) < 2 {
		return &PointError{Sheet: -1, Point: -1, Err: fmt.Errorf("%d points; a curve needs at least 2", len(x))}
	}
	var errs []error
	for i := range x {
		switch {
		case !finite(x[i]) || !finite(y[i]):
			errs = append(errs, &PointError{Sheet: -1, Point: i, Err: errors.New("not a finite number")})
		case i > 0 && x[i] <= x[i-1]:
			errs = append(errs, &PointError{Sheet: -1, Point: i, Err: errors.New("flow is not above the one before it; flows must rise from point to point")})
		}
	}
	return errors.Join(errs...)
}

// At returns the value at x and whether x lies within the points. Outside
// there is no value: it is NaN.
func (f *Fit) At(x float64) (y float64, inside bool) {
	if !f.inside(x) {
		return math.NaN(), false
	}
	if x == f.x[len(f.x)-1] {
		return f.last, true
	}
	i := f.interval(x)
	return f.c[i].at(x - f.x[i]), true
}

// Slope returns the derivative at x and whether x lies within the points.
func (f *Fit) Slope(x float64) (dydx float64, inside bool) {
	if !f.inside(x) {
		return math.NaN(), false
	}
	i := f.interval(x)
	return f.c[i].slope(x - f.x[i]), true
}

func (f *Fit) inside(x float64) bool { return f.x[0] <= x && x <= f.x[len(f.x)-1] }

// interval returns the index of the interval that holds x.
func (f *Fit) interval(x float64) int {
	i := sort.SearchFloat64s(f.x, x) - 1
	if i+1 < len(f.x) && f.x[i+1] == x {
		i++
	}
	return min(max(i, 0), len(f.c)-1)
}

func finite(x float64) bool { return math.Abs(x) <= math.MaxFloat64 }
