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
	l := math.Log(rvp / psi)
	return fromReid(rvp, temperature, 12.82-0.9672*l, 7261-1216*l, 2, 15)
}

// Slopes of the distillation curve [°F per % evaporated, ASTM D86] at 10 %
// evaporated, for RefinedVapourPressure.
//
// Source: US EPA AP-42, section 7.1, note to figure 7.1-14, from memory.
const (
	AviationGasoline = 2.0
	Naphtha          = 2.5
	MotorGasoline    = 3.0
	LightNaphtha     = 3.5
)

// RefinedVapourPressure returns the vapour pressure [Pa, absolute] of a refined
// petroleum stock at temperature [K] from its Reid vapour pressure rvp [Pa] and
// the slope S [°F per % evaporated] of its distillation curve at 10 %:
//
//	p = exp(A − B/T)
//	A = 15.64 − 1.854 √S − (0.8742 − 0.3280 √S) ln RVP
//	B = 8742 − 1042 √S − (1049 − 179.4 √S) ln RVP
//
// with p and RVP in psi and T in degrees Rankine. It is drawn for RVP 1 to
// 20 psi (6.9 to 137.9 kPa) and 0 to 140 °F (−17.8 to 60 °C), both from memory;
// errors are those of TrueVapourPressure.
//
// Source: US EPA AP-42, 5th edition, volume I, section 7.1, figures 7.1-14 and
// 7.1-15 (refined petroleum stocks).
func RefinedVapourPressure(rvp, slope, temperature float64) (float64, error) {
	if !positive(slope) {
		return math.NaN(), fmt.Errorf("vapour pressure with a distillation slope of %g degF/%%: %w", slope, ErrInput)
	}
	l, s := math.Log(rvp/psi), math.Sqrt(slope)
	return fromReid(rvp, temperature, 15.64-1.854*s-(0.8742-0.3280*s)*l, 8742-1042*s-(1049-179.4*s)*l, 1, 20)
}

// fromReid returns exp(a − b/T) psi in Pa, and what TrueVapourPressure says of
// its arguments; the formula is drawn for RVP lo to hi [psi].
func fromReid(rvp, temperature, a, b, lo, hi float64) (float64, error) {
	rankine := temperature * 1.8
	p := psi * math.Exp(a-b/rankine)
	if !positive(rvp) || !positive(temperature) || !positive(p) {
		return math.NaN(), fmt.Errorf("vapour pressure from RVP %g Pa at %g K: %w", rvp, temperature, ErrInput)
	}
	const slack = 1e-9 // relative: limits keyed in other units must hold
	fahrenheit := rankine - 459.67
	if r := rvp / psi; r < lo*(1-slack) || r > hi*(1+slack) {
		return p, fmt.Errorf("vapour pressure from RVP %.1f kPa: the formula is drawn for %.1f to %.1f kPa: %w",
			rvp/1e3, lo*psi/1e3, hi*psi/1e3, ErrOutside)
	}
	if fahrenheit < -140*slack || fahrenheit > 140*(1+slack) {
		return p, fmt.Errorf("vapour pressure at %.1f degC: the formula is drawn for -17.8 to 60 degC: %w", temperature-kelvin, ErrOutside)
	}
	return p, nil
}

// WaterVapourPressure returns the vapour pressure [Pa, absolute] of water at
// temperature [K], for slops and for pumps proved on water:
//
//	p = 1 MPa (2C / (−B + √(B² − 4AC)))⁴
//
// with A, B and C quadratic in θ = T + n9/(T − n10), n1 to n10 constants of the
// source. It returns NaN and ErrOutside outside 0 °C to 373.946 °C (the critical
// point), ErrInput for what is no temperature.
//
// Source: IAPWS R7-97(2012), Industrial Formulation 1997, region 4, equation 30;
// doi:10.1115/1.483186.
func WaterVapourPressure(temperature float64) (float64, error) {
	if !positive(temperature) {
		return math.NaN(), fmt.Errorf("vapour pressure of water at %g K: %w", temperature, ErrInput)
	}
	if temperature < kelvin-slack || temperature > 647.096 {
		return math.NaN(), fmt.Errorf("vapour pressure of water at %.1f degC: the formula runs from 0 to 373.9 degC: %w", temperature-kelvin, ErrOutside)
	}
	t := temperature + -0.23855557567849/(temperature-0.65017534844798e3)
	a := (t+0.11670521452767e4)*t - 0.72421316703206e6
	b := (-0.17073846940092e2*t+0.12020824702470e5)*t - 0.32325550322333e7
	c := (0.14915108613530e2*t-0.48232657361591e4)*t + 0.40511340542057e6
	return 1e6 * math.Pow(2*c/(-b+math.Sqrt(b*b-4*a*c)), 4), nil
}
