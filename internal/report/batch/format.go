package batch

import (
	"fmt"
	"slices"

	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/units"
)

// Format is how records are written.
type Format string

// The formats.
const (
	Table  Format = "table"  // for people, rounded
	CSV    Format = "csv"    // with a header
	NDJSON Format = "ndjson" // a JSON object a line
	JSON   Format = "json"   // one array of objects
)

// Formats lists the formats.
func Formats() []Format { return []Format{Table, CSV, NDJSON, JSON} }

// ParseFormat returns the format of that name.
func ParseFormat(name string) (Format, error) {
	if f := Format(name); slices.Contains(Formats(), f) {
		return f, nil
	}
	return "", fmt.Errorf("format %.60q: want table, csv, ndjson or json", name)
}

// record is what comes out for one reading.
type record struct {
	time, pump string
	speed      float64 // rpm
	hydraulics.Estimate
	fault *fault // then nothing else but time and pump, as far as they could be read
}

// figure is one number of a record.
type figure struct {
	name     string // with its unit
	title    string // over its column of the table
	words    string // in the list of one reading
	dim      units.Dimension
	unit     string
	decimals int // where it is rounded
	si       func(*record) float64
}

// figures are the numbers of a record in their order.
var figures = [...]figure{
	{"speed_rpm", "speed", "speed", units.Speed, "rpm", 0, func(r *record) float64 { return r.speed }},
	{"head_m", "head", "head", units.Length, "m", 1, func(r *record) float64 { return r.Head }},
	{"flow_m3h", "flow", "flow", units.Flow, "m3/h", 0, func(r *record) float64 { return r.Flow }},
	{"flow_other_m3h", "other", "or else, at the same head", units.Flow, "m3/h", 0, func(r *record) float64 { return r.FlowOther }},
	{"flow_low_m3h", "low", "flow at least", units.Flow, "m3/h", 0, func(r *record) float64 { return r.FlowLow }},
	{"flow_high_m3h", "high", "flow at most", units.Flow, "m3/h", 0, func(r *record) float64 { return r.FlowHigh }},
	{"head_u95_m", "±head", "head ±", units.Length, "m", 1, func(r *record) float64 { return r.HeadU95 }},
	{"flow_u95_m3h", "±flow", "flow ±", units.Flow, "m3/h", 0, func(r *record) float64 { return r.FlowU95 }},
	{"efficiency", "eff.", "efficiency", units.Ratio, "1", 2, func(r *record) float64 { return r.Efficiency }},
	{"power_kw", "power", "power", units.Power, "kW", 0, func(r *record) float64 { return r.Power }},
	{"npsh_available_m", "NPSHa", "NPSH available", units.Length, "m", 1, func(r *record) float64 { return r.NPSHAvailable }},
	{"npsh_required_m", "NPSHr", "NPSH required", units.Length, "m", 1, func(r *record) float64 { return r.NPSHRequired }},
	{"npsh_margin_m", "margin", "NPSH margin", units.Length, "m", 1, func(r *record) float64 { return r.NPSHMargin }},
}

// factors is what one of SI is in the unit of each figure.
var factors = func() (f [len(figures)]float64) {
	for i := range f {
		f[i], _ = units.To(figures[i].dim, 1, figures[i].unit)
	}
	return f
}()

// printer writes records in one format.
type printer struct {
	head, join, tail string // before, between and after the records
	record           func(dst []byte, r *record) []byte
}

// printer returns the printer of the batch's format. The table has a column for
// the time when there is one; timeWidth is how long a time may be expected to be.
func (b *Batch) printer(timed bool, timeWidth int) printer {
	switch b.format {
	case CSV:
		return printer{head: csvHead(), record: appendCSV}
	case NDJSON:
		return printer{record: func(dst []byte, r *record) []byte { return append(appendJSON(dst, r), '\n') }}
	case JSON:
		return printer{head: "[\n", join: ",\n", tail: "\n]\n", record: appendJSON}
	}
	t := b.table(timed, timeWidth)
	return printer{head: t.head(), record: t.record}
}
