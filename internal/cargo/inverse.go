package cargo

import (
	"fmt"
	"math"
	"sort"
)

// Ullage returns the ullage [m] at which the tank holds a volume [m³] at a trim
// [m, by the stern positive]: the inverse of Volume. Beyond the table it
// returns NaN and ErrOutside.
func (t *Table) Ullage(volume, trim float64) (float64, error) {
	if !finite(volume) {
		return math.NaN(), fmt.Errorf("volume %g m3: %w", volume, ErrInput)
	}
	j, b, err := between(t.trims, trim, "trim")
	if err != nil {
		return math.NaN(), err
	}
	at := func(i int) float64 { return along(t.volumes[i], j, b) }
	last := len(t.ullages) - 1
	if volume > at(0) || volume < at(last) {
		return math.NaN(), fmt.Errorf("volume %g m3: the table runs from %g to %g m3: %w", volume, at(last), at(0), ErrOutside)
	}
	// The first row that holds no more than the volume: volumes fall.
	i := sort.Search(last, func(i int) bool { return at(i) <= volume })
	if i == 0 || at(i) == volume {
		return t.ullages[i], nil
	}
	upper, lower := at(i-1), at(i)
	return t.ullages[i-1] + (upper-volume)/(upper-lower)*(t.ullages[i]-t.ullages[i-1]), nil
}
