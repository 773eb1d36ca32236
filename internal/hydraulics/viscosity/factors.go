package viscosity

import (
	"errors"
	"fmt"
	"math"
)

// ErrOutside marks a pump or a cargo outside what the equations were drawn
// from; ErrInput what is not a positive finite number.
var (
	ErrOutside = errors.New("outside the range of the viscosity correction")
	ErrInput   = errors.New("impossible input")
)

// The parameter below which nothing is corrected, and from which the equations
// say nothing.
const (
	least = 1.0
	most  = 40.0
)

// Units of the published equations.
const (
	centistokes  = 1e-6       // m²/s
	cubicPerHour = 1.0 / 3600 // m³/s
)

// Parameter returns the parameter B [-] of a pump and a cargo,
//
//	B = 16.5 ν^0.5 H^0.0625 / (Q^0.375 N^0.25)
//
// with ν in cSt, and flow Q in m³/h and head H of a stage in m at the best
// efficiency on water at speed N; the arguments are in m²/s, m³/s, m and rpm. The
// US form, 26.6 with US gallons a minute and feet, gives 0.4 % less, since both
// constants are rounded.
//
// Source: ISO/TR 17766:2005 and ANSI/HI 9.6.7; the equation was seen quoted.
func Parameter(viscosity, flow, head, speed float64) float64 {
	return 16.5 * math.Sqrt(viscosity/centistokes) * math.Pow(head, 0.0625) /
		(math.Pow(flow/cubicPerHour, 0.375) * math.Pow(speed, 0.25))
}

// ParameterForDuty returns B [-] where a pump is chosen for a duty with the
// thick liquid and its best efficiency on water is not known yet,
//
//	B = 2.80 ν^0.5 / (Q^0.25 H^0.125)
//
// in the units of Parameter.
//
// Source: ISO/TR 17766:2005 and ANSI/HI 9.6.7, preliminary selection, from memory.
func ParameterForDuty(viscosity, flow, head float64) float64 {
	return 2.80 * math.Sqrt(viscosity/centistokes) / (math.Pow(flow/cubicPerHour, 0.25) * math.Pow(head, 0.125))
}

// Factors turn a point of the curves for water into one for a thick liquid.
// The zero value is none.
type Factors struct {
	B          float64 // the parameter they follow from
	Flow       float64 // C_Q
	Efficiency float64 // C_η
}

// New returns the factors at parameter b,
//
//	C_Q = 2.71^(−0.165 (log10 B)^3.15)
//	C_η = B^(−0.0547 B^0.69)
//
// both 1 up to B = 1, below which the effect is within the errors of a test.
// At 40 and above there are none: it returns NaN and ErrOutside, and ErrInput
// for what is no number above 0.
//
// Source: ISO/TR 17766:2005 and ANSI/HI 9.6.7; the equations were seen quoted. A
// branch for the efficiency below B = 1 is left out: it is known to us from
// memory only and does not meet C_η at B = 1.
func New(b float64) (Factors, error) {
	none := Factors{b, math.NaN(), math.NaN()}
	switch {
	case !(b > 0):
		return none, fmt.Errorf("parameter B %g: want more than 0: %w", b, ErrInput)
	case b >= most:
		return none, fmt.Errorf("parameter B %.3g: want less than %g: %w", b, most, ErrOutside)
	case b <= least:
		return Factors{b, 1, 1}, nil
	}
	return Factors{b, math.Pow(2.71, -0.165*math.Pow(math.Log10(b), 3.15)), math.Pow(b, -0.0547*math.Pow(b, 0.69))}, nil
}

// Head returns the factor of head C_H at a flow that is ratio of the flow at
// best efficiency,
//
//	C_H = 1 − (1 − C_Q) ratio^0.75
//
// so that head at no flow stays.
//
// Source: ISO/TR 17766:2005 and ANSI/HI 9.6.7; the equation was seen quoted.
func (f Factors) Head(ratio float64) float64 { return 1 - (1-f.Flow)*math.Pow(ratio, 0.75) }
