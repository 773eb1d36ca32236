package ui

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/headwatch/internal/ui/draw"
)

// helpLines returns the help: every key and what the marks mean.
func (m model) helpLines(width int) []string {
	const column = 19
	var out []string
	add := func(name, words string) {
		for i, line := range m.pen.Wrap(words, width-column-2) {
			if i > 0 {
				name = ""
			}
			out = append(out, "  "+m.pen.Accent.Render(m.pen.Left(name, column))+line)
		}
	}
	out = append(out, m.pen.Wrap(adviceLong, width)...)
	for _, g := range helpKeys() {
		out = append(out, "", m.pen.Strong.Render(g.name))
		for _, b := range g.keys {
			add(b.Help().Key, b.Help().Desc)
		}
	}
	out = append(out, "", m.pen.Strong.Render("Signs"))
	for _, s := range signs {
		add(s[0], s[1])
	}
	if len(m.notes) > 0 {
		out = append(out, "", m.pen.Strong.Render("This log"))
		add("folder", m.folder)
		for _, words := range m.notes {
			add("", words)
		}
	}
	return out
}

// signs is what the marks of the screens mean.
var signs = [...][2]string{
	{"2,280 ±320", "the figure and its uncertainty: true within it 95 times of 100"},
	{"1,100 (600–1,500)", "the figure is poor: only the two ends are worth something"},
	{"≥2,630", "beyond the end of the pump's curve: at least this"},
	{"– (0–900)", "the head is above the curve: no flow can be read, at most this (– above: none at all)"},
	{"2,240 or 310", "one head, two flows: the curve droops"},
	{"–", "not known"},
	{"‹9.79›", "the figure of before; not keyed"},
	{"= 0.55", "read now, unchanged"},
	{"not read", "passed over: the old figure keeps its age"},
	{"1h05 old", "read that long ago and older than the newest round; \"oldest 13:01\" at the top is the time of the oldest figure that still counts. Without an age a figure is of the newest round"},
	{"‹9.79› 1h05", "the figure of before, and how old"},
	{"certain", "beyond the limit with all of its uncertainty"},
	{"likely", "beyond the limit itself, but its uncertainty reaches back inside"},
	{"by ullage", "the rate by what left the tanks between their last two ullages, in observed volume"},
	{"as of 16:14", "keyed as 4C 10.2@16:14: read then, today"},
	{"?", "in doubt: read again; it can be logged all the same"},
	{"!", "no figure: it can't be logged"},
	{"REAL", "a real ship's log; FICTIONAL SHIP: invented; TRAINING: a drill"},
	{"READ-ONLY", "nothing can be logged here; the reason stands on Readings"},
	{"NOT LOGGED", "the last round is not on the disk; nothing typed is lost"},
	{"ALARM", "act now (red). WARNING: look now (yellow). CAUTION: think"},
}

// helpKey takes a key while help is open.
func (m model) helpKey(msg tea.KeyMsg) (model, tea.Cmd) {
	width, height := m.body()
	switch {
	case key.Matches(msg, m.keys.HelpLeave):
		m.help = false
	case key.Matches(msg, m.keys.Quit):
		return m, tea.Quit
	case key.Matches(msg, m.keys.Up):
		m.helpTop -= leap(msg, height)
	case key.Matches(msg, m.keys.Down):
		m.helpTop += leap(msg, height)
	}
	m.helpTop = min(max(m.helpTop, 0), draw.Scrolls(len(m.helpLines(width)), height))
	return m, nil
}

// leap is how many lines a key scrolls.
func leap(msg tea.KeyMsg, height int) int {
	if msg.Type == tea.KeyPgUp || msg.Type == tea.KeyPgDown {
		return max(height-2, 1)
	}
	return 1
}
