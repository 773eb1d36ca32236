package units

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

var (
	errRange    = errors.New("too large to compute with")
	errCold     = errors.New("below absolute zero")
	errNoFinite = errors.New("not a finite number")
)

// Units returns the names of the units of d, the usual ones first.
func Units(d Dimension) []string {
	rows := d.units()
	names := make([]string, len(rows))
	for i := range rows {
		names[i] = rows[i].name
	}
	return names
}

// Canonical returns the one spelling of a unit of d that is printed:
// "kgf/cm2" for "kg/cm²". An unknown unit is an error that names the nearest.
func Canonical(d Dimension, unit string) (string, error) {
	u, err := find(d, strings.TrimSpace(unit))
	if err != nil {
		return "", fmt.Errorf("%v: %w", d, err)
	}
	return u.name, nil
}

// From returns the SI value of v in a unit of d. It returns an error for an
// unknown unit, for NaN and infinities, for what overflows, and for a
// temperature below absolute zero.
func From(d Dimension, v float64, unit string) (float64, error) {
	u, err := find(d, unit)
	if err == nil && !finite(v) {
		err = errNoFinite
	}
	if err == nil {
		v, err = u.toSI(d, v)
	}
	if err != nil {
		return 0, fmt.Errorf("%v %g %s: %w", d, v, unit, err)
	}
	return v, nil
}

// To returns an SI value of d in a unit of d. NaN, which stands for no figure,
// stays NaN. It returns an error for an unknown unit, for infinities and for
// what overflows.
func To(d Dimension, si float64, unit string) (float64, error) {
	u, err := find(d, unit)
	if err != nil {
		return 0, fmt.Errorf("%v: %w", d, err)
	}
	v := u.fromSI(si)
	if math.IsInf(v, 0) {
		return 0, fmt.Errorf("%v %g in %s: %w", d, si, u.name, errRange)
	}
	return v, nil
}

func (d Dimension) units() []unit {
	if int(d) >= len(table) {
		return nil
	}
	return table[d]
}

// find returns the unit of d that goes by name.
func find(d Dimension, name string) (*unit, error) {
	rows := d.units()
	for i := range rows {
		if rows[i].name == name {
			return &rows[i], nil
		}
	}
	for i := range rows {
		for _, alias := range rows[i].aliases {
			if alias == name {
				return &rows[i], nil
			}
		}
	}
	return nil, unknown(d, name)
}

// unknown explains why name is no unit of d.
func unknown(d Dimension, name string) error {
	names := Units(d)
	all := strings.Join(names, ", ")
	if name == "" {
		return fmt.Errorf("unit missing, want one of %s", all)
	}
	if '0' <= name[0] && name[0] <= '9' { // "1 300 rpm"
		return errGrouped
	}
	if other := owner(name); other != 0 {
		return fmt.Errorf("%s is a unit of %v, want one of %s", quote(name), other, all)
	}
	if near := Nearest(name, names); len(near) > 0 {
		return fmt.Errorf("unknown unit %s, nearest: %s", quote(name), strings.Join(near, ", "))
	}
	return fmt.Errorf("unknown unit %s, want one of %s", quote(name), all)
}

// owner returns the first dimension that has a unit of this very name, else 0.
func owner(name string) Dimension {
	for d := range table {
		for i := range table[d] {
			if table[d][i].name == name {
				return Dimension(d)
			}
		}
	}
	return 0
}

func (u *unit) toSI(d Dimension, v float64) (float64, error) {
	si := (v + u.shift) * u.num / u.den
	switch {
	case !finite(si):
		return 0, errRange
	case d == Temperature && si < 0:
		return 0, errCold
	}
	return noMinusZero(si), nil
}

func (u *unit) fromSI(si float64) float64 { return noMinusZero(si*u.den/u.num - u.shift) }

// noMinusZero returns v, and 0 for -0, which JSON would show.
func noMinusZero(v float64) float64 {
	if v == 0 {
		return 0
	}
	return v
}

func finite(v float64) bool { return math.Abs(v) <= math.MaxFloat64 }
