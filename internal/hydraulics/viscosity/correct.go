package viscosity

import (
	"errors"
	"fmt"
	"math"

	"example.org/headwatch/internal/curves"
)

// ErrNoEfficiency says that curves without efficiency can't be corrected: the
// factors hang on the point of best efficiency.
var ErrNoEfficiency = errors.New("the curves give no efficiency, so that their best point is not known")

// Corrected is a family of curves as a thick cargo makes it.
type Corrected struct {
	// Curves is the given family itself where no speed wants a correction.
	// Pumps that share a family must go on sharing it: their errors are common.
	Curves  *curves.Family
	Factors []Factors // of each printed speed, in rising order
	// Warnings tell where pump or cargo lie outside what the equations were
	// drawn from, each an ErrOutside. They do not stop the work and must be
	// shown. Nearly every cargo pump is too large.
	Warnings []error
}

// Correct returns a family of curves drawn for water as it is for a cargo of
// a viscosity [m²/s]. Each printed speed has its own parameter B, from its point
// of highest efficiency, and its own factors; a printed point becomes
//
//	Q → C_Q Q,   H → C_H H,   η → C_η η,   C_H at Q over the flow of that point
//
// so that power P = ρ g Q H/η rises by C_H C_Q/C_η at best efficiency. Required
// NPSH stays with its point and so moves to the smaller flow; a thick cargo may
// want more. With law affinity the factors are those of the one printed speed;
// B grows as 1/√N, 1.4 times at half speed.
//
// The equations were drawn from pumps of 3 to 260 m³/h and 6 to 130 m a stage, on 1
// to 3000 cSt. A cargo pump of 2,500 m³/h lies far outside; by its size alone it
// feels viscosity less, as B says, but nobody has published how well that
// holds. What the correction may be wrong by is in no uncertainty.
//
// It returns ErrInput for a viscosity that is not above 0, ErrNoEfficiency, and
// ErrOutside where B reaches 40.
//
// Source: ISO/TR 17766:2005 and ANSI/HI 9.6.7; the ranges were seen quoted.
func Correct(f *curves.Family, viscosity float64) (Corrected, error) {
	if !(viscosity > 0 && viscosity <= math.MaxFloat64) {
		return Corrected{}, fmt.Errorf("viscosity %g m2/s: want more than 0: %w", viscosity, ErrInput)
	}
	if !f.HasEfficiency() {
		return Corrected{}, fmt.Errorf("viscosity %g cSt: %w", viscosity/centistokes, ErrNoEfficiency)
	}
	out := Corrected{Curves: f}
	sheets := f.Sheets()
	thick := false
	for i := range sheets {
		s := &sheets[i]
		best := bestPoint(s)
		factors, err := New(Parameter(viscosity, s.Q[best], s.H[best], s.Speed))
		if err != nil {
			return Corrected{}, fmt.Errorf("%g rpm with %g cSt: %w", s.Speed, viscosity/centistokes, err)
		}
		out.Factors = append(out.Factors, factors)
		if factors.B > least {
			thick = true
			out.Warnings = append(out.Warnings, outside(s, best, viscosity)...)
			factors.apply(s, s.Q[best])
		}
	}
	if !thick {
		return out, nil
	}
	family, err := curves.NewFamily(f.Law(), sheets)
	if err != nil {
		return Corrected{}, fmt.Errorf("curves corrected for %g cSt: %w", viscosity/centistokes, err)
	}
	out.Curves = family
	return out, nil
}

// bestPoint returns the printed point of highest efficiency; the fit has its
// highest value there too.
func bestPoint(s *curves.Sheet) int {
	best := 0
	for i, e := range s.Efficiency {
		if e > s.Efficiency[best] {
			best = i
		}
	}
	return best
}

// apply turns the points of s into those of the thick liquid.
func (f Factors) apply(s *curves.Sheet, bestFlow float64) {
	for i, q := range s.Q {
		s.Q[i] *= f.Flow
		s.H[i] *= f.Head(q / bestFlow)
		s.Efficiency[i] *= f.Efficiency
	}
}

// outside returns a warning for each figure outside what the equations were
// drawn from.
func outside(s *curves.Sheet, best int, viscosity float64) []error {
	var warnings []error
	for _, figure := range []struct {
		name, unit    string
		value, lo, hi float64
	}{
		{"best-efficiency flow", "m3/h", s.Q[best] / cubicPerHour, 3, 260},
		{"head there", "m", s.H[best], 6, 130},
		{"viscosity", "cSt", viscosity / centistokes, 1, 3000},
	} {
		if figure.value < figure.lo || figure.value > figure.hi {
			warnings = append(warnings, fmt.Errorf("%g rpm: %s %.4g %s, drawn from %g to %g %s: %w",
				s.Speed, figure.name, figure.value, figure.unit, figure.lo, figure.hi, figure.unit, ErrOutside))
		}
	}
	return warnings
}
