package readings

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/headwatch/internal/journal"
	"example.org/headwatch/internal/ui/draw"
	"example.org/headwatch/internal/ui/round"
	"example.org/headwatch/internal/watch"
)

// KeyMap is the keys of the screen.
type KeyMap struct {
	Enter, Same, Next, Back, Up, Down, Erase, Leave, Undo, Log, Line key.Binding
}

// Keys returns the keys of the screen with their help.
func Keys() KeyMap {
	bind := func(keys, name, words string) key.Binding {
		return key.NewBinding(key.WithKeys(strings.Fields(keys)...), key.WithHelp(name, words))
	}
	return KeyMap{
		Enter: bind("enter", "Enter", "next figure; in an empty field: not read"),
		Same:  bind("=", "=", "read, unchanged"),
		Next:  bind("tab right", "Tab →", "next field"),
		Back:  bind("shift+tab left", "Shift-Tab ←", "field before"),
		Up:    bind("up", "↑", "row above"),
		Down:  bind("down", "↓", "row below"),
		Erase: bind("backspace ctrl+h", "Backspace", "erase the last sign"),
		Leave: bind("esc", "Esc", "leave the field, then the screen; nothing is lost"),
		Undo:  bind("u", "u", "undo the last figure keyed"),
		Log:   bind("L", "L", "log the round"),
		Line:  bind("/", "/", "key a line in any order: 2 1300 .6 9.1   m 7.2   4C 11.34@15:10"),
	}
}

// LogMsg asks for drafts to be logged. The answer is Logged or NotLogged.
type LogMsg struct{ Drafts []journal.Draft }

// Model is the screen. It holds no size and does no I/O.
type Model struct {
	Keys KeyMap
	By   string // who keys
	Pen  draw.Pen

	round  round.Round
	fields []round.Position // all of the round in the order of Enter
	logged []string         // the newest entries in words, oldest first

	focus      int      // index of fields; len(fields) is the line that logs
	typing     bool     // a field takes every key
	line       string   // typed after "/"
	lineOpen   bool     // the line takes every key
	past       []moment // for undo
	changes    int      // counts what should be kept over a restart
	repeated   bool     // "=" was the key before: it went on by itself
	confirming bool     // doubts were shown, L logs them as they are
	logging    bool
	refusal    error // why nothing can be logged; nil usually
	said       said
}

// moment is the round before a change.
type moment struct {
	round round.Round
	focus int
}

// said is what the screen says at its foot, and how urgent it is.
type said struct {
	words string
	level level
}

type level uint8

const (
	calm   level = iota
	look         // wants an eye
	urgent       // not logged
)

// New returns the screen with an empty round.
func New(p draw.Pen, s watch.State, by string, now time.Time) Model {
	m := Model{Keys: Keys(), By: by, Pen: p, round: round.New(s, p.Location(), now)}
	for i, pl := range m.round.Places {
		for k := range pl.Fields {
			m.fields = append(m.fields, round.Position{Row: i, Col: k})
		}
	}
	return m
}

// WithState returns the screen with a newer state of the log.
func (m Model) WithState(s watch.State, now time.Time) Model {
	m.round = m.round.WithState(s, now)
	return m
}

// WithLogged returns the screen with entries added to those it lists.
func (m Model) WithLogged(entries []journal.Entry) Model {
	const most = 100
	m.logged = slices.Clone(m.logged)
	for i := range entries {
		m.logged = append(m.logged, describe(m.Pen, entries[i]))
	}
	m.logged = m.logged[max(len(m.logged)-most, 0):]
	return m
}

// ReadOnly returns the screen that keys nothing, and why; with nil it keys.
func (m Model) ReadOnly(why error) Model {
	m.refusal = why
	return m
}

// Typing reports whether letters belong to what is being typed.
func (m Model) Typing() bool { return m.typing || m.lineOpen }

// Ends reports whether a sign completes the figure being typed, since it can't
// belong to it.
func (m Model) Ends(msg tea.KeyMsg) bool {
	if !m.typing || m.lineOpen || msg.Paste || msg.Type != tea.KeyRunes {
		return false
	}
	at := m.fields[m.focus]
	return m.round.Places[at.Row].Fields[at.Col].Ends(m.cell().Text, string(msg.Runes))
}

// FootKeys returns the keys that matter now, in few words.
func (m Model) FootKeys() []key.Binding {
	short := func(b key.Binding, words string) key.Binding {
		b.SetHelp(b.Help().Key, words)
		return b
	}
	switch {
	case m.refusal != nil:
		return nil
	case m.lineOpen:
		return []key.Binding{short(m.Keys.Enter, "into the grid"), short(m.Keys.Leave, "close"), short(m.Keys.Erase, "erase")}
	case m.typing:
		return []key.Binding{short(m.Keys.Enter, "next"), short(m.Keys.Leave, "leave the field"), short(m.Keys.Erase, "erase")}
	}
	return []key.Binding{short(m.Keys.Log, "log"), short(m.Keys.Undo, "undo"), short(m.Keys.Line, "line")}
}

// Keyed returns how many figures are keyed and not logged, in words; nothing
// when there are none.
func (m Model) Keyed() string {
	if _, n := m.round.Begun(); n > 0 {
		return count(n, "figure")
	}
	return ""
}

// Changes counts what was keyed: when it moves, Drafts should be kept.
func (m Model) Changes() int { return m.changes }

// Drafts returns what is keyed and not logged, figure or not, oldest first.
func (m Model) Drafts(now time.Time) []journal.Draft { return m.round.Drafts(m.By, now) }

// Restore returns the screen with a round that was kept unlogged, and what is
// to be said of it.
func (m Model) Restore(drafts []journal.Draft, now time.Time) (Model, []string) {
	restored, lost := m.round.Restore(drafts, now)
	m.round = restored
	m.changes++
	var words []string
	if len(lost) > 0 {
		words = append(words, "Keyed before, but not in the plan any more, and left out: "+strings.Join(lost, "; "))
	}
	return m, words
}

// Logged returns the screen after its drafts became entries.
func (m Model) Logged(entries []journal.Entry, now time.Time) Model {
	m.round, m.past = m.round.Cleared(now), nil
	m.logging, m.confirming, m.focus = false, false, 0
	m.changes++
	if n := len(entries); n > 0 {
		which := fmt.Sprintf("entry %d", entries[0].Seq)
		if n > 1 {
			which = fmt.Sprintf("entries %d–%d", entries[0].Seq, entries[n-1].Seq)
		}
		m.said = said{fmt.Sprintf("logged %s, %s", m.Pen.Clock(entries[n-1].Entered), which), calm}
	}
	return m
}

// NotLogged returns the screen after its drafts could not be logged, and why.
func (m Model) NotLogged(why string) Model {
	m.logging, m.confirming = false, false
	m.said = said{"NOT LOGGED: " + why, urgent}
	return m
}

// count returns a number of things in words.
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
