package stream

import (
	"bytes"
	"io"
)

// ChunkSize bounds what is read at once, and so the length of a line, in bytes.
const ChunkSize = 64 << 10

// Tally counts records.
type Tally struct{ Rows, Bad int }

// Chunk is some whole lines on their way through the pipeline. It is used over
// and over.
type Chunk struct {
	Text    []byte // the lines; empty when there is one that is too long
	First   int    // number of the first line
	TooLong bool   // a line is longer than ChunkSize and was skipped

	Out   []byte // their records, for the worker to fill
	Tally Tally  // likewise
	done  chan struct{}
}

// NewChunk returns an empty chunk.
func NewChunk() *Chunk {
	return &Chunk{Text: make([]byte, 0, ChunkSize), done: make(chan struct{}, 1)}
}

// Source cuts a stream into chunks of whole lines.
type Source struct {
	in       io.Reader
	rest     []byte // of the last read: the beginning of a line
	lines    int    // handed out
	skipping bool   // the rest of a line that is too long
	err      error  // why there is nothing more to read
}

// NewSource returns a source that reads from in.
func NewSource(in io.Reader) *Source { return &Source{in: in} }

// Err returns why there was nothing more to read; io.EOF at the end.
func (s *Source) Err() error { return s.err }

// Lines returns how many lines were handed out.
func (s *Source) Lines() int { return s.lines }

// Next fills c with what one read brings, or a few, so that what is piped in
// slowly gets its records at once. It returns false at the end, and after an
// error when all lines before it are handed out.
func (s *Source) Next(c *Chunk) bool {
	c.First, c.TooLong = s.lines+1, false
	text := append(c.Text[:0], s.rest...)
	s.rest = s.rest[:0]
	for seen := 0; ; { // text[:seen] has no line end
		if s.skipping {
			_, after, found := bytes.Cut(text, []byte("\n"))
			text = append(text[:0], after...)
			seen, s.skipping = 0, !found
		}
		if end := bytes.LastIndexByte(text[seen:], '\n') + 1; end > 0 {
			end += seen
			s.rest = append(s.rest, text[end:]...)
			c.Text = text[:end]
			s.lines += bytes.Count(c.Text, []byte("\n"))
			return true
		}
		if len(text) == cap(text) {
			c.Text, c.TooLong, s.skipping = text[:0], true, true
			s.lines++
			return true
		}
		if s.err != nil {
			c.Text = text
			return s.err == io.EOF && len(text) > 0
		}
		seen = len(text)
		var n int
		n, s.err = s.in.Read(text[seen:cap(text)])
		text = text[:seen+n]
	}
}
