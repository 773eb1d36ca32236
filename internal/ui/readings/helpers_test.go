package readings

import (
	"io"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"

	"example.org/headwatch/demo"
	"example.org/headwatch/internal/journal"
	"example.org/headwatch/internal/ship"
	"example.org/headwatch/internal/ui/draw"
	"example.org/headwatch/internal/ui/palette"
	"example.org/headwatch/internal/watch"
)

var zone = time.FixedZone("+01:00", 3600)

// begun is when a test begins to key, an hour after the round before.
var begun = time.Date(2026, 3, 1, 15, 17, 0, 0, zone)

// logged is the demo ship after one round, at 14:20.
func logged(t testing.TB) watch.State {
	t.Helper()
	d, err := ship.Load(demo.Files())
	if err != nil {
		t.Fatal(err)
	}
	s := watch.New(d)
	at := begun.Add(-57 * time.Minute)
	for _, b := range []journal.Body{
		journal.Reading{Pump: "COP 1", Speed: "1300 rpm", Suction: "0.62 bar", Discharge: "9.04 bar"},
		journal.Reading{Pump: "COP 2", Speed: "1300 rpm", Suction: "0.55 bar", Discharge: "9.02 bar"},
		journal.Reading{Pump: "COP 3", Speed: "1300 rpm", Suction: "0.48 bar", Discharge: "8.98 bar"},
		journal.Reading{Manifold: "M2", Pressure: "7.20 bar"},
		journal.Ullage{Tank: "4C", Ullage: "10.02 m"},
	} {
		if s, err = watch.Try(s, b, at); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

func newModel(t testing.TB) Model {
	s := logged(t)
	pen := draw.Pen{Palette: palette.New(lipgloss.NewRenderer(io.Discard), false), Units: s.Ship().Units, Zone: zone}
	return New(pen, s, "2/O Dahl", begun)
}

// keyboard presses keys on a screen, a second apart.
type keyboard struct {
	Model
	now time.Time
	out []journal.Draft // of the last LogMsg
}

func keys(t testing.TB) *keyboard { return &keyboard{Model: newModel(t), now: begun} }

// named are the keys that are not what they print.
var named = map[string]tea.KeyType{
	"Enter": tea.KeyEnter, "Tab": tea.KeyTab, "BackTab": tea.KeyShiftTab, "Up": tea.KeyUp, "Down": tea.KeyDown,
	"Left": tea.KeyLeft, "Right": tea.KeyRight, "Esc": tea.KeyEsc, "Bksp": tea.KeyBackspace, "Space": tea.KeySpace,
}

// press takes words: names of keys, or figures to be typed sign by sign.
func (k *keyboard) press(words string) *keyboard {
	for _, word := range strings.Fields(words) {
		if typ, ok := named[word]; ok {
			msg := tea.KeyMsg{Type: typ}
			if typ == tea.KeySpace {
				msg.Runes = []rune{' '}
			}
			k.key(msg)
			continue
		}
		for _, r := range word {
			k.key(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
		}
	}
	return k
}

func (k *keyboard) key(msg tea.KeyMsg) {
	k.now = k.now.Add(time.Second)
	var cmd tea.Cmd
	k.Model, cmd = k.Update(msg, k.now)
	if cmd != nil {
		k.out = cmd().(LogMsg).Drafts
	}
}

func (k *keyboard) screen() string { return strings.Join(k.View(79, 20), "\n") }

// bodies are what would be logged.
func bodies(drafts []journal.Draft) []journal.Body {
	var out []journal.Body
	for _, d := range drafts {
		out = append(out, d.Body)
	}
	return out
}
