package now

import (
	"fmt"
	"math"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"example.org/headwatch/internal/ui/draw"
	"example.org/headwatch/internal/units"
	"example.org/headwatch/internal/watch"
)

// figureWidth is the column of a figure; the first pump's stands below it.
const figureWidth = 20

// against is one figure against what was agreed.
type against struct {
	label, unit  string
	figure       draw.Figure
	value, limit float64
	atLeast      bool   // the value is a lower bound
	age          string // of the value, when it is not of the newest round
	print        func(v float64) string
}

// agreed returns the manifolds and the rate of each parcel against their limits,
// what is left in the tanks, and what of it is below the fold.
func agreed(p draw.Pen, pic *watch.Picture, l layout, width int) (first, rest []string) {
	for i := range pic.Parcels {
		parcel := &pic.Parcels[i]
		prefix := ""
		if len(pic.Parcels) > 1 {
			prefix = parcel.Name + " "
		}
		for k := range parcel.Manifolds {
			first = append(first, manifold(p, pic, &parcel.Manifolds[k], prefix, width))
		}
		first = append(first, rate(p, pic, parcel, prefix, width)...)
		if line := byUllage(p, pic, parcel, prefix, width); l == least {
			rest = append(rest, line...)
		} else {
			first = append(first, line...)
		}
		first = append(first, remaining(p, pic, parcel, prefix, width))
	}
	return first, rest
}

func manifold(p draw.Pen, pic *watch.Picture, m *watch.Manifold, prefix string, width int) string {
	print := func(v float64) string { return draw.Quantity(units.Pressure, v, m.Unit, 0.01) }
	figure := draw.Read(units.Pressure, m.Pressure, m.Unit)
	if u := draw.PlusMinus(units.Pressure, m.Pressure.Value, m.U95, m.Unit, 0.01); m.Pressure.Known() {
		figure.Tail = u.Tail + figure.Tail
	}
	name := prefix + "manifold " + m.Name
	if len([]rune(name+draw.Unit(m.Unit))) > labelWidth-2 {
		name = prefix + "manif. " + m.Name
	}
	return against{name, m.Unit, figure, m.Pressure.Value, m.Limit, false, draw.Age(pic, m.Pressure.At), print}.line(p, width, p.Alarm.Render)
}

func rate(p draw.Pen, pic *watch.Picture, parcel *watch.Parcel, prefix string, width int) []string {
	r, unit := &parcel.Rate, p.Units.Flow
	print := func(v float64) string { return draw.Quantity(units.Flow, v, unit, 10) }
	out := []string{against{prefix + "rate", unit, draw.Rate(r, unit), r.Flow, r.Limit, r.LowerBound || len(r.Unread) > 0, draw.Age(pic, r.Oldest), print}.line(p, width, p.Strong.Render)}
	if len(r.Unread) > 0 {
		out = append(out, p.Left("", labelWidth)+p.Strong.Render(p.Left("not in it: "+strings.Join(r.Unread, ", ")+", flow not known", width-labelWidth)))
	}
	return out
}

// byUllage returns the rate by the tanks, where it is known.
func byUllage(p draw.Pen, pic *watch.Picture, parcel *watch.Parcel, prefix string, width int) []string {
	by, unit := &parcel.ByUllage, p.Units.Flow
	if math.IsNaN(by.Flow) || by.To.IsZero() {
		return nil
	}
	words := "from the tanks, " + p.Clock(by.From) + "–" + p.Clock(by.To)
	if age := draw.Age(pic, by.To); age != "" {
		words += ", " + age
	}
	return []string{label(p, prefix+"by ullage", unit) + aligned(p, draw.PlusMinus(units.Flow, by.Flow, by.U95, unit, 10), figureWidth) +
		p.Dim.Render(p.Left(words, width-labelWidth-figureWidth))}
}

func remaining(p draw.Pen, pic *watch.Picture, parcel *watch.Parcel, prefix string, width int) string {
	volume := func(v float64) string { return draw.Quantity(units.Volume, v, "m3", 10) }
	words := "an ullage or a tank table is missing"
	if !math.IsNaN(parcel.Volume) {
		words = volume(parcel.Remaining) + " of it to pump, "
		if age := draw.Age(pic, parcel.TanksRead); age != "" {
			words += age
		} else {
			words += "observed volume"
		}
	}
	return label(p, prefix+"in tanks", "m3") + aligned(p, draw.Figure{Main: volume(parcel.Volume)}, figureWidth) +
		p.Dim.Render(p.Left(words, width-labelWidth-figureWidth))
}

// line draws figure, bar and words; over draws the words of a limit passed.
func (a against) line(p draw.Pen, width int, over func(...string) string) string {
	const wordsLeast = 24
	head := label(p, a.label, a.unit) + aligned(p, a.figure, figureWidth)
	words, style, bound := "of "+a.print(a.limit)+": ", fmt.Sprint, ""
	switch {
	case math.IsNaN(a.limit):
		return head + p.Dim.Render("no limit agreed")
	case math.IsNaN(a.value):
		words += "not known"
	case a.value > a.limit:
		if a.atLeast {
			bound = "≥"
		}
		words += "OVER by " + bound + a.print(a.value-a.limit)
		style = func(s ...any) string { return over(fmt.Sprint(s...)) }
	default:
		if a.atLeast {
			bound = "≤"
		}
		words += bound + a.print(a.limit-a.value) + " left"
	}
	words = p.Text(words)
	age := ""
	if a.age != "" {
		age = ", " + a.age
	}
	bar := min(width-labelWidth-figureWidth-1-max(lipgloss.Width(words+age), wordsLeast), 40)
	return head + p.Bar(a.value, a.limit, bar) + " " + style(words) + age
}

// label is the head of a row.
func label(p draw.Pen, name, unit string) string {
	unit = p.Text(draw.Unit(unit))
	room := labelWidth - 1 - len([]rune(unit))
	return p.Left(p.Left(name, room-1), room) + p.Dim.Render(unit) + " "
}

// pointAt is where the decimal point of a figure stands in its column.
const pointAt = 8

// aligned returns a figure in a column, its decimal point below the others'.
func aligned(p draw.Pen, f draw.Figure, width int) string {
	whole, fraction, found := strings.Cut(f.Main, ".")
	if found {
		fraction = "." + fraction
	}
	return p.Left(p.Right(whole, pointAt)+p.Text(fraction+f.Tail), width)
}
