package journal

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
)

// chain is how far a log is proven: the state that the next line must carry on.
type chain struct {
	seq uint64 // entries so far, one a line
	sum Sum    // of the last entry
	end int64  // bytes so far, line feeds included
}

// next returns the entry of the line (without its line feed) that follows c, and
// moves c on. An error leaves c as it was. Every reader and the writer go through
// here: what one accepts the other does.
func (c *chain) next(line []byte) (Entry, error) {
	e, err := parse(line)
	if err != nil {
		return Entry{}, err
	}
	if sum := Sum(sha256.Sum256(line[:len(line)-sealLen])); sum != e.Sum {
		return Entry{}, fmt.Errorf("the line was altered: its bytes have the sum %s, not %s", sum, e.Sum)
	}
	if e.Seq != c.seq+1 {
		return Entry{}, fmt.Errorf("seq %d follows seq %d", e.Seq, c.seq)
	}
	if e.Prev != c.sum {
		return Entry{}, fmt.Errorf("prev is %s, but the entry before has the sum %s", e.Prev, c.sum)
	}
	if (e.Seq == 1) != (e.Kind == KindOpened) {
		return Entry{}, fmt.Errorf("seq %d is of kind %q: the first entry and no other is %q", e.Seq, e.Kind, KindOpened)
	}
	if e.Seq == 1 { // it says whether this is training: not to be left to those who ask
		if _, err := e.Body(); err != nil {
			return Entry{}, err
		}
	}
	e.Data = bytes.Clone(e.Data)
	*c = chain{seq: e.Seq, sum: e.Sum, end: c.end + int64(len(line)) + 1}
	return e, nil
}

// BrokenError says from which line on a log is not to be trusted.
type BrokenError struct {
	Line uint64
	Err  error
}

func (e *BrokenError) Error() string { return fmt.Sprintf("%s:%d: %v", FileName, e.Line, e.Err) }
func (e *BrokenError) Unwrap() error { return e.Err }

// TornError says that bytes follow the last line feed: what a crash left of an
// append, or one that is being written right now.
type TornError struct {
	Bytes int
}

func (e *TornError) Error() string {
	return fmt.Sprintf("%s: torn: %d bytes after the last whole line", FileName, e.Bytes)
}

// scan reads the lines of r that follow c, calls keep for each entry and moves c
// on. The finding, *TornError or *BrokenError, is what it left unread; err is the
// error of r.
func scan(r io.Reader, c *chain, keep func(Entry)) (finding, err error) {
	lines := bufio.NewScanner(r)
	lines.Buffer(make([]byte, 0, 64<<10), maxLine+2) // one more than a line and its feed: full is too long
	lines.Split(splitLines)
	for lines.Scan() {
		line, whole := bytes.CutSuffix(lines.Bytes(), lineFeed)
		if !whole {
			return &TornError{Bytes: len(line)}, nil
		}
		e, err := c.next(line)
		if err != nil {
			return &BrokenError{Line: c.seq + 1, Err: err}, nil
		}
		keep(e)
	}
	if errors.Is(lines.Err(), bufio.ErrTooLong) {
		return &BrokenError{Line: c.seq + 1, Err: errLong}, nil
	}
	return nil, lines.Err()
}

var lineFeed = []byte("\n")

// splitLines is bufio.ScanLines that keeps the line feed: only it tells a whole
// line from a torn one.
func splitLines(data []byte, atEOF bool) (advance int, token []byte, err error) {
	if i := bytes.IndexByte(data, '\n'); i >= 0 {
		return i + 1, data[:i+1], nil
	}
	if atEOF && len(data) > 0 {
		return len(data), data, nil
	}
	return 0, nil, nil
}
