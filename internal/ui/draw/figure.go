package draw

import (
	"math"
	"strconv"
	"strings"

	"example.org/headwatch/internal/curves"
	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/units"
	"example.org/headwatch/internal/watch"
)

// Least steps that figures are rounded to, in the unit they are shown in.
const (
	flowStep  = 10
	headStep  = 0.1
	coarsened = 1 // figures of the uncertainty that an open interval keeps
	usual     = 2 // figures that "±" keeps
)

// Figure is a printed figure in two parts, so that columns can be aligned on
// the decimal point of the first.
type Figure struct {
	Main string // the value: "2,280", "≥2,630", "–"
	Tail string // what it is worth: " ±320", " (600–1,500)"
}

// String returns the figure as one text.
func (f Figure) String() string { return f.Main + f.Tail }

// none is what stands where there is no figure.
var none = Figure{Main: units.Absent}

// step returns the power of ten that a figure is rounded to so that its
// uncertainty keeps some figures; never less than least, itself a power of ten.
func step(uncertainty float64, figures int, least float64) float64 {
	if !(uncertainty > 0) || math.IsInf(uncertainty, 0) {
		return least
	}
	return max(math.Pow10(int(math.Floor(math.Log10(uncertainty)))-figures+1), least)
}

// rounded prints v to a multiple of step, a power of ten, with thousands
// grouped. The sign of a value that rounds to zero is dropped.
func rounded(v, step float64) string {
	v = math.Round(v/step)*step + 0
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return units.Absent
	}
	decimals := max(0, -int(math.Round(math.Log10(step))))
	return grouped(strconv.FormatFloat(v, 'f', decimals, 64))
}

// grouped sets a comma before every three digits of the whole part.
func grouped(s string) string {
	whole, fraction, _ := strings.Cut(s, ".")
	sign := ""
	if strings.HasPrefix(whole, "-") {
		sign, whole = "-", whole[1:]
	}
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if fraction != "" {
		whole += "." + fraction
	}
	return sign + whole
}

// Quantity prints an SI value in a unit to a multiple of step, in that unit.
func Quantity(d units.Dimension, si float64, unit string, step float64) string {
	v, err := units.To(d, si, unit)
	if err != nil {
		return units.Absent
	}
	return rounded(v, step)
}

// PlusMinus prints an SI value with its uncertainty and no more digits than
// that allows; the least step is in the unit. The uncertainty is rounded up.
func PlusMinus(d units.Dimension, si, u95 float64, unit string, least float64) Figure {
	v, err := units.To(d, si, unit)
	u, uerr := units.To(d, si+u95, unit) // a difference: a temperature's zero must drop out
	if err != nil || uerr != nil || math.IsNaN(v) {
		return none
	}
	if u = math.Abs(u - v); !(u > 0) {
		return Figure{Main: rounded(v, least)}
	}
	to := step(u, usual, least)
	return Figure{rounded(v, to), " ±" + rounded(up(u, to), to)}
}

// up and down round outward to a multiple of step, but for the noise of binary
// fractions.
func up(v, step float64) float64   { return math.Ceil(v/step-1e-9) * step }
func down(v, step float64) float64 { return math.Floor(v/step+1e-9) * step }

// Read prints a figure as it was read, in the unit of its column: its digits
// say how well. An unchanged figure has a sign.
func Read(d units.Dimension, f watch.Figure, unit string) Figure {
	v, err := units.To(d, f.Value, unit)
	width, werr := units.To(d, f.Value+2*f.Half, unit)
	if !f.Known() || err != nil || werr != nil {
		return none
	}
	decimals := 0
	if width -= v; width > 0 {
		decimals = min(max(int(math.Ceil(-math.Log10(width)-1e-6)), 0), 4)
	}
	out := Figure{Main: units.Number(d, f.Value, unit, decimals)}
	if f.Unchanged {
		out.Tail = " ="
	}
	return out
}

// Flow prints what the gauges tell of a pump's flow.
func Flow(e *hydraulics.Estimate, unit string) Figure {
	in := func(flow float64) float64 {
		v, err := units.To(units.Flow, flow, unit)
		if err != nil {
			return math.NaN()
		}
		return v
	}
	flow, low, high := in(e.Flow), in(e.FlowLow), in(e.FlowHigh)
	to := step((high-low)/2, coarsened, flowStep)
	switch {
	case e.State == curves.AboveCurve && !(high > 0):
		return Figure{units.Absent, " above"}
	case e.State == curves.BeyondEnd:
		return Figure{Main: "≥" + rounded(flow, flowStep)}
	case e.State == curves.TwoFlows:
		return Figure{rounded(flow, flowStep), " or " + rounded(in(e.FlowOther), flowStep)}
	case !math.IsNaN(e.FlowU95):
		return PlusMinus(units.Flow, e.Flow, e.FlowU95, unit, flowStep)
	case math.IsNaN(low):
		return Figure{Main: rounded(flow, flowStep)}
	case math.IsNaN(high):
		return Figure{rounded(flow, flowStep), " (≥" + rounded(down(low, flowStep), flowStep) + ")"}
	}
	return Figure{rounded(flow, to), " (" + rounded(down(low, to), to) + "–" + rounded(up(high, to), to) + ")"}
}

// Rate prints the rate of a parcel.
func Rate(r *watch.Rate, unit string) Figure {
	if r.LowerBound {
		return Figure{Main: "≥" + Quantity(units.Flow, r.Flow, unit, flowStep)}
	}
	return PlusMinus(units.Flow, r.Flow, r.U95, unit, flowStep)
}

// Head prints a pump's head in metres.
func Head(e *hydraulics.Estimate) Figure {
	return PlusMinus(units.Length, e.Head, e.HeadU95, "m", headStep)
}

// ShortHead is the head without its uncertainty, in width cells if whole metres
// do.
func ShortHead(e *hydraulics.Estimate, width int) string {
	if s := Head(e).Main; len(s) <= width {
		return s
	}
	return Quantity(units.Length, e.Head, "m", 1)
}

// Unit returns a unit as it is printed on paper: "m³/h".
func Unit(unit string) string {
	return strings.NewReplacer("m3", "m³", "cm2", "cm²", "degC", "°C", "degF", "°F").Replace(unit)
}
