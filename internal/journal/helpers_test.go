package journal

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"testing"
	"time"
)

var zone = time.FixedZone("", 3600)

// noon is the clock of most tests.
func noon() time.Time { return time.Date(2026, 3, 1, 12, 0, 0, 0, zone) }

func opened() Draft {
	return Draft{At: noon(), By: "C/O Berg", Body: NewOpened(Real, "0.1.0", map[string][]byte{"ship.yaml": []byte("format: ship/1\n")})}
}

func note(text string) Draft { return Draft{At: noon(), By: "2/O Dahl", Body: Note{Text: text}} }

func reading(discharge string) Draft {
	return Draft{At: noon(), By: "2/O Dahl", Body: Reading{
		Pump: "COP 1", Speed: "1300 rpm", Suction: "0.62 bar", Discharge: discharge, Unchanged: []string{"suction"}}}
}

// newLog returns a fresh log in a folder of its own.
func newLog(t testing.TB) (*Log, string) {
	t.Helper()
	dir := t.TempDir()
	l, err := Create(dir, noon, opened())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	return l, dir
}

func mustAppend(t testing.TB, l *Log, drafts ...Draft) []Entry {
	t.Helper()
	entries, err := l.Append(drafts...)
	if err != nil {
		t.Fatal(err)
	}
	return entries
}

// logBytes returns a log of an opened entry and three others as a file holds it.
func logBytes(t testing.TB) []byte {
	t.Helper()
	l, dir := newLog(t)
	mustAppend(t, l, reading("9.87 bar"))
	mustAppend(t, l, note("all fast"), reading("9.90 bar"))
	return readFile(t, dir)
}

func readFile(t testing.TB, dir string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, FileName))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// folder returns a folder whose log holds data.
func folder(t testing.TB, data []byte) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, FileName), data, 0o644); err != nil {
		t.Fatal(err)
	}
	return dir
}

// seal returns the lines of entries, each with the seq, prev and sum that its
// place asks for.
func seal(entries ...Entry) []byte {
	var file []byte
	var prev Sum
	for i, e := range entries {
		e.Seq, e.Prev = uint64(i+1), prev
		line := format(e)
		if err := prev.UnmarshalText(line[len(line)-sumText-len(lastMark) : len(line)-len(lastMark)]); err != nil {
			panic(err)
		}
		file = append(append(file, line...), '\n')
	}
	return file
}

// scanAll returns what scan makes of data.
func scanAll(data []byte) (entries []Entry, finding error) {
	var c chain
	finding, err := scan(bytes.NewReader(data), &c, func(e Entry) { entries = append(entries, e) })
	if err != nil {
		panic(err)
	}
	return entries, finding
}

func sameEntries(t testing.TB, got, want []Entry) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%d entries, want %d", len(got), len(want))
	}
	for i := range got {
		if !sameEntry(got[i], want[i]) {
			t.Fatalf("entry %d:\n got %+v\nwant %+v", i+1, got[i], want[i])
		}
	}
}

func sameEntry(a, b Entry) bool {
	for _, t := range []struct{ a, b *time.Time }{{&a.At, &b.At}, {&a.Entered, &b.Entered}} {
		if t.a.Format(time.RFC3339Nano) != t.b.Format(time.RFC3339Nano) {
			return false
		}
		*t.a, *t.b = time.Time{}, time.Time{}
	}
	return reflect.DeepEqual(a, b)
}

// faulty is the disk with faults.
type faulty struct {
	disk
	// fail is asked before each call that changes or opens something; what it
	// returns happens instead. A write that fails writes half before.
	fail func(call string) error
	free int64 // bytes that still fit on the disk
}

var errFault = errors.New("input/output error")

func healthy(string) error { return nil }

func (s *faulty) OpenFile(name string, flag int, perm fs.FileMode) (file, error) {
	if err := s.fail("open"); err != nil {
		return nil, err
	}
	f, err := s.disk.OpenFile(name, flag, perm)
	if err != nil {
		return nil, err
	}
	return &faultyFile{f, s}, nil
}

func (s *faulty) SyncDir(name string) error {
	if err := s.fail("sync folder"); err != nil {
		return err
	}
	return s.disk.SyncDir(name)
}

type faultyFile struct {
	file
	sys *faulty
}

func (f *faultyFile) Write(p []byte) (int, error) {
	err := f.sys.fail("write")
	fits := p
	if err != nil {
		fits = p[:len(p)/2]
	}
	if int64(len(fits)) > f.sys.free {
		fits, err = p[:f.sys.free], errFull
	}
	f.sys.free -= int64(len(fits))
	n, werr := f.file.Write(fits)
	return n, errors.Join(err, werr)
}

var errFull = errors.New("no space left on device")

func (f *faultyFile) Sync() error {
	if err := f.sys.fail("sync"); err != nil {
		return err
	}
	return f.file.Sync()
}

func (f *faultyFile) Truncate(size int64) error {
	if err := f.sys.fail("truncate"); err != nil {
		return err
	}
	return f.file.Truncate(size)
}

func (f *faultyFile) Close() error {
	if err := f.file.Close(); err != nil {
		return err
	}
	return f.sys.fail("close")
}
