package cargo

import (
	"fmt"
	"math"
)

// Group is the kind of oil that decides which of the tables holds.
type Group uint8

// The groups of the 1980 tables that a tanker meets.
const (
	Crude    Group = iota // table 54A
	Products              // table 54B
	Lubes                 // table 54D
)

var groups = [...]struct {
	name, table string
	lo, hi      float64 // density at 15 °C, kg/m³
}{
	Crude:    {"crude", "54A", 610.5, 1075},
	Products: {"products", "54B", 653, 1075},
	Lubes:    {"lubes", "54D", 800, 1164},
}

// String returns the name that a plan uses for the group.
func (g Group) String() string {
	if int(g) < len(groups) {
		return groups[g].name
	}
	return fmt.Sprintf("group %d", uint8(g))
}

// ParseGroup reads the name of a group: crude, products or lubes.
func ParseGroup(s string) (Group, error) {
	for g := range groups {
		if groups[g].name == s {
			return Group(g), nil
		}
	}
	return 0, fmt.Errorf("group %q: want crude, products or lubes", s)
}

// expansion returns the coefficient α of thermal expansion at 15 °C [1/K] of
// oil of density r [kg/m³ at 15 °C]. The printed tables step by 0.5 kg/m³ and
// say nothing between two steps; there the lighter class holds.
func expansion(g Group, r float64) float64 {
	switch {
	case g == Crude:
		return 613.9723 / (r * r)
	case g == Lubes:
		return 0.6278 / r
	case r < 770.5: // gasolines
		return 346.4228/(r*r) + 0.4388/r
	case r < 787.5: // between gasolines and jet fuels
		return -0.00336312 + 2680.3206/(r*r)
	case r < 839: // jet fuels, kerosenes
		return 594.5418 / (r * r)
	}
	return 186.9696/(r*r) + 0.4862/r // fuel oils
}

// hottest returns the highest temperature [°C] that the tables print for a
// density r [kg/m³ at 15 °C]: light oils would boil before 150 °C.
func hottest(g Group, r float64) float64 {
	switch {
	case g == Lubes || r >= 824.5:
		return 150
	case r >= 779:
		return 125
	}
	return 95
}

// coldest is the lowest temperature [°C] that the tables print.
const coldest = -18

// kelvin is 0 °C in K.
const kelvin = 273.15

// VCF1980 returns the volume correction factor [-], volume at 15 °C over
// volume at the tank's temperature, by the 1980 petroleum measurement tables:
//
//	VCF = exp(−α Δt (1 + 0.8 α Δt)),   Δt = t − 15 °C
//
// with α from density15 [kg/m³ at 15 °C] in the constants of table 54A (Crude),
// 54B (Products) or 54D (Lubes). temperature is in K. Nothing is rounded on
// the way, so a printed table may differ by 1 in its last place.
//
// It refuses with ErrOutside, and returns NaN, where the tables end: 54A
// 610.5–1075, 54B 653–1075, 54D 800–1164 kg/m³; −18 °C to 150 °C, but to 125 °C
// below 824.5 and to 95 °C below 779 kg/m³ (54A, 54B). The densities of 54B and
// 54D were seen quoted in two manuals; those of 54A and the temperatures are
// from memory. ErrInput is for what is not a positive finite number.
//
// Source: ASTM D1250-80, API Standard 2540 (MPMS chapter 11.1, 1980), IP 200.
func VCF1980(g Group, density15, temperature float64) (float64, error) {
	if err := checkVCF(g, density15, temperature); err != nil {
		return math.NaN(), err
	}
	t, top := temperature-kelvin, hottest(g, density15)
	table := groups[g]
	if density15 < table.lo || density15 > table.hi {
		return math.NaN(), fmt.Errorf("density %g kg/m3 at 15 degC: table %s for %v runs from %g to %g kg/m3: %w",
			density15, table.table, g, table.lo, table.hi, ErrOutside)
	}
	if t < coldest-slack || t > top+slack {
		return math.NaN(), fmt.Errorf("temperature %.6g degC: table %s for %g kg/m3 runs from %d to %g degC: %w",
			t, table.table, density15, coldest, top, ErrOutside)
	}
	return factor1980(g, density15, t), nil
}

// slack is by how much °C a limit may be passed: one keyed in °C must not fail
// by the last bit of its way through K.
const slack = 1e-9

// checkVCF returns ErrInput for what no edition of the tables can take.
func checkVCF(g Group, density15, temperature float64) error {
	if int(g) >= len(groups) || !positive(density15) || !positive(temperature) {
		return fmt.Errorf("volume correction of %v, density %g kg/m3, %g K: %w", g, density15, temperature, ErrInput)
	}
	return nil
}

// factor1980 is VCF1980 without its limits, at t [°C].
func factor1980(g Group, density15, t float64) float64 {
	x := expansion(g, density15) * (t - 15)
	return math.Exp(-x * (1 + 0.8*x))
}

// DensityAt returns the density [kg/m³] at temperature [K] of oil that has
// density15 [kg/m³] at 15 °C: ρ = ρ15 VCF. Range, errors and source are those
// of VCF1980.
func DensityAt(g Group, density15, temperature float64) (float64, error) {
	vcf, err := VCF1980(g, density15, temperature)
	return density15 * vcf, err
}
