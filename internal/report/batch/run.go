package batch

import (
	"bytes"
	"fmt"
	"io"
	"runtime"
	"strings"
)

// Tally counts readings.
type Tally struct{ Rows, Bad int }

// Run writes the records of all readings in a stream, those of bad rows too,
// and counts them. The error wraps ErrUnusable when there is no header to go by,
// ErrRead or ErrWrite when it had to stop.
//
// After ErrWrite the stream may still be read from until a read returns.
func (b *Batch) Run(in io.Reader, out io.Writer) (Tally, error) {
	src := &source{in: in}
	first := newChunk()
	l, err := b.header(src, first)
	if err != nil {
		return Tally{}, err
	}
	p := b.printer(l.has(Time), timeWidth(&l, first.text))
	if err := write(out, []byte(p.head)); err != nil {
		return Tally{}, err
	}
	tally, err := b.stream(src, first, &l, p, out)
	if err == nil {
		err = write(out, []byte(p.tail))
	}
	if err == nil && src.err != io.EOF {
		err = fmt.Errorf("%w after line %d: %w", ErrRead, src.lines, src.err)
	}
	return tally, err
}

// header takes the header off the first chunk.
func (b *Batch) header(src *source, c *chunk) (layout, error) {
	if !src.next(c) && src.err != io.EOF {
		return layout{}, fmt.Errorf("%w: %w", ErrRead, src.err)
	}
	if c.tooLong {
		return layout{}, fmt.Errorf("%w: the first line is longer than %d bytes, no header is; %s", ErrUnusable, chunkSize, wanted)
	}
	line, rest, _ := bytes.Cut(c.text, []byte("\n"))
	line = bytes.TrimPrefix(line, []byte("\ufeff"))
	l, err := b.layout(strings.TrimSuffix(string(line), "\r"))
	if err != nil {
		return l, fmt.Errorf("%w: %w", ErrUnusable, err)
	}
	c.text = append(c.text[:0], rest...)
	c.first++
	return l, nil
}

// timeWidth returns how long the time of the first reading is, 0 when unknown.
func timeWidth(l *layout, text []byte) int {
	line, _, _ := strings.Cut(string(text), "\n")
	fields, _ := split(nil, line)
	row, _ := l.row(fields)
	return len(row[Time])
}

// stream sends chunks from the source through workers to out, in order. There
// are so few chunks that no channel is ever full.
func (b *Batch) stream(src *source, c *chunk, l *layout, p printer, out io.Writer) (Tally, error) {
	workers := runtime.GOMAXPROCS(0)
	chunks := 2*workers + 1
	free, work, order := make(chan *chunk, chunks), make(chan *chunk, chunks), make(chan *chunk, chunks)
	for range chunks - 1 {
		free <- newChunk()
	}
	for range workers {
		w := worker{estimator: b.estimator(), layout: l, printer: p}
		go func() {
			for c := range work {
				w.do(c)
				c.done <- struct{}{}
			}
		}()
	}
	quit := make(chan struct{})
	defer close(quit)
	go func() {
		defer close(order)
		defer close(work)
		for more := true; more; more = src.next(c) {
			order <- c
			work <- c
			select {
			case c = <-free:
			case <-quit:
				return
			}
		}
	}()
	var sum Tally
	for c := range order {
		<-c.done
		if sum.Rows > 0 && c.tally.Rows > 0 && p.join != "" {
			if err := write(out, []byte(p.join)); err != nil {
				return sum, err
			}
		}
		if err := write(out, c.out); err != nil {
			return sum, err
		}
		sum.Rows += c.tally.Rows
		sum.Bad += c.tally.Bad
		free <- c
	}
	return sum, nil
}

// worker turns lines into the text of their records.
type worker struct {
	*estimator
	layout  *layout
	printer printer
	fields  []string
}

func (w *worker) do(c *chunk) {
	c.out, c.tally = c.out[:0], Tally{}
	var r record
	if c.tooLong {
		r.fault = &fault{row: c.first, err: fmt.Errorf("longer than %d bytes, no reading is", chunkSize)}
		w.put(c, &r)
		return
	}
	// One copy of the chunk lets all its fields be strings without a copy each.
	text := string(c.text)
	for number := c.first; text != ""; number++ {
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

func (w *worker) put(c *chunk, r *record) {
	if len(c.out) > 0 {
		c.out = append(c.out, w.printer.join...)
	}
	c.out = w.printer.record(c.out, r)
	c.tally.Rows++
	if r.fault != nil {
		c.tally.Bad++
	}
}
