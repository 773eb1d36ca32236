package now

import (
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/headwatch/internal/ui/draw"
	"example.org/headwatch/internal/watch"
)

// Widths of the grid, in cells.
const (
	labelWidth  = 18
	columnLeast = 20 // "1,100 (600–1,500)" must not be cut
	columnMost  = 24
	tanksWidth  = 40 // of the tanks beside the pumps, with the gap before them
)

// KeyMap is the keys of the screen.
type KeyMap struct{ Left, Right, Up, Down key.Binding }

// Keys returns the keys of the screen with their help.
func Keys() KeyMap {
	return KeyMap{
		Left:  key.NewBinding(key.WithKeys("left"), key.WithHelp("←", "the pumps to the left")),
		Right: key.NewBinding(key.WithKeys("right"), key.WithHelp("→", "the pumps to the right")),
		Up:    key.NewBinding(key.WithKeys("up", "pgup"), key.WithHelp("↑", "what is above")),
		Down:  key.NewBinding(key.WithKeys("down", "pgdown"), key.WithHelp("↓", "what is below")),
	}
}

// Model is the screen. Of its own it keeps only how far it is scrolled.
type Model struct {
	Keys     KeyMap
	ReadOnly bool // nothing can be keyed here

	first int // pump shown at the left
	top   int // line shown at the top
}

// New returns the screen, not scrolled.
func New() Model { return Model{Keys: Keys()} }

// Update takes a key; the picture and the size say how far there is to scroll.
func (m Model) Update(msg tea.KeyMsg, p draw.Pen, pic *watch.Picture, width, height int) Model {
	switch {
	case key.Matches(msg, m.Keys.Left):
		m.first--
	case key.Matches(msg, m.Keys.Right):
		m.first++
	case key.Matches(msg, m.Keys.Up):
		m.top--
	case key.Matches(msg, m.Keys.Down):
		m.top++
	}
	m.first = m.firstShown(len(pumps(pic)), width)
	m.top = min(max(m.top, 0), draw.Scrolls(len(m.lines(p, pic, width, height)), height))
	return m
}

// View draws the picture into width × height cells.
func (m Model) View(p draw.Pen, pic *watch.Picture, width, height int) []string {
	return p.Window(m.lines(p, pic, width, height), m.top, height)
}

// layout is how much stands above the fold. A higher one has less there, so that
// what to do and what is due are seen without scrolling.
type layout uint8

const (
	airy   layout = iota // everything, with blank lines between
	dense                // without
	folded               // what nobody decides on at once below the fold
	least                // what the flows are made of there too
	always               // no layout: of rows that are never below the fold
)

// lines returns the whole screen, however many lines it has.
func (m Model) lines(p draw.Pen, pic *watch.Picture, width, height int) []string {
	var first, rest []string
	for l := airy; l < always; l++ {
		if first, rest = m.laidOut(p, pic, l, width); len(first)+min(len(rest), 1) <= height { // of a rest a line says so
			break
		}
	}
	out := append(first, rest...)
	if list := tanks(p, pic); !beside(pic, width) && hasTanks(pic) && len(out)+1+len(list) <= height {
		out = append(append(out, ""), list...)
	}
	return out
}

// laidOut returns what is above the fold in a layout, and what is below it.
func (m Model) laidOut(p draw.Pen, pic *watch.Picture, l layout, width int) (first, rest []string) {
	gap := []string{""}
	if l > airy {
		gap = nil
	}
	room := width
	if beside(pic, width) {
		room -= tanksWidth
	}
	limits, foldedRates := agreed(p, pic, l, room)
	grid, foldedRows := m.grid(p, pic, l, room)
	first = slices.Concat(limits, gap, grid)
	if room < width {
		first = draw.Beside(first, tanks(p, pic), room+2)
	}
	first = slices.Concat(first, gap, m.todo(p, pic, width))
	rest = slices.Concat(foldedRows, foldedRates)
	if off := off(p, pic, width); l < folded {
		first = append(first, off...)
	} else {
		rest = append(rest, off...)
	}
	return first, rest
}

// beside reports whether the tanks stand beside the pumps.
func beside(pic *watch.Picture, width int) bool {
	return width >= labelWidth+columnLeast*len(pumps(pic))+tanksWidth && hasTanks(pic)
}

// shown returns how many pumps fit, of how many.
func shown(pumps, width int) int {
	return min(max((width-labelWidth)/columnLeast, 1), pumps)
}

func (m Model) firstShown(pumps, width int) int {
	return min(max(m.first, 0), pumps-shown(pumps, width))
}

// pumps returns the pumps of all parcels: they are one plant, and what happens
// to one parcel is seen while another is looked at.
func pumps(pic *watch.Picture) []*watch.Pump {
	var out []*watch.Pump
	for i := range pic.Parcels {
		for k := range pic.Parcels[i].Pumps {
			out = append(out, &pic.Parcels[i].Pumps[k])
		}
	}
	return out
}
