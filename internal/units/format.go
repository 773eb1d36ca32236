package units

import "strconv"

// Absent is printed where there is no figure.
const Absent = "–"

// Format prints an SI value of d in a unit of d: "8.50 bar". Where there is no
// figure (NaN, an infinity, an unknown unit) it prints Absent, without a unit.
func Format(d Dimension, si float64, unit string, decimals int) string {
	u, err := find(d, unit)
	if err != nil {
		return Absent
	}
	text := u.print(si, decimals)
	if text == Absent {
		return Absent
	}
	return text + " " + u.name
}

// Number prints as Format does but without the unit and without grouping, for
// a column that has its unit in the head. Decimals of -1 print the shortest
// text that reads back as the same number. A negative value that rounds to
// zero has no sign.
func Number(d Dimension, si float64, unit string, decimals int) string {
	u, err := find(d, unit)
	if err != nil {
		return Absent
	}
	return u.print(si, decimals)
}

func (u *unit) print(si float64, decimals int) string {
	v := u.fromSI(si)
	if !finite(v) {
		return Absent
	}
	var buf [32]byte
	text := strconv.AppendFloat(buf[:0], v, 'f', decimals, 64)
	if text[0] == '-' && allZero(text[1:]) {
		text = text[1:]
	}
	return string(text)
}

func allZero(digits []byte) bool {
	for _, c := range digits {
		if c != '0' && c != '.' {
			return false
		}
	}
	return true
}
