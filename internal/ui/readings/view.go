package readings

import (
	"errors"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"example.org/headwatch/internal/journal"
	"example.org/headwatch/internal/ui/draw"
	"example.org/headwatch/internal/ui/palette"
	"example.org/headwatch/internal/ui/round"
	"example.org/headwatch/internal/units"
	"example.org/headwatch/internal/watch"
)

// Widths of the grid, in cells. Together they fill 79.
const (
	nameWidth  = 7
	fieldWidth = 13
	headWidth  = 6
	mainWidth  = 8 // of a flow
	tailWidth  = 12
	wasWidth   = 7
	tankWidth  = 11 // of a figure of a tank
	gridWidth  = nameWidth + round.MostFields*fieldWidth + headWidth + mainWidth + tailWidth + wasWidth
	listLeast  = 38 // of the entries beside the grid
)

// View draws the screen into width × height cells.
func (m Model) View(width, height int) []string {
	if width >= gridWidth+listLeast {
		list := append([]string{"", ""}, m.list(width-gridWidth-2, height-2)...)
		return draw.Beside(m.column(gridWidth, height, 0), list, gridWidth+2)
	}
	return m.column(width, height, mostBelow)
}

// mostBelow is how many lines of the newest entries stand below the grid.
const mostBelow = 4

// column returns title, grid, what is said and the newest entries, one below
// the other.
func (m Model) column(width, height, entries int) []string {
	title, foot := m.title(width), m.foot(width)
	room := height - 1 - len(foot) - min(entries, 1)
	grid, seen := m.grid(true)
	if len(grid) > room {
		grid, seen = m.grid(false)
	}
	below := m.list(width, min(max(room-len(grid), 0)+1, entries))
	room = height - 1 - len(foot) - len(below)
	out := append([]string{title}, m.Pen.Window(grid, seen-room+2, room)...)
	for len(out) < height-len(foot)-len(below) {
		out = append(out, "")
	}
	return append(append(out, foot...), below...)
}

// title says what is being keyed.
func (m Model) title(width int) string {
	p := m.Pen
	if m.refusal != nil {
		return p.Warning.Render(p.Left(readOnlyWords(m.refusal), width))
	}
	words := "Nothing keyed yet"
	if first, n := m.round.Begun(); n > 0 {
		words = count(n, "figure") + " not yet logged"
		if !first.IsZero() {
			words = "Round begun " + p.Clock(first) + ", " + words
		}
	}
	keys := "Enter: not read   =: unchanged"
	if len(words)+len(keys)+len(m.By)+8 <= width {
		keys += "   by " + m.By
	}
	return p.Strong.Render(p.Ends(words, keys, width))
}

// readOnlyWords says why nothing can be keyed, in a line.
func readOnlyWords(refusal error) string {
	var broken *journal.BrokenError
	switch {
	case errors.Is(refusal, journal.ErrInUse):
		return "READ-ONLY, following the log: another running instance writes it"
	case errors.As(refusal, &broken):
		return "READ-ONLY: the log was altered or damaged"
	}
	return "READ-ONLY: " + refusal.Error()
}

// grid returns all rows with their heads, blank lines between the groups if
// airy, and the line that must be seen.
func (m Model) grid(airy bool) (lines []string, seen int) {
	gap := func() {
		if airy {
			lines = append(lines, "")
		}
	}
	for i, pl := range m.round.Places {
		if i == 0 || m.round.Places[i-1].Kind != pl.Kind {
			if pl.Kind == round.Tank {
				gap()
			}
			lines = append(lines, m.head(i)...)
		}
		lines = append(lines, m.row(i))
		if m.focused(i) {
			lines = append(lines, m.remarks(i)...)
			seen = len(lines) - 1
		}
	}
	if m.refusal == nil {
		gap()
		lines = append(lines, m.logLine())
	}
	if m.focus == len(m.fields) {
		seen = len(lines) - 1
	}
	return lines, seen
}

// focused reports whether the focus is in row i.
func (m Model) focused(i int) bool { return m.focus < len(m.fields) && m.fields[m.focus].Row == i }

// logLine is the last line of the grid.
func (m Model) logLine() string {
	if m.focus == len(m.fields) {
		return m.Pen.Accent.Render(m.Pen.Text(palette.Focus + " Log the round: Enter or L"))
	}
	return "  L logs the round"
}

// head returns what stands above row i, the first of its kind.
func (m Model) head(i int) []string {
	p, pl := m.Pen, m.round.Places[i]
	flow := draw.Unit(p.Units.Flow)
	switch pl.Kind {
	case round.Pump:
		name, unit := p.Left("", nameWidth), p.Left("", nameWidth)
		for k, f := range pl.Fields {
			name += p.Left(" "+f.Key, fieldWidth)
			unit += p.Left(" "+draw.Unit(m.commonUnit(k)), fieldWidth)
		}
		return []string{name + m.flowCells("head", draw.Figure{Main: "flow"}, "was"), p.Dim.Render(unit + p.Right("m", headWidth) +
			p.Right(flow, mainWidth) + p.Left("", tailWidth) + p.Right(flow, wasWidth))}
	case round.Manifold:
		return m.rates()
	}
	return []string{p.Left("tank", nameWidth) + p.Left(" ullage "+p.Units.Length, fieldWidth) +
		p.Right("gone "+draw.Unit("m3"), tankWidth) + p.Right("rate "+flow, tankWidth)}
}

// commonUnit returns the unit that column k has for all pumps, if it has one.
func (m Model) commonUnit(k int) string {
	unit := m.round.Places[0].Fields[k].Unit
	for _, pl := range m.round.Places {
		if pl.Kind == round.Pump && pl.Fields[k].Unit != unit {
			return "as gauged"
		}
	}
	return unit
}

// rates returns the rate of each parcel with what is keyed, below its pumps.
func (m Model) rates() []string {
	p := m.Pen
	var out []string
	for i := range m.round.After.Parcels {
		is, was := &m.round.After.Parcels[i], &m.round.Before.Parcels[i]
		words := "rate of all"
		if len(m.round.After.Parcels) > 1 {
			words = "rate of parcel " + is.Name
		}
		if n := len(is.Rate.Unread); n > 0 {
			words += " but " + count(n, "pump")
		}
		rate := draw.Rate(&is.Rate, p.Units.Flow)
		if m.faulty(i) {
			rate = draw.Figure{Main: units.Absent}
		}
		out = append(out, p.Left("", nameWidth)+p.Dim.Render(p.Left(" "+words, round.MostFields*fieldWidth))+
			m.flowCells("", rate, draw.Rate(&was.Rate, p.Units.Flow).Main))
	}
	return out
}

// faulty reports whether a pump of a parcel has a figure that is none.
func (m Model) faulty(parcel int) bool {
	for i, pl := range m.round.Places {
		if pl.Kind == round.Pump && pl.Parcel == parcel && m.round.Faulty(i) {
			return true
		}
	}
	return false
}

// flowCells returns the columns right of the fields.
func (m Model) flowCells(head string, is draw.Figure, was string) string {
	p := m.Pen
	return p.Right(head, headWidth) + p.Strong.Render(p.Right(is.Main, mainWidth)) + m.tailCells(is.Tail, was)
}

// tailCells returns the tail of a figure and what it was: a long figure of before
// takes of the other's room.
func (m Model) tailCells(tail, was string) string {
	room := max(wasWidth, lipgloss.Width(m.Pen.Text(was))+1)
	return m.Pen.Left(tail, tailWidth+wasWidth-room) + m.Pen.Dim.Render(m.Pen.Right(was, room))
}

// row draws one row: its fields and what comes out of them.
func (m Model) row(i int) string {
	p, pl := m.Pen, m.round.Places[i]
	line := p.Left(p.Left(pl.Name, nameWidth-1), nameWidth)
	if pl.Kind == round.Manifold { // its gauge stands below the discharge gauges
		line += p.Dim.Render(p.Left(" manifold", (round.MostFields-1)*fieldWidth))
	}
	for k := range pl.Fields {
		line += m.field(round.Position{Row: i, Col: k})
	}
	after := &m.round.After.Parcels[pl.Parcel]
	switch pl.Kind {
	case round.Pump:
		return line + m.pumpFigures(i, &after.Pumps[pl.Index], &m.round.Before.Parcels[pl.Parcel].Pumps[pl.Index])
	case round.Manifold:
		return line + "  " + m.manifoldFigures(i, &after.Manifolds[pl.Index])
	}
	t := &after.Tanks[pl.Index]
	if m.round.Faulty(i) {
		return line + p.Right(units.Absent, tankWidth) + p.Right(units.Absent, tankWidth)
	}
	return line + p.Right(draw.Quantity(units.Volume, t.Gone, "m3", 10), tankWidth) + p.Right(draw.Quantity(units.Flow, t.Rate, p.Units.Flow, 10), tankWidth)
}

func (m Model) pumpFigures(i int, is, was *watch.Pump) string {
	flow := func(pump *watch.Pump) draw.Figure {
		if pump.Run != watch.Running {
			return draw.Figure{Main: units.Absent, Tail: " " + pump.Run.String()}
		}
		return draw.Flow(&pump.Estimate, m.Pen.Units.Flow)
	}
	if m.round.Faulty(i) {
		return m.flowCells(units.Absent, draw.Figure{Main: units.Absent}, flow(was).Main)
	}
	head := units.Absent
	if is.Run == watch.Running {
		head = draw.ShortHead(&is.Estimate, headWidth-1)
	}
	return m.flowCells(head, flow(is), flow(was).Main)
}

func (m Model) manifoldFigures(i int, f *watch.Manifold) string {
	in := func(v float64) string { return draw.Quantity(units.Pressure, v, f.Unit, 0.01) }
	of := m.Pen.Text("of " + in(f.Limit) + " " + draw.Unit(f.Unit))
	switch {
	case m.round.Faulty(i) || !f.Pressure.Known():
		return of
	case f.Margin < 0:
		return of + ": " + m.Pen.Alarm.Render("OVER by "+in(-f.Margin))
	}
	return of + ": " + in(f.Margin) + " left"
}

// field draws one field: the sign of the focus, what was typed with its mark,
// and the figure of before where there is room.
func (m Model) field(at round.Position) string {
	p, c := m.Pen, m.round.Cell(at)
	here := m.refusal == nil && !m.lineOpen && m.focus < len(m.fields) && m.fields[m.focus] == at
	text, style := " ", lipgloss.NewStyle()
	switch {
	case here:
		text, style = palette.Focus, p.Accent
	case c.Skipped:
		style = p.Dim
	}
	text = p.Text(text + m.keyed(c, here) + m.mark(at))
	room := fieldWidth - lipgloss.Width(text)
	if room < 1 { // the end is what is being typed
		runes := []rune(text)
		return style.Render(string(runes[:1])+string(runes[len(runes)-fieldWidth+2:])) + " "
	}
	return style.Render(text) + p.Dim.Render(p.Left(m.ghost(at, room), room))
}

// keyed is what is keyed into a field, with the cursor where the next sign goes.
func (m Model) keyed(c round.Cell, here bool) string {
	switch {
	case c.Unchanged:
		return "= " + c.Text
	case c.Skipped:
		return "not read"
	case here && (m.typing || c.Text == ""):
		return c.Text + palette.Cursor
	}
	return c.Text
}

// ghost is the figure of before with its age, where it is not said already and
// there is room.
func (m Model) ghost(at round.Position, room int) string {
	c, f := m.round.Cell(at), m.round.Places[at.Row].Fields[at.Col]
	ghost := palette.GhostOpen + draw.Read(f.Dimension, m.round.Was(at), f.Unit).Main + palette.GhostEnd
	if c.Text != "" {
		ghost = " " + ghost
	}
	aged := ghost
	if age := draw.Age(&m.round.Before, m.round.Was(at).At); age != "" {
		aged += " " + strings.TrimSuffix(age, " old")
	}
	switch {
	case c.Skipped || c.Unchanged || lipgloss.Width(ghost) > room:
		return ""
	case lipgloss.Width(aged) > room:
		return ghost
	}
	return aged
}

// mark is the sign behind a figure that is none or in doubt.
func (m Model) mark(at round.Position) string {
	switch {
	case m.round.Fault(at) != "":
		return "!"
	case len(m.round.Doubts(at)) > 0:
		return "?"
	}
	return ""
}

// remarks are the sentences to a row's marks.
func (m Model) remarks(i int) []string {
	p := m.Pen
	var out []string
	say := func(mark, words string) {
		for _, line := range p.Wrap(words, gridWidth-6) {
			out = append(out, p.Warning.Render(p.Left(mark+line, gridWidth-2)))
			mark = "   "
		}
	}
	for k := range m.round.Places[i].Fields {
		at := round.Position{Row: i, Col: k}
		if fault := m.round.Fault(at); fault != "" {
			say(" ! ", fault)
		}
		for _, d := range m.round.Doubts(at) {
			say(" ? ", d.Field+": "+d.Text+". Read again?")
		}
	}
	return out
}

// foot is what the screen says and the line that is being typed.
func (m Model) foot(width int) []string {
	p := m.Pen
	out := p.Wrap(m.said.words, width)
	for i, line := range out {
		out[i] = p.Left(line, width)
		switch m.said.level {
		case look:
			out[i] = p.Warning.Render(out[i])
		case urgent:
			out[i] = p.Alarm.Render(out[i])
		}
	}
	if len(out) == 0 {
		out = []string{""}
	}
	switch {
	case !m.lineOpen:
		return out
	case m.line == "":
		return append(out, p.Accent.Render(p.Left("/ "+palette.Cursor, 4))+p.Dim.Render(p.Left("2 1300 .6 9.1    m 7.2    4C 11.34    4C 11.34@15:10", width-4)))
	}
	return append(out, p.Left("/ "+m.line+palette.Cursor, width))
}
