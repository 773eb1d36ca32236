package batch

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.org/headwatch/internal/units"
)

// table lays records out in columns. It cannot look ahead: a time that is longer
// than the first one pushes the rest of its line to the right.
type table struct{ time, pump int } // widths; 0: no such column

func (b *Batch) table(timed bool, timeWidth int) table {
	t := table{pump: len("pump")}
	for i := range b.ship.Pumps {
		t.pump = max(t.pump, utf8.RuneCountInString(b.ship.Pumps[i].Name))
	}
	if timed {
		t.time = max(timeWidth, len("time"))
	}
	return t
}

// names begins a line with time and pump.
func (t *table) names(dst []byte, time, pump string) []byte {
	if t.time > 0 {
		dst = fmt.Appendf(dst, "%-*s ", t.time, printable(time))
	}
	return fmt.Appendf(dst, "%-*s", t.pump, printable(pump))
}

// width returns the width of the column of a figure.
func (f *figure) width() int {
	usual := len("1234")
	if f.decimals == 1 {
		usual = len("123.4")
	}
	return max(utf8.RuneCountInString(f.title), utf8.RuneCountInString(f.label()), usual)
}

// label is the unit over a column; a ratio has none.
func (f *figure) label() string {
	if f.dim == units.Ratio {
		return ""
	}
	return strings.ReplaceAll(f.unit, "m3", "m³")
}

func (t *table) head() string {
	titles, labels := t.names(nil, "time", "pump"), t.names(nil, "", "")
	for i := range figures {
		f := &figures[i]
		titles = fmt.Appendf(titles, " %*s", f.width(), f.title)
		labels = fmt.Appendf(labels, " %*s", f.width(), f.label())
	}
	return string(titles) + " state, flags\n" + strings.TrimRight(string(labels), " ") + "\n"
}

func (t *table) record(dst []byte, r *record) []byte {
	dst = t.names(dst, r.time, r.pump)
	if r.fault != nil {
		return append(fmt.Appendf(dst, " %s", printable(r.fault.Error())), '\n')
	}
	for i := range figures {
		f := &figures[i]
		dst = fmt.Appendf(dst, " %*s", f.width(), f.text(r))
	}
	return append(append(append(dst, ' '), r.remarks()...), '\n')
}

// text returns the figure rounded, a dash when it is absent. A flow whose
// interval is wide has no single m³/h.
func (f *figure) text(r *record) string {
	const wide, tens = 200.0 / 3600, 10.0 / 3600 // m³/s
	si := f.si(r)
	if f.dim == units.Flow && !(r.FlowHigh-r.FlowLow < wide) {
		si = math.Round(si/tens) * tens
	}
	return units.Number(f.dim, si, f.unit, f.decimals)
}

// remarks is state and flags in words.
func (r *record) remarks() string {
	text := r.State.String()
	for _, flag := range r.Flags.Append(nil) {
		text += ", " + flag
	}
	return text
}

// appendListing appends the figures of one reading, one a line.
func appendListing(dst []byte, r *record) []byte {
	dst = fmt.Appendf(dst, "%-27s%8s\n", "pump", r.pump)
	for i := range figures {
		f := &figures[i]
		text, label := f.text(r), " "+f.label()
		if text == units.Absent || label == " " {
			label = ""
		}
		dst = fmt.Appendf(dst, "%-27s%8s%s\n", f.words, text, label)
	}
	return fmt.Appendf(dst, "%-27s%8s\n", "state", r.remarks())
}

// printable makes s safe for a terminal.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return utf8.RuneError
		}
		return r
	}, s)
}
