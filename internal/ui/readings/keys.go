package readings

import (
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/headwatch/internal/ui/round"
)

// longestLine is how many characters the line in any order takes.
const longestLine = 120

// Update takes one key.
func (m Model) Update(msg tea.KeyMsg, now time.Time) (Model, tea.Cmd) {
	if m.said.level == look && !m.confirming {
		m.said = said{}
	}
	repeated := m.repeated
	m.repeated = false
	switch {
	case m.refusal != nil || m.logging || len(m.fields) == 0:
		return m, nil
	case repeated && key.Matches(msg, m.Keys.Enter):
		return m, nil // out of habit: "=" has moved on already
	case m.lineOpen:
		return m.lineKey(msg, now), nil
	case m.typing:
		return m.typingKey(msg, now), nil
	case key.Matches(msg, m.Keys.Log), key.Matches(msg, m.Keys.Enter) && m.focus == len(m.fields):
		return m.log(now)
	}
	return m.gridKey(msg, now), nil
}

// gridKey takes a key while no field is being typed in: letters are commands.
func (m Model) gridKey(msg tea.KeyMsg, now time.Time) Model {
	switch {
	case key.Matches(msg, m.Keys.Enter):
		return m.skip(now).move(1)
	case key.Matches(msg, m.Keys.Same):
		return m.same(now)
	case key.Matches(msg, m.Keys.Undo):
		return m.undo()
	case key.Matches(msg, m.Keys.Line):
		m.lineOpen, m.line, m.said = true, "", said{}
	case key.Matches(msg, m.Keys.Erase):
		return m.erase(now)
	case msg.Type == tea.KeyRunes && round.BeginsFigure(string(msg.Runes)):
		return m.begin(msg, now)
	default:
		return m.moveKey(msg)
	}
	return m
}

// typingKey takes a key while a field is being typed in: letters are part of it.
func (m Model) typingKey(msg tea.KeyMsg, now time.Time) Model {
	switch {
	case key.Matches(msg, m.Keys.Enter):
		return m.commit(now).move(1)
	case key.Matches(msg, m.Keys.Leave):
		return m.commit(now)
	case key.Matches(msg, m.Keys.Erase):
		return m.erase(now)
	case msg.Type == tea.KeyRunes || msg.Type == tea.KeySpace:
		return m.set(round.Cell{Text: round.Clean(m.cell().Text + string(msg.Runes))}, now)
	}
	if moved := m.moveKey(msg); moved.focus != m.focus {
		return m.commit(now).moveKey(msg)
	}
	return m
}

// Commit returns the screen with a field being typed in taken as complete: the
// officer looks elsewhere.
func (m Model) Commit(now time.Time) Model {
	if m.typing {
		return m.commit(now)
	}
	return m
}

func (m Model) moveKey(msg tea.KeyMsg) Model {
	switch {
	case key.Matches(msg, m.Keys.Next):
		return m.move(1)
	case key.Matches(msg, m.Keys.Back):
		return m.move(-1)
	case key.Matches(msg, m.Keys.Down):
		return m.moveRow(1)
	case key.Matches(msg, m.Keys.Up):
		return m.moveRow(-1)
	}
	return m
}

// move goes on by fields; past the last is the line that logs.
func (m Model) move(by int) Model {
	n := len(m.fields) + 1
	m.focus = (m.focus + by + n) % n
	return m
}

// moveRow goes to the same column of the row above or below, or its last one.
func (m Model) moveRow(by int) Model {
	if m.focus == len(m.fields) {
		return m.move(by)
	}
	from := m.fields[m.focus]
	to := from.Row + by
	if to < 0 || to == len(m.round.Places) {
		m.focus = len(m.fields)
		return m
	}
	col := min(from.Col, len(m.round.Places[to].Fields)-1)
	m.focus = slices.Index(m.fields, round.Position{Row: to, Col: col})
	return m
}

// cell returns the cell in focus; on the line that logs an empty one.
func (m Model) cell() round.Cell {
	if m.focus == len(m.fields) {
		return round.Cell{}
	}
	return m.round.Cell(m.fields[m.focus])
}

// set puts a cell into the field in focus.
func (m Model) set(c round.Cell, now time.Time) Model {
	if m.focus < len(m.fields) {
		m.round, m.confirming = m.round.With(m.fields[m.focus], c, now), false
	}
	return m
}

// remember keeps the round for undo.
func (m Model) remember() Model {
	m.past = append(slices.Clone(m.past), moment{m.round, m.focus})
	return m
}

// begin starts a figure in the field in focus.
func (m Model) begin(msg tea.KeyMsg, now time.Time) Model {
	if m.focus == len(m.fields) {
		return m
	}
	m.typing, m.said = true, said{}
	return m.remember().set(round.Cell{Text: round.Clean(string(msg.Runes))}, now)
}

// commit ends typing: the row is as of now, unless the figure is the old one.
func (m Model) commit(now time.Time) Model {
	m.typing = false
	m.changes++
	at := m.fields[m.focus]
	if last := m.past[len(m.past)-1]; last.round.Cell(at) == m.cell() {
		m.past = m.past[:len(m.past)-1]
		return m
	}
	m.round = m.round.Timed(at.Row, now)
	return m
}

// erase takes away the last sign; the field is then being typed in until it is
// empty.
func (m Model) erase(now time.Time) Model {
	text := []rune(m.cell().Text)
	if len(text) == 0 {
		return m.set(round.Cell{}, now) // no longer "not read"
	}
	if !m.typing {
		m = m.remember()
		m.typing = true
	}
	m = m.set(round.Cell{Text: string(text[:len(text)-1])}, now)
	if len(text) == 1 {
		return m.commit(now)
	}
	return m
}

// skip marks an empty field as passed over.
func (m Model) skip(now time.Time) Model {
	if m.cell().Text != "" {
		return m
	}
	m.round = m.round.With(m.fields[m.focus], round.Cell{Skipped: true}, now)
	return m
}

// same takes the figure of before as read now and unchanged, and goes on.
func (m Model) same(now time.Time) Model {
	if m.focus == len(m.fields) {
		return m
	}
	at := m.fields[m.focus]
	c, known := m.round.Same(at)
	if !known {
		m.said = said{"= repeats a figure, but this one was never read", look}
		return m
	}
	m = m.remember().set(c, now)
	m.round, m.said = m.round.Timed(at.Row, now), said{}
	m.changes++
	m.repeated = true
	return m.move(1)
}

// undo takes back the last figure keyed.
func (m Model) undo() Model {
	if len(m.past) == 0 {
		m.said = said{"nothing to undo", calm}
		return m
	}
	last := m.past[len(m.past)-1]
	m.past = m.past[:len(m.past)-1]
	m.round, m.focus, m.confirming = last.round, last.focus, false
	m.changes++
	m.said = said{"undone", calm}
	return m
}

// log asks for the round to be logged, once it is free of faults and its doubts
// are confirmed.
func (m Model) log(now time.Time) (Model, tea.Cmd) {
	drafts := m.Drafts(now)
	if len(drafts) == 0 {
		m.said = said{"nothing keyed yet", calm}
		return m, nil
	}
	if f := slices.IndexFunc(m.fields, func(at round.Position) bool { return m.round.Fault(at) != "" }); f >= 0 {
		m.focus, m.said = f, said{"not a figure: key it again, or erase it", look}
		return m, nil
	}
	if n, f := m.doubts(); n > 0 && !m.confirming {
		m.focus, m.confirming = f, true
		m.said = said{count(n, "doubt") + ": L again to log as it is", look}
		return m, nil
	}
	m.logging, m.said = true, said{"logging " + count(len(drafts), "row") + "…", calm}
	return m, func() tea.Msg { return LogMsg{drafts} }
}

// doubts returns how many there are and the first field in doubt.
func (m Model) doubts() (n, focus int) {
	for f := len(m.fields) - 1; f >= 0; f-- {
		if here := len(m.round.Doubts(m.fields[f])); here > 0 {
			n, focus = n+here, f
		}
	}
	return n, focus
}

// lineKey takes a key while the line in any order is open.
func (m Model) lineKey(msg tea.KeyMsg, now time.Time) Model {
	switch {
	case key.Matches(msg, m.Keys.Leave):
		m.lineOpen = false
	case key.Matches(msg, m.Keys.Enter):
		return m.takeLine(now)
	case key.Matches(msg, m.Keys.Erase):
		if text := []rune(m.line); len(text) > 0 {
			m.line = string(text[:len(text)-1])
		}
	case msg.Type == tea.KeyRunes || msg.Type == tea.KeySpace:
		text := []rune(m.line + string(msg.Runes))
		m.line = string(text[:min(len(text), longestLine)])
	}
	return m
}

// takeLine puts a line into the round; an empty one closes it. A line that is
// not understood stays to be mended.
func (m Model) takeLine(now time.Time) Model {
	if strings.TrimSpace(m.line) == "" {
		m.lineOpen = false
		return m
	}
	line := m.line
	filled, row, err := m.round.Line(line, now)
	if err != nil {
		m.said = said{err.Error(), look}
		return m
	}
	m = m.remember()
	m.round, m.focus = filled, slices.Index(m.fields, round.Position{Row: row})
	m.line, m.said, m.confirming = "", said{}, false
	if strings.Contains(line, "@") {
		m.said.words = m.round.Places[row].Name + " as of " + m.Pen.Clock(m.round.At(row, now))
	}
	m.changes++
	return m
}
