package ui

import (
	"slices"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/headwatch/internal/journal"
	"example.org/headwatch/internal/ui/draw"
	"example.org/headwatch/internal/ui/now"
	"example.org/headwatch/internal/ui/palette"
	"example.org/headwatch/internal/ui/readings"
	"example.org/headwatch/internal/watch"
)

// interval is how often the clock is looked at and another's log is read:
// digits change no oftener.
const interval = 2 * time.Second

// screen is one of the screens.
type screen uint8

const (
	nowScreen screen = iota
	readingsScreen
)

// model is the root.
type model struct {
	keys   keyMap
	pen    draw.Pen
	log    Log
	clock  func() time.Time
	keep   *keep
	folder string
	notes  []string

	width, height int
	screen        screen
	help          bool
	helpTop       int
	greeting      bool // the notes are shown until the first key

	state     watch.State
	picture   watch.Picture
	troubles  []string // entries that could not be used, and what else went wrong with the log
	refusal   error    // why nothing can be logged; nil usually
	notLogged bool     // the last round could not be logged
	notKept   error    // why what is keyed would not outlive the program
	following bool     // another's log is being read right now

	now      now.Model
	readings readings.Model
}

// Messages of the root.
type (
	tickMsg   struct{}
	loggedMsg struct {
		entries []journal.Entry
		err     error
	}
	followedMsg struct {
		entries []journal.Entry
		err     error
	}
	keptMsg struct{ err error }
)

func newModel(o Options, p palette.Palette) model {
	at := o.Now()
	m := model{
		keys:  keys(),
		pen:   draw.Pen{Palette: p, Units: o.State.Ship().Units, Zone: o.State.Plan().Zone},
		log:   o.Log,
		clock: o.Now,
		keep:  &keep{},

		folder: o.Folder, notes: slices.Clone(o.Notes), greeting: true,
		state: o.State, refusal: o.Log.Writable(),
		now: now.New(),
	}
	m.notes = append(m.notes, tornNote(o.Recent)...)
	m.readings = readings.New(m.pen, o.State, o.By, at).WithLogged(o.Recent)
	m = m.refused(m.refusal)
	if m.refusal == nil { // the round kept in the folder is another's else
		m.keep.dir = o.Folder
		m = m.restore(o.Recent, at)
	}
	return m.assessed(at)
}

// restore takes up a round that an earlier run left unlogged.
func (m model) restore(recent []journal.Entry, at time.Time) model {
	drafts, err := journal.LoadUnlogged(m.folder, recent)
	switch {
	case err != nil:
		m.notes = append(m.notes, "A round keyed before could not be read back: "+err.Error())
		return m
	case len(drafts) == 0:
		m.keep.stale = true // what the file may hold is logged: away with it
		return m
	}
	var words []string
	m.readings, words = m.readings.Restore(drafts, at)
	m.keep.set(m.readings.Drafts(at))
	m.notes = append(m.notes, words...)
	return m
}

// Init starts the clock.
func (m model) Init() tea.Cmd { return tick() }

func tick() tea.Cmd { return tea.Tick(interval, func(time.Time) tea.Msg { return tickMsg{} }) }

// Update takes one message and returns the console after it.
func (m model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		return m.sized(msg), nil
	case tea.KeyMsg:
		return m.typed(msg)
	case tickMsg:
		at := m.clock()
		m = m.assessed(at)
		m.readings = m.readings.WithState(m.state, at)
		return m.follow(tea.Batch(tick(), m.keepTyped()))
	case readings.LogMsg:
		return m, m.write(msg.Drafts)
	case loggedMsg:
		return m.logged(msg)
	case followedMsg:
		return m.followed(msg), nil
	case keptMsg:
		m.notKept = msg.err
	}
	return m, nil
}

// sized takes the size of the terminal. A serial console often knows none: it
// is taken for the smallest that the screens are made for.
func (m model) sized(msg tea.WindowSizeMsg) model {
	m.width, m.height = msg.Width, msg.Height
	if m.width == 0 || m.height == 0 {
		m.width, m.height = wantedWidth, wantedHeight
	}
	return m
}

// assessed brings the picture to a moment.
func (m model) assessed(at time.Time) model {
	m.picture = watch.Assess(m.state, at)
	return m
}

// write logs drafts, away from the keys: a disk may take its time.
func (m model) write(drafts []journal.Draft) tea.Cmd {
	return func() tea.Msg {
		entries, err := m.log.Append(drafts...)
		return loggedMsg{entries, err}
	}
}

func (m model) logged(msg loggedMsg) (model, tea.Cmd) {
	if m.notLogged = msg.err != nil; m.notLogged {
		m = m.refused(m.log.Writable())
		m.readings = m.readings.NotLogged(notLoggedWords(msg.err, m.notKept == nil))
		return m, nil
	}
	m.readings = m.readings.Logged(msg.entries, m.clock())
	m = m.fold(msg.entries)
	m.keep.set(nil)
	return m, m.flush()
}

// follow reads what another instance has logged, while that one writes.
func (m model) follow(also tea.Cmd) (model, tea.Cmd) {
	if m.refusal == nil || m.following {
		return m, also
	}
	m.following = true
	return m, tea.Batch(also, func() tea.Msg {
		entries, err := m.log.Refresh()
		return followedMsg{entries, err}
	})
}

func (m model) followed(msg followedMsg) model {
	m.following = false
	m = m.refused(m.log.Writable())
	if msg.err != nil {
		m = m.trouble(followWords(msg.err))
	}
	return m.fold(msg.entries)
}

// refused takes why nothing can be logged, which may have changed.
func (m model) refused(why error) model {
	m.refusal = why
	m.readings, m.now.ReadOnly = m.readings.ReadOnly(why), why != nil
	return m
}

// fold takes entries into the state.
func (m model) fold(entries []journal.Entry) model {
	if len(entries) == 0 {
		return m
	}
	for _, e := range entries {
		var err error
		if m.state, err = watch.Fold(m.state, e); err != nil {
			m = m.trouble(err.Error())
		}
	}
	at := m.clock()
	m.readings = m.readings.WithState(m.state, at).WithLogged(entries)
	return m.assessed(at)
}

// trouble notes what went wrong, once.
func (m model) trouble(words string) model {
	const most = 5
	if !slices.Contains(m.troubles, words) {
		m.troubles = append(slices.Clone(m.troubles), words)
		m.troubles = m.troubles[max(len(m.troubles)-most, 0):]
	}
	return m
}

// flush writes what is keyed and not logged, away from the keys.
func (m model) flush() tea.Cmd {
	return func() tea.Msg { return keptMsg{m.keep.flush()} }
}

// keepTyped writes what is typed into a field that is not complete yet.
func (m model) keepTyped() tea.Cmd {
	if !m.keep.pending() {
		return nil
	}
	return m.flush()
}

// typed takes what came from the keyboard. Keys that come fast, or over a slow
// line, come several at a time.
func (m model) typed(msg tea.KeyMsg) (model, tea.Cmd) {
	switch {
	case msg.Alt:
		return m, nil
	case msg.Type != tea.KeyRunes || msg.Paste || len(msg.Runes) < 2:
		return m.key(msg)
	}
	var cmds []tea.Cmd
	for _, r := range msg.Runes {
		var cmd tea.Cmd
		m, cmd = m.key(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
		cmds = append(cmds, cmd)
	}
	return m, tea.Batch(cmds...)
}

// key takes one key: what is in front first, then the keys that work
// everywhere, then the screen.
func (m model) key(msg tea.KeyMsg) (model, tea.Cmd) {
	m.greeting = false
	switch {
	case key.Matches(msg, m.keys.Stop):
		return m, tea.Quit
	case key.Matches(msg, m.keys.Repaint):
		return m, tea.ClearScreen
	case key.Matches(msg, m.keys.NowAlways):
		return m.show(nowScreen)
	case key.Matches(msg, m.keys.ReadingsAlways):
		return m.show(readingsScreen)
	case m.help:
		return m.helpKey(msg)
	case m.screen == readingsScreen && m.readings.Ends(msg) && m.isCommand(msg):
		before := m.readings.Changes()
		m.readings = m.readings.Commit(m.clock())
		m, cmd := m.kept(before, nil)
		m, then := m.command(msg)
		return m, tea.Batch(cmd, then)
	case m.screen == readingsScreen && (msg.Paste || m.readings.Typing()):
		return m.toReadings(msg)
	}
	return m.command(msg)
}

// isCommand reports whether a letter is a command of a screen.
func (m model) isCommand(msg tea.KeyMsg) bool {
	r := m.readings.Keys
	return key.Matches(msg, m.keys.Quit, m.keys.Help, m.keys.Now, m.keys.Readings, r.Log, r.Undo, r.Line)
}

// command takes a key that belongs to no figure.
func (m model) command(msg tea.KeyMsg) (model, tea.Cmd) {
	switch {
	case key.Matches(msg, m.keys.Quit):
		return m, tea.Quit
	case key.Matches(msg, m.keys.Help):
		m.help, m.helpTop = true, 0
		return m, nil
	case key.Matches(msg, m.keys.Now), key.Matches(msg, m.keys.Leave):
		return m.show(nowScreen)
	case key.Matches(msg, m.keys.Readings):
		return m.show(readingsScreen)
	case m.screen == readingsScreen:
		return m.toReadings(msg)
	}
	width, height := m.body()
	m.now = m.now.Update(msg, m.pen, &m.picture, width, height)
	return m, nil
}

// show changes to a screen. A field that was being typed in is complete then.
func (m model) show(s screen) (model, tea.Cmd) {
	m.screen, m.help = s, false
	before := m.readings.Changes()
	m.readings = m.readings.Commit(m.clock())
	return m.kept(before, nil)
}

func (m model) toReadings(msg tea.KeyMsg) (model, tea.Cmd) {
	before := m.readings.Changes()
	var cmd tea.Cmd
	m.readings, cmd = m.readings.Update(msg, m.clock())
	return m.kept(before, cmd)
}

// kept hands on what is keyed to be kept, and writes it when a field is complete.
func (m model) kept(before int, cmd tea.Cmd) (model, tea.Cmd) {
	m.keep.set(m.readings.Drafts(m.clock()))
	if m.readings.Changes() == before {
		return m, cmd
	}
	return m, tea.Batch(cmd, m.flush())
}
