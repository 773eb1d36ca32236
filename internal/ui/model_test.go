package ui

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"pgregory.net/rapid"

	"example.org/headwatch/internal/journal"
)

// unlogged is what the folder keeps of the round.
func unlogged(t *testing.T, dir string) []journal.Draft {
	t.Helper()
	drafts, err := journal.LoadUnlogged(dir, nil)
	if err != nil {
		t.Fatal(err)
	}
	return drafts
}

// A round goes from the keys into the log, the picture and the list.
func TestRoundIsLogged(t *testing.T) {
	b := newBench(t).size(80, 24)
	was := b.m.picture.Parcels[0].Pumps[0].Estimate.Flow
	b.press("r 1310 Enter .6 Enter 9.1 Enter")
	if kept := unlogged(t, b.dir); len(kept) != 1 || len(b.log.entries) != 0 {
		t.Fatalf("before L: kept %v, logged %v", kept, b.log.entries)
	}
	b.press("L")
	if len(b.log.entries) != 1 || string(b.log.entries[0].Data) != `{"pump":"COP 1","speed":"1310 rpm","suction":".6 bar","discharge":"9.1 bar"}` || b.log.entries[0].By != "2/O Dahl" {
		t.Fatalf("logged %v", b.log.entries)
	}
	if is := b.m.picture.Parcels[0].Pumps[0].Estimate.Flow; is == was {
		t.Errorf("the flow is still %g m³/s", is)
	}
	b.shows("logged 15:19, entry 6", "15:17    6  COP 1  1310 rpm  .6 bar  9.1 bar", "Nothing keyed yet")
	if names, _ := filepath.Glob(filepath.Join(b.dir, "*")); len(names) != 0 {
		t.Errorf("left in the folder: %v", names)
	}
}

// While the disk refuses, nothing typed is lost, and it says so everywhere.
func TestDiskFull(t *testing.T) {
	b := newBench(t).size(80, 24)
	b.log.fault = errors.New("no space left on device")
	b.press("r 1310 Enter .6 Enter L")
	b.shows("NOT LOGGED: no space left on device", "  NOT LOGGED  ", "1310", "2 figures not yet logged")
	if kept := unlogged(t, b.dir); len(kept) != 1 {
		t.Fatalf("kept %v", kept)
	}
	b.press("n").shows("  NOT LOGGED  ", "2 figures keyed, not logged: r")
	b.log.fault = nil
	b.press("r L").shows("logged 15:19, entry 6")
	if strings.Contains(b.m.View(), "NOT LOGGED") || len(b.log.entries) != 1 {
		t.Errorf("after it worked, logged %v:\n%s", b.log.entries, b.m.View())
	}
}

// Figures outlive the process, however it ends.
func TestRoundOutlivesTheProcess(t *testing.T) {
	dir := t.TempDir()
	b := benchIn(t, dir).size(80, 24).press("r 1310 Enter .6 Enter 9") // the 9 is not complete
	if kept := unlogged(t, dir); len(kept) != 1 || kept[0].Body.(journal.Reading).Discharge != "" {
		t.Fatalf("after a kill: kept %v", kept)
	}
	b.send(tickMsg{})
	if kept := unlogged(t, dir); kept[0].Body.(journal.Reading).Discharge != "9 bar" {
		t.Fatalf("after a tick and a kill: kept %v", kept)
	}
	again := benchIn(t, dir).size(80, 24)
	again.shows("3 figures keyed, not logged: r")
	again.press("F2").shows("1310", ".6 ‹0.62›", "9 ‹9.04›", "Round begun 15:17, 3 figures not yet logged")
	again.press("L L")
	if len(again.log.entries) != 1 || len(unlogged(t, dir)) != 0 {
		t.Errorf("logged %v, kept %v", again.log.entries, unlogged(t, dir))
	}
}

// Killed after the disk took the round and before it was forgotten: it must
// not be offered again.
func TestLoggedRoundDoesNotComeBack(t *testing.T) {
	dir := t.TempDir()
	b := benchIn(t, dir).press("r 1310 Enter")
	kept := unlogged(t, dir)
	b.press("L")
	if err := journal.SaveUnlogged(dir, kept); err != nil {
		t.Fatal(err)
	}
	again := benchIn(t, dir, func(o *Options, _ *fakeLog) { o.Recent = append(o.Recent, b.log.entries...) })
	if drafts := again.m.readings.Drafts(begun); len(drafts) != 0 {
		t.Errorf("offered again: %v", drafts)
	}
	if again.send(tickMsg{}); len(unlogged(t, dir)) != 0 {
		t.Errorf("still kept: %v", unlogged(t, dir))
	}
}

func TestFolderThatKeepsNothing(t *testing.T) {
	b := newBench(t).size(80, 24)
	b.m.keep.dir = filepath.Join(b.dir, "gone")
	b.press("r 1310 Enter").shows("no such file or directory: what is keyed is not kept over a restart", "1310")
	if strings.Contains(b.m.View(), journal.UnloggedName) {
		t.Errorf("it names a temporary file:\n%s", b.m.View())
	}
	b.log.fault = &os.PathError{Op: "write", Path: "a/very/long/name", Err: syscall.ENOSPC}
	b.press("L").shows("NOT LOGGED: no space left on device. It is not kept over a restart either")
	if n := strings.Count(b.m.View(), "over a restart"); n != 1 {
		t.Errorf("said %d times:\n%s", n, b.m.View())
	}
	b.log.fault, b.m.keep.dir = nil, b.dir
	if b.send(tickMsg{}).press("L"); strings.Contains(b.m.View(), "over a restart") {
		t.Errorf("still said after it works again:\n%s", b.m.View())
	}
	if err := os.WriteFile(filepath.Join(b.dir, journal.UnloggedName), []byte("garbage"), 0o644); err != nil {
		t.Fatal(err)
	}
	benchIn(t, b.dir).size(80, 24).shows("A round keyed before could not be read back")
}

// A second instance shows what the first logs, and touches nothing.
func TestReadOnlyFollows(t *testing.T) {
	dir := t.TempDir()
	benchIn(t, dir).press("r 1310 Enter") // the first keys a round
	b := benchIn(t, dir, readOnly).size(80, 24)
	b.press("r 1320 Enter = L").shows("READ-ONLY", "another running instance")
	if drafts := b.m.readings.Drafts(b.now); len(drafts) != 0 || len(unlogged(t, dir)) != 1 {
		t.Fatalf("the second has %v, in the folder is %v", drafts, unlogged(t, dir))
	}
	b.log.foreign = b.log.compose([]journal.Draft{{At: begun, By: "2/O", Body: journal.Reading{Manifold: "M2", Pressure: "7.4 bar"}}})
	b.send(tickMsg{}).shows("‹7.4›", "6  M2  7.4 bar")
	b.press("n").shows("of 8.50: 1.10 left")
}

// A log that is broken says so in full on both screens, and what to do; it never
// advises to key.
func TestBrokenLogIsSaid(t *testing.T) {
	b := newBench(t, brokenLog).size(80, 24)
	b.now = begun.Add(time.Hour)
	b.send(tickMsg{})
	for _, screen := range []string{"F1", "F2"} {
		words := strings.Join(strings.Fields(b.press(screen).m.View()), " ")
		for _, want := range []string{"READ-ONLY", "altered or damaged at line 214: entries after it are not shown, and nothing can be logged here.",
			"Leave this folder as it is, tell the chief officer, and go on in a new folder (headwatch new)."} {
			if !strings.Contains(words, want) {
				t.Errorf("%s: %q is not in\n%s", screen, want, b.m.View())
			}
		}
		if strings.Contains(words, "key them") || strings.Contains(words, "keys it") {
			t.Errorf("%s: advises to key:\n%s", screen, b.m.View())
		}
	}
}

// Another program wrote into the log while this one watched it.
func TestForeignWriterIsSaid(t *testing.T) {
	b := newBench(t).size(80, 24)
	b.log.fault = fmt.Errorf("%w: it has 9 bytes, not 8", journal.ErrForeign)
	b.press("r 1310 Enter L").shows("NOT LOGGED: another program changed the log. Copy your figures down, open the", "folder again.")
	b = newBench(t, readOnly).size(80, 24)
	b.send(followedMsg{err: journal.ErrForeign}).shows("another program changed the log: what is shown may be old; open the folder", "again")
}

// A torn end that was set aside at the start is said.
func TestTornEndIsSaid(t *testing.T) {
	b := newBench(t, func(o *Options, l *fakeLog) {
		o.Recent = append(o.Recent, l.compose([]journal.Draft{{At: begun, By: "headwatch", Body: journal.Recovered{Torn: "pumping-log.jsonl.torn", Bytes: 57}}})...)
	}).size(80, 24)
	b.shows("The log ended in part of a line", "its 57 bytes are set")
	b.press("r").shows("torn end of 57 bytes set aside")
}

// An entry that can't be used is said, and the others count.
func TestBadEntryIsSaid(t *testing.T) {
	b := newBench(t, readOnly).size(80, 24)
	b.log.foreign = b.log.compose([]journal.Draft{
		{At: begun, Body: journal.Reading{Manifold: "M9", Pressure: "7.4 bar"}}, {At: begun, Body: journal.Reading{Manifold: "M2", Pressure: "7.4 bar"}}})
	b.send(tickMsg{}).shows(`manifold "M9": not in the ship file`, "of 8.50: 1.10 left")
}

func TestKeys(t *testing.T) {
	for _, tt := range []struct {
		keys  string
		shows string
		quits bool
	}{
		{"r", "[r readings]", false},
		{"r n", "[n now]", false},
		{"F2", "[r readings]", false},
		{"F2 Esc", "[n now]", false},
		{"r 13 F1", "[n now]", false},
		{"r 13 F1 r", "13", false},
		{"r 1310 n", "[n now]", false}, // n begins no unit of speed
		{"r 1310 n r", "1310 ‹1300›", false},
		{"r 1310 L", "logged 15:19", false},
		{"r 1310 u", "undone", false},
		{"r 1310 / m", "/ m", false},
		{"r 1310 ?", "Esc close help", false},
		{"r 1310 r", "1310r", false}, // of rpm
		{"r 1310r/mi n", "1310r/min", false},
		{"r 1310rpm L", "logged 15:19", false},
		{"r Tab .6kg /", ".6kg/", false},
		{"r 13oo q", "13ooq", false}, // no figure, no command
		{"r 1310 q", "", true},
		{"r 13 Esc n", "[n now]", false},
		{"r1310n", "[n now]", false}, // all in one read
		{"r / q", "/ q", false},
		{"?", "Esc close help", false},
		{"? n", "Esc close help", false},
		{"? Esc", "[n now]", false},
		{"? ?", "[n now]", false},
		{"? PgDn PgDn PgDn PgDn PgDn", "ALARM", false},
		{"x z @ ; Tab Enter Bksp", "[n now]", false},
		{"Ctrl-L", "[n now]", false},
		{"q", "", true},
		{"Ctrl-C", "", true},
		{"r q", "", true},
		{"r 13 Ctrl-C", "", true},
		{"? q", "", true},
	} {
		b := newBench(t).size(80, 24).press(tt.keys)
		if b.shows(tt.shows); b.quits() != tt.quits {
			t.Errorf("%s: quits %v", tt.keys, b.quits())
		}
	}
	b := newBench(t).size(80, 24).send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("q"), Alt: true})
	if b.quits() {
		t.Error("Alt-q quits")
	}
	if b.m.greeting = true; !strings.Contains(b.press("x").m.View(), "[n now]") || strings.Contains(b.m.View(), "Advice") {
		t.Errorf("the first key leaves the notes:\n%s", b.m.View())
	}
}

// The clock is the only thing that moves a figure without a key.
func TestClock(t *testing.T) {
	b := newBench(t).size(80, 24).press("x")
	before := b.m.View()
	if b.send(tickMsg{}); b.m.View() != before {
		t.Error("the frame changed without the clock")
	}
	b.now = begun.Add(20 * time.Minute)
	if b.m.View() != before {
		t.Error("the frame changed without a tick")
	}
	b.send(tickMsg{}).shows("15:37 +01:00", "1 h 14 min ago", "OVERDUE by 17 min", "CAUTION")
	b.now = begun.Add(-2 * time.Hour) // set back
	b.send(tickMsg{}).shows("13:17 +01:00", "after now: look at the clock")
}

func TestUnknownSize(t *testing.T) {
	b := newBench(t).size(0, 0) // a serial console
	if w, h := lipgloss.Size(b.m.View()); w > 80 || h != 24 {
		t.Errorf("the frame is %d×%d", w, h)
	}
}

// Whatever the size and the keys: no panic, and the frame fits.
func TestFrameFits(t *testing.T) {
	pictures := []func(b *bench){
		func(*bench) {},
		func(b *bench) { b.m.picture = overLimit() },
		func(b *bench) { b.m.picture = unread() },
		func(b *bench) { b.m.picture.Training = true },
		func(b *bench) { b.m.troubles = slices.Repeat([]string{"something went wrong with the log"}, 5) },
	}
	rapid.Check(t, func(rt *rapid.T) {
		b := newBench(t)
		b.m.width, b.m.height = rapid.IntRange(0, 220).Draw(rt, "width"), rapid.IntRange(0, 70).Draw(rt, "height")
		pictures[rapid.IntRange(0, len(pictures)-1).Draw(rt, "picture")](b)
		for _, key := range rapid.SliceOfN(rapid.SampledFrom([]string{"n", "r", "?", "/", "1", "=", "Up", "Down", "Enter", "PgDn"}), 0, 6).Draw(rt, "keys") {
			next, _ := b.m.Update(keyOf(key))
			b.m = next.(model)
		}
		w, h := lipgloss.Size(b.m.View())
		if w > b.m.width || h > max(b.m.height, 1) {
			rt.Fatalf("the frame is %d×%d in %d×%d", w, h, b.m.width, b.m.height)
		}
		if b.m.width >= leastWidth && b.m.height >= leastHeight && h != b.m.height {
			rt.Fatalf("the frame is %d lines of %d", h, b.m.height)
		}
	})
}

func keyOf(name string) tea.KeyMsg {
	if len(name) == 1 {
		return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(name)}
	}
	return tea.KeyMsg{Type: map[string]tea.KeyType{"Up": tea.KeyUp, "Down": tea.KeyDown, "Enter": tea.KeyEnter, "PgDn": tea.KeyPgDown}[name]}
}

func BenchmarkKeyToFrame(b *testing.B) {
	bench := newBench(b).size(80, 24).press("r")
	b.ReportAllocs()
	for b.Loop() {
		for _, key := range []string{"9", "Down"} {
			next, _ := bench.m.Update(keyOf(key))
			bench.m = next.(model)
			if bench.m.View() == "" {
				b.Fatal("no frame")
			}
		}
	}
}
