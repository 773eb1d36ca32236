package now

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"example.org/headwatch/internal/ui/draw"
	"example.org/headwatch/internal/units"
	"example.org/headwatch/internal/watch"
)

// lead is the width of the word in front of what to do.
const lead = 9

// todo returns what to do and what is due.
func (m Model) todo(p draw.Pen, pic *watch.Picture, width int) []string {
	var out []string
	for i, n := range pic.Notices {
		if i > 0 { // the strip above has the first
			out = append(out, led(p, n.Priority.String(), Style(p, n.Priority), n.Name+": "+n.Text, width)...)
		}
		if m.ReadOnly && n.Name == overdue {
			n.Action = "Read the gauges; they can't be keyed here."
		}
		out = append(out, led(p, "Act", p.Accent, n.Action, width)...)
	}
	return append(out, m.next(p, pic, width)...)
}

// off returns what is switched off, in a few lines.
func off(p draw.Pen, pic *watch.Picture, width int) []string {
	const most = 3
	var out []string
	for i, words := range pic.Missing {
		lines := led(p, "off", p.Dim, words, width)
		more := len(pic.Missing) - i
		if len(out)+len(lines) > most || more > 1 && len(out)+len(lines) == most {
			return append(out, led(p, "off", p.Dim, fmt.Sprintf("+%d more: headwatch check", more), width)...)
		}
		out = append(out, lines...)
	}
	return out
}

// Style returns the style of a priority.
func Style(p draw.Pen, priority watch.Priority) lipgloss.Style {
	switch priority {
	case watch.Alarm:
		return p.Alarm
	case watch.Warning:
		return p.Warning
	}
	return p.Strong
}

// led returns text behind a word, in as many lines as it needs.
func led(p draw.Pen, word string, style lipgloss.Style, text string, width int) []string {
	var out []string
	for i, line := range p.Wrap(text, width-lead) {
		if i > 0 {
			out = append(out, p.Left("", lead)+line)
			continue
		}
		out = append(out, style.Render(p.Text(word))+p.Left("", lead-lipgloss.Width(word))+line)
	}
	return out
}

// overdue is how package watch calls the notice that advises to key.
const overdue = "readings overdue"

func (m Model) next(p draw.Pen, pic *watch.Picture, width int) []string {
	first, keys := ": r", ": r keys it"
	if m.ReadOnly {
		first, keys = "", ""
	}
	switch {
	case pic.NextRound.IsZero():
		return led(p, "Next", p.Accent, "the first round of readings"+first, width)
	case pic.At.After(pic.NextRound):
		return led(p, "Next", p.Accent, "round of "+p.Clock(pic.NextRound)+" OVERDUE by "+draw.Span(pic.At.Sub(pic.NextRound))+keys, width)
	}
	return led(p, "Next", p.Accent, "round of readings "+p.Clock(pic.NextRound)+", in "+draw.Span(pic.NextRound.Sub(pic.At)), width)
}

func hasTanks(pic *watch.Picture) bool {
	for i := range pic.Parcels {
		if len(pic.Parcels[i].Tanks) > 0 {
			return true
		}
	}
	return false
}

// tanks returns the tanks of all parcels, a line each.
func tanks(p draw.Pen, pic *watch.Picture) []string {
	length, flow := p.Units.Length, p.Units.Flow
	const name, column = 5, 7
	row := func(cells ...string) string {
		line := p.Left(p.Left(cells[0], name-1), name)
		for _, c := range cells[1:] {
			line += p.Right(c, column)
		}
		return line
	}
	m3 := draw.Unit("m3")
	out := []string{p.Accent.Render(row("tank", "ullage", "left", "gone", "rate")), p.Dim.Render(row("", length, m3, m3, draw.Unit(flow)))}
	for i := range pic.Parcels {
		for k := range pic.Parcels[i].Tanks {
			t := &pic.Parcels[i].Tanks[k]
			out = append(out, row(t.Name, draw.Read(units.Length, t.Ullage, length).Main, draw.Quantity(units.Volume, t.Volume, "m3", 10),
				draw.Quantity(units.Volume, t.Gone, "m3", 10), draw.Quantity(units.Flow, t.Rate, flow, 10))+
				p.Dim.Render(spaced(strings.TrimSuffix(draw.Age(pic, t.Ullage.At), " old"))))
		}
	}
	return out
}
