package units

import (
	"errors"
	"math"
	"strconv"
	"strings"
)

var (
	errNoNumber = errors.New("want a number")
	errGrouped  = errors.New("write thousands without separators and one decimal mark, as in 1234.5")
)

// number is a figure as typed.
type number struct {
	value float64
	half  float64 // half a step of the last digit typed
	comma bool    // the decimal mark was a comma
}

// scan reads the decimal figure that s begins with and returns it with what
// follows. It knows digits, one dot or comma, a sign and a decimal exponent:
// no "Inf", "NaN", hexadecimal or underscores.
func scan(s string) (number, string, error) {
	m := mantissa(s)
	if m.digits == 0 {
		return number{}, "", errNoNumber
	}
	end, power := m.end, 0 // power of ten that the last digit counts
	if m.mark >= 0 {
		power = m.mark + 1 - end
	}
	if e := exponent(s[end:]); e > 0 {
		p, _ := strconv.Atoi(s[end+1 : end+e]) // out of range: p is at its limit, and refused below
		power += p
		end += e
	}
	n := number{half: math.Pow10(power) / 2, comma: m.mark >= 0 && s[m.mark] == ','}
	var err error
	if n.value, err = m.value(s[:end], power); err != nil || !finite(n.half) {
		return number{}, "", errRange
	}
	rest := strings.TrimSpace(s[end:])
	if rest != "" && strings.IndexByte(".,_'", rest[0]) >= 0 {
		return number{}, "", errGrouped
	}
	return n, rest, nil
}

// significand is the part of a figure before the exponent.
type significand struct {
	end    int    // its length, sign and mark included
	mark   int    // index of the decimal mark, -1 without
	digits int    // how many there are
	whole  uint64 // the digits read as one whole number; wraps when there are too many
}

func mantissa(s string) significand {
	m := significand{mark: -1}
	if s != "" && (s[0] == '+' || s[0] == '-') {
		m.end = 1
	}
	for ; m.end < len(s); m.end++ {
		switch c := s[m.end]; {
		case '0' <= c && c <= '9':
			m.digits++
			m.whole = m.whole*10 + uint64(c-'0')
		case (c == '.' || c == ',') && m.mark < 0:
			m.mark = m.end
		default:
			return m
		}
	}
	return m
}

// value returns the figure that all of s is, m being its significand and power
// the power of ten that its last digit counts. Up to 15 digits and 22 powers
// whole number and power are exact, so that their quotient or product is the
// nearest float64 there is, in half the time of strconv.
//
// Source: Clinger, How to read floating point numbers accurately, PLDI 1990
// (from memory).
func (m significand) value(s string, power int) (float64, error) {
	if m.digits > 15 || power < -22 || power > 22 {
		if m.mark >= 0 {
			s = s[:m.mark] + "." + s[m.mark+1:]
		}
		return strconv.ParseFloat(s, 64)
	}
	v := float64(m.whole)
	if s[0] == '-' {
		v = -v
	}
	if power < 0 {
		return v / math.Pow10(-power), nil
	}
	return v * math.Pow10(power), nil
}

// exponent returns the length of the exponent at the front of s, such as 3 for
// "e-5 Pa", and 0 if there is none.
func exponent(s string) int {
	if len(s) < 2 || s[0] != 'e' && s[0] != 'E' {
		return 0
	}
	first := 1
	if s[1] == '+' || s[1] == '-' {
		first = 2
	}
	end := first
	for end < len(s) && '0' <= s[end] && s[end] <= '9' {
		end++
	}
	if end == first {
		return 0
	}
	return end
}
