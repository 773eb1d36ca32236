package units

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

var errComma = errors.New("decimal comma, want a dot")

// ParseNumber reads a plain number with a decimal dot and no unit. What it
// accepts is finite.
func ParseNumber(s string) (float64, error) {
	v, rest, err := strict(s)
	if err == nil && rest != "" {
		err = fmt.Errorf("%s after the number, want nothing there", quote(rest))
	}
	if err != nil {
		return 0, fail("number", s, err)
	}
	return noMinusZero(v), nil
}

// Parse reads a quantity as files hold it, "8.5 bar", into SI: a number with a
// decimal dot, then a unit of d. What it accepts is finite.
func Parse(d Dimension, s string) (float64, error) {
	v, name, err := strict(s)
	if err == nil {
		v, _, err = inUnit(d, v, name)
	}
	if err != nil {
		return 0, fail(d.String(), s, err)
	}
	return v, nil
}

// ParseFlow reads a flow into m³/s. With a density [kg/m³] above 0 it reads a
// mass flow such as "4200 t/h" too, Q = m/density.
func ParseFlow(s string, density float64) (float64, error) {
	return parseEither(Flow, s, MassFlow, 1/density)
}

// ParsePressure reads a pressure into Pa. With a density [kg/m³] above 0 it
// reads a head of that liquid too, in m or ft: p = density · g · h. Heads of
// water have units of their own, mWG and ftWG, and need no density.
func ParsePressure(s string, density float64) (float64, error) {
	return parseEither(Pressure, s, Length, density*gravity)
}

// parseEither reads s as want or else as other, of which one is worth factor.
// The factor is positive and finite if the density that it comes from is.
func parseEither(want Dimension, s string, other Dimension, factor float64) (float64, error) {
	si, err := Parse(want, s)
	if err == nil {
		return si, nil
	}
	v, otherErr := Parse(other, s)
	if otherErr != nil {
		return 0, err
	}
	if !(factor > 0) || !finite(factor) {
		return 0, fail(want.String(), s, fmt.Errorf("a %v needs a density to be a %v", other, want))
	}
	if v *= factor; !finite(v) {
		return 0, fail(want.String(), s, errRange)
	}
	return noMinusZero(v), nil
}

// Range is the two ends of a scale.
type Range struct {
	Lo, Hi float64 // SI, Lo below Hi
	Unit   string  // as read, in the spelling that is printed
}

// ParseRange reads "-1..5 bar": the lower end, two dots, the upper end, a unit
// of d for both.
func ParseRange(d Dimension, s string) (Range, error) {
	r, err := parseRange(d, s)
	if err != nil {
		return Range{}, fail("range of "+d.String(), s, err)
	}
	return r, nil
}

func parseRange(d Dimension, s string) (Range, error) {
	lower, upper, found := strings.Cut(s, "..")
	if !found || strings.HasPrefix(upper, ".") {
		return Range{}, errors.New(`want two ends and a unit, as in "-1..5 bar"`)
	}
	low, rest, err := strict(lower)
	if err != nil {
		return Range{}, err
	}
	if rest != "" {
		return Range{}, fmt.Errorf("%s after the lower end, want the unit once, at the end", quote(rest))
	}
	high, name, err := strict(upper)
	if err != nil {
		return Range{}, err
	}
	lo, unit, err := inUnit(d, low, name)
	if err != nil {
		return Range{}, err
	}
	hi, _, err := inUnit(d, high, name)
	if err != nil {
		return Range{}, err
	}
	if !(lo < hi) {
		return Range{}, errors.New("want the lower end first")
	}
	return Range{Lo: lo, Hi: hi, Unit: unit}, nil
}

// ParseLoss reads the loss of a pipe, "4.5 m at 2500 m3/h", and returns
//
//	K = h/Q²
//
// in s²/m⁵, so that the loss at any flow is K Q² in m. The loss h is not
// negative, the flow Q is above 0.
func ParseLoss(s string) (float64, error) {
	loss, at, found := strings.Cut(s, " at ")
	if !found {
		return 0, fail("loss", s, errors.New(`want a head and a flow, as in "4.5 m at 2500 m3/h"`))
	}
	h, err := Parse(Length, loss)
	if err != nil {
		return 0, fail("loss", s, err)
	}
	q, err := Parse(Flow, at)
	if err != nil {
		return 0, fail("loss", s, err)
	}
	if h < 0 || q <= 0 {
		return 0, fail("loss", s, errors.New("want a head of 0 or more and a flow above 0"))
	}
	k := h / q / q
	if !finite(k) {
		return 0, fail("loss", s, errRange)
	}
	return k, nil
}

// strict reads the number that s begins with, its decimal mark a dot.
func strict(s string) (v float64, rest string, err error) {
	n, rest, err := scan(strings.TrimSpace(s))
	if err == nil && n.comma {
		err = errComma
	}
	return n.value, rest, err
}

// inUnit returns v of the named unit in SI, and the spelling that is printed.
func inUnit(d Dimension, v float64, name string) (float64, string, error) {
	u, err := find(d, name)
	if err != nil {
		return 0, "", err
	}
	si, err := u.toSI(d, v)
	return si, u.name, err
}

// fail says what was read as what, and why it is refused.
func fail(what, s string, err error) error {
	return fmt.Errorf("%s %s: %w", what, quote(s), err)
}

// quote puts s in quotes, without the tail of what no screen could show.
func quote(s string) string {
	const most = 60
	if len(s) > most {
		s = strings.ToValidUTF8(s[:most], "") + "…"
	}
	return strconv.Quote(s)
}
