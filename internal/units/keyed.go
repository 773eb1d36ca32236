package units

import (
	"errors"
	"strings"
)

// Keyed is a figure as a person keyed it.
type Keyed struct {
	SI   float64 // the value
	Half float64 // half width of what the reading may be wrong by, SI
	Unit string  // typed or else the usual one, in the spelling that is printed
	Text string  // as keyed, without the space around it
}

// ParseKeyed reads a figure as people key it: the decimal mark may be a comma,
// the zero before it left out, the unit too (then it is the given one) or stuck
// to the number. Half is what was typed after "±", "+-" or "+/-", else half a
// step of the last digit: 0.05 for 9.1, 0.5 for 1300. Both marks in one number
// are refused, since thousands separators can't be told from decimal marks:
// "1,234" is little more than one. What it accepts is finite.
//
// On success it allocates nothing for figures up to 15 digits; Text is a part
// of s.
func ParseKeyed(d Dimension, s, unit string) (Keyed, error) {
	k, err := parseKeyed(d, strings.TrimSpace(s), unit)
	if err != nil {
		return Keyed{}, fail(d.String(), s, err)
	}
	return k, nil
}

func parseKeyed(d Dimension, s, unit string) (Keyed, error) {
	n, rest, err := scan(s)
	if err != nil {
		return Keyed{}, err
	}
	half := n.half
	if typed, found := cutPlusMinus(rest); found {
		if half, rest, err = halfWidth(typed); err != nil {
			return Keyed{}, err
		}
	}
	if rest != "" {
		unit = rest
	}
	u, err := find(d, unit)
	if err != nil {
		return Keyed{}, err
	}
	si, err := u.toSI(d, n.value)
	if err != nil {
		return Keyed{}, err
	}
	if half *= u.num / u.den; !finite(half) {
		return Keyed{}, errRange
	}
	return Keyed{SI: si, Half: half, Unit: u.name, Text: s}, nil
}

// cutPlusMinus returns what follows the sign that s begins with, if it does.
func cutPlusMinus(s string) (after string, found bool) {
	if s == "" {
		return s, false
	}
	for _, sign := range [...]string{"±", "+-", "+/-"} {
		if after, found = strings.CutPrefix(s, sign); found {
			return after, true
		}
	}
	return s, false
}

// halfWidth reads what follows the "±".
func halfWidth(s string) (half float64, rest string, err error) {
	s = strings.TrimSpace(s)
	n, rest, err := scan(s)
	if err != nil || s[0] == '-' || s[0] == '+' {
		return 0, "", errors.New(`want a number without a sign after "±"`)
	}
	return n.value, rest, nil
}
