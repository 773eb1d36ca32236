package batch

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"example.org/headwatch/internal/report/stream"
)

// Tally counts readings.
type Tally = stream.Tally

// Run writes the records of all readings in a stream, those of bad rows too,
// and counts them. The error wraps ErrUnusable when there is no header to go by,
// ErrRead or ErrWrite when it had to stop.
//
// After ErrWrite the stream may still be read from until a read returns.
func (b *Batch) Run(in io.Reader, out io.Writer) (Tally, error) {
	src := stream.NewSource(in)
	first := stream.NewChunk()
	l, err := b.header(src, first)
	if err != nil {
		return Tally{}, err
	}
	p := b.printer(l.has(Time), timeWidth(&l, first.Text))
	if err := write(out, []byte(p.head)); err != nil {
		return Tally{}, err
	}
	tally, err := stream.Run(src, first, out, p.join, func() func(*stream.Chunk) {
		w := worker{estimator: b.estimator(), layout: &l, printer: p}
		return w.do
	})
	if err != nil {
		err = fmt.Errorf("%w: %w", ErrWrite, err)
	} else {
		err = write(out, []byte(p.tail))
	}
	if err == nil && src.Err() != io.EOF {
		err = fmt.Errorf("%w after line %d: %w", ErrRead, src.Lines(), src.Err())
	}
	return tally, err
}

// header takes the header off the first chunk.
func (b *Batch) header(src *stream.Source, c *stream.Chunk) (layout, error) {
	if !src.Next(c) && src.Err() != io.EOF {
		return layout{}, fmt.Errorf("%w: %w", ErrRead, src.Err())
	}
	if c.TooLong {
		return layout{}, fmt.Errorf("%w: the first line is longer than %d bytes, no header is; %s", ErrUnusable, stream.ChunkSize, wanted)
	}
	line, rest, _ := bytes.Cut(c.Text, []byte("\n"))
	line = bytes.TrimPrefix(line, []byte("\ufeff"))
	l, err := b.layout(strings.TrimSuffix(string(line), "\r"))
	if err != nil {
		return l, fmt.Errorf("%w: %w", ErrUnusable, err)
	}
	c.Text = append(c.Text[:0], rest...)
	c.First++
	return l, nil
}

// timeWidth returns how long the time of the first reading is, 0 when unknown.
func timeWidth(l *layout, text []byte) int {
	line, _, _ := strings.Cut(string(text), "\n")
	fields, _ := split(nil, line)
	row, _ := l.row(fields)
	return len(row[Time])
}

// worker turns lines into the text of their records.
type worker struct {
	*estimator
	layout  *layout
	printer printer
	fields  []string
}

func (w *worker) do(c *stream.Chunk) {
	var r record
	if c.TooLong {
		r.fault = &fault{row: c.First, err: fmt.Errorf("longer than %d bytes, no reading is", stream.ChunkSize)}
		w.put(c, &r)
		return
	}
	// One copy of the chunk lets all its fields be strings without a copy each.
	text := string(c.Text)
	for number := c.First; text != ""; number++ {
		line, rest, _ := strings.Cut(text, "\n")
		text = rest
		if line = strings.TrimSuffix(line, "\r"); line == "" {
			continue
		}
		if f := w.line(line, &r); f != nil {
			f.row = number
			r.fault = f
		}
		w.put(c, &r)
	}
}

// line fills r from one line.
func (w *worker) line(line string, r *record) *fault {
	*r = record{}
	var err error
	if w.fields, err = split(w.fields[:0], line); err != nil {
		return &fault{err: err}
	}
	row, f := w.layout.row(w.fields)
	if f != nil {
		return f
	}
	return w.estimate(&row, r)
}

func (w *worker) put(c *stream.Chunk, r *record) {
	if len(c.Out) > 0 {
		c.Out = append(c.Out, w.printer.join...)
	}
	c.Out = w.printer.record(c.Out, r)
	c.Tally.Rows++
	if r.fault != nil {
		c.Tally.Bad++
	}
}
