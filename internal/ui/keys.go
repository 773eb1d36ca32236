package ui

import (
	"github.com/charmbracelet/bubbles/key"

	"example.org/headwatch/internal/ui/now"
	"example.org/headwatch/internal/ui/readings"
)

// keyMap is the keys that work on every screen. Letters are commands while
// nothing is being typed, and where they can't belong to the figure that is; the
// function keys always are.
type keyMap struct {
	Now, Readings, Help, Quit, Leave   key.Binding
	NowAlways, ReadingsAlways          key.Binding
	Stop, Repaint, HelpLeave, Up, Down key.Binding
}

func keys() keyMap {
	return keyMap{
		Now:            key.NewBinding(key.WithKeys("n"), key.WithHelp("n", "now")),
		Readings:       key.NewBinding(key.WithKeys("r"), key.WithHelp("r", "readings")),
		Help:           key.NewBinding(key.WithKeys("?"), key.WithHelp("?", "help")),
		Quit:           key.NewBinding(key.WithKeys("q"), key.WithHelp("q", "quit")),
		Leave:          key.NewBinding(key.WithKeys("esc"), key.WithHelp("Esc", "back")),
		NowAlways:      key.NewBinding(key.WithKeys("f1"), key.WithHelp("F1", "now, while typing too")),
		ReadingsAlways: key.NewBinding(key.WithKeys("f2"), key.WithHelp("F2", "readings, while typing too")),
		Stop:           key.NewBinding(key.WithKeys("ctrl+c"), key.WithHelp("Ctrl-C", "quit, while typing too; nothing keyed is lost")),
		Repaint:        key.NewBinding(key.WithKeys("ctrl+l"), key.WithHelp("Ctrl-L", "draw the screen afresh")),
		HelpLeave:      key.NewBinding(key.WithKeys("esc", "?"), key.WithHelp("Esc", "close help")),
		Up:             key.NewBinding(key.WithKeys("up", "pgup"), key.WithHelp("↑", "up")),
		Down:           key.NewBinding(key.WithKeys("down", "pgdown"), key.WithHelp("↓", "down")),
	}
}

// footKeys returns the keys that the last line names.
func (m model) footKeys() []key.Binding {
	always := []key.Binding{short(m.keys.NowAlways, "now"), short(m.keys.Stop, "quit")}
	here := []key.Binding{m.keys.Now, m.keys.Readings}
	switch {
	case m.help:
		return []key.Binding{m.keys.HelpLeave, m.keys.Up, m.keys.Down, m.keys.Quit}
	case m.screen == readingsScreen && m.readings.Typing():
		return append(m.readings.FootKeys(), always...)
	case m.screen == readingsScreen:
		here = append(here, m.readings.FootKeys()...)
	}
	return append(here, m.keys.Help, m.keys.Quit)
}

// short returns a key with fewer words.
func short(b key.Binding, words string) key.Binding {
	b.SetHelp(b.Help().Key, words)
	return b
}

// helpKeys returns all keys with their words, in groups.
func helpKeys() []group {
	g, r, n := keys(), readings.Keys(), now.Keys()
	return []group{
		{"Everywhere", []key.Binding{g.Now, g.Readings, g.NowAlways, g.ReadingsAlways, g.Help, g.Leave, g.Repaint, g.Quit, g.Stop}},
		{"Readings", []key.Binding{r.Enter, r.Same, r.Next, r.Back, r.Up, r.Down, r.Erase, r.Leave, r.Undo, r.Line, r.Log}},
		{"Now", []key.Binding{n.Left, n.Right, n.Up, n.Down}},
	}
}

// group is keys that belong together.
type group struct {
	name string
	keys []key.Binding
}
