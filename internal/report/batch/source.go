package batch

import (
	"bytes"
	"io"
)

// chunkSize bounds what is read at once, and so the length of a line, in bytes.
const chunkSize = 64 << 10

// chunk is some whole lines on their way through the pipeline. It is used over
// and over.
type chunk struct {
	text    []byte // the lines; nil when there is one that is too long
	first   int    // number of the first line
	tooLong bool

	out   []byte // their records
	tally Tally
	done  chan struct{}
}

func newChunk() *chunk {
	return &chunk{text: make([]byte, 0, chunkSize), done: make(chan struct{}, 1)}
}

// source cuts a stream into chunks of whole lines.
type source struct {
	in       io.Reader
	rest     []byte // of the last read: the beginning of a line
	lines    int    // handed out
	skipping bool   // the rest of a line that is too long
	err      error  // why there is nothing more to read
}

// next fills c with what one read brings, or a few, so that what is piped in
// slowly gets its records at once. It returns false at the end, and after an
// error when all lines before it are handed out.
func (s *source) next(c *chunk) bool {
	c.first, c.tooLong = s.lines+1, false
	text := append(c.text[:0], s.rest...)
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
			c.text = text[:end]
			s.lines += bytes.Count(c.text, []byte("\n"))
			return true
		}
		if len(text) == cap(text) {
			c.text, c.tooLong, s.skipping = text[:0], true, true
			s.lines++
			return true
		}
		if s.err != nil {
			c.text = text
			return s.err == io.EOF && len(text) > 0
		}
		seen = len(text)
		var n int
		n, s.err = s.in.Read(text[seen:cap(text)])
		text = text[:seen+n]
	}
}
