package ship

import (
	"fmt"

	"example.org/headwatch/internal/units"
)

// ObservedDensity returns a density that was observed and the half width of what
// it may be wrong by, both in kg/m³: half a step of its last digit or the "±"
// that was keyed, at least 0.1 % (own rule). The error says what a density of
// cargo can be.
func ObservedDensity(k units.Keyed) (density, half float64, err error) {
	if !densityRange.Holds(k.SI) {
		return 0, 0, fmt.Errorf("density %q: want %v", k.Text, densityRange)
	}
	return k.SI, observedHalf(k.SI, k.Half), nil
}

func observedHalf(density, keyed float64) float64 { return max(keyed, observedBy*density) }
