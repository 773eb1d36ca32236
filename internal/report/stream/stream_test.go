package stream

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/iotest"
)

// upper answers each line in capitals and counts those that begin with x.
func upper() func(*Chunk) {
	return func(c *Chunk) {
		if c.TooLong {
			c.Out = fmt.Appendf(c.Out, "line %d too long\n", c.First)
			c.Tally = Tally{Rows: 1, Bad: 1}
			return
		}
		for line := range strings.Lines(string(c.Text)) {
			c.Out = append(c.Out, strings.ToUpper(line)...)
			c.Tally.Rows++
			if strings.HasPrefix(line, "x") {
				c.Tally.Bad++
			}
		}
	}
}

func run(in io.Reader, out io.Writer) (Tally, *Source, error) {
	src, first := NewSource(in), NewChunk()
	if !src.Next(first) {
		return Tally{}, src, nil
	}
	tally, err := Run(src, first, out, "", upper)
	return tally, src, err
}

func TestOrderIsKept(t *testing.T) {
	var in, want strings.Builder
	for i := range 200000 {
		fmt.Fprintf(&in, "line %d\n", i)
		fmt.Fprintf(&want, "LINE %d\n", i)
	}
	for name, reader := range map[string]io.Reader{"whole": strings.NewReader(in.String()), "by halves": iotest.HalfReader(strings.NewReader(in.String()))} {
		var out bytes.Buffer
		tally, src, err := run(reader, &out)
		if err != nil || src.Err() != io.EOF || tally.Rows != 200000 || src.Lines() != 200000 || out.String() != want.String() {
			t.Errorf("%s: %+v, %d lines, %v, %v; equal %v", name, tally, src.Lines(), err, src.Err(), out.String() == want.String())
		}
	}
}

func TestLineTooLongIsOneRecord(t *testing.T) {
	in := "a\n" + strings.Repeat("9", 3*ChunkSize) + "\nx\nlast"
	var out bytes.Buffer
	tally, _, err := run(strings.NewReader(in), &out)
	if want := "A\nline 2 too long\nX\nLAST"; err != nil || out.String() != want || tally != (Tally{Rows: 4, Bad: 2}) {
		t.Errorf("%q %+v %v, want %q", out.String(), tally, err, want)
	}
}

func TestErrorsEndIt(t *testing.T) {
	broken := errors.New("cable out")
	var out bytes.Buffer
	tally, src, err := run(io.MultiReader(strings.NewReader("a\nb\nha"), iotest.ErrReader(broken)), &out)
	if err != nil || !errors.Is(src.Err(), broken) || out.String() != "A\nB\n" || tally.Rows != 2 {
		t.Errorf("read error: %q %+v %v %v", out.String(), tally, err, src.Err())
	}
	full := errors.New("disk full")
	if _, _, err = run(strings.NewReader(strings.Repeat("a\n", 500000)), failing{full}); !errors.Is(err, full) {
		t.Errorf("write error: %v", err)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }
