package batch

import (
	"bytes"
	"errors"
	"io"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"testing/iotest"
	"time"

	"example.org/headwatch/internal/report/stream"
	"pgregory.net/rapid"
)

// TestReadsOfAnySize: how the stream is cut changes nothing.
func TestReadsOfAnySize(t *testing.T) {
	b := newBatch(t, CSV)
	text := string(readings(700)) + "2026,COP 7,1,1,1\n" + strings.Repeat("9", 2*stream.ChunkSize) + "\n2026,COP 1,1300,0.6,9.1"
	want, tally := runText(t, b, text)
	if tally != (Tally{Rows: 703, Bad: 2}) {
		t.Fatal(tally)
	}
	for _, place := range []string{"row 702, pump: ", "row 703: longer"} {
		if !strings.Contains(want, place) {
			t.Errorf("no error at %q", place)
		}
	}
	same := func(t interface{ Fatal(...any) }, in io.Reader) {
		var out strings.Builder
		if got, err := b.Run(in, &out); got != tally || err != nil || out.String() != want {
			t.Fatal("not the same: ", got, err)
		}
	}
	same(t, iotest.OneByteReader(strings.NewReader(text)))
	same(t, iotest.DataErrReader(strings.NewReader(text)))
	rapid.Check(t, func(t *rapid.T) {
		same(t, &ragged{strings.NewReader(text), rapid.IntRange(1, 100_000), t})
	})
}

// ragged returns reads of any size.
type ragged struct {
	in   io.Reader
	size *rapid.Generator[int]
	t    *rapid.T
}

func (r *ragged) Read(p []byte) (int, error) {
	return r.in.Read(p[:min(len(p), r.size.Draw(r.t, "size"))])
}

// TestReadFails: what came before the error is there, and said.
func TestReadFails(t *testing.T) {
	broken := errors.New("the cable fell out")
	for _, format := range Formats() {
		b := newBatch(t, format)
		var out strings.Builder
		in := io.MultiReader(bytes.NewReader(readings(5000)), strings.NewReader("2026,COP 1,13"), iotest.ErrReader(broken))
		tally, err := b.Run(in, &out)
		if !errors.Is(err, ErrRead) || !errors.Is(err, broken) || !strings.Contains(err.Error(), "after line 5001") {
			t.Errorf("%s: error %v", format, err)
		}
		if whole, _ := runText(t, b, string(readings(5000))); tally != (Tally{Rows: 5000}) || out.String() != whole {
			t.Errorf("%s: %+v, not what came before", format, tally)
		}
	}
	if _, err := newBatch(t, CSV).Run(iotest.ErrReader(broken), io.Discard); !errors.Is(err, ErrRead) || !errors.Is(err, broken) {
		t.Errorf("at once: error %v", err)
	}
}

// TestWriteFails: it stops, even where the stream has no end.
func TestWriteFails(t *testing.T) {
	for _, after := range []int{0, 1, 1000, 1_000_000} {
		in := &endless{lines: readings(1000)}
		_, err := newBatch(t, NDJSON).Run(in, &full{left: after})
		if !errors.Is(err, ErrWrite) || !errors.Is(err, syscall.ENOSPC) {
			t.Errorf("after %d bytes: error %v", after, err)
		}
	}
}

// full is a disk with little room.
type full struct{ left int }

func (f *full) Write(p []byte) (int, error) {
	if n := f.left; n < len(p) {
		f.left = 0
		return n, syscall.ENOSPC
	}
	f.left -= len(p)
	return len(p), nil
}

// endless repeats the readings after the header.
type endless struct{ lines, rest []byte }

func (e *endless) Read(p []byte) (int, error) {
	if len(e.rest) == 0 {
		if e.rest = e.lines; bytes.HasPrefix(e.lines, []byte(header)) {
			e.lines = e.lines[len(header):]
		}
	}
	n := copy(p, e.rest)
	e.rest = e.rest[n:]
	return n, nil
}

// TestRecordsComeAtOnce: a reading that is piped in has its record before the
// next one is there.
func TestRecordsComeAtOnce(t *testing.T) {
	in, feed := io.Pipe()
	result, out := io.Pipe()
	done := make(chan error, 1)
	go func() {
		_, err := newBatch(t, NDJSON).Run(in, out)
		done <- err
	}()
	buf := make([]byte, 4096)
	for i, text := range []string{header + ",COP 1,1300,0.6,9.1\n", ",COP 2,1300,0.6,9.1\n", ",COP 3,1300,0.6,9.1\n"} {
		go io.WriteString(feed, text)
		arrived := make(chan []byte, 1)
		go func() {
			n, _ := result.Read(buf)
			arrived <- buf[:n]
		}()
		select {
		case record := <-arrived:
			if want := []string{"COP 1", "COP 2", "COP 3"}[i]; !bytes.Contains(record, []byte(want)) {
				t.Fatalf("record %q, want that of %s", record, want)
			}
		case <-time.After(10 * time.Second):
			t.Fatal("no record")
		}
	}
	feed.Close()
	if err := <-done; err != nil {
		t.Fatal(err)
	}
}

// TestConstantMemory: neither many readings nor one very long line make it
// allocate more than its chunks and a copy of each.
func TestConstantMemory(t *testing.T) {
	b := newBatch(t, NDJSON)
	allocated := func(in io.Reader) uint64 {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		if _, err := b.Run(in, io.Discard); err != nil {
			t.Fatal(err)
		}
		runtime.ReadMemStats(&after)
		return after.TotalAlloc - before.TotalAlloc
	}
	const rows = 40_000
	short, long := readings(rows), readings(2*rows)
	few, many := allocated(bytes.NewReader(short)), allocated(bytes.NewReader(long))
	if text := uint64(len(long) - len(short)); many > few+2*text {
		t.Errorf("%d more bytes of readings allocate %d more bytes", text, many-few)
	}
	line := strings.NewReader(header + strings.Repeat("x", 10<<20) + "\n,COP 1,1300,0.6,9.1\n")
	if n := allocated(line); n > 2<<20 {
		t.Errorf("a line of 10 MiB allocates %d bytes", n)
	}
}

// TestRowAllocatesNothing: a chunk of rows allocates as often as one row.
func TestRowAllocatesNothing(t *testing.T) {
	for _, format := range []Format{CSV, NDJSON, JSON} {
		b := newBatch(t, format)
		c := stream.NewChunk()
		src := stream.NewSource(bytes.NewReader(readings(1000)))
		l, err := b.header(src, c)
		if err != nil {
			t.Fatal(err)
		}
		w := worker{estimator: b.estimator(), layout: &l, printer: b.printer(true, 0)}
		if n := testing.AllocsPerRun(20, func() { c.Out = c.Out[:0]; w.do(c) }); n > 3 {
			t.Errorf("%s: %v allocations for a chunk of %d rows", format, n, c.Tally.Rows)
		}
	}
}

// FuzzRun: any bytes make a record for each line that is not empty, or are
// refused; what comes out is JSON.
func FuzzRun(f *testing.F) {
	f.Add([]byte(header + "2026,COP 1,1300,0.6,9.1\n"))
	f.Add([]byte("pump,speed,suction,discharge,density\r\n1,1300,.6,9.1±0.2,0.858 rel\r\n"))
	f.Add([]byte("\ufefftime,pump,speed,suction,discharge\n\"a\"\"b\",cop3,1e-300,-1 psi,1e4 bar\n\n\"\n\xff,\x00\n"))
	f.Add([]byte("pump;speed;suction;discharge\n"))
	f.Add([]byte(header + "x,COP 1,100000,-10000,10000\nx,COP 1,0.0001,10000,-10000\n"))
	s, p := shipAndPlan(f)
	b, err := New(Options{Ship: s, Plan: p, Format: NDJSON, Say: func(string) {}})
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		var out strings.Builder
		tally, err := b.Run(bytes.NewReader(text), &out)
		if err != nil {
			if !errors.Is(err, ErrUnusable) || out.Len() > 0 {
				t.Fatalf("error %v after %q", err, out.String())
			}
			return
		}
		lines := 0
		for line := range bytes.Lines(text) {
			if len(bytes.TrimSuffix(bytes.TrimSuffix(line, []byte("\n")), []byte("\r"))) > 0 {
				lines++
			}
		}
		if records := decodeLines(t, out.String()); len(records) != lines-1 || tally.Rows != lines-1 {
			t.Fatalf("%d records, %+v of %d lines", len(records), tally, lines)
		}
	})
}
