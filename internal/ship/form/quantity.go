package form

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.org/headwatch/internal/units"
)

// Plausible is a kind of figure with the range outside which it is taken for a
// slip of unit or digit.
type Plausible struct {
	dim    units.Dimension
	lo, hi float64 // in unit
	unit   string
}

// Between returns the kind of figure from lo to hi in a unit of d. It panics
// when the unit is none of d or the ends are not in order: formats are fixed.
func Between(d units.Dimension, lo, hi float64, unit string) Plausible {
	if _, err := units.From(d, lo, unit); err != nil || lo >= hi {
		panic(fmt.Sprintf("form: no range of %v: %g..%g %s", d, lo, hi, unit))
	}
	return Plausible{dim: d, lo: lo, hi: hi, unit: unit}
}

// Dimension returns what kind of quantity it is.
func (r Plausible) Dimension() units.Dimension { return r.dim }

// String returns the range as a fault tells it: "50..1500 mm".
func (r Plausible) String() string {
	number := func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
	return fmt.Sprintf("%s..%s %s", number(r.lo), number(r.hi), r.unit)
}

// Holds reports whether a figure in SI lies in the range.
func (r Plausible) Holds(si float64) bool {
	const slack = 1e-9 // of the range: an end keyed in another unit must not fail by its last bit
	x, err := units.To(r.dim, si, r.unit)
	more := slack * (r.hi - r.lo)
	return err == nil && r.lo-more <= x && x <= r.hi+more
}

// figure returns what parse makes of the text, NaN when there is none.
func (v Value) figure(wanted string, parse func(text string) (float64, error)) float64 {
	text, ok := v.scalar(wanted)
	if !ok {
		return math.NaN()
	}
	x, err := parse(text)
	if err != nil {
		v.refuse(err)
		return math.NaN()
	}
	return x
}

// within returns si, or NaN when it is not plausible or NaN already.
func (v Value) within(r Plausible, si float64) float64 {
	if math.IsNaN(si) || r.Holds(si) {
		return si
	}
	v.Fault("want %v", r)
	return math.NaN()
}

// Quantity returns a figure with its unit in SI.
func (v Value) Quantity(r Plausible) float64 {
	return v.within(r, v.figure("a figure with its unit", func(text string) (float64, error) {
		return units.Parse(r.dim, text)
	}))
}

// Half returns half a step of the last digit of a quantity, in SI.
func (v Value) Half(d units.Dimension) float64 {
	if !v.Given() {
		return math.NaN()
	}
	keyed, err := units.ParseKeyed(d, v.node.Value, "")
	if err != nil { // told by quantity
		return math.NaN()
	}
	return keyed.Half
}

// Flow returns a flow in m³/s; it may be in t/h where density [kg/m³] is not NaN.
func (v Value) Flow(r Plausible, density float64) float64 {
	return v.within(r, v.figure("a flow with its unit", func(text string) (float64, error) {
		return units.ParseFlow(text, density)
	}))
}

// Loss returns the K of "4.5 m at 2500 m3/h" in s²/m⁵.
func (v Value) Loss() float64 {
	return v.figure(`a head and a flow, as in "4.5 m at 2500 m3/h"`, units.ParseLoss)
}

// Number returns a plain number.
func (v Value) Number() float64 { return v.figure("a number", units.ParseNumber) }

// Count returns a whole number from 1 to most, 0 when there is none.
func (v Value) Count(most int) int {
	x := v.Number()
	if x >= 1 && x <= float64(most) && x == math.Trunc(x) {
		return int(x)
	}
	if !math.IsNaN(x) {
		v.Fault("want a whole number, 1..%d", most)
	}
	return 0
}

// Span returns the two ends of the scale of a pressure gauge, NaN when there
// are none.
func (v Value) Span(r Plausible) units.Range {
	none := units.Range{Lo: math.NaN(), Hi: math.NaN()}
	text, ok := v.scalar(`a range, as in "-1..5 bar"`)
	if !ok {
		return none
	}
	switch ends, err := units.ParseRange(units.Pressure, text); {
	case err != nil:
		v.refuse(err)
	case !r.Holds(ends.Lo) || !r.Holds(ends.Hi):
		v.Fault("want a scale within %v", r)
	default:
		return ends
	}
	return none
}

// Unit returns the name of a unit, "" when there is none.
func (v Value) Unit(d units.Dimension) string {
	text, ok := v.scalar("a unit, one of " + strings.Join(units.Units(d), ", "))
	if !ok {
		return ""
	}
	name, err := units.Canonical(d, text)
	if err != nil {
		v.refuse(err)
	}
	return name
}

// Column returns a list of plain numbers that share a unit, in SI, NaN where
// one cannot be read. A wrong unit makes a whole list implausible: that is one
// fault, at the first of them.
func (v Value) Column(r Plausible, unit string) []float64 {
	var figures []float64
	var implausible []Value
	for _, item := range v.List(v.name) {
		x := item.Number()
		si, err := units.From(r.dim, x, unit)
		switch {
		case math.IsNaN(x) || unit == "": // told already
			si = math.NaN()
		case err != nil || !r.Holds(si):
			implausible = append(implausible, item)
			si = math.NaN()
		}
		figures = append(figures, si)
	}
	switch more := len(implausible) - 1; {
	case more == 0:
		implausible[0].Fault("want %v", r)
	case more > 0:
		implausible[0].Fault("want %v; so for %d more figures of this list", r, more)
	}
	return figures
}

// Rising reads two keys of which the second must be the larger.
func (m *Mapping) Rising(low, high string, r Plausible) (lo, hi float64) {
	lo = m.Must(low).Quantity(r)
	upper := m.Must(high)
	hi = upper.Quantity(r)
	if lo >= hi {
		upper.Fault("want more than %s", low)
	}
	return lo, hi
}
