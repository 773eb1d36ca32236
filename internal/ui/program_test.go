package ui

import (
	"context"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/vt"

	"example.org/headwatch/internal/journal"
)

// terminal is an emulated terminal behind a lock of its own: the program writes
// while the test looks.
type terminal struct {
	mu sync.Mutex
	vt *vt.Emulator
}

func (t *terminal) Write(p []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.vt.Write(p)
}

func (t *terminal) screen() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.vt.String()
}

// awaits waits until the terminal shows words.
func (t *terminal) awaits(tb testing.TB, words string) {
	tb.Helper()
	for range 500 {
		if strings.Contains(t.screen(), words) {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	tb.Fatalf("%q never came:\n%s", words, t.screen())
}

// The whole program, as on a terminal: a round from the first frame to the log.
func TestProgram(t *testing.T) {
	b := newBench(t)
	screen := &terminal{vt: vt.NewEmulator(80, 24)}
	in, keys := io.Pipe()
	p := tea.NewProgram(b.m, tea.WithInput(in), tea.WithOutput(screen), tea.WithAltScreen(), tea.WithFPS(framesPerSecond))
	done := make(chan error, 1)
	go func() { _, err := p.Run(); done <- err }()
	p.Send(tea.WindowSizeMsg{Width: 80, Height: 24})

	screen.awaits(t, "nothing over a limit at the readings of 14:23")
	for _, step := range []struct{ keys, shows string }{
		{"r", "[r readings]"},
		{"1310\r.6\r9.4", "9.4▏"},
		{"\r", "1310 ‹1300›"},
		{"\x1b[B\x1b[B7,3\r", "7,3 ‹7.20›"},
		{"L", "logged 15:19, entries 6–7"},
		{"n", "of 8.50: 1.20 left"},
	} {
		io.WriteString(keys, step.keys)
		screen.awaits(t, step.shows)
	}
	p.Send(tea.WindowSizeMsg{Width: 20, Height: 5})
	screen.awaits(t, "window too small")
	io.WriteString(keys, "q")
	select {
	case err := <-done:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(5 * time.Second):
		t.Fatal("it does not quit")
	}
	if len(b.log.entries) != 2 {
		t.Errorf("logged %v", b.log.entries)
	}
}

// Run keeps what is keyed when its context ends.
func TestRunKeepsTheRound(t *testing.T) {
	dir := t.TempDir()
	var o Options
	benchIn(t, dir, func(options *Options, _ *fakeLog) { o = *options })
	in, keys := io.Pipe()
	o.Folder, o.In, o.Out = dir, in, io.Discard
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- Run(ctx, o) }()
	io.WriteString(keys, "r1310\r.6") // the .6 is not complete
	for range 500 {
		if _, err := os.Stat(filepath.Join(dir, journal.UnloggedName)); err == nil {
			break // the 1310 is
		}
		time.Sleep(10 * time.Millisecond)
	}
	time.Sleep(100 * time.Millisecond)
	cancel()
	select {
	case err := <-done:
		if err != context.Canceled {
			t.Errorf("it ends with %v", err)
		}
	case <-time.After(5 * time.Second):
		t.Fatal("it does not end")
	}
	keys.Close()
	kept := unlogged(t, dir)
	if len(kept) != 1 {
		t.Fatalf("kept %v", kept)
	}
	benchIn(t, dir).size(80, 24).press("r").shows("1310", ".6 ‹0.62›")
}

// TestInitOrder asks the run-time in which order packages were initialised: the
// palette answers for the terminal's background, bubbletea would ask for it,
// and a terminal that is mute would hold the first frame up for 5 s.
func TestInitOrder(t *testing.T) {
	cmd := exec.Command(os.Args[0], "-test.run=^$")
	cmd.Env = append(os.Environ(), "GODEBUG=inittrace=1")
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatal(err)
	}
	palette := strings.Index(string(out), "init example.org/headwatch/internal/ui/palette @")
	bubbletea := strings.Index(string(out), "init github.com/charmbracelet/bubbletea @")
	if palette < 0 || bubbletea < 0 || palette > bubbletea {
		t.Errorf("palette at byte %d of the trace, bubbletea at %d: want it before\n%s", palette, bubbletea, out)
	}
}
