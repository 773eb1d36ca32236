package cargo

import (
	"fmt"
	"math"
)

// Edition is one of the two sets of petroleum measurement tables in use. A
// figure must say which one it used.
type Edition uint8

// The editions.
const (
	Tables1980 Edition = iota
	Tables2004
)

// String returns the name that the edition is printed under.
func (e Edition) String() string {
	return [...]string{"ASTM D1250-80", "API MPMS 11.1-2004"}[e]
}

// VCF returns the volume correction factor [-] of the edition: VCF1980 or
// VCF2004, with their limits and errors.
func (e Edition) VCF(g Group, density15, temperature float64) (float64, error) {
	if e == Tables2004 {
		return VCF2004(g, density15, temperature)
	}
	return VCF1980(g, density15, temperature)
}

// factor is VCF without its limits, at t [°C].
func (e Edition) factor(g Group, density15, t float64) float64 {
	if e == Tables2004 {
		return factor2004(g, density15, t)
	}
	return factor1980(g, density15, t)
}

// Rounding is the decimals a volume correction factor is rounded to before it
// is used. Papers of the 1980 tables print four, those of 2004 five (from
// memory); two papers agree only when both round alike.
type Rounding uint8

// The roundings in use.
const (
	Unrounded    Rounding = 0
	FourDecimals Rounding = 4
	FiveDecimals Rounding = 5
)

// Round returns a factor, or any figure that is not negative, rounded half up.
func (r Rounding) Round(v float64) float64 {
	if r == Unrounded {
		return v
	}
	p := math.Pow10(int(r))
	return math.Floor(v*p+0.5) / p
}

// Instrument is what a density was observed with.
type Instrument uint8

// The instruments. A hydrometer's glass grows with warmth and reads too much.
const (
	DensityMeter Instrument = iota
	GlassHydrometer
)

// correction returns the share of its reading that holds at dt [K] over 15 °C.
func (i Instrument) correction(dt float64) float64 {
	if i == GlassHydrometer {
		return 1 - 2.3e-5*dt - 2e-8*dt*dt
	}
	return 1
}

// Density15 returns the density [kg/m³] at 15 °C of oil whose density was
// observed [kg/m³] at temperature [K], the ρ15 for which
//
//	ρ15 VCF(ρ15, t) = observed (1 − 0.000023 Δt − 0.00000002 Δt²),   Δt = t − 15 °C
//
// The bracket corrects a glass hydrometer and is left out for a density meter.
// Where two classes of products meet and no density fits, it is the one
// between them, right within the jump of the factor there. Limits and errors
// are those of the edition's VCF at the density found.
//
// Source: API Standard 2540 (MPMS chapter 11.1, 1980), tables 53A, 53B, 53D with
// their hydrometer correction; the 2004 edition leaves hydrometers to others.
func Density15(e Edition, g Group, observed, temperature float64, i Instrument) (float64, error) {
	if err := checkVCF(g, observed, temperature); err != nil {
		return math.NaN(), fmt.Errorf("observed density: %w", err)
	}
	t := temperature - kelvin
	want := observed * i.correction(t-15)
	lo, hi := 0.8*want, 1.3*want // no factor of either edition lies so far from 1
	for range 60 {
		if mid := (lo + hi) / 2; mid*e.factor(g, mid, t) < want {
			lo = mid
		} else {
			hi = mid
		}
	}
	density15 := (lo + hi) / 2
	if _, err := e.VCF(g, density15, temperature); err != nil {
		return math.NaN(), fmt.Errorf("observed density %g kg/m3: %w", observed, err)
	}
	return density15, nil
}

// airBuoyancy [kg/m³] is what a cubic metre of oil weighs less in air.
const airBuoyancy = 1.1

// Mass returns the mass [kg] of a volume15 [m³ at 15 °C] of oil of density15
// [kg/m³ at 15 °C], in vacuum and as it weighs in air,
//
//	vacuum = V15 ρ15,   air = V15 (ρ15 − 1.1 kg/m³)
//
// The second is the usual rule; table 56 itself bends a little away from it
// (0.02 % at most, from memory).
//
// Source: the 0.0011 t/m³ rule beside table 56 of the petroleum measurement tables.
func Mass(volume15, density15 float64) (vacuum, air float64) {
	return volume15 * density15, volume15 * (density15 - airBuoyancy)
}
