package cargo

import (
	"fmt"
	"math"
)

// psi is one pound-force per square inch in Pa, 0.45359237 × 9.80665 / 0.0254².
const psi = 6894.757293168361

// TrueVapourPressure returns the vapour pressure [Pa, absolute] of a crude oil
// at temperature [K] from its Reid vapour pressure rvp [Pa], as measured at
// 100 °F:
//
//	p = exp(A − B/T),   A = 12.82 − 0.9672 ln RVP,   B = 7261 − 1216 ln RVP
//
// with p and RVP in psi and T in degrees Rankine. It is drawn for RVP 2 to
// 15 psi (13.8 to 103.4 kPa) and, from memory, for 0 to 140 °F (−17.8 to 60 °C);
// outside, the value comes with an error that is ErrOutside, for the caller to
// show beside it. The formula runs 3 to 6 % above the table in the same source.
// Where there is no value at all it is NaN with ErrInput.
//
// Source: US EPA AP-42, 5th edition, volume I, section 7.1, figures 7.1-13
// and 7.1-16 (crude oil constants).
func TrueVapourPressure(rvp, temperature float64) (float64, error) {
	l, rankine := math.Log(rvp/psi), temperature*1.8
	p := psi * math.Exp(12.82-0.9672*l-(7261-1216*l)/rankine)
	if !positive(rvp) || !positive(temperature) || !positive(p) {
		return math.NaN(), fmt.Errorf("vapour pressure from RVP %g Pa at %g K: %w", rvp, temperature, ErrInput)
	}
	const slack = 1e-9 // relative: limits keyed in other units must hold
	fahrenheit := rankine - 459.67
	if r := rvp / psi; r < 2*(1-slack) || r > 15*(1+slack) {
		return p, fmt.Errorf("vapour pressure from RVP %.1f kPa: the formula is drawn for 13.8 to 103.4 kPa: %w", rvp/1e3, ErrOutside)
	}
	if fahrenheit < -140*slack || fahrenheit > 140*(1+slack) {
		return p, fmt.Errorf("vapour pressure at %.1f degC: the formula is drawn for -17.8 to 60 degC: %w", temperature-kelvin, ErrOutside)
	}
	return p, nil
}
