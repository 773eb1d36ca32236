package batch

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// layout is which field of a line is which column.
type layout struct {
	fields int
	at     [columns]int // −1 for a column that is not there
}

// has reports whether the lines have the column.
func (l *layout) has(c Column) bool { return l.at[c] >= 0 }

// row finds the columns in the fields of a line.
func (l *layout) row(fields []string) (row Row, f *fault) {
	if len(fields) != l.fields {
		return row, &fault{err: fmt.Errorf("found %d fields, want %d as in the header (and a decimal dot in numbers)", len(fields), l.fields)}
	}
	for c, i := range l.at {
		if i < 0 {
			continue
		}
		if row[c] = fields[i]; Column(c) != Time {
			row[c] = strings.TrimSpace(row[c])
		}
		if Column(c) > Pump && strings.IndexByte(row[c], ',') >= 0 {
			return row, &fault{column: columnNames[c], err: fmt.Errorf("%.60q: decimal comma, want a dot", row[c])}
		}
	}
	return row, nil
}

const wanted = "want a first line like time,pump,speed,suction,discharge (time may be absent, density may be added)"

// layout reads the header line.
func (b *Batch) layout(line string) (layout, error) {
	l := layout{at: [columns]int{-1, -1, -1, -1, -1, -1}}
	fields, err := headerFields(line)
	if err != nil {
		return l, err
	}
	l.fields = len(fields)
	var ignored []string
	for i, name := range fields {
		name = strings.TrimSpace(name)
		c := slices.Index(columnNames[:], strings.ToLower(name))
		switch {
		case c < 0:
			ignored = append(ignored, fmt.Sprintf("%.60q", name))
		case l.at[c] >= 0:
			return l, fmt.Errorf("the header names the column %s twice", columnNames[c])
		default:
			l.at[c] = i
		}
	}
	for c := Pump; c <= Discharge; c++ {
		if !l.has(c) {
			return l, fmt.Errorf("the header %.60q has no column %s, %s", line, c, wanted)
		}
	}
	if !l.has(Density) && !b.knowsDensity() {
		return l, errors.New("no density: want a plan, a density, or a column density")
	}
	if len(ignored) > 0 {
		b.say("columns not used: " + strings.Join(ignored, ", "))
	}
	return l, nil
}

// headerFields splits the header line, or says why this is none.
func headerFields(line string) ([]string, error) {
	control := func(r rune) bool { return r != '\t' && unicode.IsControl(r) }
	switch {
	case strings.TrimSpace(line) == "":
		return nil, errors.New("no header: " + wanted)
	case !utf8.ValidString(line) || strings.ContainsFunc(line, control):
		return nil, errors.New("not a text file in UTF-8: " + wanted)
	case !strings.Contains(line, ",") && strings.Contains(line, ";"):
		return nil, errors.New("fields separated by semicolons: want commas between fields and decimal dots in numbers")
	case !strings.Contains(line, ",") && strings.Contains(line, "\t"):
		return nil, errors.New("fields separated by tabs: want commas between fields")
	}
	fields, err := split(nil, line)
	if err != nil {
		return nil, fmt.Errorf("header: %w", err)
	}
	return fields, nil
}
