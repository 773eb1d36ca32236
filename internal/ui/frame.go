package ui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"example.org/headwatch/internal/ui/draw"
	"example.org/headwatch/internal/ui/now"
	"example.org/headwatch/internal/ui/palette"
)

// Sizes of the window, in cells.
const (
	wantedWidth, wantedHeight = 80, 24 // what the screens are made for
	leastWidth, leastHeight   = 72, 14 // below that they would mislead
	frameHeight               = 4      // lines of the frame: head, strip, rule, keys
)

// Advice is what the program is and is not.
const (
	adviceShort = "Advice only: terminal, ship's SMS, maker and licensed officer decide."
	adviceLong  = "Headwatch advises only; it controls nothing. The terminal, the ship's safety management system, the maker's instructions and the licensed officer in charge decide. On any doubt stop the pump."
)

// View draws the frame and the screen in it. The root cuts every frame: of one
// too high the terminal would lose the top.
func (m model) View() string {
	if m.width <= 0 || m.height <= 0 {
		return ""
	}
	if m.width < leastWidth || m.height < leastHeight {
		words := fmt.Sprintf("window too small: %d×%d wanted, it is %d×%d", wantedWidth, wantedHeight, m.width, m.height)
		return draw.Cut(strings.Join(m.pen.Wrap(words, m.width), "\n"), m.width, m.height)
	}
	width, height := m.body()
	lines := append(m.head(width), m.content(width, height)...)
	lines = append(lines[:m.height-1], m.foot(width))
	for i, line := range lines {
		lines[i] = m.pen.Text(draw.Cut(strings.TrimRight(m.gutter()+line, " "), m.width, 1))
	}
	return strings.Join(lines, "\n")
}

// body returns the room of a screen: the first column is the gutter's.
func (m model) body() (width, height int) { return m.width - 1, max(m.height-frameHeight, 0) }

// gutter is the first cell of every line: a training ship has its mark there.
func (m model) gutter() string {
	if m.picture.Training {
		return m.pen.Warning.Render(m.pen.Text(palette.Hatch))
	}
	return " "
}

// content returns the screen with what is to be said below it, height lines.
func (m model) content(width, height int) []string {
	said := m.saidLines(width)
	said = said[:min(len(said), height/3)]
	height -= len(said)
	var lines []string
	switch {
	case m.help:
		lines = m.pen.Window(m.helpLines(width), m.helpTop, height)
	case m.screen == readingsScreen:
		lines = m.readings.View(width, height)
	default:
		lines = m.now.View(m.pen, &m.picture, width, height)
	}
	for range height - len(lines) {
		lines = append(lines, "")
	}
	return append(lines, said...)
}

// saidLines returns what went wrong, and what is said once at the start.
func (m model) saidLines(width int) []string {
	var out []string
	if n := m.readings.Keyed(); n != "" && (m.help || m.screen != readingsScreen) {
		out = append(out, m.pen.Strong.Render(m.pen.Left(n+" keyed, not logged: r", width)))
	}
	out = append(out, m.warned(refusalWords(m.refusal), width)...)
	if m.notKept != nil && !m.notLogged { // which says it too
		out = append(out, m.warned(reason(m.notKept)+": what is keyed is not kept over a restart", width)...)
	}
	for _, words := range m.troubles {
		out = append(out, m.warned(words, width)...)
	}
	if m.greeting {
		for _, words := range append([]string{adviceShort}, m.notes...) {
			out = append(out, m.pen.Wrap(words, width)...)
		}
	}
	return out
}

// warned returns words as a warning, in as many lines as they need.
func (m model) warned(words string, width int) []string {
	var out []string
	for _, line := range m.pen.Wrap(words, width) {
		out = append(out, m.pen.Warning.Render(m.pen.Left(line, width)))
	}
	return out
}

// part is a piece of a line with its style.
type part struct {
	text  string
	style lipgloss.Style
}

// join puts parts in a line with two blanks between.
func (m model) join(parts []part) string {
	var out []string
	for _, p := range parts {
		out = append(out, p.style.Render(m.pen.Text(p.text)))
	}
	return strings.Join(out, "  ")
}

// head returns the three lines above every screen.
func (m model) head(width int) []string {
	right := m.join(append(m.mode(), part{m.pen.Stamp(m.picture.At), m.pen.Strong}))
	left := m.pen.Left(m.names(), width-lipgloss.Width(right)-2)
	return []string{m.pen.Strong.Render(left) + "  " + right, m.strip(width), m.rule(width)}
}

// names returns ship, voyage and what is discharged.
func (m model) names() string {
	names := []string{m.picture.Ship, m.picture.Voyage}
	for i := range m.picture.Parcels {
		names = append(names, m.picture.Parcels[i].Name+" "+m.picture.Parcels[i].Grade)
	}
	return strings.Join(names, "  ")
}

// mode says in words what the figures are of and where they go.
func (m model) mode() []part {
	var out []part
	switch {
	case m.notLogged:
		out = append(out, part{"NOT LOGGED", m.pen.Alarm})
	case m.refusal != nil:
		out = append(out, part{"READ-ONLY", m.pen.Warning})
	}
	switch {
	case m.picture.Training:
		return append(out, part{"TRAINING - SIMULATED SHIP", m.pen.Warning})
	case m.picture.Fictional:
		return append(out, part{"FICTIONAL SHIP", m.pen.Accent})
	}
	return append(out, part{"REAL", m.pen.Strong})
}

// strip returns the highest notice. Where there is none it says of when: the
// program knows nothing of the time between readings.
func (m model) strip(width int) string {
	front := ""
	if m.picture.Training {
		front = m.pen.Warning.Render("TRAINING") + " "
		width -= lipgloss.Width(front)
	}
	all := m.picture.Notices
	if len(all) == 0 {
		return front + m.pen.Left(m.quiet(), width)
	}
	n := all[0]
	more := ""
	if len(all) > 1 {
		more = fmt.Sprintf("+%d more", len(all)-1)
	}
	word := now.Style(m.pen, n.Priority).Render(" " + n.Priority.String() + " ")
	return front + word + " " + m.pen.Ends(n.Name+"  "+n.Text, more, width-lipgloss.Width(word)-1)
}

func (m model) quiet() string {
	if m.picture.LastRead.IsZero() {
		if m.refusal != nil {
			return "no readings yet"
		}
		return "no readings yet: r keys the first round"
	}
	words := "nothing over a limit at the readings of " + m.pen.Clock(m.picture.LastRead)
	var unread []string
	for i := range m.picture.Parcels {
		unread = append(unread, m.picture.Parcels[i].Rate.Unread...)
	}
	if len(unread) > 0 {
		words += "; flow not known: " + strings.Join(unread, ", ")
	}
	return words
}

// rule returns the line below the strip: the age of the readings and the units.
func (m model) rule(width int) string {
	age := "no readings"
	if pic := &m.picture; !pic.LastRead.IsZero() {
		age = "read " + m.pen.Round(pic) + ", " + draw.Span(pic.At.Sub(pic.LastRead)) + " ago" + m.pen.Oldest(pic)
		if pic.LastRead.After(pic.At) {
			age = "read " + m.pen.Round(pic) + ", which is after now: look at the clock"
		}
	}
	if m.picture.Training {
		age = "TRAINING  " + age
	}
	u := m.pen.Units
	unit := m.pen.Text(strings.Join([]string{u.Speed, draw.Unit(u.Pressure), u.Length, draw.Unit(u.Flow)}, " "))
	if lipgloss.Width(age)+lipgloss.Width(unit)+8 > width {
		unit = ""
	}
	line := func(n int) string { return m.pen.Dim.Render(m.pen.Text(strings.Repeat(palette.Rule, max(n, 0)))) }
	return line(2) + " " + m.pen.Text(age) + " " + line(width-lipgloss.Width(m.pen.Text(age))-len([]rune(unit))-8) + " " + m.pen.Dim.Render(unit) + " " + line(2)
}

// foot returns the last line: where one is, and where one can go.
func (m model) foot(width int) string {
	var out []string
	if m.picture.Training {
		out = append(out, m.pen.Warning.Render("TRAINING"))
	}
	for _, b := range m.footKeys() {
		name, words := m.pen.Text(b.Help().Key), b.Help().Desc
		if here := m.keys.Now.Help().Key; !m.help && (name == here) == (m.screen == nowScreen) && (name == here || name == m.keys.Readings.Help().Key) {
			out = append(out, m.pen.Strong.Render("["+name+" "+words+"]"))
			continue
		}
		out = append(out, m.pen.Accent.Render(name)+" "+words)
	}
	return draw.Cut(strings.Join(out, "  "), width, 1)
}
