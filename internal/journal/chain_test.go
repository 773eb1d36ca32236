package journal

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestBroken spoils a good log of four lines in every way a line can be broken.
func TestBroken(t *testing.T) {
	good := logBytes(t)
	lines := bytes.SplitAfter(good, lineFeed)[:4]
	entries, _ := scanAll(good)
	join := func(parts ...[]byte) []byte { return bytes.Join(parts, nil) }
	swapIn := func(i int, old, new string) []byte {
		return join(join(lines[:i]...), bytes.Replace(lines[i], []byte(old), []byte(new), 1), join(lines[i+1:]...))
	}
	secondChain := seal(entries[0], entries[2], entries[3]) // rightly sealed, but another one
	other := bytes.SplitAfter(secondChain, lineFeed)
	tests := []struct {
		name string
		file []byte
		line uint64
		want string
	}{
		{"figure edited", swapIn(1, "9.87", "9.78"), 2, "altered"},
		{"name edited", swapIn(2, "Dahl", "Hdal"), 3, "altered"},
		{"time edited", swapIn(1, "T12:00:00+01:00", "T12:00:01+01:00"), 2, "altered"},
		{"sum edited", swapIn(1, `"sum":"`+entries[1].Sum.String(), `"sum":"`+entries[2].Sum.String()), 2, "altered"},
		{"line deleted", join(lines[0], lines[2], lines[3]), 2, "seq 3 follows seq 1"},
		{"line twice", join(lines[0], lines[1], lines[1]), 3, "seq 2 follows seq 2"},
		{"lines swapped", join(lines[0], lines[2], lines[1], lines[3]), 2, "seq 3 follows seq 1"},
		{"line of another log", join(lines[0], lines[1], other[2]), 3, "prev is"},
		{"begins in the middle", join(lines[1:]...), 1, "seq 2 follows seq 0"},
		{"empty line", join(lines[0], []byte("\n"), lines[1]), 2, "empty line"},
		{"empty line first", join([]byte("\n"), good), 1, "empty line"},
		{"blank line last", join(good, []byte(" \n")), 5, "not JSON"},
		{"CR LF", bytes.ReplaceAll(good, []byte("\n"), []byte("\r\n")), 1, "CR LF"},
		{"byte order mark", join([]byte("\xef\xbb\xbf"), good), 1, "not JSON"},
		{"no JSON", join(lines[0], []byte("all fast\n")), 2, "not JSON"},
		{"NULs inside", join(lines[0], make([]byte, 100), lines[1]), 2, "not JSON"},
		{"other keys", join(lines[0], []byte(`{"seq":2,"text":"x"}`+"\n")), 2, "in this order"},
		{"spaced as by another program", join(lines[0], bytes.ReplaceAll(lines[1], []byte(`":`), []byte(`": `))), 2, "in this order"},
		{"first is no opened", seal(entries[1]), 1, "the first entry"},
		{"opened again", seal(entries[0], entries[0]), 2, "the first entry"},
		{"opened not understood", seal(withData(entries[0], `{"format":"practice","version":"1","files":{}}`)), 1, "practice"},
		{"basis altered and sealed", seal(withData(entries[0], strings.Replace(string(entries[0].Data), "ship/1", "ship/2", 1))), 1, "its text has not the sum"},
		{"line too long", join(lines[0], bytes.Repeat([]byte("x"), maxLine+1), []byte("\n")), 2, "line of more than"},
		{"no end in sight", join(lines[0], bytes.Repeat([]byte("x"), maxLine+2)), 2, "line of more than"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, finding := scanAll(tt.file)
			var broken *BrokenError
			if !errors.As(finding, &broken) {
				t.Fatalf("finding %v, want broken", finding)
			}
			if broken.Line != tt.line || !strings.Contains(broken.Error(), tt.want) {
				t.Errorf("%v: want line %d and %q", broken, tt.line, tt.want)
			}
			if uint64(len(got)) != tt.line-1 {
				t.Errorf("%d entries before line %d", len(got), tt.line)
			}
			neverWritten(t, tt.file, uint64(len(got)))
		})
	}
}

func withData(e Entry, data string) Entry {
	e.Data = []byte(data)
	return e
}

// neverWritten opens a log with a broken line in every way there is and sees that
// its bytes stay.
func neverWritten(t *testing.T, data []byte, readable uint64) {
	t.Helper()
	dir := folder(t, data)
	var broken *BrokenError
	if _, err := Create(dir, noon, opened()); err == nil {
		t.Error("created anew over it")
	}
	l, err := Open(dir, noon)
	if readable == 0 {
		if !errors.As(err, &broken) {
			t.Errorf("open: %v, want broken", err)
		}
	} else {
		if err != nil {
			t.Fatal(err)
		}
		defer l.Close()
		if !errors.As(l.Writable(), &broken) || !errors.As(l.Finding(), &broken) || uint64(len(l.Entries())) != readable {
			t.Errorf("writable %v, finding %v, %d entries", l.Writable(), l.Finding(), len(l.Entries()))
		}
		if _, err := l.Append(note("x")); !errors.Is(err, ErrNotLogged) || !errors.As(err, &broken) {
			t.Errorf("append: %v", err)
		}
	}
	if !bytes.Equal(readFile(t, dir), data) {
		t.Error("file changed")
	}
}

// TestEveryCut cuts a log at each byte: what remains is read up to its last whole
// line, and a writer goes on from there.
func TestEveryCut(t *testing.T) {
	good := logBytes(t)
	whole, _ := scanAll(good)
	for cut := range len(good) + 1 {
		data := good[:cut]
		lines := bytes.Count(data, lineFeed)
		rest := cut - (bytes.LastIndexByte(data, '\n') + 1)
		entries, finding := scanAll(data)
		sameEntries(t, entries, whole[:lines])
		var torn *TornError
		if errors.As(finding, &torn) != (rest > 0) || torn != nil && torn.Bytes != rest {
			t.Fatalf("cut at %d: finding %v, want %d torn bytes", cut, finding, rest)
		}
		if want := fmt.Sprintf("torn: %d bytes", rest); torn != nil && !strings.Contains(torn.Error(), want) {
			t.Fatalf("finding %q does not say %q", torn, want)
		}
	}
}

// TestChainFindsAnyFlippedByte: a chain of random entries verifies; with any one
// byte changed it does not, and nothing from that line on is passed on.
func TestChainFindsAnyFlippedByte(t *testing.T) {
	first, _ := scanAll(logBytes(t))
	rapid.Check(t, func(t *rapid.T) {
		entries := append([]Entry{first[0]}, rapid.SliceOfN(genEntry(), 1, 4).Draw(t, "entries")...)
		for i, e := range entries[1:] {
			if e.Kind == KindOpened {
				entries[i+1].Kind = KindNote
			}
		}
		file := seal(entries...)
		got, finding := scanAll(file)
		if finding != nil || len(got) != len(entries) {
			t.Fatalf("%d of %d entries, finding %v", len(got), len(entries), finding)
		}
		at := rapid.IntRange(0, len(file)-1).Draw(t, "at")
		spoilt := bytes.Clone(file)
		spoilt[at] ^= rapid.ByteRange(1, 255).Draw(t, "bits")
		left, finding := scanAll(spoilt)
		if before := bytes.Count(file[:at], lineFeed); finding == nil || len(left) != before {
			t.Fatalf("%d entries before byte %d in line %d, finding %v", len(left), at, before+1, finding)
		}
	})
}

func FuzzScan(f *testing.F) {
	good := logBytes(f)
	f.Add(good)
	f.Add(good[:len(good)-10])
	f.Add(append(bytes.Clone(good), make([]byte, 40)...))
	f.Add([]byte("\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		var c chain
		n := 0
		finding, err := scan(bytes.NewReader(data), &c, func(Entry) { n++ })
		if err != nil || uint64(n) != c.seq || c.end > int64(len(data)) {
			t.Fatalf("%d entries, chain %+v, %v", n, c, err)
		}
		if finding == nil && c.end != int64(len(data)) {
			t.Fatalf("no finding in %d bytes after %d", len(data), c.end)
		}
	})
}
