package cargo

import (
	"fmt"
	"math"
)

// class is one class of the 2004 procedure: the least density [kg/m³ at 60 °F]
// it holds for and the constants of its expansion.
type class struct{ from, k0, k1, k2 float64 }

// classes holds the classes of each group, the heaviest first. The lightest
// goes on down to nothing, so that every density has one; limits2004 says
// where the procedure ends.
var classes = [...][]class{
	Crude: {{0, 341.0957, 0, 0}},
	Products: {
		{838.3127, 103.8720, 0.2701, 0},       // fuel oils
		{787.5195, 330.3010, 0, 0},            // jet fuels
		{770.3520, 1489.0670, 0, -0.00186840}, // transition
		{0, 192.4571, 0.2438, 0},              // gasolines
	},
	Lubes: {{0, 0, 0.34878, 0}},
}

// limits2004 are the least and the highest density [kg/m³ at 60 °F] of a group.
var limits2004 = [...]struct{ lo, hi float64 }{
	Crude: {610.6, 1163.5}, Products: {610.6, 1163.5}, Lubes: {800.9, 1163.5},
}

// The 2004 procedure is written in degrees Fahrenheit of the old practical
// scale (IPTS-68); shift60 is how far 60 °F there lies from 60 °F today.
const (
	shift60                  = 0.01374979547
	base68                   = 60.0068749
	coldest2004, hottest2004 = -50, 150 // °C
)

// scale holds the coefficients that lead from today's scale (ITS-90) to the old.
var scale = [...]float64{-0.148759, -0.267408, 1.080760, 1.269056, -4.089591, -1.871251, 7.438081, -3.536296}

// onOldScale returns a temperature [°C, ITS-90] in degrees Fahrenheit of IPTS-68.
func onOldScale(celsius float64) float64 {
	x, sum := celsius/630, 0.0
	for i := len(scale) - 1; i >= 0; i-- {
		sum = (sum + scale[i]) * x
	}
	return 1.8*(celsius-sum) + 32
}

// logCTL returns the logarithm of the factor from 60 °F to t [°F, IPTS-68] of
// oil of density r60 [kg/m³ at 60 °F].
func (c *class) logCTL(r60, t float64) float64 {
	a := shift60 / 2 * ((c.k0/r60+c.k1)/r60 + c.k2)
	b := (2*c.k0 + c.k1*r60) / (c.k0 + (c.k1+c.k2*r60)*r60)
	r := r60 * (1 + math.Expm1(a*(1+0.8*a))/(1+a*(1+1.6*a)*b))
	alpha := (c.k0/r+c.k1)/r + c.k2
	dt := t - base68
	return -alpha * dt * (1 + 0.8*alpha*(dt+shift60))
}

// from15 returns the class and the density at 60 °F [kg/m³] of oil of density15
// [kg/m³ at 15 °C]. The two differ by half a per mille, so that a few steps of
// ρ60 = ρ15 / CTL(15 °C) settle it.
func from15(g Group, density15 float64) (c *class, r60 float64) {
	t15 := onOldScale(15)
	for i := range classes[g] {
		c, r60 = &classes[g][i], density15
		for range 6 {
			r60 = density15 / math.Exp(c.logCTL(r60, t15))
		}
		if r60 >= c.from {
			break
		}
	}
	return c, r60
}

// Density60F returns the density [kg/m³] at 60 °F of oil of density15 [kg/m³ at
// 15 °C] by the 2004 procedure: the ρ60 of its own class for which
//
//	ρ60 CTL(ρ60, 15 °C) = ρ15
//
// Limits, errors and source are those of VCF2004.
func Density60F(g Group, density15 float64) (float64, error) {
	if err := checkVCF(g, density15, kelvin); err != nil {
		return math.NaN(), err
	}
	_, r60 := from15(g, density15)
	if l := limits2004[g]; !(r60 >= l.lo && r60 <= l.hi) {
		return math.NaN(), fmt.Errorf("density %g kg/m3 at 15 degC, %.1f at 60 degF: the 2004 tables for %v run from %g to %g kg/m3 at 60 degF: %w",
			density15, r60, g, l.lo, l.hi, ErrOutside)
	}
	return r60, nil
}

// VCF2004 returns the volume correction factor [-], volume at 15 °C over
// volume at the tank's temperature [K] at atmospheric pressure, by the 2004
// procedure:
//
//	VCF = CTL(ρ60, t) / CTL(ρ60, 15 °C)
//	CTL = exp(−α Δt (1 + 0.8 α (Δt + δ60))),   Δt = t* − 60.0068749 °F
//	α   = (K0/ρ* + K1)/ρ* + K2
//
// with ρ60 from Density60F, t* the temperature on IPTS-68, ρ* the density ρ60
// moved to that scale and δ60 = 0.01374979547 °F. Nothing is rounded. It
// differs from VCF1980 by up to 8e-5 (crude), 5e-6 (lubes) and 3.5e-4
// (products, between gasolines and jet fuels): say which one a figure used.
//
// It refuses with ErrOutside, and returns NaN, outside 610.6–1163.5 (lubes
// 800.9–1163.5) kg/m³ at 60 °F and −50 °C to 150 °C. ErrInput is for what is not
// a positive finite number.
//
// Source: API MPMS chapter 11.1-2004 (ASTM D1250-04, IP 200/04), from memory of
// the published procedure; constants and limits were seen alike in several
// unrelated public programs, no printed example was.
func VCF2004(g Group, density15, temperature float64) (float64, error) {
	if err := checkVCF(g, density15, temperature); err != nil {
		return math.NaN(), err
	}
	if _, err := Density60F(g, density15); err != nil {
		return math.NaN(), err
	}
	t := temperature - kelvin
	if t < coldest2004-slack || t > hottest2004+slack {
		return math.NaN(), fmt.Errorf("temperature %.6g degC: the 2004 tables run from %d to %d degC: %w",
			t, coldest2004, hottest2004, ErrOutside)
	}
	return factor2004(g, density15, t), nil
}

// factor2004 is VCF2004 without its limits, at t [°C].
func factor2004(g Group, density15, t float64) float64 {
	c, r60 := from15(g, density15)
	return math.Exp(c.logCTL(r60, onOldScale(t)) - c.logCTL(r60, onOldScale(15)))
}
