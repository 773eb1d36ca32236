package cargo

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
)

// Table gives the volume of liquid in one tank from its ullage and the ship's
// trim. It is immutable.
type Table struct {
	ullages, trims []float64   // m, strictly rising
	volumes        [][]float64 // m³, a row for each ullage, a column for each trim
}

// NewTable makes a table of volumes [m³], volumes[i][j] at ullages[i] [m] and
// trims[j] [m, by the stern positive]. Ullages and trims rise strictly, ullages
// and volumes are not negative, and a volume falls strictly as the ullage
// grows. All mistakes come back at once, joined.
func NewTable(ullages, trims []float64, volumes [][]float64) (*Table, error) {
	if len(volumes) != len(ullages) {
		return nil, fmt.Errorf("ullage table: %d ullages but %d rows of volumes", len(ullages), len(volumes))
	}
	t := &Table{ullages: slices.Clone(ullages), trims: slices.Clone(trims), volumes: make([][]float64, len(volumes))}
	for i, row := range volumes {
		if len(row) != len(trims) {
			return nil, fmt.Errorf("ullage table: row %d has %d volumes for %d trims", i+1, len(row), len(trims))
		}
		t.volumes[i] = slices.Clone(row)
	}
	var errs []error
	for _, f := range t.faults() {
		errs = append(errs, fmt.Errorf("ullage table: row %d, column %d: %w", f.row, f.column, f.err))
	}
	if errs != nil {
		return nil, errors.Join(errs...)
	}
	return t, nil
}

// fault is a mistake in one cell of a table as it is written: row 0 is the
// line of trims, column 0 the ullages.
type fault struct {
	row, column int
	err         error
}

// faults returns what is wrong with the figures. A comparison with a NaN says
// nothing, so one bad cell gives one fault.
func (t *Table) faults() []fault {
	var all []fault
	add := func(row, column int, err error) {
		if err != nil {
			all = append(all, fault{row, column, err})
		}
	}
	if len(t.trims) < 1 {
		add(0, 0, errors.New("no trims: want at least one"))
	}
	if len(t.ullages) < 2 {
		add(0, 0, fmt.Errorf("%d ullages: want at least two", len(t.ullages)))
	}
	for j := range t.trims {
		add(0, j+1, rising(t.trims, j, "trim"))
	}
	for i, ullage := range t.ullages {
		if ullage < 0 {
			add(i+1, 0, fmt.Errorf("ullage %g m: want none below zero", ullage))
		} else {
			add(i+1, 0, rising(t.ullages, i, "ullage"))
		}
		for j := range t.volumes[i] {
			add(i+1, j+1, t.falling(i, j))
		}
	}
	return all
}

// rising checks that xs[i] is finite and more than the one before.
func rising(xs []float64, i int, what string) error {
	if !finite(xs[i]) {
		return fmt.Errorf("%s %g: want a finite number", what, xs[i])
	}
	if i > 0 && xs[i] <= xs[i-1] {
		return fmt.Errorf("%s %g m after %g m: want rising %ss", what, xs[i], xs[i-1], what)
	}
	return nil
}

// falling checks that a volume is finite, not negative and less than the one
// at the ullage before.
func (t *Table) falling(i, j int) error {
	v := t.volumes[i][j]
	if !finite(v) || v < 0 {
		return fmt.Errorf("volume %g: want a finite number, not negative", v)
	}
	if i > 0 && v >= t.volumes[i-1][j] {
		return fmt.Errorf("volume %g m3 under %g m3: want less volume at more ullage", v, t.volumes[i-1][j])
	}
	return nil
}

// Volume returns the volume [m³, observed] at an ullage [m] and a trim [m, by
// the stern positive], linear in both between the lines of the table. Beyond
// the table it returns NaN and ErrOutside: nothing is extrapolated. A table of
// a single trim holds for that trim only.
func (t *Table) Volume(ullage, trim float64) (float64, error) {
	i, a, err := between(t.ullages, ullage, "ullage")
	if err != nil {
		return math.NaN(), err
	}
	j, b, err := between(t.trims, trim, "trim")
	if err != nil {
		return math.NaN(), err
	}
	upper, lower := along(t.volumes[i], j, b), along(t.volumes[min(i+1, len(t.volumes)-1)], j, b)
	return upper + a*(lower-upper), nil
}

// Area returns the surface of the liquid [m²] at an ullage [m] and a trim [m, by
// the stern positive]: how fast the volume falls as the ullage grows, between
// the two lines of the table around it. At a line it is that of the deeper
// side, at the last line of the other. Beyond the table it returns NaN and
// ErrOutside.
func (t *Table) Area(ullage, trim float64) (float64, error) {
	i, _, err := between(t.ullages, ullage, "ullage")
	if err != nil {
		return math.NaN(), err
	}
	j, b, err := between(t.trims, trim, "trim")
	if err != nil {
		return math.NaN(), err
	}
	i = min(i, len(t.ullages)-2)
	return (along(t.volumes[i], j, b) - along(t.volumes[i+1], j, b)) / (t.ullages[i+1] - t.ullages[i]), nil
}

// between finds x [m] in rising xs: it lies the share f of the way from xs[i]
// to xs[i+1].
func between(xs []float64, x float64, what string) (i int, f float64, err error) {
	return betweenIn(xs, x, what, "m")
}

// betweenIn is between for a quantity of another unit.
func betweenIn(xs []float64, x float64, what, unit string) (i int, f float64, err error) {
	if !finite(x) {
		return 0, 0, fmt.Errorf("%s %g: %w", what, x, ErrInput)
	}
	last := len(xs) - 1
	if x < xs[0] || x > xs[last] {
		return 0, 0, fmt.Errorf("%s %g %s: the table runs from %g to %g %s: %w", what, x, unit, xs[0], xs[last], unit, ErrOutside)
	}
	i = sort.SearchFloat64s(xs, x)
	if xs[i] == x {
		return i, 0, nil
	}
	i--
	return i, (x - xs[i]) / (xs[i+1] - xs[i]), nil
}

// along returns the value of row the share f of the way from j to j+1.
func along(row []float64, j int, f float64) float64 {
	if f == 0 {
		return row[j] // j may be the last
	}
	return row[j] + f*(row[j+1]-row[j])
}
