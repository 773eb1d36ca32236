package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/x/vt"
	"golang.org/x/sys/unix"

	"example.org/headwatch/internal/journal"
)

// console is the program in a terminal of 80×24 that answers no question.
type console struct {
	t    *testing.T
	cmd  *exec.Cmd
	keys io.Writer
	done chan struct{} // closed when the program has gone and all it wrote is read

	mu     sync.Mutex
	screen *vt.Emulator
}

// start runs headwatch with its cache in a folder.
func start(t *testing.T, cache string, args ...string) *console {
	t.Helper()
	master, tty := openTerminal(t)
	c := &console{t: t, keys: master, screen: vt.NewEmulator(80, 24), done: make(chan struct{})}
	c.cmd = exec.Command("headwatch", args...)
	c.cmd.Env = append(os.Environ(), "XDG_CACHE_HOME="+cache, "TERM=xterm-256color")
	c.cmd.Stdin, c.cmd.Stdout, c.cmd.Stderr = tty, tty, tty
	c.cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	if err := c.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	tty.Close()
	t.Cleanup(func() { _ = c.cmd.Process.Kill(); <-c.done })
	go io.Copy(io.Discard, c.screen) // its answers
	go func() {
		defer close(c.done)
		buf := make([]byte, 4096)
		for {
			n, err := master.Read(buf)
			c.mu.Lock()
			c.screen.Write(buf[:n])
			c.mu.Unlock()
			if err != nil { // the program has closed the other end
				return
			}
		}
	}()
	return c
}

// openTerminal returns the two ends of a pseudo-terminal.
func openTerminal(t *testing.T) (master, tty *os.File) {
	t.Helper()
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Skip("no pseudo-terminal to be had: ", err)
	}
	t.Cleanup(func() { master.Close() })
	fd := int(master.Fd())
	number, err := unix.IoctlGetInt(fd, unix.TIOCGPTN)
	err = errors.Join(err, unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0),
		unix.IoctlSetWinsize(fd, unix.TIOCSWINSZ, &unix.Winsize{Row: 24, Col: 80}))
	if err != nil {
		t.Fatal(err)
	}
	if tty, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|unix.O_NOCTTY, 0); err != nil {
		t.Fatal(err)
	}
	return master, tty
}

func (c *console) text() string {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.screen.String()
}

// shows waits until all the texts are on the screen, wrapped as may be.
func (c *console) shows(texts ...string) {
	c.t.Helper()
	deadline := time.Now().Add(10 * time.Second)
	for _, want := range texts {
		for !strings.Contains(strings.Join(strings.Fields(c.text()), " "), want) {
			if time.Now().After(deadline) {
				c.t.Fatalf("no %q on the screen:\n%s", want, c.text())
			}
			time.Sleep(5 * time.Millisecond)
		}
	}
}

func (c *console) press(keys string) {
	c.t.Helper()
	if _, err := io.WriteString(c.keys, keys); err != nil {
		c.t.Fatal(err)
	}
}

// exits waits for the end and wants an exit code.
func (c *console) exits(code int) {
	c.t.Helper()
	select {
	case <-c.done:
	case <-time.After(10 * time.Second):
		c.t.Fatalf("still running:\n%s", c.text())
	}
	_ = c.cmd.Wait()
	if got := c.cmd.ProcessState.ExitCode(); got != code {
		c.t.Fatalf("exit code %d, want %d:\n%s", got, code, c.text())
	}
}

// demoFolder returns a new copy of the demo.
func demoFolder(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "demo")
	if err := writeDemo(dir, time.Now()); err != nil {
		t.Fatal(err)
	}
	return dir
}

// lastEntry returns the last entry of a log and how many there are.
func lastEntry(t *testing.T, dir string) (journal.Entry, int) {
	t.Helper()
	log, err := journal.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	entries := log.Entries()
	return entries[len(entries)-1], len(entries)
}

// TestDemo: the bare command shows a scratch copy, the same one again while it
// is young, another one when asked.
func TestDemo(t *testing.T) {
	cache := t.TempDir()
	copies := func() []string {
		found, err := filepath.Glob(filepath.Join(cache, "headwatch", "demo-*"))
		if err != nil {
			t.Fatal(err)
		}
		return found
	}
	for range 2 {
		c := start(t, cache)
		c.shows("FICTIONAL SHIP", "COP 1", "COP 3", "Scratch copy of the demo")
		c.press("q")
		c.exits(0)
		if n := len(copies()); n != 1 {
			t.Fatalf("%d scratch copies, want 1", n)
		}
	}
	c := start(t, cache, "--fresh")
	c.shows("FICTIONAL SHIP", "Scratch copy of the demo")
	c.press("q")
	c.exits(0)
	if n := len(copies()); n != 2 {
		t.Fatalf("%d scratch copies, want 2", n)
	}
}

func TestScratchAges(t *testing.T) {
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	now := time.Now()
	first, err := scratch(false, now)
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		after time.Duration
		same  bool
	}{{demoAge - time.Second, true}, {demoAge, false}} {
		got, err := scratch(false, now.Add(tt.after))
		if err != nil || (got == first) != tt.same {
			t.Errorf("after %v: %s, %v; the same as %s: want %v", tt.after, got, err, first, tt.same)
		}
	}
	if _, n := lastEntry(t, first); n != 124 {
		t.Errorf("the first copy has %d entries now", n)
	}
}

// TestNoCache: where the cache can't be written (here it is a file) the copy goes
// to the temporary files.
func TestNoCache(t *testing.T) {
	temp, cache := t.TempDir(), filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(cache, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	t.Setenv("TMPDIR", temp)
	c := start(t, cache)
	c.shows("FICTIONAL SHIP", "Scratch copy of the demo")
	c.press("q")
	c.exits(0)
	if found, _ := filepath.Glob(filepath.Join(temp, "headwatch", "demo-*", journal.FileName)); len(found) != 1 {
		t.Errorf("logs %q, want one", found)
	}
}

// TestRoundSurvives: a round that was keyed is in the log after a restart.
func TestRoundSurvives(t *testing.T) {
	dir := demoFolder(t)
	c := start(t, t.TempDir(), "watch", dir, "--by", "2/O")
	c.shows("COP 1")
	c.press("r")
	c.shows("Nothing keyed yet")
	c.press("1405\r.67\r10.15\r")
	c.shows("10.15")
	c.press("L")
	c.shows("125")
	c.press("q")
	c.exits(0)

	e, n := lastEntry(t, dir)
	body, err := e.Body()
	want := journal.Reading{Pump: "COP 1", Speed: "1405 rpm", Suction: ".67 bar", Discharge: "10.15 bar"}
	if r, ok := body.(journal.Reading); !ok || n != 125 || err != nil || fmt.Sprint(r) != fmt.Sprint(want) || e.By != "2/O" {
		t.Fatalf("entry %d by %q: %+v, %v; want %+v", n, e.By, body, err, want)
	}
	c = start(t, t.TempDir(), "watch", dir)
	c.shows("1405")
	c.press("q")
	c.exits(0)
}

// TestSecondInstance: it looks on, says why, and follows.
func TestSecondInstance(t *testing.T) {
	dir := demoFolder(t)
	first := start(t, t.TempDir(), "watch", dir)
	first.shows("COP 1")
	second := start(t, t.TempDir(), "watch", dir)
	second.shows("READ-ONLY", "another running instance writes this log")
	if out, err := exec.Command("headwatch", "check", dir).CombinedOutput(); err != nil {
		t.Errorf("check beside it: %v\n%s", err, out)
	}
	first.press("r1405\rL")
	second.shows("1405")
	for _, c := range []*console{first, second} {
		c.press("q")
		c.exits(0)
	}
}

// TestNoLock: where the lock can't be had (here its name is a folder's: tests may
// run as root, whom no permission stops) the log is shown and not written.
func TestNoLock(t *testing.T) {
	dir := demoFolder(t)
	lock := filepath.Join(dir, "pumping-log.lock")
	if err := errors.Join(os.Remove(lock), os.Mkdir(lock, 0o700)); err != nil {
		t.Fatal(err)
	}
	c := start(t, t.TempDir(), "watch", dir)
	c.shows("READ-ONLY", "COP 1", "Read-only, nothing can be logged here")
	c.press("q")
	c.exits(0)
	if _, n := lastEntry(t, dir); n != 124 {
		t.Errorf("%d entries", n)
	}
}

// TestLogBegins: a folder without a log gets one.
func TestLogBegins(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "mine")
	if out, err := exec.Command("headwatch", "new", dir).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	c := start(t, t.TempDir(), "watch", dir, "--by", "C/O")
	c.shows("MY SHIP")
	c.press("q")
	c.exits(0)
	if e, n := lastEntry(t, dir); n != 1 || e.Kind != journal.KindOpened || e.By != "C/O" {
		t.Errorf("entry %d is %s by %q", n, e.Kind, e.By)
	}
}

// TestChangedFile: figures computed with another text than the log began with
// are said to be.
func TestChangedFile(t *testing.T) {
	dir := demoFolder(t)
	appendTo(t, filepath.Join(dir, "plan.yaml"), "# as agreed\n")
	c := start(t, t.TempDir(), "watch", dir)
	c.shows("plan.yaml changed since the log was begun")
	c.press("q")
	c.exits(0)
}

func appendTo(t *testing.T, path, text string) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err == nil {
		err = os.WriteFile(path, append(data, text...), 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// TestWatchRefuses: what it can't open is said, and no log is begun.
func TestWatchRefuses(t *testing.T) {
	tests := []struct {
		name  string
		spoil func(t *testing.T, dir string)
		code  int
		says  []string
	}{
		{"two faulty files", func(t *testing.T, dir string) {
			appendTo(t, filepath.Join(dir, "ship.yaml"), "sails: 3\n")
			appendTo(t, filepath.Join(dir, "plan.yaml"), "wind: 7\n")
		}, 2, []string{`unknown key "sails"`, `unknown key "wind"`}},
		{"no plan", func(t *testing.T, dir string) {
			if err := os.Remove(filepath.Join(dir, "plan.yaml")); err != nil {
				t.Fatal(err)
			}
		}, 2, []string{"plan.yaml: cannot be read"}},
		{"no log but garbage", func(t *testing.T, dir string) {
			if err := os.WriteFile(filepath.Join(dir, journal.FileName), []byte("garbage\n"), 0o644); err != nil {
				t.Fatal(err)
			}
		}, 2, []string{"pumping-log.jsonl:1:"}},
		{"no folder", func(t *testing.T, dir string) {
			if err := os.RemoveAll(dir); err != nil {
				t.Fatal(err)
			}
		}, 3, []string{"no such file"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			dir := demoFolder(t)
			tt.spoil(t, dir)
			c := start(t, t.TempDir(), "watch", dir)
			c.exits(tt.code)
			c.shows(tt.says...)
		})
	}
}

// TestBrokenLog: what is whole is shown, nothing is written.
func TestBrokenLog(t *testing.T) {
	dir := demoFolder(t)
	appendTo(t, filepath.Join(dir, journal.FileName), "garbage\n")
	c := start(t, t.TempDir(), "watch", dir)
	c.shows("READ-ONLY", "COP 1", "pumping-log.jsonl:125")
	c.press("q")
	c.exits(0)
}

// TestEstimateOnTerminal: a table where somebody looks.
func TestEstimateOnTerminal(t *testing.T) {
	dir := demoFolder(t)
	readings := filepath.Join(dir, "readings.csv")
	if err := os.WriteFile(readings, []byte("pump,speed,suction,discharge\n1,1300,0.6,9.1\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	c := start(t, t.TempDir(), "estimate", "--ship", filepath.Join(dir, "ship.yaml"), "--plan", filepath.Join(dir, "plan.yaml"), readings)
	c.exits(0)
	c.shows("pump speed head", "COP 1 1300 102.4")
	c = start(t, t.TempDir(), "estimate", "--ship", filepath.Join(dir, "ship.yaml"), "--density", "858")
	c.exits(2)
	c.shows("no readings: want a file")
}
