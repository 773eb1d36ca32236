package ui

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/headwatch/internal/journal"
	"example.org/headwatch/internal/ui/palette"
	"example.org/headwatch/internal/watch"
)

// framesPerSecond is how often the renderer looks for something to draw: a key
// shows within 24 ms (99 of 100), and idling costs 0.9 % of a core. At 60 it is
// 19 ms and 1.2 %.
const framesPerSecond = 46

// Log is what the screens need of a pumping log; *journal.Log is one.
type Log interface {
	// Append logs drafts, all or none.
	Append(...journal.Draft) ([]journal.Entry, error)
	// Writable returns why nothing can be appended, nil when it can.
	Writable() error
	// Refresh returns what another instance has appended.
	Refresh() ([]journal.Entry, error)
}

// Options is what Run starts with.
type Options struct {
	State  watch.State      // folded from the log so far
	Recent []journal.Entry  // the newest entries, oldest first, for the list of what is logged
	Log    Log              // where rounds go
	Folder string           // shown, and where the unlogged round is kept
	By     string           // who keys
	Notes  []string         // said once at the start
	Now    func() time.Time // the only clock
	In     io.Reader        // nil: the terminal
	Out    io.Writer        // nil: the terminal
}

// Run shows the console until the officer quits or ctx ends. What was keyed and
// not logged is kept in the folder, whichever way it ends.
func Run(ctx context.Context, o Options) error {
	out := o.Out
	if out == nil {
		out = os.Stdout
	}
	m := newModel(o, palette.Detect(out, os.Getenv))
	settings := []tea.ProgramOption{tea.WithContext(ctx), tea.WithAltScreen(), tea.WithFPS(framesPerSecond), tea.WithOutput(out)}
	if o.In != nil {
		settings = append(settings, tea.WithInput(o.In))
	}
	_, err := tea.NewProgram(m, settings...).Run()
	if kept := m.keep.flush(); kept != nil {
		err = errors.Join(err, fmt.Errorf("the round not logged is not kept: %w", kept))
	}
	if errors.Is(err, context.Canceled) {
		return ctx.Err()
	}
	return err
}
