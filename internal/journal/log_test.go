package journal

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"
)

func TestCreateAppendOpen(t *testing.T) {
	l, dir := newLog(t)
	got := mustAppend(t, l, reading("9.87 bar"), Draft{At: noon(), By: "2/O Dahl", Body: Ullage{"4C", "11.34 m"}})
	got = append(got, mustAppend(t, l, Draft{At: noon(), By: "C/O Berg", Body: Closed{}})...)
	sameEntries(t, l.Entries()[1:], got)
	for i, e := range l.Entries() {
		if e.Seq != uint64(i+1) {
			t.Errorf("entry %d has seq %d", i+1, e.Seq)
		}
	}
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := l.Append(note("late")); !errors.Is(err, ErrNotLogged) || !errors.Is(err, ErrClosed) {
		t.Errorf("append to a closed log: %v", err)
	}
	again, err := Open(dir, noon)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	sameEntries(t, again.Entries(), l.Entries())
	if again.Writable() != nil || again.Finding() != nil || again.Opened().Format != Real {
		t.Errorf("writable %v, finding %v, %+v", again.Writable(), again.Finding(), again.Opened())
	}
	mustAppend(t, again, note("going on"))
	info, err := os.Stat(filepath.Join(dir, FileName))
	if err != nil || runtime.GOOS != "windows" && info.Mode().Perm()&^0o644 != 0 {
		t.Errorf("mode %v, %v", info.Mode(), err)
	}
}

// TestAppendKeepsTimes: at keeps its offset and its milliseconds, entered is the
// clock's, the order is that of logging.
func TestAppendKeepsTimes(t *testing.T) {
	l, _ := newLog(t)
	for _, at := range []string{
		"2026-03-01T12:00:00+01:00", "2026-02-28T23:59:59.999-09:30", "2026-03-01T00:00:00Z", "2026-03-01T11:00:00+05:45",
	} {
		when, err := time.Parse(time.RFC3339, at)
		if err != nil {
			t.Fatal(err)
		}
		d := note("x")
		d.At = when.Add(400 * time.Microsecond)
		e := mustAppend(t, l, d)[0]
		if got := e.At.Format(timeLayout); got != at {
			t.Errorf("at %s, want %s", got, at)
		}
		if !e.Entered.Equal(noon()) {
			t.Errorf("entered %v", e.Entered)
		}
	}
}

func TestAppendRefusesDrafts(t *testing.T) {
	l, dir := newLog(t)
	before := readFile(t, dir)
	odd := time.FixedZone("", 4772) // Kristiania before 1895 had +01:19:32 or so
	tests := []struct {
		draft Draft
		want  string
	}{
		{Draft{By: "x", Body: Closed{}}, "no time"},
		{Draft{At: noon(), Body: Closed{}}, "by: empty"},
		{Draft{At: noon(), By: "\xff", Body: Closed{}}, "not UTF-8"},
		{Draft{At: noon(), By: "a\nb", Body: Closed{}}, "control character"},
		{Draft{At: noon(), By: "x"}, "without data"},
		{Draft{At: noon().In(odd), By: "x", Body: Closed{}}, "whole minutes"},
		{Draft{At: noon().AddDate(9000, 0, 0), By: "x", Body: Closed{}}, "at "},
		{Draft{At: noon(), By: "x", Body: Reading{Pump: "COP 1"}}, "no figure read"},
		{Draft{At: noon(), By: "x", Body: Ullage{Tank: "1C", Ullage: "1\xff m"}}, "not UTF-8"},
		{note(strings.Repeat("x", maxLine)), "bytes"},
		{opened(), "the first entry"},
		{Draft{At: noon(), By: "x", Body: NewOpened(Real, "1", map[string][]byte{"a": {0xff}})}, "not UTF-8"},
	}
	for _, tt := range tests {
		t.Run(tt.want, func(t *testing.T) {
			_, err := l.Append(note("good"), tt.draft)
			if err == nil || errors.Is(err, ErrNotLogged) || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %v does not say %q", err, tt.want)
			}
		})
	}
	if !bytes.Equal(readFile(t, dir), before) || len(l.Entries()) != 1 {
		t.Error("something of a refused round was logged")
	}
	if entries, err := l.Append(); entries != nil || err != nil {
		t.Errorf("append of nothing: %v, %v", entries, err)
	}
}

func TestLongestLine(t *testing.T) {
	l, dir := newLog(t)
	short := len(readLine(t, dir, mustAppend(t, l, note("x"))[0].Seq))
	mustAppend(t, l, note(strings.Repeat("x", maxLine-short+1)))
	if got := len(readLine(t, dir, 3)); got != maxLine {
		t.Fatalf("line of %d bytes, meant to be %d", got, maxLine)
	}
	if _, err := l.Append(note(strings.Repeat("x", maxLine-short+2))); !errors.Is(err, errLong) {
		t.Errorf("one byte more: %v", err)
	}
	mustAppend(t, l, note("after"))
	if entries, finding := scanAll(readFile(t, dir)); finding != nil || len(entries) != 4 {
		t.Errorf("%d entries, finding %v", len(entries), finding)
	}
}

func readLine(t *testing.T, dir string, seq uint64) []byte {
	return bytes.Split(readFile(t, dir), lineFeed)[seq-1]
}

func TestOpenWhatIsNoLog(t *testing.T) {
	empty := t.TempDir()
	if _, err := Open(empty, noon); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("no file: %v", err)
	}
	if _, err := Read(empty); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("no file to read: %v", err)
	}
	if names, _ := os.ReadDir(empty); len(names) != 0 {
		t.Errorf("left %v", names)
	}
	for _, data := range []string{"", `{"seq":1,"at":"2026`, "\x00\x00\x00"} {
		dir := folder(t, []byte(data))
		if _, err := Open(dir, noon); !errors.Is(err, ErrEmpty) {
			t.Errorf("log of %q: %v", data, err)
		}
		if got := readFile(t, dir); string(got) != data {
			t.Errorf("log of %q became %q", data, got)
		}
		l, err := Create(dir, noon, opened())
		if err != nil {
			t.Fatalf("create over %q: %v", data, err)
		}
		if want := 1 + min(1, len(data)); len(l.Entries()) != want {
			t.Errorf("%d entries, want %d", len(l.Entries()), want)
		}
		if data != "" {
			if kept, err := os.ReadFile(filepath.Join(dir, FileName+".torn")); err != nil || string(kept) != data {
				t.Errorf("set aside %q, %v", kept, err)
			}
		}
		l.Close()
		if _, err := Create(dir, noon, opened()); !errors.Is(err, fs.ErrExist) {
			t.Errorf("created twice: %v", err)
		}
	}
	if _, err := Create(t.TempDir(), noon, note("x")); err == nil {
		t.Error("created without an opened entry")
	}
}

// TestTornTail: the writer sets a torn tail aside and says so; a reader leaves it.
func TestTornTail(t *testing.T) {
	good := logBytes(t)
	last := bytes.LastIndexByte(good[:len(good)-1], '\n') + 1
	for _, torn := range []string{"{", "x", string(good[last : len(good)-1]), "\x00\x00\x00\x00", `{"seq":5,` + strings.Repeat("\x00", 5000)} {
		dir := folder(t, append(bytes.Clone(good), torn...))
		r, err := Read(dir)
		if err != nil {
			t.Fatal(err)
		}
		var found *TornError
		if !errors.As(r.Finding(), &found) || found.Bytes != len(torn) || len(r.Entries()) != 4 {
			t.Errorf("reader: finding %v, %d entries", r.Finding(), len(r.Entries()))
		}
		if names, _ := os.ReadDir(dir); len(names) != 1 {
			t.Errorf("reader left %v", names)
		}
		older := filepath.Join(dir, FileName+".torn")
		if err := os.WriteFile(older, []byte("older"), 0o644); err != nil {
			t.Fatal(err)
		}
		l, err := Open(dir, noon)
		if err != nil || l.Writable() != nil || l.Finding() != nil {
			t.Fatalf("%v, writable %v, finding %v", err, l.Writable(), l.Finding())
		}
		entries := l.Entries()
		body, err := entries[len(entries)-1].Body()
		if want := (Recovered{Torn: FileName + ".torn-2", Bytes: len(torn)}); err != nil || body != want || len(entries) != 5 {
			t.Errorf("logged %+v, %v, in %d entries", body, err, len(entries))
		}
		if kept, err := os.ReadFile(older + "-2"); err != nil || string(kept) != torn {
			t.Errorf("set aside %q, %v", kept, err)
		}
		if kept, err := os.ReadFile(older); err != nil || string(kept) != "older" {
			t.Errorf("older .torn became %q, %v", kept, err)
		}
		mustAppend(t, l, note("going on"))
		l.Close()
		if entries, finding := scanAll(readFile(t, dir)); finding != nil || len(entries) != 6 {
			t.Errorf("%d entries, finding %v", len(entries), finding)
		}
	}
}

func TestSecondInstance(t *testing.T) {
	l, dir := newLog(t)
	second, err := Open(dir, noon)
	if err != nil {
		t.Fatal(err)
	}
	if !errors.Is(second.Writable(), ErrInUse) {
		t.Fatalf("second instance is writable: %v", second.Writable())
	}
	if _, err := second.Append(note("x")); !errors.Is(err, ErrInUse) || !errors.Is(err, ErrNotLogged) {
		t.Errorf("append: %v", err)
	}
	if entries, err := l.Refresh(); entries != nil || err != nil {
		t.Errorf("writer refreshed: %v, %v", entries, err)
	}
	want := mustAppend(t, l, reading("9.87 bar"), note("x"))
	got, err := second.Refresh()
	if err != nil {
		t.Fatal(err)
	}
	sameEntries(t, got, want)
	sameEntries(t, second.Entries(), l.Entries())
	followTorn(t, l, second, dir)
	second.Close()
	if _, err := second.Refresh(); !errors.Is(err, ErrClosed) {
		t.Errorf("refresh of a closed log: %v", err)
	}
	l.Close()
	third, err := Open(dir, noon)
	if err != nil || third.Writable() != nil {
		t.Errorf("after the writer left: %v, %v", err, third.Writable())
	}
	third.Close()
}

// followTorn shows the follower a line in two halves.
func followTorn(t *testing.T, l, second *Log, dir string) {
	t.Helper()
	line := append(format(Entry{Seq: l.chain.seq + 1, At: noon(), Entered: noon(), Kind: "later", By: "x", Data: []byte(`{}`), Prev: l.chain.sum}), '\n')
	add := func(b []byte) {
		f, err := os.OpenFile(filepath.Join(dir, FileName), os.O_APPEND|os.O_WRONLY, 0)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		if _, err := f.Write(b); err != nil {
			t.Fatal(err)
		}
	}
	add(line[:50])
	var torn *TornError
	if got, err := second.Refresh(); len(got) != 0 || err != nil || !errors.As(second.Finding(), &torn) {
		t.Errorf("half a line: %v, %v, %v", got, err, second.Finding())
	}
	add(line[50:])
	if got, err := second.Refresh(); len(got) != 1 || err != nil || second.Finding() != nil {
		t.Errorf("whole line: %v, %v, %v", got, err, second.Finding())
	}
}

// TestForeignWriter: whatever another program does to the file, the log says not
// logged and leaves its bytes alone.
func TestForeignWriter(t *testing.T) {
	tests := []struct {
		name string
		act  func(path string) error
		want error
	}{
		{"appends", func(path string) error { return os.WriteFile(path, append(must(os.ReadFile(path)), "x\n"...), 0o644) }, ErrForeign},
		{"cuts", func(path string) error { return os.Truncate(path, 10) }, ErrForeign},
		{"empties", func(path string) error { return os.Truncate(path, 0) }, ErrForeign},
		{"deletes", os.Remove, fs.ErrNotExist},
		{"replaces by an older one", func(path string) error {
			data := must(os.ReadFile(path))
			return replace(path, data[:bytes.IndexByte(data, '\n')+1])
		}, ErrForeign},
		{"replaces by a longer one", func(path string) error { return replace(path, append(must(os.ReadFile(path)), "x\n"...)) }, ErrForeign},
		{"replaces by one altered", func(path string) error {
			return replace(path, bytes.Replace(must(os.ReadFile(path)), []byte("9.87"), []byte("9.78"), 1))
		}, ErrForeign},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if runtime.GOOS == "windows" && !strings.HasPrefix(tt.name, "appends") {
				t.Skip("Windows forbids it while the log is open")
			}
			l, dir := newLog(t)
			mustAppend(t, l, reading("9.87 bar"))
			path := filepath.Join(dir, FileName)
			if err := tt.act(path); err != nil {
				t.Fatal(err)
			}
			after, _ := os.ReadFile(path)
			for range 3 {
				if _, err := l.Append(note("x")); !errors.Is(err, ErrNotLogged) || !errors.Is(err, tt.want) {
					t.Errorf("append: %v", err)
				}
			}
			if now, _ := os.ReadFile(path); !bytes.Equal(now, after) {
				t.Error("file changed")
			}
			if len(l.Entries()) != 2 {
				t.Errorf("%d entries", len(l.Entries()))
			}
		})
	}
}

// TestReplacedBySame: a file put in place of the log with the same bytes, as
// when a stick is put back, takes the next entries.
func TestReplacedBySame(t *testing.T) {
	l, dir := newLog(t)
	mustAppend(t, l, reading("9.87 bar"))
	path := filepath.Join(dir, FileName)
	data := readFile(t, dir)
	if err := os.Remove(path); err != nil {
		t.Skip(err)
	}
	if _, err := l.Append(note("x")); !errors.Is(err, fs.ErrNotExist) {
		t.Fatalf("append to a log that is gone: %v", err)
	}
	if _, err := os.Stat(path); !errors.Is(err, fs.ErrNotExist) {
		t.Fatalf("the log was begun anew: %v", err)
	}
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	mustAppend(t, l, note("x"))
	if entries, finding := scanAll(readFile(t, dir)); finding != nil || len(entries) != 3 {
		t.Errorf("%d entries, finding %v", len(entries), finding)
	}
}

func replace(path string, data []byte) error {
	if err := os.WriteFile(path+".new", data, 0o644); err != nil {
		return err
	}
	return os.Rename(path+".new", path)
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func TestReadOnlyFolder(t *testing.T) {
	if os.Getuid() <= 0 {
		t.Skip("permissions do not bind this user")
	}
	l, dir := newLog(t)
	l.Close()
	if err := os.Remove(filepath.Join(dir, lockName)); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.Chmod(dir, 0o755) })
	mustBeReadOnly(t, dir, disk{}, fs.ErrPermission)
}

// grudging is a disk that does not lock or does not open for writing.
type grudging struct {
	disk
	lock, write error
}

func (s grudging) Lock(name string) (func() error, error) {
	if s.lock != nil {
		return nil, s.lock
	}
	return s.disk.Lock(name)
}

func (s grudging) OpenFile(name string, flag int, perm fs.FileMode) (file, error) {
	if flag&os.O_RDWR != 0 && s.write != nil {
		return nil, s.write
	}
	return s.disk.OpenFile(name, flag, perm)
}

func TestNoLockNoWriting(t *testing.T) {
	l, dir := newLog(t)
	mustAppend(t, l, note("x"))
	l.Close()
	mustBeReadOnly(t, dir, grudging{lock: errors.ErrUnsupported}, errors.ErrUnsupported)
	mustBeReadOnly(t, dir, grudging{write: fs.ErrPermission}, fs.ErrPermission)
	again, err := Open(dir, noon) // the lock is free again
	if err != nil || again.Writable() != nil {
		t.Errorf("%v, %v", err, again.Writable())
	}
	again.Close()
}

func mustBeReadOnly(t *testing.T, dir string, sys system, reason error) {
	t.Helper()
	before := readFile(t, dir)
	l, err := open(sys, dir, noon)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	if !errors.Is(l.Writable(), reason) || len(l.Entries()) == 0 {
		t.Errorf("writable %v, %d entries; want %v", l.Writable(), len(l.Entries()), reason)
	}
	if _, err := l.Append(note("x")); !errors.Is(err, ErrNotLogged) || !errors.Is(err, reason) {
		t.Errorf("append: %v", err)
	}
	if !bytes.Equal(readFile(t, dir), before) {
		t.Error("file changed")
	}
}

func TestReadIsReadOnly(t *testing.T) {
	l, dir := newLog(t)
	r, err := Read(dir)
	if err != nil || !errors.Is(r.Writable(), ErrReadOnly) {
		t.Fatalf("%v, writable %v", err, r.Writable())
	}
	want := mustAppend(t, l, note("x"))
	got, err := r.Refresh()
	if err != nil {
		t.Fatal(err)
	}
	sameEntries(t, got, want)
	if err := os.Truncate(filepath.Join(dir, FileName), 100); err != nil {
		t.Fatal(err)
	}
	if _, err := r.Refresh(); !errors.Is(err, ErrForeign) {
		t.Errorf("shorter file: %v", err)
	}
}

// TestKindsOfLaterVersions: kinds without a decoder and unknown ones are kept.
func TestKindsOfLaterVersions(t *testing.T) {
	first, _ := scanAll(logBytes(t))
	entries := first[:1]
	for _, kind := range []Kind{KindBasis, KindGas, KindCorrection, "weather-report"} {
		entries = append(entries, Entry{At: noon(), Entered: noon(), Kind: kind, By: "x", Data: fmt.Appendf(nil, `{"of":[1,{"kind":%q}]}`, kind)})
	}
	l, err := Open(folder(t, seal(entries...)), noon)
	if err != nil || l.Writable() != nil {
		t.Fatalf("%v, writable %v", err, l.Writable())
	}
	defer l.Close()
	for i, e := range l.Entries()[1:] {
		if _, err := e.Body(); !errors.Is(err, ErrRaw) || !bytes.Equal(e.Data, entries[i+1].Data) {
			t.Errorf("%s: %s, %v", e.Kind, e.Data, err)
		}
	}
	if e := mustAppend(t, l, note("x"))[0]; e.Seq != 6 {
		t.Errorf("next seq %d", e.Seq)
	}
}

func TestTrainingStaysTraining(t *testing.T) {
	dir := t.TempDir()
	l, err := Create(dir, noon, Draft{At: noon(), By: "cadet", Body: NewOpened(Training, "0.1.0", nil)})
	if err != nil {
		t.Fatal(err)
	}
	l.Close()
	if got := l.Opened().Format; got != Training {
		t.Fatalf("format %s", got)
	}
	data := bytes.Replace(readFile(t, dir), []byte(`"training"`), []byte(`"real"`), 1)
	if _, err := Open(folder(t, data), noon); err == nil {
		t.Error("a training log opens as real")
	}
}

// TestConcurrentAppends: two parts of the program may log at once.
func TestConcurrentAppends(t *testing.T) {
	l, dir := newLog(t)
	done := make(chan error)
	for range 4 {
		go func() {
			var err error
			for range 10 {
				_, e := l.Append(note("x"), note("y"))
				err = errors.Join(err, e)
			}
			done <- err
		}()
	}
	for range 4 {
		if err := <-done; err != nil {
			t.Error(err)
		}
		if !slices.IsSortedFunc(l.Entries(), func(a, b Entry) int { return int(a.Seq) - int(b.Seq) }) {
			t.Error("entries out of order")
		}
	}
	entries, finding := scanAll(readFile(t, dir))
	if finding != nil {
		t.Error(finding)
	}
	sameEntries(t, entries, l.Entries())
}
