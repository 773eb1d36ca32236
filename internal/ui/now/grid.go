package now

import (
	"fmt"

	"example.org/headwatch/internal/curves"
	"example.org/headwatch/internal/hydraulics"
	"example.org/headwatch/internal/ui/draw"
	"example.org/headwatch/internal/units"
	"example.org/headwatch/internal/watch"
)

// row is one row of the grid.
type row struct {
	label, unit string
	optional    bool   // left out when no pump has the figure
	from        layout // not there before this layout
	fold        layout // below the fold from this layout on
	figure      func(*watch.Pump) draw.Figure
}

// grid returns the pumps, a column each, and the rows that are below the fold.
func (m Model) grid(p draw.Pen, pic *watch.Picture, l layout, width int) (out, rest []string) {
	all := pumps(pic)
	first, n := m.firstShown(len(all), width), shown(len(all), width)
	if n == 0 {
		return []string{"no pump in the plan"}, nil
	}
	column := min((width-labelWidth)/n, columnMost)
	seen := all[first : first+n]
	head := p.Left("", labelWidth)
	if n < len(all) {
		head = p.Dim.Render(p.Left(fmt.Sprintf("%d–%d of %d ←→", first+1, first+n, len(all)), labelWidth))
	}
	for _, pump := range seen {
		head += p.Accent.Render(word(p, pump.Name, column))
	}
	out = []string{head}
	for _, r := range rows(p, pic, seen) {
		line, any := r.line(p, seen, column)
		switch {
		case r.optional && !any, l < r.from:
		case l >= r.fold:
			rest = append(rest, line)
		default:
			out = append(out, line)
		}
	}
	return append(out, states(p, seen, column)...), rest
}

func (r row) line(p draw.Pen, seen []*watch.Pump, column int) (line string, any bool) {
	line = label(p, r.label, r.unit)
	for _, pump := range seen {
		f := r.figure(pump)
		any = any || f.Main != units.Absent && f.String() != ""
		line += aligned(p, f, column)
	}
	return line, any
}

// rows returns the rows of figures, those that were read first.
func rows(p draw.Pen, pic *watch.Picture, seen []*watch.Pump) []row {
	read := func(name string, d units.Dimension, unit func(*watch.Pump) string, figure func(*watch.Pump) watch.Figure) row {
		common, same := shared(seen, unit)
		return row{name, common, false, airy, least, func(pump *watch.Pump) draw.Figure {
			f := draw.Read(d, figure(pump), unit(pump))
			if !same && figure(pump).Known() {
				f.Tail = " " + unit(pump) + f.Tail
			}
			f.Tail += spaced(draw.Age(pic, figure(pump).At))
			return f
		}}
	}
	flow := p.Units.Flow
	return []row{
		read("speed", units.Speed, func(*watch.Pump) string { return p.Units.Speed }, func(p *watch.Pump) watch.Figure { return p.Speed }),
		read("suction", units.Pressure, func(p *watch.Pump) string { return p.SuctionUnit }, func(p *watch.Pump) watch.Figure { return p.Suction }),
		read("discharge", units.Pressure, func(p *watch.Pump) string { return p.DischargeUnit }, func(p *watch.Pump) watch.Figure { return p.Discharge }),
		{"head", "m", false, airy, least, running(draw.Head)},
		{"flow", flow, false, airy, always, running(func(e *hydraulics.Estimate) draw.Figure { return draw.Flow(e, flow) })},
		{"to nominal", flow, false, airy, always, func(p *watch.Pump) draw.Figure { return toNominal(p, flow) }},
		{"NPSH margin", "m", true, airy, always, running(func(e *hydraulics.Estimate) draw.Figure {
			return draw.PlusMinus(units.Length, e.NPSHMargin, e.NPSHMarginU95, "m", 0.1)
		})},
		{"oldest read", "", true, least, always, func(p *watch.Pump) draw.Figure { return draw.Figure{Tail: draw.Age(pic, p.Oldest)} }},
		{"efficiency", "%", true, airy, folded, running(func(e *hydraulics.Estimate) draw.Figure {
			return draw.Figure{Main: draw.Quantity(units.Ratio, e.Efficiency, "%", 1)}
		})},
		{"power", "kW", true, airy, folded, running(func(e *hydraulics.Estimate) draw.Figure {
			return draw.Figure{Main: draw.Quantity(units.Power, e.Power, "kW", 10)}
		})},
	}
}

// running returns the figure of pumps that run, none of the others.
func running(figure func(*hydraulics.Estimate) draw.Figure) func(*watch.Pump) draw.Figure {
	return func(p *watch.Pump) draw.Figure {
		if p.Run != watch.Running {
			return draw.Figure{Main: units.Absent}
		}
		return figure(&p.Estimate)
	}
}

// shared returns the unit that all pumps have, if they have one.
func shared(seen []*watch.Pump, unit func(*watch.Pump) string) (common string, same bool) {
	for _, pump := range seen {
		if unit(pump) != unit(seen[0]) {
			return "", false
		}
	}
	return unit(seen[0]), true
}

// spaced returns a word with a blank before it, nothing for none.
func spaced(word string) string {
	if word == "" {
		return ""
	}
	return " " + word
}

func toNominal(p *watch.Pump, unit string) draw.Figure {
	if p.Run != watch.Running {
		return draw.Figure{Main: units.Absent}
	}
	if p.ToNominal < 0 {
		over := draw.Quantity(units.Flow, -p.ToNominal, unit, 10)
		if p.Estimate.State == curves.BeyondEnd {
			over = "≥" + over
		}
		return draw.Figure{Main: over, Tail: " OVER"}
	}
	f := draw.Figure{Main: draw.Quantity(units.Flow, p.ToNominal, unit, 10)}
	if f.Main != units.Absent {
		f.Tail = " left"
	}
	return f
}

// states returns the word of each pump's state, and below it what is remarkable.
func states(p draw.Pen, seen []*watch.Pump, column int) []string {
	var out []string
	for i := 0; ; i++ {
		line, any := p.Left("", labelWidth), i == 0
		for _, pump := range seen {
			words := wordsOf(pump)
			if i >= len(words) {
				line += p.Left("", column)
				continue
			}
			line, any = line+p.Strong.Render(word(p, words[i], column)), true
		}
		if !any {
			return out
		}
		out = append(out, line)
	}
}

// word returns a word in a column, set in a little as the figures are.
func word(p draw.Pen, s string, column int) string {
	const indent = 3
	return p.Left("", indent) + p.Left(p.Left(s, column-indent-1), column-indent)
}

// flagWords is how the screen calls what hydraulics remarks.
var flagWords = []struct {
	flag hydraulics.Flags
	word string
}{
	{hydraulics.NearCurveEnd, "NEAR CURVE END"},
	{hydraulics.AboveNominal, "OVER NOMINAL"},
	{hydraulics.BelowMinimumFlow, "BELOW MINIMUM"},
	{hydraulics.LowMargin, "LOW MARGIN"},
	{hydraulics.SuctionAboveDischarge, "suction higher"},
	{hydraulics.OutOfSpan, "off the gauge"},
	{hydraulics.SpeedOutside, "speed off curves"},
	{hydraulics.OneCurve, "by one curve"},
	{hydraulics.PoorlyReadable, "poorly readable"},
}

// wordsOf returns the state of a pump and what is remarkable, most urgent first.
func wordsOf(pump *watch.Pump) []string {
	if pump.Run != watch.Running {
		return []string{pump.Run.String()}
	}
	out := []string{map[curves.State]string{
		curves.OK: pump.Run.String(), curves.TwoFlows: "two flows", curves.AboveCurve: "ABOVE CURVE", curves.BeyondEnd: "BEYOND CURVE",
	}[pump.Estimate.State]}
	for _, f := range flagWords {
		if pump.Estimate.Flags.Has(f.flag) && !(f.flag == hydraulics.NearCurveEnd && pump.Estimate.State == curves.BeyondEnd) {
			out = append(out, f.word)
		}
	}
	return out
}
